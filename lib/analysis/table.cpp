#include "table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "book/sqlite_engine.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::analysis {

AnalystsDb::AnalystsDb(const std::filesystem::path& path, FileMode mode) : db(path, mode) {
    // Of the book's file no view is believed; this one is made of views, and its program has no function of its own.
    allow_views(db);
}

namespace {

std::string listed_columns(const std::vector<std::string_view>& columns, std::string_view between,
                           std::string_view after = {}) {
    std::string out;
    for (const auto c : columns) out.append(out.empty() ? "" : between).append(c).append(after);
    return out;
}

}  // namespace

Table::Table(AnalystsDb& file, std::string_view name, const std::vector<std::string_view>& columns, std::size_t keys,
             std::size_t primary, Unit unit)
    : file_(file),
      width_(columns.size()),
      primary_(primary),
      many_(file.db, fmt::format("{}({})", name, listed_columns(columns, ", ")), static_cast<int>(columns.size())) {
    if (file.fresh) return;
    const auto where = [&](std::size_t n) {
        return listed_columns({columns.begin(), columns.begin() + static_cast<std::ptrdiff_t>(n)}, " AND ", " = ?");
    };
    std::string marks = "?";
    for (std::size_t n = 1; n < width_; ++n) marks += ", ?";
    const auto all = listed_columns(columns, ", ");
    auto of_unit = where(keys);
    if (unit == Unit::from_key) of_unit.insert(of_unit.rfind('='), ">");
    select_ = file.db.engine().prepare(fmt::format("SELECT {} FROM {} WHERE {}", all, name, of_unit));
    remove_ = file.db.engine().prepare(fmt::format("DELETE FROM {} WHERE {}", name, where(primary)));
    replace_ = file.db.engine().prepare(fmt::format("INSERT OR REPLACE INTO {}({}) VALUES ({})", name, all, marks));
}

void Table::bind(PreparedStatement& s, int n, const Kept& value) {
    switch (value.type) {
        case ColumnType::integer:
            s.bind(n, value.number);
            break;
        case ColumnType::real:
            s.bind(n, value.real);
            break;
        case ColumnType::text:
            s.bind_text(n, value.bytes);
            break;
        case ColumnType::bytes:
            s.bind_bytes(n, value.bytes);
            break;
        case ColumnType::nothing:
            s.bind_nothing(n);
    }
}

void Table::begin_with(std::vector<SqlValue> key) {
    key_.clear();
    before_.clear();
    rows_.clear();
    for (const auto& value : key) key_.emplace_back(value);
    auto& s = *select_;
    for (std::size_t n = 0; n < key_.size(); ++n) bind(s, static_cast<int>(n + 1), key_[n]);
    while (s.step()) {
        Row row;
        for (int c = 0; c < static_cast<int>(width_); ++c) {
            SqlValue v;
            v.type = s.type(c);
            if (v.type == ColumnType::integer) v.number = s.integer(c);
            if (v.type == ColumnType::real) v.real = s.real(c);
            if (v.type == ColumnType::text || v.type == ColumnType::bytes) v.bytes = s.bytes(c);
            row.emplace_back(v);
        }
        before_.push_back(std::move(row));
    }
    s.reset();
}

bool Table::is_same_row(const Row& a, const Row& b) const {
    return std::equal(a.begin(), a.begin() + static_cast<std::ptrdiff_t>(primary_), b.begin());
}

void Table::run(PreparedStatement& statement, const Row& row, std::size_t columns) {
    for (std::size_t n = 0; n < columns; ++n) bind(statement, static_cast<int>(n + 1), row[n]);
    statement.step();
    statement.reset();
    ++file_.changed_rows;
}

void Table::end() {
    if (file_.fresh) return;
    std::sort(before_.begin(), before_.end());
    std::sort(rows_.begin(), rows_.end());
    more_ += static_cast<std::int64_t>(rows_.size()) - static_cast<std::int64_t>(before_.size());
    std::vector<Row> gone, come;
    std::set_difference(before_.begin(), before_.end(), rows_.begin(), rows_.end(), std::back_inserter(gone));
    std::set_difference(rows_.begin(), rows_.end(), before_.begin(), before_.end(), std::back_inserter(come));
    for (const auto& row : gone)
        if (std::none_of(come.begin(), come.end(), [&](const Row& other) { return is_same_row(row, other); }))
            run(*remove_, row, primary_);
    for (const auto& row : come) run(*replace_, row, width_);
}

}  // namespace tarebook::analysis
