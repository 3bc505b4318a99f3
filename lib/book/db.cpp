#include "db.hpp"

#include <SQLiteCpp/Backup.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <cassert>

namespace tarebook {

// One thread uses a connection: SQLite need not lock its own structures.
Db::Db(const std::filesystem::path& path, int flags)
    : db_(path.string(), flags | SQLITE_OPEN_NOMUTEX), patience_(path) {
    wait_for_others(true);
    // A file may come from elsewhere: SQL in it may call only functions that are safe for every program, and may not
    // rewrite the schema.
    sqlite3_db_config(db_.getHandle(), SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_db_config(db_.getHandle(), SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(db_.getHandle(), SQLITE_DBCONFIG_ENABLE_VIEW, 0, nullptr);
}

void Db::wait_for_others(bool wait) {
    int (*again)(void*, int) = [](void* patience, int tries) {
        return static_cast<LockPatience*>(patience)->again(tries) ? 1 : 0;
    };
    sqlite3_busy_handler(db_.getHandle(), wait ? again : nullptr, &patience_);
}

// A temporary database rather than ":memory:", so that SQLite can put a part of a large copy into a temporary file.
std::unique_ptr<Db> Db::copy_in_memory(Db& from) {
    auto out = std::make_unique<Db>("", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    SQLite::Backup(out->raw(), from.raw()).executeStep();
    return out;
}

std::int64_t Db::data_version() {
    return db_.execAndGet("PRAGMA data_version").getInt64();
}

bool Db::in_transaction() const {
    return sqlite3_get_autocommit(db_.getHandle()) == 0;
}

PreparedStatement Db::prepared(std::string_view sql) const {
    sqlite3_stmt* s = nullptr;
    const char* rest = nullptr;
    if (sqlite3_prepare_v2(db_.getHandle(), sql.data(), static_cast<int>(sql.size()), &s, &rest) != SQLITE_OK)
        throw SQLite::Exception(db_.getHandle());
    assert(rest == sql.data() + sql.size());  // precondition: one statement; several are a script
    return PreparedStatement(s);
}

Answer Db::kept(const char* sql) {
    auto& kept = kept_[sql];
    if (kept.busy) return {db_.getHandle(), prepared(sql)};
    if (!kept.statement) kept.statement = prepared(sql);
    sqlite3_clear_bindings(kept.statement.get());
    return {db_.getHandle(), kept.statement.get(), kept.busy};
}

void bind_value(sqlite3_stmt* s, int n, std::int64_t value) {
    sqlite3_bind_int64(s, n, value);
}
// SQLite copies the bytes, so `text` may be gone at the next row. A null view is bound as an empty text, not as NULL.
void bind_value(sqlite3_stmt* s, int n, std::string_view text) {
    sqlite3_bind_text64(s, n, text.data() ? text.data() : "", text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
}
void bind_value(sqlite3_stmt* s, int n, const Bytes& value) {
    const auto& bytes = value.bytes;
    sqlite3_bind_blob64(s, n, bytes.data() ? bytes.data() : "", bytes.size(), SQLITE_TRANSIENT);
}
void bind_value(sqlite3_stmt* s, int n, std::nullopt_t) {
    sqlite3_bind_null(s, n);
}

void rethrow_as_storage_error(const SQLite::Exception& e, const std::filesystem::path& path, bool writing,
                              const LockPatience* patience) {
    const int code = e.getErrorCode() & 0xff;
    const auto file = path.string();
    const std::string nothing = writing ? " Nothing was written." : "";
    const auto disk = [](const std::string& what, const std::string& next) {
        return StorageError(what, next, Written::no, true);
    };
    // SQLite reports missing room as an error of the index to the log.
    std::error_code unknown;
    const auto room = std::filesystem::space(std::filesystem::absolute(path).parent_path(), unknown);
    const bool full = e.getExtendedErrorCode() == SQLITE_IOERR_SHMSIZE && !unknown && room.available < 65'536;
    switch (full ? SQLITE_FULL : code) {
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            if (patience && patience->was_ended())
                throw disk(fmt::format("the wait for the book {} was ended.{}", file, nothing),
                           "the same command again waits again");
            throw disk(fmt::format("the book {} is held by {}.{}", file,
                                   patience ? patience->holder_in_words() : "another program", nothing),
                       "wait until the other command has ended, then try again");
        case SQLITE_READONLY:
            throw StorageError(
                fmt::format("the book {} cannot be written: it or its folder is read-only.{}", file, nothing),
                "make the file and its folder writable, or record in a copy elsewhere");
        case SQLITE_CANTOPEN:
            throw disk(
                fmt::format("the book {} cannot be opened for this, or its folder cannot be written.{}", file, nothing),
                "check the path and the permissions of the file and its folder");
        case SQLITE_FULL:
            throw disk(fmt::format("the disk is full.{}", nothing), "free some space, then try again");
        case SQLITE_NOTADB:
            throw StorageError(fmt::format("{} is not a book.", file), "give the book with --book FILE");
        case SQLITE_CORRUPT:
            throw StorageError(fmt::format("the book {} is damaged ({}).{}", file, e.what(), nothing),
                               "stop recording in it, keep a copy, run: tarebook check");
        default:
            throw StorageError(fmt::format("the book {} failed: {} (SQLite code {}).{}", file, e.what(),
                                           e.getExtendedErrorCode(), nothing),
                               "check the disk, then run: tarebook check", Written::no,
                               code == SQLITE_IOERR || code == SQLITE_NOMEM);
    }
}

}  // namespace tarebook
