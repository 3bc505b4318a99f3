#include "insert_many.hpp"

namespace tarebook {

InsertMany::InsertMany(Db& db, std::string_view into, int columns)
    : db_(db.raw().getHandle()), into_(into), columns_(columns) {}

PreparedStatement InsertMany::prepared(std::size_t rows) const {
    // OR FAIL: SQLite keeps no journal of the statement; the rollback of the transaction undoes what it leaves.
    std::string sql = "INSERT OR FAIL INTO " + into_ + " VALUES ";
    for (std::size_t r = 0; r < rows; ++r) {
        sql += r == 0 ? "(?" : ", (?";
        for (int c = 1; c < columns_; ++c) sql += ", ?";
        sql += ')';
    }
    sqlite3_stmt* s = nullptr;
    if (sqlite3_prepare_v2(db_, sql.data(), static_cast<int>(sql.size()), &s, nullptr) != SQLITE_OK)
        throw SQLite::Exception(db_);
    return PreparedStatement(s);
}

void InsertMany::write(sqlite3_stmt* statement, std::size_t first, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        const auto& v = values_[first + i];
        const auto n = static_cast<int>(i + 1);
        const bool in_bytes = v.type == SQLITE_TEXT || v.type == SQLITE_BLOB;
        const char* at = bytes_.data() + (in_bytes ? v.number : 0);
        if (v.type == SQLITE_INTEGER)
            sqlite3_bind_int64(statement, n, v.number);
        else if (v.type == SQLITE_FLOAT)
            sqlite3_bind_double(statement, n, v.real);
        else if (v.type == SQLITE_TEXT)
            sqlite3_bind_text64(statement, n, at, v.size, SQLITE_STATIC, SQLITE_UTF8);
        else if (v.type == SQLITE_BLOB)
            sqlite3_bind_blob64(statement, n, at, v.size, SQLITE_STATIC);
        else
            sqlite3_bind_null(statement, n);
    }
    const int code = sqlite3_step(statement);
    sqlite3_reset(statement);
    if (code != SQLITE_DONE) throw SQLite::Exception(db_, code);
}

void InsertMany::write_batch() {
    if (!many_) many_ = prepared(rows_at_once);
    write(many_.get(), 0, values_.size());
    values_.clear();
    bytes_.clear();
}

void InsertMany::flush() {
    const auto columns = static_cast<std::size_t>(columns_);
    if (!values_.empty() && !one_) one_ = prepared(1);
    for (std::size_t first = 0; first < values_.size(); first += columns) write(one_.get(), first, columns);
    values_.clear();
    bytes_.clear();
}

}  // namespace tarebook
