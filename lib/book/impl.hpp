// What stands behind a Book: the open file and what was looked up in it.
#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <unordered_map>

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
        latest_ = {};
        for (auto& kind : cache_) kind.clear();
        groups_.clear();
    }

 private:
    Db& db_;
    using Codes = ByCode<std::unique_ptr<Entry>>;               // apart, so that what is searched lies close together
    mutable std::array<Codes, 7> cache_;                        // by kind
    mutable std::array<const Codes::value_type*, 7> latest_{};  // the last answer: one event asks for it several times
    mutable ByCode<std::string> groups_;
};

struct LotHash {
    std::size_t operator()(const LotKey& lot) const {
        const CodeHash hash;
        return hash(lot.refrigerant) * 31 + hash(lot.owner) * 7 + static_cast<std::size_t>(lot.condition);
    }
};

struct Book::Impl {
    Impl(std::filesystem::path where, int flags) : path(std::move(where)), db(path, flags), reg(db) {}
    std::filesystem::path path;
    Db db;
    BookInfo info;
    bool writes = false;     ///< opened to record
    bool committed = false;  ///< and something was: a later failure does not undo it
    DbRegister reg;
    std::int64_t own_origin = 1;
    std::map<std::int64_t, BookId> origins;
    std::array<ByCode<std::int64_t>, account_kinds> account_ids;  // by kind of account
    std::unordered_map<LotKey, std::int64_t, LotHash> lot_ids;
    mutable std::shared_ptr<void> booked_names;  ///< what the last walk of each_booked handed out
    ByCode<std::int64_t> seen_digests;           // events that were loaded, by digest in hex: a void names one of them

    void read_info();
    [[nodiscard]] BookId book_of(std::int64_t origin) const { return origins.at(origin); }
    /// 0 where there is none and `make` is false.
    std::int64_t account_id(const Account& account, bool make);
    std::int64_t lot_id(const LotKey& lot);
    void forget() {
        for (auto& kind : account_ids) kind.clear();
        lot_ids.clear();
        reg.forget();
    }
    StoredEvent load(std::int64_t id);
    /// Those whose row ids the statement gives, in its order; resets it.
    std::vector<StoredEvent> load_all(SQLite::Statement& ids);
};

/// posting.circuit: 1 where the account is a circuit, so that the postings of a circuit are found by an index that
/// holds no others.
inline std::optional<std::int64_t> circuit_mark(const Posting& posting) {
    return posting.account.kind == AccountKind::circuit ? std::optional<std::int64_t>(1) : std::nullopt;
}

inline std::int64_t seconds_of(Instant at) {
    return at.time_since_epoch().count();
}

/// Runs `f`; what SQLite throws becomes a StorageError. It says that nothing was written where somebody meant to write
/// and that is so.
template <class F>
auto guarded(const Book::Impl& book, F&& f) {
    try {
        return f();
    } catch (const SQLite::Exception& e) {
        rethrow_as_storage_error(e, book.path, book.writes && !book.committed);
    }
}

/// Ends the transaction; `seq` is its last event. A COMMIT that fails may have been done all the same: then the book is
/// asked, and the StorageError says which.
void commit_transaction(Book::Impl& book, std::int64_t seq);

}  // namespace tarebook
