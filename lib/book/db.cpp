#include "db.hpp"

#include <fmt/format.h>

#include "server_book.hpp"
#include "tarebook/book/server_address.hpp"

namespace tarebook {

Db::Db(std::unique_ptr<Engine> engine) : engine_(std::move(engine)) {}

std::unique_ptr<Db> Db::copy_in_memory(Db& from) {
    return std::make_unique<Db>(from.engine_->copy_in_memory());
}

Answer Db::kept(const char* sql) {
    auto& kept = kept_[sql];
    if (kept.busy) return Answer(engine_->prepare(sql));
    if (!kept.statement) kept.statement = engine_->prepare(sql);
    return {*kept.statement, kept.busy};
}

void rethrow_as_storage_error(const DbError& e, const std::filesystem::path& path, bool writing,
                              const LockPatience* patience) {
    const auto file = path.string();
    const std::string nothing = writing ? " Nothing was written." : "";
    if (is_server_address(path)) rethrow_of_server(e, path, nothing, patience);
    const auto disk = [](const std::string& what, const std::string& next) {
        return StorageError(what, next, Written::no, true);
    };
    // SQLite reports missing room as an error of the index to the log.
    std::error_code unknown;
    const auto room = std::filesystem::space(std::filesystem::absolute(path).parent_path(), unknown);
    const bool full = e.fault() == DbFault::no_index && !unknown && room.available < 65'536;
    switch (full ? DbFault::full : e.fault()) {
        case DbFault::held:
            if (patience && patience->was_ended())
                throw disk(fmt::format("the wait for the book {} was ended.{}", file, nothing),
                           "the same command again waits again");
            throw disk(fmt::format("the book {} is held by {}.{}", file,
                                   patience ? patience->holder_in_words() : "another program", nothing),
                       "wait until the other command has ended, then try again");
        case DbFault::read_only:
            throw StorageError(
                fmt::format("the book {} cannot be written: it or its folder is read-only.{}", file, nothing),
                "make the file and its folder writable, or record in a copy elsewhere");
        case DbFault::cannot_open:
            throw disk(
                fmt::format("the book {} cannot be opened for this, or its folder cannot be written.{}", file, nothing),
                "check the path and the permissions of the file and its folder");
        case DbFault::full:
            throw disk(fmt::format("the disk is full.{}", nothing), "free some space, then try again");
        case DbFault::not_a_database:
            throw StorageError(fmt::format("{} is not a book.", file), "give the book with --book FILE");
        case DbFault::damaged:
            throw StorageError(fmt::format("the book {} is damaged ({}).{}", file, e.what(), nothing),
                               "stop recording in it, keep a copy, run: tarebook check");
        default: {
            const bool of_disk = e.fault() == DbFault::disk || e.fault() == DbFault::no_index ||
                                 e.fault() == DbFault::short_file || e.fault() == DbFault::no_memory;
            throw StorageError(fmt::format("the book {} failed: {} ({}).{}", file, e.what(), e.code(), nothing),
                               "check the disk, then run: tarebook check", Written::no, of_disk);
        }
    }
}

}  // namespace tarebook
