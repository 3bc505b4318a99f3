// Inserts many rows into a table. For few rows use Db::run.
#pragma once

#include <vector>

#include "db.hpp"

namespace tarebook {

/// A value of any kind of column; text and bytes are held by reference.
struct SqlValue {
    ColumnType type = ColumnType::nothing;
    std::int64_t number = 0;
    double real = 0;
    std::string_view bytes = {};
};

/// Inserts many rows at once, as the engine does it best: of a file's work a third if rows come in the order of their
/// keys. Rows are in the table once flush() has returned; a row that a constraint refuses fails the transaction.
class InsertMany {
 public:
    /// `into`: "event(id, origin)". Precondition: each row has `columns` values.
    InsertMany(Db& db, std::string_view into, int columns);
    template <class... T>
    void row(const T&... values) {
        (keep(values), ...);
        if (values_.size() == values_at_once_) flush();
    }
    /// The next value of a row that is given value by value.
    void value(const SqlValue& value) { row(value); }
    void flush();

 private:
    void keep(std::int64_t v) { values_.push_back({ColumnType::integer, v}); }
    void keep(std::string_view v) { keep(ColumnType::text, v); }
    void keep(const std::optional<std::string>& v) { v ? keep(ColumnType::text, *v) : values_.push_back({}); }
    void keep(const std::optional<std::int64_t>& v) { v ? keep(*v) : values_.push_back({}); }
    void keep(const SqlValue& v) {
        if (v.type == ColumnType::text || v.type == ColumnType::bytes)
            keep(v.type, v.bytes);
        else
            values_.push_back({v.type, v.number, 0, v.real});
    }
    void keep(const Bytes& v) { keep(ColumnType::bytes, v.bytes); }
    void keep(ColumnType type, std::string_view v) {
        values_.push_back({type, static_cast<std::int64_t>(bytes_.size()), v.size()});
        bytes_ += v;
    }

    std::unique_ptr<RowWriter> writer_;
    std::size_t values_at_once_;
    std::vector<WaitingValue> values_;
    std::string bytes_;
};

}  // namespace tarebook
