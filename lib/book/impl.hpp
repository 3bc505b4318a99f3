// What stands behind a Book: the open file and what was looked up in it.
#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <stdexcept>
#include <unordered_map>
#include <unordered_set>

#include "db.hpp"
#include "locked_text.hpp"
#include "tarebook/book/book.hpp"
#include "units/must_hold.hpp"

namespace tarebook {

/// The register as the book's projection has it; entries are read when first asked for and kept.
class DbRegister : public Register {
 public:
    explicit DbRegister(Db& db) : db_(db) {}
    const Entry* find(EntryKind kind, std::string_view code) const override;
    std::string group_of(std::string_view owner) const override;

    void apply(const RegisterChange& change, const OrderKey& order, std::int64_t origin);
    void retract(const RegisterChange& change, const OrderKey& order, std::int64_t origin);
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

/// The number of a book's branch in the file: it ranks books by their ids (schema/book/0006).
inline std::int64_t origin_id(const BookId& book, std::uint16_t branch = 0) {
    std::uint64_t prefix = 0;
    for (std::size_t i = 0; i < 6; ++i) prefix = prefix << 8U | book[i];
    return static_cast<std::int64_t>(prefix >> 1U << 16U | branch);
}

/// Branches from this number on hold what was admitted and no trusted key covers any more: apart from the book's chain,
/// so that nothing that it has there (a number, an own id, a branch, the 47 bits of its id) is taken.
inline constexpr std::uint16_t first_apart = 0x8000;

/// One branch of one book's chain, as far as it is in the file.
struct Origin {
    BookId book{};
    std::uint16_t branch = 0;
    std::int64_t effective_to = 0;            ///< of another book: the last event that counts
    std::int64_t parent = 0, parent_seq = 0;  ///< where it leaves another branch
    [[nodiscard]] bool is_apart() const { return branch >= first_apart; }
};

/// Kinds that the index event_watched holds; a query says the same words, so that SQLite takes it.
inline constexpr std::string_view watched_kinds =
    "kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', "
    "'extension', 'inspect', 'leak', 'leak-test', 'merge', 'mothball', 'plan', 'repair', 'resolve', 'return', "
    "'settle', 'start', 'trust', 'withdraw')";

struct Book::Impl {
    struct Leaks {
        std::vector<std::int64_t> rows;                         ///< in the order of the list
        std::vector<std::string> codes;                         ///< of each
        std::map<std::int64_t, std::vector<std::size_t>> each;  ///< by origin, in the order of its chain
    };
    Impl(std::filesystem::path where, int flags) : Impl(where, std::make_unique<Db>(where, flags)) {}
    Impl(std::filesystem::path where, std::unique_ptr<Db> opened)
        : path(std::move(where)), connection(std::move(opened)), db(*connection), reg(db) {}
    std::filesystem::path path;
    std::unique_ptr<Db> connection;
    Db& db;
    std::int64_t seen_version = 0;  ///< Db::data_version() when the book's own facts were read last
    BookInfo info;
    bool writes = false;     ///< opened to record
    LockedText passphrase;   ///< of the signing key, where it is locked
    bool committed = false;  ///< and something was: a later failure does not undo it
    DbRegister reg;
    std::int64_t own_origin = 0;
    std::uint16_t own_branch = 0;  ///< of the own chain, the one that goes on here
    /// While all is judged anew, the last event of the own chain that a signed head covers: what follows does not
    /// count.
    std::optional<std::int64_t> own_effective_to;
    std::map<std::int64_t, Origin> origins;
    /// What is wrong with the table of them; what cannot be right is left out, so that each walk over them ends.
    std::vector<std::string> origin_problems;
    std::map<std::int64_t, Head>
        branch_begins;  ///< the first event of each branch but the first, by origin; none apart
    std::array<ByCode<std::int64_t>, account_kinds> account_ids;  // by kind of account
    std::unordered_map<LotKey, std::int64_t, LotHash> lot_ids;
    mutable std::shared_ptr<void> booked_names;  ///< what the last walk of each_booked handed out
    ByCode<std::int64_t> seen_digests;           // events that were loaded, by digest in hex: a void names one of them
    std::optional<Leaks> leaks_in_words;         // once they were asked for, until something is recorded

    void read_info();
    void read_origins();
    /// Reads both again where another program has recorded since, and forgets what was looked up before.
    void look_afresh();
    [[nodiscard]] bool one_book() const { return origins.size() == 1; }
    [[nodiscard]] OrderKey key(std::int64_t at, std::int64_t origin, std::int64_t seq) const;
    /// "E12" of the own book, else the first twelve digits of the digest.
    [[nodiscard]] std::string name_of(std::int64_t origin, std::int64_t seq, const Digest& digest) const;
    [[nodiscard]] bool is_own(std::int64_t origin, std::int64_t seq) const {
        return origin == own_origin || is_own_before_branch(origin, seq);
    }
    /// A condition on the columns origin and seq: the own chain, down to its first event.
    [[nodiscard]] std::string own_path_sql() const;
    [[nodiscard]] bool is_own_before_branch(std::int64_t origin, std::int64_t seq) const;
    [[nodiscard]] std::string name_of_row(std::int64_t id);
    /// Those whose digest begins so, two at most; of eight digits or more.
    [[nodiscard]] std::vector<std::int64_t> rows_with_digest(std::string_view digits);
    /// 0 where there is none.
    [[nodiscard]] std::int64_t row_with_digest(const Digest& digest);
    /// The row of an event that another one calls so: "E12" is of the other one's own chain. 0 where there is none.
    [[nodiscard]] std::int64_t row_called(std::string_view name, std::int64_t origin_of_caller);
    /// "L-3" of another one's own chain in the words of this book; as it is where this book does not know it.
    [[nodiscard]] std::string leak_called(std::string_view code, std::int64_t origin_of_caller);
    const Leaks& known_leaks();
    /// 0 where there is none and `make` is false.
    std::int64_t account_id(const Account& account, bool make);
    std::int64_t lot_id(const LotKey& lot);
    void forget() {
        for (auto& kind : account_ids) kind.clear();
        lot_ids.clear();
        reg.forget();
        leaks_in_words.reset();
    }
    /// Of books, or parts of them, that are not trusted.
    [[nodiscard]] std::unordered_set<std::int64_t> quarantined_rows();
    StoredEvent load(std::int64_t id);
    std::vector<StoredEvent> load_all(const std::vector<std::int64_t>& ids);
};

/// posting.circuit_day: the event's day where the account is a circuit, so that the postings of a circuit are found by
/// an index that holds no others.
inline std::optional<std::int64_t> circuit_day(const Posting& posting, const Event& event) {
    if (posting.account.kind != AccountKind::circuit) return std::nullopt;
    return event.when.date().time_since_epoch().count();
}

/// Nothing but zeros where they are not as many as a digest has.
inline Digest digest_from(std::string_view bytes) {
    Digest out{};
    if (bytes.size() == out.size()) std::copy(bytes.begin(), bytes.end(), reinterpret_cast<char*>(out.data()));
    return out;
}
inline std::int64_t seconds_of(Instant at) {
    return at.time_since_epoch().count();
}
inline std::int64_t origin_of(const OrderKey& order) {
    return origin_id(order.book, order.branch);
}
/// The total order as the columns have it.
struct Place {
    std::int64_t at = 0, origin = 0, seq = 0;
    friend auto operator<=>(const Place&, const Place&) = default;
};
inline Place place_of(const OrderKey& order) {
    return {seconds_of(order.at), origin_of(order), order.seq};
}

/// Numbers of events that come in together: from `first` on, before `end`. A number names an event in this file alone,
/// and says nothing of when it came.
struct IdBlock {
    std::int64_t first = 1, end = 1;
    [[nodiscard]] std::int64_t size() const { return end - first; }
};
/// The first number that no event has.
std::int64_t free_event_id(Db& db);

/// What a resolving event settles: a finding without the event that it ends in, and the row of that event; 0 where
/// there is none.
struct ResolvedName {
    std::string finding;
    std::int64_t about = 0;
};
/// A finding's name that begins so drops a branch of a book, from the event whose digest follows.
inline constexpr std::string_view branch_prefix = "branch/";

/// What this book thinks of another one: the last word of its own chain about it.
struct Trusted {
    BookId book{};
    std::string called, key;
    std::optional<std::string> from;
    bool withdrawn = false;
    std::optional<std::pair<std::int64_t, Digest>> last;  ///< withdrawn: up to this event it still counts
    std::string why;
};
std::map<BookId, Trusted> trusted_books(Book::Impl& book);
/// The books that this book has withdrawn at least once. One that it trusts again is among them.
std::set<BookId> books_ever_withdrawn(Book::Impl& book);
/// Events of a kind among watched_kinds, in total order.
std::vector<std::int64_t> rows_of_kind(Book::Impl& book, std::string_view kind);
/// For an event of a book: each branch on the way to it, and the last number of that branch that belongs to the way.
/// Empty if the file does not have the event.
std::map<std::int64_t, std::int64_t> path_to(Book::Impl& book, const BookId& id,
                                             const std::pair<std::int64_t, Digest>& last);
/// Up to which event each origin counts, from the own chain's trust, signed heads and resolved branches alone.
std::map<std::int64_t, std::int64_t> effective_origins(Book::Impl& book);
/// The same, whatever was dropped since.
std::map<std::int64_t, std::int64_t> admitted_origins(Book::Impl& book);

ResolvedName resolved_name(Book::Impl& book, std::string_view finding, std::int64_t origin_of_caller);
void add_resolved(Book::Impl& book, std::string_view finding, std::int64_t event_id, std::int64_t origin);

/// StorageError: the rows of the book contradict each other.
[[noreturn]] void throw_damaged(const Book::Impl& book, std::string_view what);

/// Runs `f`; what SQLite throws becomes a StorageError. It says that nothing was written where somebody meant to write
/// and that is so.
template <class F>
auto guarded(const Book::Impl& book, F&& f) {
    try {
        return f();
    } catch (const SQLite::Exception& e) {
        rethrow_as_storage_error(e, book.path, book.writes && !book.committed, &book.db.patience());
    } catch (const std::out_of_range&) {
        throw_damaged(book, "a row names a book or branch that is not in it");
    } catch (const std::invalid_argument& e) {
        throw_damaged(book, e.what());  // the state of a cylinder
    } catch (const std::bad_optional_access&) {
        throw_damaged(book, "a row has a word that is none of its column's");
    } catch (const BrokenPromise& e) {
        throw_damaged(book, e.what());  // by the file, mostly; else by us, and then it is not written either
    }
}

/// Ends the transaction; `seq` is its last event. A COMMIT that fails may have been done all the same: then the book is
/// asked, and the StorageError says which.
void commit_transaction(Book::Impl& book, std::int64_t seq);

}  // namespace tarebook
