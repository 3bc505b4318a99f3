#include "table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/units/word_list.hpp"

namespace tarebook::analysis {

AnalystsDb::AnalystsDb(const std::filesystem::path& path, int flags) : db(path, flags) {
    // Of the book's file no view is believed; this one is made of views, and its program has no function of its own.
    sqlite3_db_config(db.raw().getHandle(), SQLITE_DBCONFIG_ENABLE_VIEW, 1, nullptr);
}

namespace {

std::string listed_columns(const std::vector<std::string_view>& columns, std::string_view between,
                           std::string_view after = {}) {
    std::string out;
    for (const auto c : columns) out.append(out.empty() ? "" : between).append(c).append(after);
    return out;
}

PreparedStatement prepared_statement(Db& db, const std::string& sql) {
    sqlite3_stmt* s = nullptr;
    auto* const handle = db.raw().getHandle();
    if (sqlite3_prepare_v2(handle, sql.data(), static_cast<int>(sql.size()), &s, nullptr) != SQLITE_OK)
        throw SQLite::Exception(handle);
    return PreparedStatement(s);
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
    select_ = prepared_statement(file.db, fmt::format("SELECT {} FROM {} WHERE {}", all, name, of_unit));
    remove_ = prepared_statement(file.db, fmt::format("DELETE FROM {} WHERE {}", name, where(primary)));
    replace_ = prepared_statement(file.db, fmt::format("INSERT OR REPLACE INTO {}({}) VALUES ({})", name, all, marks));
}

void Table::bind(sqlite3_stmt* s, int n, const Kept& value) {
    switch (value.type) {
        case SQLITE_INTEGER:
            sqlite3_bind_int64(s, n, value.number);
            break;
        case SQLITE_FLOAT:
            sqlite3_bind_double(s, n, value.real);
            break;
        case SQLITE_TEXT:
            bind_value(s, n, std::string_view(value.bytes));
            break;
        case SQLITE_BLOB:
            bind_value(s, n, Bytes{value.bytes});
            break;
        default:
            bind_value(s, n, std::nullopt);
    }
}

void Table::begin_with(std::vector<SqlValue> key) {
    key_.clear();
    before_.clear();
    rows_.clear();
    for (const auto& value : key) key_.emplace_back(value);
    auto* const s = select_.get();
    for (std::size_t n = 0; n < key_.size(); ++n) bind(s, static_cast<int>(n + 1), key_[n]);
    int code = SQLITE_ROW;
    while ((code = sqlite3_step(s)) == SQLITE_ROW) {
        Row row;
        for (int c = 0; c < static_cast<int>(width_); ++c) {
            SqlValue v;
            v.type = sqlite3_column_type(s, c);
            if (v.type == SQLITE_INTEGER) v.number = sqlite3_column_int64(s, c);
            if (v.type == SQLITE_FLOAT) v.real = sqlite3_column_double(s, c);
            if (v.type == SQLITE_TEXT || v.type == SQLITE_BLOB) {
                const auto* bytes = static_cast<const char*>(sqlite3_column_blob(s, c));
                v.bytes = {bytes, static_cast<std::size_t>(sqlite3_column_bytes(s, c))};
            }
            row.emplace_back(v);
        }
        before_.push_back(std::move(row));
    }
    sqlite3_reset(s);
    if (code != SQLITE_DONE) throw SQLite::Exception(file_.db.raw().getHandle(), code);
}

bool Table::is_same_row(const Row& a, const Row& b) const {
    return std::equal(a.begin(), a.begin() + static_cast<std::ptrdiff_t>(primary_), b.begin());
}

void Table::run(const PreparedStatement& statement, const Row& row, std::size_t columns) {
    for (std::size_t n = 0; n < columns; ++n) bind(statement.get(), static_cast<int>(n + 1), row[n]);
    const int code = sqlite3_step(statement.get());
    sqlite3_reset(statement.get());
    if (code != SQLITE_DONE) throw SQLite::Exception(file_.db.raw().getHandle(), code);
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
            run(remove_, row, primary_);
    for (const auto& row : come) run(replace_, row, width_);
}

}  // namespace tarebook::analysis
