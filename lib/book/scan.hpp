// Long walks over a table, and long runs of rows into one: SQLite's own rows, without a C++ object per column. For
// short questions use Db::statement.
#pragma once

#include <sqlite3.h>

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "db.hpp"

namespace tarebook {

struct FinalizeStatement {
    void operator()(sqlite3_stmt* s) const { sqlite3_finalize(s); }
};

class Scan {
 public:
    Scan(Db& db, std::string_view sql) : db_(db.raw().getHandle()) {
        sqlite3_stmt* s = nullptr;
        if (sqlite3_prepare_v2(db_, sql.data(), static_cast<int>(sql.size()), &s, nullptr) != SQLITE_OK)
            throw SQLite::Exception(db_);
        statement_.reset(s);
    }
    Scan& with(int n, std::int64_t value) {
        sqlite3_bind_int64(statement_.get(), n, value);
        return *this;
    }
    /// From the beginning, for other values.
    Scan& again() {
        sqlite3_reset(statement_.get());
        return *this;
    }
    bool next() {
        const int code = sqlite3_step(statement_.get());
        if (code != SQLITE_ROW && code != SQLITE_DONE) throw SQLite::Exception(db_, code);
        return code == SQLITE_ROW;
    }
    [[nodiscard]] std::int64_t integer(int n) const { return sqlite3_column_int64(statement_.get(), n); }
    [[nodiscard]] bool is_null(int n) const { return type(n) == SQLITE_NULL; }
    [[nodiscard]] int type(int n) const { return sqlite3_column_type(statement_.get(), n); }
    /// Text or blob, until the next call of next().
    [[nodiscard]] std::string_view bytes(int n) const {
        const void* p = sqlite3_column_blob(statement_.get(), n);
        return {static_cast<const char*>(p), static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), n))};
    }

 private:
    sqlite3* db_;
    std::unique_ptr<sqlite3_stmt, FinalizeStatement> statement_;
};

/// One INSERT, many times. What is bound must live until the call ends.
class Insert {
 public:
    Insert(Db& db, std::string_view sql) : db_(db.raw().getHandle()) {
        sqlite3_stmt* s = nullptr;
        if (sqlite3_prepare_v2(db_, sql.data(), static_cast<int>(sql.size()), &s, nullptr) != SQLITE_OK)
            throw SQLite::Exception(db_);
        statement_.reset(s);
    }
    template <class... T>
    void row(const T&... values) {
        int n = 0;
        (bind(++n, values), ...);
        const int code = sqlite3_step(statement_.get());
        sqlite3_reset(statement_.get());
        if (code != SQLITE_DONE) throw SQLite::Exception(db_, code);
    }
    /// As blob, not as text.
    struct Bytes {
        std::string_view bytes;
    };

 private:
    void bind(int n, std::int64_t v) { sqlite3_bind_int64(statement_.get(), n, v); }
    void bind(int n, std::string_view v) {
        sqlite3_bind_text64(statement_.get(), n, v.data(), v.size(), SQLITE_STATIC, SQLITE_UTF8);
    }
    void bind(int n, const std::optional<std::string>& v) {
        if (v)
            bind(n, std::string_view(*v));
        else
            sqlite3_bind_null(statement_.get(), n);
    }
    void bind(int n, const std::optional<std::int64_t>& v) {
        if (v)
            bind(n, *v);
        else
            sqlite3_bind_null(statement_.get(), n);
    }
    void bind(int n, const Bytes& v) {
        sqlite3_bind_blob64(statement_.get(), n, v.bytes.data(), v.bytes.size(), SQLITE_STATIC);
    }
    sqlite3* db_;
    std::unique_ptr<sqlite3_stmt, FinalizeStatement> statement_;
};

/// As Insert, for a million rows: many at a time, so that SQLite finds its place in the table and in each index once
/// for them all, and goes on from there. A third of the work, where rows come in the order of their keys. Rows are in
/// the table once flush() has returned; a row that a constraint refuses fails the transaction.
class InsertMany {
 public:
    /// `into`: "event(rowid, origin)"; as many columns as each row has values.
    InsertMany(Db& db, std::string_view into, int columns);
    template <class... T>
    void row(const T&... values) {
        (keep(values), ...);
        if (values_.size() == rows_at_once * static_cast<std::size_t>(columns_)) write_batch();
    }
    void flush();

 private:
    static constexpr std::size_t rows_at_once = 32;
    struct Value {
        int type = SQLITE_NULL;
        std::int64_t number = 0;  // or where in bytes_
        std::size_t size = 0;
    };
    using Statement = std::unique_ptr<sqlite3_stmt, FinalizeStatement>;

    void keep(std::int64_t v) { values_.push_back({SQLITE_INTEGER, v, 0}); }
    void keep(std::string_view v) { keep(SQLITE_TEXT, v); }
    void keep(const std::optional<std::string>& v) { v ? keep(SQLITE_TEXT, *v) : values_.push_back({}); }
    void keep(const std::optional<std::int64_t>& v) { v ? keep(*v) : values_.push_back({}); }
    void keep(const Insert::Bytes& v) { keep(SQLITE_BLOB, v.bytes); }
    void keep(int type, std::string_view v) {
        values_.push_back({type, static_cast<std::int64_t>(bytes_.size()), v.size()});
        bytes_ += v;
    }
    [[nodiscard]] Statement prepared(std::size_t rows) const;
    void write(sqlite3_stmt* statement, std::size_t first, std::size_t count);
    void write_batch();

    sqlite3* db_;
    std::string into_;
    int columns_;
    Statement many_, one_;
    std::vector<Value> values_;
    std::string bytes_;
};

}  // namespace tarebook
