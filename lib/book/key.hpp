// The signing key of a book: plain, or locked with a passphrase.
#pragma once

#include <sodium.h>

#include <array>

#include "impl.hpp"

namespace tarebook {

/// 64 bytes that are not swapped out, and wiped when they are destroyed.
class SecretKey {
 public:
    SecretKey() { sodium_mlock(bytes.data(), bytes.size()); }
    SecretKey(const SecretKey&) = delete;
    SecretKey& operator=(const SecretKey&) = delete;
    ~SecretKey() { sodium_munlock(bytes.data(), bytes.size()); }
    std::array<unsigned char, crypto_sign_SECRETKEYBYTES> bytes{};
};
/// StorageError if the key is missing or damaged, or if it is locked and the passphrase does not open it.
void read_secret_key(Book::Impl& book, SecretKey& out);

/// Whether `public_key` (hex) is the public half of the pair, made anew from its seed.
bool makes_public_key(const SecretKey& secret, std::string_view public_key);

using Signature = std::array<unsigned char, crypto_sign_BYTES>;
/// Signs with the book's own key and verifies under its public key; StorageError if the signature does not hold.
Signature signature_of(Book::Impl& book, std::string_view message);

/// Sizes in the file, in bytes.
inline constexpr std::size_t plain_key_size = crypto_sign_SECRETKEYBYTES;
inline constexpr std::size_t locked_key_size =
    crypto_pwhash_SALTBYTES + crypto_secretbox_NONCEBYTES + crypto_secretbox_MACBYTES + plain_key_size;
/// The row of the table `book` that holds the SHA-256 of a locked key, by which `check` finds damage without the
/// passphrase.
inline constexpr auto locked_key_digest = "locked_key";
/// The row of the table `book` that says of a copy that it was made without the key.
inline constexpr auto key_left_out = "key_left_out";

}  // namespace tarebook
