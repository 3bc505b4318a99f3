// Inserts many rows into a table. For few rows use Db::run.
#pragma once

#include <vector>

#include "db.hpp"

namespace tarebook {

/// A value of any kind of column; text and bytes are held by reference.
struct SqlValue {
    int type = SQLITE_NULL;
    std::int64_t number = 0;
    double real = 0;
    std::string_view bytes = {};
};

/// Inserts many rows a statement, so that SQLite finds its place in the table and in each index once for all of them. A
/// third of the work if rows come in the order of their keys. Rows are in the table once flush() has returned; a row
/// that a constraint refuses fails the transaction.
class InsertMany {
 public:
    /// `into`: "event(id, origin)". Precondition: each row has `columns` values.
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
        std::int64_t number = 0;  // or its position in bytes_
        std::size_t size = 0;
        double real = 0;
    };

    void keep(std::int64_t v) { values_.push_back({SQLITE_INTEGER, v}); }
    void keep(std::string_view v) { keep(SQLITE_TEXT, v); }
    void keep(const std::optional<std::string>& v) { v ? keep(SQLITE_TEXT, *v) : values_.push_back({}); }
    void keep(const std::optional<std::int64_t>& v) { v ? keep(*v) : values_.push_back({}); }
    void keep(const SqlValue& v) {
        if (v.type == SQLITE_TEXT || v.type == SQLITE_BLOB)
            keep(v.type, v.bytes);
        else
            values_.push_back({v.type, v.number, 0, v.real});
    }
    void keep(const Bytes& v) { keep(SQLITE_BLOB, v.bytes); }
    void keep(int type, std::string_view v) {
        values_.push_back({type, static_cast<std::int64_t>(bytes_.size()), v.size()});
        bytes_ += v;
    }
    [[nodiscard]] PreparedStatement prepared(std::size_t rows) const;
    void write(sqlite3_stmt* statement, std::size_t first, std::size_t count);
    void write_batch();

    sqlite3* db_;
    std::string into_;
    int columns_;
    PreparedStatement many_, one_;
    std::vector<Value> values_;
    std::string bytes_;
};

}  // namespace tarebook
