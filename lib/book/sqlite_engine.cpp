// The engine of the embedded file: SQLite, in this process.
#include "sqlite_engine.hpp"

#include <SQLiteCpp/Backup.h>
#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <cassert>

namespace tarebook {
namespace {

DbFault fault_of_code(int extended) {
    if (extended == SQLITE_IOERR_SHMSIZE) return DbFault::no_index;
    if (extended == SQLITE_IOERR_SHORT_READ) return DbFault::short_file;
    switch (extended & 0xff) {
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return DbFault::held;
        case SQLITE_READONLY:
            return DbFault::read_only;
        case SQLITE_CANTOPEN:
            return DbFault::cannot_open;
        case SQLITE_FULL:
            return DbFault::full;
        case SQLITE_NOTADB:
            return DbFault::not_a_database;
        case SQLITE_CORRUPT:
            return DbFault::damaged;
        case SQLITE_CONSTRAINT:
            return DbFault::constraint;
        case SQLITE_IOERR:
            return DbFault::disk;
        case SQLITE_NOMEM:
            return DbFault::no_memory;
        case SQLITE_INTERRUPT:
            return DbFault::interrupted;
        case SQLITE_PERM:
            return DbFault::no_permission;
        case SQLITE_ERROR:
            return DbFault::statement;
        default:
            return DbFault::other;
    }
}

DbError error_of(const SQLite::Exception& e) {
    const int extended = e.getExtendedErrorCode();
    // An error without a connection has the plain code alone.
    return {fault_of_code(extended > 0 ? extended : e.getErrorCode()), e.what(),
            fmt::format("SQLite code {}", extended)};
}
[[noreturn]] void fail_with(sqlite3* db) {
    throw error_of(SQLite::Exception(db));
}
[[noreturn]] void fail_with(sqlite3* db, int code) {
    throw error_of(SQLite::Exception(db, code));
}
// Calls of SQLiteCpp, with the seam's own errors.
template <class F>
auto told(F&& f) {
    try {
        return f();
    } catch (const SQLite::Exception& e) {
        throw error_of(e);
    }
}

struct FinalizeStatement {
    void operator()(sqlite3_stmt* s) const { sqlite3_finalize(s); }
};
using OwnHandle = std::unique_ptr<sqlite3_stmt, FinalizeStatement>;

OwnHandle prepared(sqlite3* db, std::string_view sql) {
    sqlite3_stmt* s = nullptr;
    const char* rest = nullptr;
    if (sqlite3_prepare_v2(db, sql.data(), static_cast<int>(sql.size()), &s, &rest) != SQLITE_OK) fail_with(db);
    assert(rest == sql.data() + sql.size());  // precondition: one statement; several are a script
    return OwnHandle(s);
}

class SqliteStatement final : public PreparedStatement {
 public:
    SqliteStatement(sqlite3* db, OwnHandle statement) : db_(db), own_(std::move(statement)), statement_(own_.get()) {}

    void bind(int n, std::int64_t value) override { sqlite3_bind_int64(statement_, n, value); }
    void bind(int n, double value) override { sqlite3_bind_double(statement_, n, value); }
    // SQLite copies the bytes, so `text` may be gone at the next row. A null view is bound as an empty text, not as
    // NULL.
    void bind_text(int n, std::string_view text) override {
        sqlite3_bind_text64(statement_, n, text.data() ? text.data() : "", text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
    }
    void bind_bytes(int n, std::string_view bytes) override {
        sqlite3_bind_blob64(statement_, n, bytes.data() ? bytes.data() : "", bytes.size(), SQLITE_TRANSIENT);
    }
    void bind_nothing(int n) override { sqlite3_bind_null(statement_, n); }
    bool step() override {
        if (ended_) return false;  // SQLite would begin anew
        const int code = sqlite3_step(statement_);
        if (code != SQLITE_ROW && code != SQLITE_DONE) fail_with(db_, code);
        ended_ = code == SQLITE_DONE;
        return !ended_;
    }
    void reset() noexcept override {
        ended_ = false;
        sqlite3_reset(statement_);
        sqlite3_clear_bindings(statement_);
    }
    [[nodiscard]] int changes() const override { return sqlite3_changes(db_); }

    [[nodiscard]] ColumnType type(int n) const override {
        switch (sqlite3_column_type(statement_, n)) {
            case SQLITE_INTEGER:
                return ColumnType::integer;
            case SQLITE_FLOAT:
                return ColumnType::real;
            case SQLITE_TEXT:
                return ColumnType::text;
            case SQLITE_BLOB:
                return ColumnType::bytes;
            default:
                return ColumnType::nothing;
        }
    }
    [[nodiscard]] std::int64_t integer(int n) const override { return sqlite3_column_int64(statement_, n); }
    [[nodiscard]] double real(int n) const override { return sqlite3_column_double(statement_, n); }
    [[nodiscard]] std::string_view bytes(int n) const override {
        const void* p = sqlite3_column_blob(statement_, n);
        return {static_cast<const char*>(p), static_cast<std::size_t>(sqlite3_column_bytes(statement_, n))};
    }

 private:
    sqlite3* db_;
    OwnHandle own_;
    sqlite3_stmt* statement_;
    bool ended_ = false;
};

// Several rows a statement: SQLite finds its place in the table and in each index once for all of them.
class SqliteRows final : public RowWriter {
 public:
    SqliteRows(sqlite3* db, std::string_view into, int columns)
        : db_(db), into_(into), columns_(static_cast<std::size_t>(columns)) {}
    [[nodiscard]] std::size_t rows_at_once() const override { return many_rows; }
    void write(std::span<const WaitingValue> values, const char* buffer) override {
        if (values.size() == many_rows * columns_) {
            if (!many_) many_ = prepared_for(many_rows);
            run(many_.get(), values, buffer);
            return;
        }
        if (!values.empty() && !one_) one_ = prepared_for(1);
        for (; !values.empty(); values = values.subspan(columns_)) run(one_.get(), values.first(columns_), buffer);
    }

 private:
    static constexpr std::size_t many_rows = 32;

    [[nodiscard]] OwnHandle prepared_for(std::size_t rows) const {
        // OR FAIL: SQLite keeps no journal of the statement; the rollback of the transaction undoes what it leaves.
        std::string sql = "INSERT OR FAIL INTO " + into_ + " VALUES ";
        for (std::size_t r = 0; r < rows; ++r) {
            sql += r == 0 ? "(?" : ", (?";
            for (std::size_t c = 1; c < columns_; ++c) sql += ", ?";
            sql += ')';
        }
        return prepared(db_, sql);
    }
    void run(sqlite3_stmt* statement, std::span<const WaitingValue> values, const char* buffer) {
        int n = 0;
        for (const auto& v : values) {
            ++n;
            switch (v.type) {
                case ColumnType::integer:
                    sqlite3_bind_int64(statement, n, v.number);
                    break;
                case ColumnType::real:
                    sqlite3_bind_double(statement, n, v.real);
                    break;
                case ColumnType::text:
                    sqlite3_bind_text64(statement, n, buffer + v.number, v.size, SQLITE_STATIC, SQLITE_UTF8);
                    break;
                case ColumnType::bytes:
                    sqlite3_bind_blob64(statement, n, buffer + v.number, v.size, SQLITE_STATIC);
                    break;
                case ColumnType::nothing:
                    sqlite3_bind_null(statement, n);
            }
        }
        const int code = sqlite3_step(statement);
        sqlite3_reset(statement);
        if (code != SQLITE_DONE) fail_with(db_, code);
    }

    sqlite3* db_;
    std::string into_;
    std::size_t columns_;
    OwnHandle many_, one_;
};

int flags_of(FileMode mode) {
    switch (mode) {
        case FileMode::read_alone:
            return SQLite::OPEN_READONLY | SQLite::OPEN_URI;
        case FileMode::write:
            return SQLite::OPEN_READWRITE;
        default:
            return SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE;
    }
}

class SqliteEngine final : public Engine {
 public:
    // One thread uses a connection: SQLite need not lock its own structures.
    SqliteEngine(const std::filesystem::path& path, FileMode mode) try
        : Engine(path), db_(path.string(), flags_of(mode) | SQLITE_OPEN_NOMUTEX) {
        wait_for_others(true);
        // A file may come from elsewhere: SQL in it may call only functions that are safe for every program, and may
        // not rewrite the schema.
        sqlite3_db_config(handle(), SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
        sqlite3_db_config(handle(), SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
        sqlite3_db_config(handle(), SQLITE_DBCONFIG_ENABLE_VIEW, 0, nullptr);
    } catch (const SQLite::Exception& e) {
        throw error_of(e);
    }

    std::unique_ptr<PreparedStatement> prepare(std::string_view sql) override {
        return std::make_unique<SqliteStatement>(handle(), prepared(handle(), sql));
    }
    std::unique_ptr<PreparedStatement> prepare_long(std::string_view sql) override { return prepare(sql); }
    std::unique_ptr<RowWriter> writer(std::string_view into, int columns) override {
        return std::make_unique<SqliteRows>(handle(), into, columns);
    }
    void script(const std::string& sql) override {
        told([&] { db_.exec(sql); });
    }
    void begin() override { script("BEGIN"); }
    void begin_recording(const Hold&) override { script("BEGIN IMMEDIATE"); }
    void commit() override { script("COMMIT"); }
    void roll_back() override { script("ROLLBACK"); }
    [[nodiscard]] bool in_transaction() const override { return sqlite3_get_autocommit(db_.getHandle()) == 0; }
    void wait_for_others(bool wait) override {
        int (*again)(void*, int) = [](void* waiting, int tries) {
            return static_cast<LockPatience*>(waiting)->again(tries) ? 1 : 0;
        };
        sqlite3_busy_handler(handle(), wait ? again : nullptr, &patience);
    }
    std::int64_t data_version() override {
        return told([&] { return db_.execAndGet("PRAGMA data_version").getInt64(); });
    }
    std::int64_t recorded_mark() override { return data_version(); }
    // A temporary database rather than ":memory:", so that SQLite can put a part of a large copy into a temporary file.
    std::unique_ptr<Engine> copy_in_memory() override {
        auto out = std::make_unique<SqliteEngine>("", FileMode::make);
        copy_pages(out->db_);
        return out;
    }
    [[nodiscard]] bool on_server() const override { return false; }
    void give_cache(int kibibytes) override { script(fmt::format("PRAGMA cache_size = -{}", kibibytes)); }
    void connect_again() override {}  // a file is not lost
    void copy_pages(SQLite::Database& to) {
        told([&] { SQLite::Backup(to, db_).executeStep(); });
    }
    [[nodiscard]] sqlite3* handle() { return db_.getHandle(); }

 private:
    SQLite::Database db_;
};

SqliteEngine& sqlite_of(Db& db) {
    return static_cast<SqliteEngine&>(db.engine());
}

}  // namespace

Db::Db(const std::filesystem::path& path, FileMode mode) : Db(std::make_unique<SqliteEngine>(path, mode)) {}

void leave_log_on_close(Db& db, bool leave) {
    sqlite3_db_config(sqlite_of(db).handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, leave ? 1 : 0, nullptr);
}

void allow_views(Db& db) {
    sqlite3_db_config(sqlite_of(db).handle(), SQLITE_DBCONFIG_ENABLE_VIEW, 1, nullptr);
}

void copy_whole(Db& from, const std::filesystem::path& to) {
    told([&] {
        SQLite::Database copy(to.string(), SQLite::OPEN_READWRITE);
        sqlite_of(from).copy_pages(copy);
    });
}

}  // namespace tarebook
