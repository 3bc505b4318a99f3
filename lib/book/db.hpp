// The seam to the database: questions, rows, transactions. All SQL of lib/book goes through these calls, except what
// only SQLite has (journals, copies of files, the SQL of a schema), which uses raw().
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <sqlite3.h>

#include <array>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "lock_patience.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook {

struct FinalizeStatement {
    void operator()(sqlite3_stmt* s) const { sqlite3_finalize(s); }
};
using PreparedStatement = std::unique_ptr<sqlite3_stmt, FinalizeStatement>;

/// A value that SQL takes as bytes, not as text.
struct Bytes {
    std::string_view bytes;
};
template <std::size_t N>
Bytes bytes_of(const std::array<std::uint8_t, N>& array) {
    return {{reinterpret_cast<const char*>(array.data()), N}};
}

/// Binds a value to the n-th question mark of a statement.
void bind_value(sqlite3_stmt* s, int n, std::int64_t value);
void bind_value(sqlite3_stmt* s, int n, std::string_view text);
void bind_value(sqlite3_stmt* s, int n, const Bytes& value);
void bind_value(sqlite3_stmt* s, int n, std::nullopt_t nothing);
template <std::size_t N>
void bind_value(sqlite3_stmt* s, int n, const std::array<std::uint8_t, N>& value) {
    bind_value(s, n, bytes_of(value));
}
template <class T>
void bind_value(sqlite3_stmt* s, int n, const std::optional<T>& value) {
    if (value)
        bind_value(s, n, *value);
    else
        bind_value(s, n, std::nullopt);
}

/// The rows that answer a question, read one after another. Throws SQLite::Exception.
class Answer {
 public:
    Answer(sqlite3* db, PreparedStatement own) : db_(db), statement_(own.get()), own_(std::move(own)) {}
    Answer(sqlite3* db, sqlite3_stmt* kept, bool& busy) : db_(db), statement_(kept), busy_(&busy) { busy = true; }
    Answer(Answer&& other) noexcept
        : db_(other.db_), statement_(other.statement_), own_(std::move(other.own_)), busy_(other.busy_) {
        other.statement_ = nullptr, other.busy_ = nullptr;
    }
    Answer& operator=(Answer&&) = delete;
    ~Answer() {
        if (busy_) sqlite3_reset(statement_), *busy_ = false;
    }

    bool next() {
        const int code = sqlite3_step(statement_);
        if (code != SQLITE_ROW && code != SQLITE_DONE) throw SQLite::Exception(db_, code);
        return code == SQLITE_ROW;
    }
    /// The columns of the row, from 0 on. Text and bytes are valid until the next call of next().
    [[nodiscard]] std::int64_t integer(int n) const { return sqlite3_column_int64(statement_, n); }
    [[nodiscard]] double real(int n) const { return sqlite3_column_double(statement_, n); }
    [[nodiscard]] bool is_null(int n) const { return type(n) == SQLITE_NULL; }
    [[nodiscard]] int type(int n) const { return sqlite3_column_type(statement_, n); }
    [[nodiscard]] std::string_view bytes(int n) const {
        const void* p = sqlite3_column_blob(statement_, n);
        return {static_cast<const char*>(p), static_cast<std::size_t>(sqlite3_column_bytes(statement_, n))};
    }
    [[nodiscard]] std::string text(int n) const { return std::string(bytes(n)); }
    /// A value of exactly N bytes. StorageError if it has another number of bytes.
    template <std::size_t N>
    [[nodiscard]] std::array<std::uint8_t, N> fixed(int n) const {
        const auto bytes = this->bytes(n);
        if (bytes.size() != N)
            throw StorageError("a column of the book does not have its length", "run: tarebook check");
        std::array<std::uint8_t, N> out{};
        std::copy(bytes.begin(), bytes.end(), reinterpret_cast<char*>(out.data()));
        return out;
    }
    [[nodiscard]] Digest digest(int n) const { return fixed<std::tuple_size_v<Digest>>(n); }

    template <class... T>
    Answer& with(const T&... values) {
        [[maybe_unused]] int n = 0;
        (bind_value(statement_, ++n, values), ...);
        return *this;
    }

 private:
    sqlite3* db_;
    sqlite3_stmt* statement_;
    PreparedStatement own_;
    bool* busy_ = nullptr;
};

class Db {
 public:
    Db(const std::filesystem::path& path, int flags);
    /// A copy of `from` in memory, which is never written to a file.
    static std::unique_ptr<Db> copy_in_memory(Db& from);
    Db(const Db&) = delete;
    Db& operator=(const Db&) = delete;

    /// Asks a question. The statement is kept for the next time under the address of `sql`. Precondition: `sql` is a
    /// literal, or lives as long as the connection. A question that is asked again while its answer is being read is
    /// prepared once more.
    template <class... T>
    Answer ask(const char* sql, const T&... values) {
        auto out = kept(sql);
        out.with(values...);
        return out;
    }
    /// Asks a question whose SQL is built for this one call.
    template <class... T>
    Answer ask_once(std::string_view sql, const T&... values) {
        Answer out(db_.getHandle(), prepared(sql));
        out.with(values...);
        return out;
    }
    /// Changes rows; returns how many.
    template <class... T>
    int run(const char* sql, const T&... values) {
        auto out = kept(sql);
        out.with(values...).next();
        return sqlite3_changes(db_.getHandle());
    }
    /// The first column of the first row; empty if there is no row, or NULL in it.
    template <class... T>
    std::optional<std::int64_t> integer(const char* sql, const T&... values) {
        auto out = ask(sql, values...);
        return out.next() && !out.is_null(0) ? std::optional(out.integer(0)) : std::nullopt;
    }
    template <class... T>
    std::optional<std::string> text(const char* sql, const T&... values) {
        auto out = ask(sql, values...);
        return out.next() && !out.is_null(0) ? std::optional(out.text(0)) : std::nullopt;
    }
    template <class... T>
    std::optional<Digest> digest(const char* sql, const T&... values) {
        auto out = ask(sql, values...);
        return out.next() ? std::optional(out.digest(0)) : std::nullopt;
    }
    /// The first column of all rows.
    template <class... T>
    std::vector<std::int64_t> integers(const char* sql, const T&... values) {
        std::vector<std::int64_t> out;
        for (auto rows = ask(sql, values...); rows.next();) out.push_back(rows.integer(0));
        return out;
    }
    /// Whether there is a row.
    template <class... T>
    bool any(const char* sql, const T&... values) {
        return ask(sql, values...).next();
    }
    /// Runs statements without values, one after another: a migration, a setting.
    void script(const std::string& sql) { db_.exec(sql); }

    void begin() { script("BEGIN"); }
    /// Takes the write lock, and waits for it.
    void begin_recording() { script("BEGIN IMMEDIATE"); }
    void commit() { script("COMMIT"); }
    void roll_back() { script("ROLLBACK"); }
    [[nodiscard]] bool in_transaction() const;

    LockPatience& patience() { return patience_; }
    /// Whether to wait for a lock that another program has; true at first.
    void wait_for_others(bool wait);
    /// A number that changes when another program has recorded something.
    std::int64_t data_version();

    SQLite::Database& raw() { return db_; }

 private:
    struct Kept {
        PreparedStatement statement;
        bool busy = false;
    };
    [[nodiscard]] PreparedStatement prepared(std::string_view sql) const;
    Answer kept(const char* sql);

    SQLite::Database db_;
    LockPatience patience_;
    std::unordered_map<const char*, Kept> kept_;
};

/// Turns an error of SQLite into a StorageError that a person can read. `patience`: of the connection that failed.
[[noreturn]] void rethrow_as_storage_error(const SQLite::Exception& e, const std::filesystem::path& path, bool writing,
                                           const LockPatience* patience = nullptr);

}  // namespace tarebook
