// Compares the signing key with the public key. Heads that a damaged key signs do not verify.
#include <sys/stat.h>

#include "check.hpp"
#include "desk.hpp"
#include "key.hpp"
#include "key_place.hpp"
#include "tarebook/book/server_address.hpp"

namespace tarebook {
namespace {

std::string info(Book::Impl& book, const char* name) {
    auto s = book.db.ask("SELECT value FROM book WHERE name = ?", std::string(name));
    std::string out = s.next() ? s.text(0) : "";
    return out;
}

// Of a desk's key the book says nothing.
std::string noted_lock(Book::Impl& book) {
    return book.info.desk ? "" : info(book, locked_key_digest);
}

bool can_be_read(Book::Impl& book) {
    SecretKey secret;
    try {
        read_secret_key(book, secret);
        return true;
    } catch (const StorageError&) {
        return false;
    }
}

void check_locked(Book::Impl& book, const Digest& digest, Problems& problems, std::vector<std::string>& remarks) {
    const auto noted = noted_lock(book);
    const bool opens = !book.passphrase.empty() && can_be_read(book);
    if (!noted.empty() && noted != hex(digest) && book.db.on_server() && (opens || book.passphrase.empty()))
        problems.add(
            "the locked signing key is not as the book notes it: a lock was cut off, or another file is in its "
            "place; `tarebook books lock`, by the passphrase that it has, notes it anew");
    else if (!noted.empty() && noted != hex(digest))
        problems.add("the signing key is damaged: it is not as it was when it was locked; nothing can be recorded");
    else if (!book.passphrase.empty() && !opens)
        problems.add("the passphrase does not open the signing key: it is another one, or the key is damaged");
    else if (noted.empty() && book.passphrase.empty())
        remarks.emplace_back("the signing key is locked: whether it is whole shows with TAREBOOK_PASSPHRASE set");
}

}  // namespace

void check_signing_key(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks) {
    try {
        std::size_t size = 0;
        Digest digest{};
        {
            if (book.db.on_server()) read_desk(book);
            const auto kept = kept_key(book);
            if (!kept) {
                if (book.db.on_server()) {
                    remarks.emplace_back(
                        "this person has no signing key for the book: it can be read, and nothing can be recorded");
                    return;
                }
                if (!info(book, key_left_out).empty()) {
                    remarks.emplace_back(
                        "this copy was made without the signing key: nothing can be recorded in it; tarebook restore "
                        "goes on from it");
                    return;
                }
                return problems.add(
                    "the signing key is missing: the book can be read, and nothing can be recorded in it");
            }
            size = kept->size();
            digest = digest_of(*kept);
        }
        if (size == locked_key_size) return check_locked(book, digest, problems, remarks);
        if (size != plain_key_size)
            problems.add("the signing key is damaged: it has {} bytes, expected {}; nothing can be recorded", size,
                         plain_key_size);
        else if (!can_be_read(book))
            problems.add("the signing key is damaged: it does not make the book's public key; nothing can be recorded");
        else if (!noted_lock(book).empty() && book.db.on_server())
            problems.add(
                "the signing key was locked, and is now without a passphrase; where that was meant, `tarebook books "
                "unlock` notes it");
        else if (!noted_lock(book).empty())
            problems.add("the signing key was locked, and is now in the book without a passphrase");
        struct stat about {};
        if (::stat((book.db.on_server() ? key_file_of(book.writer().book) : book.path).c_str(), &about) == 0 &&
            (about.st_mode & (S_IRGRP | S_IROTH)) != 0)
            remarks.push_back(
                fmt::format("other users of this machine can read the file (mode {:03o}), and the signing "
                            "key in it: chmod 600, or tarebook books lock",
                            about.st_mode & 0777U));
    } catch (const DbError& e) {
        only_damage(e);
        problems.add("the signing key cannot be read ({})", e.what());
    }
}

}  // namespace tarebook
