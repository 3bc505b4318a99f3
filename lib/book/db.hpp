// A thin, statement-caching hold on SQLiteCpp. SQL stays inside lib/book.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <unordered_map>

#include "lock_patience.hpp"
#include "tarebook/book.hpp"

namespace tarebook {

class Db {
 public:
    Db(const std::filesystem::path& path, int flags);
    /// What `from` holds now, in memory: nothing of it reaches a file.
    static std::unique_ptr<Db> copy_in_memory(Db& from);
    Db(const Db&) = delete;
    Db& operator=(const Db&) = delete;
    /// A prepared statement, reset and ready to bind. `sql` must be a literal: its address is the key.
    SQLite::Statement& statement(const char* sql);
    void run(const char* sql);
    SQLite::Database& raw() { return db_; }
    LockPatience& patience() { return patience_; }
    /// Whether a lock that another program has is waited for; from the beginning it is.
    void wait_for_others(bool wait);
    /// Changes whenever another program has recorded something.
    std::int64_t data_version();
    [[nodiscard]] bool in_transaction() const;

 private:
    SQLite::Database db_;
    LockPatience patience_;
    std::unordered_map<const char*, SQLite::Statement> statements_;
};

/// Steps a statement that yields nothing.
void done(SQLite::Statement& statement);

void bind_all(SQLite::Statement& s, int n);
template <class T, class... Rest>
void bind_all(SQLite::Statement& s, int n, const T& value, const Rest&... rest) {
    if constexpr (std::is_same_v<T, std::string_view>)
        s.bind(n, std::string(value));
    else
        s.bind(n, value);
    bind_all(s, n + 1, rest...);
}
/// Binds the values in order.
template <class... T>
SQLite::Statement& bound(SQLite::Statement& s, const T&... values) {
    bind_all(s, 1, values...);
    return s;
}

template <std::size_t N>
void bind_bytes(SQLite::Statement& s, int n, const std::array<std::uint8_t, N>& bytes) {
    s.bind(n, bytes.data(), static_cast<int>(N));
}
template <std::size_t N>
std::array<std::uint8_t, N> bytes_of(const SQLite::Column& column) {
    std::array<std::uint8_t, N> out{};
    const auto n = static_cast<std::size_t>(column.getBytes());
    if (n != N) throw StorageError("a column of the book does not have its length", "run: tarebook check");
    const auto* p = static_cast<const std::uint8_t*>(column.getBlob());
    std::copy(p, p + N, out.begin());
    return out;
}

/// Turns what SQLite says into a StorageError that a person can read. `patience`: of the connection that failed.
[[noreturn]] void rethrow_as_storage_error(const SQLite::Exception& e, const std::filesystem::path& path, bool writing,
                                           const LockPatience* patience = nullptr);

}  // namespace tarebook
