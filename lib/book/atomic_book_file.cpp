#include "atomic_book_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sodium.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "book_file.hpp"
#include "key_place.hpp"
#include "tarebook/units/new_file.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

StorageError cannot_be_made(const std::filesystem::path& book) {
    return StorageError(fmt::format("{} cannot be made. Nothing was written.", book.string()),
                        "choose another file with --book FILE");
}
StorageError may_not_stay(const std::filesystem::path& book) {
    return StorageError(
        fmt::format("{} was written whole, but the disk did not confirm it ({}).", book.string(), std::strerror(errno)),
        "check the disk, then whether it is there: tarebook check --book FILE", Written::unknown, true);
}

}  // namespace

AtomicBookFile::AtomicBookFile(const std::filesystem::path& book) : book_(book) {
    std::array<unsigned char, 4> random{};
    randombytes_buf(random.data(), random.size());
    path_ = book.string() + ".new-" + hex_of_bytes(random);
    begin();
}

AtomicBookFile::AtomicBookFile(const std::filesystem::path& book, std::string_view ending)
    : book_(book), path_(book.string() + "." + std::string(ending)) {
    ::unlink(path_.c_str());
    ::unlink((path_.string() + "-journal").c_str());
    begin();
}

void AtomicBookFile::begin() {
    for (const char* ending : {"-journal", "-wal", "-shm"})
        if (book_.string().ends_with(ending))
            throw StorageError(fmt::format("{} cannot be the name of a book: SQLite uses names that end in {} itself, "
                                           "and may delete such a file. Nothing was written.",
                                           book_.string(), ending),
                               "choose another name");
    // A book that is replaced may have a journal: it is gone once the book has been opened.
    std::error_code ignored;
    if (!std::filesystem::exists(book_, ignored)) refuse_side_files(book_);
    const int fd = ::open(path_.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0600);
    if (fd < 0) throw cannot_be_made(book_);
    ::close(fd);
}

AtomicBookFile::~AtomicBookFile() {
    if (taken_) return;
    ::unlink(path_.c_str());
    for (const char* ending : {"-journal", "-wal", "-shm"}) ::unlink((path_.string() + ending).c_str());
}

// SQLite reports no error when it cannot put a log into the file on closing; the file then lacks what the log holds.
void AtomicBookFile::refuse_part() const {
    if (const auto file = side_file_of(path_))
        throw StorageError(fmt::format("{} cannot be made: {} could not be put into it. Nothing was written.",
                                       book_.string(), file->string()),
                           "check the disk, then try again", Written::no, true);
}

bool AtomicBookFile::take_name() {
    refuse_part();
    std::error_code ignored;
    if (!std::filesystem::exists(book_, ignored)) refuse_side_files(book_);
    const auto named = take_free_name(path_, book_);
    if (named == Named::taken) return false;
    if (named == Named::no) throw cannot_be_made(book_);
    taken_ = true;
    if (named == Named::unsure) throw may_not_stay(book_);
    return true;
}

void AtomicBookFile::replace() {
    refuse_part();
    refuse_side_files(book_);
    const int fd = ::open(path_.c_str(), O_RDONLY | O_CLOEXEC);
    const bool synced = fd >= 0 && ::fsync(fd) == 0;
    if (fd >= 0) ::close(fd);
    const auto named = synced ? take_place(path_, book_) : Named::no;
    if (named == Named::no) throw cannot_be_made(book_);
    taken_ = true;
    if (named == Named::unsure) throw may_not_stay(book_);
}

void set_info(Db& db, const char* name, const std::string& value) {
    db.run("INSERT INTO book(name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
           std::string(name), value);
}

void note_checks_edition(Db& db) {
    set_info(db, "checks_edition", std::to_string(checks_edition));
    set_info(db, "checks_edition_again", std::to_string(checks_edition));
}

std::optional<std::string> practice_word(Purpose purpose) {
    return purpose == Purpose::practice ? std::optional<std::string>("yes") : std::nullopt;
}

namespace {
std::string_view bytes_of_key(const std::array<unsigned char, crypto_sign_SECRETKEYBYTES>& key) {
    return {reinterpret_cast<const char*>(key.data()), key.size()};
}
}  // namespace

BookId new_identity(Db& db, Purpose purpose) {
    std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> public_key{};
    std::array<unsigned char, crypto_sign_SECRETKEYBYTES> secret_key{};
    crypto_sign_keypair(public_key.data(), secret_key.data());
    BookId id{};
    randombytes_buf(id.data(), id.size());
    if (purpose == Purpose::practice)  // the other 64 bits are random, enough that no id is drawn twice
        std::copy(practice_mark.begin(), practice_mark.end(), id.end() - practice_mark.size());
    set_info(db, "id", hex(id));
    set_info(db, "public_key", hex_of_bytes(public_key));
    db.run("INSERT INTO origin(id, book, branch) VALUES (?, ?, 0)", origin_id(id), id);
    keep_first_key(db, id, bytes_of_key(secret_key));
    sodium_memzero(secret_key.data(), secret_key.size());
    return id;
}

}  // namespace tarebook
