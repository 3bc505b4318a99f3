// The signing key of a book: as it is, or locked with a passphrase.
#pragma once

#include <sodium.h>

#include <array>

#include "impl.hpp"

namespace tarebook {

/// 64 bytes that are wiped when they go.
class SecretKey {
 public:
    SecretKey() = default;
    SecretKey(const SecretKey&) = delete;
    SecretKey& operator=(const SecretKey&) = delete;
    ~SecretKey() { sodium_memzero(bytes.data(), bytes.size()); }
    std::array<unsigned char, crypto_sign_SECRETKEYBYTES> bytes{};
};
/// StorageError where it is lost, or locked and the passphrase does not open it.
void read_secret_key(Book::Impl& book, SecretKey& out);

}  // namespace tarebook
