// A locked key: salt, nonce and the key under XChaCha20-Poly1305 (libsodium's secretbox), with a key that Argon2id
// derives from the passphrase at libsodium's limits for interactive use (64 MiB).
#include "key.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "atomic_book_file.hpp"
#include "commit.hpp"
#include "key_place.hpp"
#include "tarebook/book/server_address.hpp"
#include "units/hex.hpp"
#include "work.hpp"

namespace tarebook {
namespace {

std::string stored_key(Book::Impl& book) {
    auto kept = kept_key(book);
    if (!kept) {
        if (book.db.on_server())
            throw StorageError(
                fmt::format("this person has no signing key for the book {}: {} is not there. Nothing was written.",
                            book.path.string(), key_file_of(book.writer().book).string()),
                "record as the person who keeps the book, where its key is; or as a desk: tarebook books desk");
        if (book.db.any("SELECT 1 FROM book WHERE name = ?", key_left_out))
            throw StorageError(
                "this copy of the book was made without the signing key. Nothing was written.",
                "record in the book itself; tarebook restore goes on from this copy, as a book of its own");
        throw StorageError("the book has lost its signing key. Nothing was written.",
                           "it can still be read; to go on, restore a backup that has the key, or start a new book");
    }
    return std::move(*kept);
}

void key_from(std::string_view passphrase, const unsigned char* salt,
              std::array<unsigned char, crypto_secretbox_KEYBYTES>& out) {
    if (crypto_pwhash(out.data(), out.size(), passphrase.data(), passphrase.size(), salt,
                      crypto_pwhash_OPSLIMIT_INTERACTIVE, crypto_pwhash_MEMLIMIT_INTERACTIVE,
                      crypto_pwhash_ALG_ARGON2ID13) != 0)
        throw StorageError("the passphrase cannot be tried: it takes 64 MiB of memory. Nothing was written.",
                           "close other programs");
}

// What the book says of its own key; of a desk's it says nothing.
void note_lock(Db& db, const std::optional<Digest>& locked) {
    if (locked)
        set_info(db, locked_key_digest, hex(*locked));
    else
        db.run("DELETE FROM book WHERE name = ?", std::string(locked_key_digest));
}

bool is_noted(Db& db, const std::optional<Digest>& locked) {
    const auto noted = db.text("SELECT value FROM book WHERE name = ?", std::string(locked_key_digest));
    return locked ? noted == hex(*locked) : !noted;
}

// The key of a book on a server has changed, and the book does not say so.
StorageError not_noted(const Book::Impl& book, bool locks, std::string_view noted, const std::exception& e) {
    const auto key = fmt::format("{} is {}", key_file_of(book.info.id).string(),
                                 locks ? "locked with the new passphrase" : "without a passphrase now");
    return StorageError(fmt::format("the signing key in {}, and {}: {}", key, noted, e.what()),
                        "the same command again, by the passphrase that the key has now", Written::unknown, true);
}

// What was there before comes back.
void put_back(Book::Impl& book, std::string_view before, std::string_view bytes, bool locks) {
    try {
        if (kept_key(book) == bytes) keep_key(book, before);
    } catch (const StorageError& e) {
        throw not_noted(book, locks, "the book does not note it", e);
    }
}

// On a server the key is in a file of this person, which no COMMIT holds back. Precondition: a transaction is open.
void store_beside(Book::Impl& book, std::string_view bytes, const std::optional<Digest>& locked, bool& open) {
    struct Wiped {
        explicit Wiped(std::string secret) : bytes(std::move(secret)) {}
        Wiped(const Wiped&) = delete;
        Wiped& operator=(const Wiped&) = delete;
        ~Wiped() { sodium_memzero(bytes.data(), bytes.size()); }
        std::string bytes;
    } const before(stored_key(book));
    keep_key(book, bytes);
    if (book.info.desk) return;  // nothing of it is on the server
    try {
        note_lock(book.db, locked);
        open = false;
        commit_or_ask(book, {"", "", [&]() -> std::optional<bool> { return is_noted(book.db, locked); }});
    } catch (const DbError&) {  // it is not noted
        put_back(book, before.bytes, bytes, locked.has_value());
        throw;
    } catch (const StorageError& e) {
        throw not_noted(book, locked.has_value(), "whether the book notes it is not known", e);
    }
}

// Precondition: a transaction is open. Ends it.
void store(Book::Impl& book, std::string_view bytes, bool& open) {
    const bool locks = bytes.size() == locked_key_size;
    const auto locked = locks ? std::optional(digest_of(bytes)) : std::nullopt;
    if (book.db.on_server()) {
        store_beside(book, bytes, locked, open);
    } else {
        keep_key(book, bytes);
        note_lock(book.db, locked);
        open = false;
        commit_or_ask(book, {locks ? "the signing key is locked" : "the signing key is in it without a passphrase",
                             "run: tarebook check; the same command again shows which it is",
                             [&]() -> std::optional<bool> { return stored_key(book) == bytes; }});
    }
    book.committed = false;  // what comes later has written nothing yet
}

StorageError damaged_key() {
    return StorageError(
        "the signing key of the book is damaged: it does not belong to the public key. Nothing was written.",
        "keep this file as it is, go on from the last backup (tarebook restore), and merge there what "
        "tarebook salvage takes out of this one");
}

}  // namespace

bool makes_public_key(const SecretKey& secret, std::string_view public_key) {
    std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> made{};
    SecretKey pair;
    crypto_sign_seed_keypair(made.data(), pair.bytes.data(), secret.bytes.data());
    return sodium_memcmp(pair.bytes.data(), secret.bytes.data(), pair.bytes.size()) == 0 &&
           hex_of_bytes(made) == public_key;
}

Signature signature_of(Book::Impl& book, std::string_view message) {
    SecretKey secret;
    read_secret_key(book, secret);
    const auto* bytes = reinterpret_cast<const unsigned char*>(message.data());
    Signature out{};
    crypto_sign_detached(out.data(), nullptr, bytes, message.size(), secret.bytes.data());
    const auto key = digest_from_hex(book.writer().public_key);
    if (!key || crypto_sign_verify_detached(out.data(), bytes, message.size(), key->data()) != 0) throw damaged_key();
    return out;
}

namespace {
void read_stored(Book::Impl& book, SecretKey& out) {
    auto stored = stored_key(book);
    if (stored.size() == plain_key_size) {
        std::copy(stored.begin(), stored.end(), out.bytes.begin());
        sodium_memzero(stored.data(), stored.size());
        return;
    }
    if (stored.size() != locked_key_size)
        throw StorageError("the signing key of the book is damaged: it does not have its length. Nothing was written.",
                           "run: tarebook check");
    if (book.passphrase.empty())
        throw StorageError("the signing key of the book is locked with a passphrase. Nothing was written.",
                           "give it at a terminal, or as TAREBOOK_PASSPHRASE");
    const auto* salt = reinterpret_cast<const unsigned char*>(stored.data());
    const auto* nonce = salt + crypto_pwhash_SALTBYTES;
    std::array<unsigned char, crypto_secretbox_KEYBYTES> key{};
    key_from(book.passphrase.view(), salt, key);
    const int failed = crypto_secretbox_open_easy(out.bytes.data(), nonce + crypto_secretbox_NONCEBYTES,
                                                  plain_key_size + crypto_secretbox_MACBYTES, nonce, key.data());
    sodium_memzero(key.data(), key.size());
    if (failed != 0)
        throw StorageError("the passphrase does not open the signing key of the book. Nothing was written.",
                           "type it again; without it the book can be read, and restored as a new one");
}
}  // namespace

void read_secret_key(Book::Impl& book, SecretKey& out) {
    read_stored(book, out);
    if (!makes_public_key(out, book.writer().public_key)) throw damaged_key();
}

bool Book::key_is_locked() const {
    return guarded(*impl_, [&] {
        const auto kept = kept_key(*impl_);
        return kept && kept->size() == locked_key_size;
    });
}

void Book::use_passphrase(std::string_view passphrase) {
    impl_->passphrase = passphrase;
}

void Book::lock_key(std::string_view passphrase) {
    guarded(*impl_, [&] {
        Transaction::Work work(*impl_);  // of two at once the second one sees the key as the first one left it
        SecretKey secret;
        read_secret_key(*impl_, secret);
        std::string out(locked_key_size, '\0');
        auto* salt = reinterpret_cast<unsigned char*>(out.data());
        auto* nonce = salt + crypto_pwhash_SALTBYTES;
        randombytes_buf(salt, crypto_pwhash_SALTBYTES);
        randombytes_buf(nonce, crypto_secretbox_NONCEBYTES);
        std::array<unsigned char, crypto_secretbox_KEYBYTES> key{};
        key_from(passphrase, salt, key);
        crypto_secretbox_easy(nonce + crypto_secretbox_NONCEBYTES, secret.bytes.data(), plain_key_size, nonce,
                              key.data());
        sodium_memzero(key.data(), key.size());
        store(*impl_, out, work.open);
        impl_->passphrase = passphrase;
    });
}

void Book::unlock_key() {
    guarded(*impl_, [&] {
        Transaction::Work work(*impl_);  // of two at once the second one sees the key as the first one left it
        SecretKey secret;
        read_secret_key(*impl_, secret);
        store(*impl_, {reinterpret_cast<const char*>(secret.bytes.data()), secret.bytes.size()}, work.open);
    });
}

}  // namespace tarebook
