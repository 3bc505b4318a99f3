// A table of the analysts' file. While the file is made, rows go in one after another; in an update those of one unit
// (an event, an appliance) are held against those that are there, and what differs is written.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/db.hpp"
#include "book/insert_many.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook::analysis {

/// The open file.
struct AnalystsDb {
    AnalystsDb(const std::filesystem::path& path, FileMode mode);
    Db db;
    bool fresh = true;  ///< nothing is in it yet
    std::int64_t changed_rows = 0;
};

inline SqlValue value_of(std::int64_t v) {
    return {ColumnType::integer, v, 0, {}};
}
inline SqlValue value_of(int v) {
    return value_of(static_cast<std::int64_t>(v));
}
inline SqlValue value_of(bool v) {
    return value_of(std::int64_t{v ? 1 : 0});
}
inline SqlValue value_of(double v) {
    return {ColumnType::real, 0, v, {}};
}
/// A text, or nothing for an empty one.
inline SqlValue value_of(std::string_view v) {
    if (v.empty()) return {};
    return {ColumnType::text, 0, 0, v};
}
inline SqlValue value_of(const std::string& v) {
    return value_of(std::string_view(v));
}
inline SqlValue value_of(const char* v) {
    return value_of(std::string_view(v));
}
inline SqlValue value_of(Mass v) {
    return value_of(v.count());
}
inline SqlValue value_of(const SqlValue& v) {
    return v;
}
inline SqlValue value_of(const Bytes& v) {
    return {ColumnType::bytes, 0, 0, v.bytes};
}
template <class T>
SqlValue value_of(const std::optional<T>& v) {
    return v ? value_of(*v) : SqlValue{};
}

/// What a unit is: the rows of one key, or those from the last column of the key on.
enum class Unit { of_key, from_key };

class Table {
 public:
    /// The key of a unit are the first `keys` of `columns`, that of a row are the first `primary`; a row has all of
    /// them.
    Table(AnalystsDb& file, std::string_view name, const std::vector<std::string_view>& columns, std::size_t keys,
          std::size_t primary, Unit unit = Unit::of_key);
    /// Begins the rows of one key.
    template <class... Key>
    void begin(const Key&... key) {
        if (!file_.fresh) begin_with({value_of(key)...});
    }
    template <class... T>
    void row(const T&... values) {
        if (file_.fresh)
            many_.row(value_of(values)...), ++file_.changed_rows, ++more_;
        else
            rows_.push_back({Kept(value_of(values))...});
    }
    /// Writes what differs.
    void end();
    /// Precondition of reading the table.
    void finish() { many_.flush(); }
    /// How many rows more the table has than before; less than zero where it has fewer.
    [[nodiscard]] std::int64_t more() const { return more_; }

 private:
    struct Kept {
        explicit Kept(const SqlValue& v) : type(v.type), number(v.number), real(v.real), bytes(v.bytes) {}
        ColumnType type;
        std::int64_t number;
        double real;
        std::string bytes;
        friend auto operator<=>(const Kept&, const Kept&) = default;
    };
    using Row = std::vector<Kept>;
    [[nodiscard]] bool is_same_row(const Row& a, const Row& b) const;
    void run(PreparedStatement& statement, const Row& row, std::size_t columns);
    void begin_with(std::vector<SqlValue> key);
    static void bind(PreparedStatement& s, int n, const Kept& value);

    AnalystsDb& file_;
    std::size_t width_, primary_;
    InsertMany many_;
    std::unique_ptr<PreparedStatement> select_, remove_, replace_;
    Row key_;
    std::vector<Row> before_, rows_;
    std::int64_t more_ = 0;
};

}  // namespace tarebook::analysis
