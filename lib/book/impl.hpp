// What stands behind a Book: the open file and what was looked up in it.
#pragma once

#include <map>
#include <optional>

#include "db.hpp"
#include "tarebook/book.hpp"

namespace tarebook {

/// The register as the book's projection has it; entries are read when first asked for and kept.
class DbRegister : public Register {
 public:
    explicit DbRegister(Db& db) : db_(db) {}
    const Entry* find(EntryKind kind, std::string_view code) const override;
    std::string group_of(std::string_view owner) const override;

    void apply(const RegisterChange& change, const OrderKey& order, std::int64_t origin);
    void take_out(const RegisterChange& change, const OrderKey& order, std::int64_t origin);
    void forget() {
        cache_.clear();
        groups_.clear();
    }

 private:
    Db& db_;
    mutable std::map<std::pair<EntryKind, std::string>, std::optional<Entry>> cache_;
    mutable std::map<std::string, std::string, std::less<>> groups_;
};

struct Book::Impl {
    Impl(std::filesystem::path where, int flags) : path(std::move(where)), db(path, flags), reg(db) {}
    std::filesystem::path path;
    Db db;
    BookInfo info;
    DbRegister reg;
    std::int64_t own_origin = 1;
    std::map<std::int64_t, BookId> origins;
    std::map<Account, std::int64_t> account_ids;
    std::map<LotKey, std::int64_t> lot_ids;

    void read_info();
    [[nodiscard]] BookId book_of(std::int64_t origin) const { return origins.at(origin); }
    /// 0 where there is none and `make` is false.
    std::int64_t account_id(const Account& account, bool make);
    std::int64_t lot_id(const LotKey& lot);
    void forget() {
        account_ids.clear();
        lot_ids.clear();
        reg.forget();
    }
    StoredEvent load(std::int64_t id);
};

inline std::int64_t seconds_of(Instant at) {
    return at.time_since_epoch().count();
}

/// Runs `f`; what SQLite throws becomes a StorageError.
template <class F>
auto guarded(const Book::Impl& book, bool writing, F&& f) {
    try {
        return f();
    } catch (const SQLite::Exception& e) {
        rethrow_as_storage_error(e, book.path, writing);
    }
}

}  // namespace tarebook
