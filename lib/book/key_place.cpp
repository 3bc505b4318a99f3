#include "key_place.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstring>

#include "key.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/new_file.hpp"

namespace tarebook {
namespace {

[[noreturn]] void key_not_written(const std::filesystem::path& file) {
    throw StorageError(fmt::format("the signing key cannot be kept in {}: {}. Nothing was written.", file.string(),
                                   std::strerror(errno)),
                       "make the folder writable for this person alone", Written::no, true);
}

// This person's folder, closed to all others.
void make_own_folder(const std::filesystem::path& folder) {
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    std::filesystem::permissions(folder, std::filesystem::perms::owner_all, failed);
}

StorageError key_is_there(const std::filesystem::path& file) {
    return StorageError(
        fmt::format("this person has the signing key of this book for a server already: {}. Nothing was written.",
                    file.string()),
        fmt::format("record in the book on that server; where none has it any more, rename {}, then the same command "
                    "again",
                    file.string()));
}

// False where the same bytes are there.
bool put_into_file(const BookId& id, std::string_view bytes, bool first) {
    const auto file = key_file_of(id);
    make_own_folder(file.parent_path());
    NewFile made(file);
    if (!made.is_open() || !made.write(bytes)) key_not_written(file);
    switch (first ? made.take_name() : made.replace()) {
        case Named::yes:
        case Named::unsure:
            return true;
        case Named::taken:
            // A move that was cut off left the same key there.
            if (const auto there = read_whole(file, 4 * locked_key_size); there && *there == bytes) return false;
            throw key_is_there(file);
        default:
            key_not_written(file);
    }
}

}  // namespace

std::optional<std::string> kept_key(Book::Impl& book) {
    if (!book.db.on_server()) {
        auto k = book.db.ask("SELECT secret_key FROM secret");
        return k.next() ? std::optional(k.text(0)) : std::nullopt;
    }
    const auto file = key_file_of(book.writer().book);
    std::error_code ignored;
    if (!std::filesystem::exists(file, ignored)) return std::nullopt;
    auto bytes = read_whole(file, 4 * locked_key_size);
    if (!bytes)
        throw StorageError(fmt::format("the signing key in {} cannot be read.", file.string()), "look at its rights");
    return std::move(*bytes);
}

void keep_key(Book::Impl& book, std::string_view bytes) {
    if (book.db.on_server()) {
        put_into_file(book.writer().book, bytes, false);
        return;
    }
    book.db.script("PRAGMA secure_delete = ON");  // the old key must not stay in a free page
    book.db.run("UPDATE secret SET secret_key = ?", Bytes{bytes});
}

bool keep_first_key(Db& db, const BookId& id, std::string_view bytes) {
    if (db.on_server()) return put_into_file(id, bytes, true);
    db.run(
        "INSERT INTO secret(id, secret_key) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET secret_key = "
        "excluded.secret_key",
        Bytes{bytes});
    return true;
}

void refuse_where_key_is(const BookId& id) {
    const auto file = key_file_of(id);
    std::error_code ignored;
    if (std::filesystem::exists(std::filesystem::symlink_status(file, ignored))) throw key_is_there(file);
}

}  // namespace tarebook
