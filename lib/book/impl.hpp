// The implementation of a Book: the open file and what was looked up in it.
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

/// The register as the book's projection has it; an entry is read when it is first asked for, and kept.
class DbRegister : public Register {
 public:
    explicit DbRegister(Db& db) : db_(db) {}
    const Entry* find(EntryKind kind, std::string_view code) const override;
    std::string group_of(std::string_view owner) const override;

    void apply(const RegisterChange& change, const OrderKey& order, std::int64_t origin);
    void retract(const RegisterChange& change, const OrderKey& order, std::int64_t origin);
    /// A number that is another one after each change.
    [[nodiscard]] std::int64_t changes() const { return changes_; }
    void forget() {
        ++changes_;
        latest_ = {};
        for (auto& kind : cache_) kind.clear();
        groups_.clear();
    }

 private:
    Db& db_;
    std::int64_t changes_ = 0;
    // The entries by pointer, so that the searched keys are close together.
    using Codes = ByCode<std::unique_ptr<Entry>>;
    mutable std::array<Codes, entry_kind_count> cache_;  // by kind
    mutable std::array<const Codes::value_type*, entry_kind_count>
        latest_{};  // the last answer: one event asks for it several times
    mutable ByCode<std::string> groups_;
};

/// The same register for people who read it: technicians have their names in place of codes.
class ShownRegister : public Register {
 public:
    ShownRegister(Db& db, const DbRegister& reg) : db_(db), reg_(reg) {}
    const Entry* find(EntryKind kind, std::string_view code) const override;
    std::string group_of(std::string_view owner) const override { return reg_.group_of(owner); }

 private:
    Db& db_;
    const DbRegister& reg_;
    mutable std::int64_t seen_ = 0;
    mutable ByCode<Entry> technicians_;
};

struct LotHash {
    std::size_t operator()(const LotKey& lot) const {
        const CodeHash hash;
        return hash(lot.refrigerant) * 31 + hash(lot.owner) * 7 + static_cast<std::size_t>(lot.condition);
    }
};

/// The number of a branch in this file. It ranks books by their ids (schema/book/0006).
inline std::int64_t origin_id(const BookId& book, std::uint16_t branch = 0) {
    std::uint64_t prefix = 0;
    for (std::size_t i = 0; i < 6; ++i) prefix = prefix << 8U | book[i];
    return static_cast<std::int64_t>(prefix >> 1U << 16U | branch);
}

/// Branches from this number on hold events that were admitted and that no trusted key covers any more. They are apart
/// from the book's chain, so that they take nothing there: no number, own id, branch, nor the 47 bits of its id.
inline constexpr std::uint16_t first_apart = 0x8000;

/// One branch of one book's chain, as far as the file has it.
struct Origin {
    BookId book{};
    std::uint16_t branch = 0;
    std::int64_t effective_to = 0;            ///< of another book: the number of the last event that counts
    std::int64_t parent = 0, parent_seq = 0;  ///< the event of another branch that it follows
    [[nodiscard]] bool is_apart() const { return branch >= first_apart; }
};

/// Kinds that the index event_watched holds; a query uses the same words, so that SQLite takes that index.
inline constexpr std::string_view watched_kinds =
    "kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', "
    "'extension', 'inspect', 'leak', 'leak-test', 'merge', 'mothball', 'plan', 'remove-name', 'repair', 'resolve', "
    "'return', 'settle', 'start', 'trust', 'typist', 'withdraw')";

struct Book::Impl {
    struct Leaks {
        std::vector<std::int64_t> rows;                         ///< in the order of the list
        std::vector<std::string> codes;                         ///< of each
        std::map<std::int64_t, std::vector<std::size_t>> each;  ///< by origin, in the order of its chain
    };
    Impl(std::filesystem::path where, FileMode mode) : Impl(where, std::make_unique<Db>(where, mode)) {}
    Impl(std::filesystem::path where, std::unique_ptr<Db> opened)
        : path(std::move(where)), connection(std::move(opened)), db(*connection), reg(db), shown(db, reg) {}
    std::filesystem::path path;
    ReferenceData data;
    std::unique_ptr<Db> connection;
    Db& db;
    std::int64_t seen_version = 0;  ///< Db::data_version() when the book's own facts were last read
    BookInfo info;
    bool writes = false;  ///< opened to record
    std::optional<Typing> typing;
    LockedText passphrase;   ///< of the signing key, where it is locked
    bool committed = false;  ///< something was committed: a later failure does not undo it
    DbRegister reg;          ///< with codes of people: what is judged does not hang on names
    ShownRegister shown;     ///< with their names
    std::int64_t own_origin = 0;
    std::uint16_t own_branch = 0;  ///< the branch of the own chain on which this book goes on
    /// Set while all is judged anew: the last event of the own chain that a signed head covers. Events behind it do not
    /// count.
    std::optional<std::int64_t> own_effective_to;
    std::map<std::int64_t, Origin> origins;
    /// What is wrong with the table `origin`. Rows that cannot be right are left out, so that each walk over the
    /// origins ends.
    std::vector<std::string> origin_problems;
    std::map<std::int64_t, Head>
        branch_begins;  ///< the first event of each branch but the first, by origin; without those apart
    std::array<ByCode<std::int64_t>, account_kinds> account_ids;  // by kind of account
    std::unordered_map<LotKey, std::int64_t, LotHash> lot_ids;
    mutable std::shared_ptr<void> booked_names;  ///< the names that the last walk of each_booked gave to its caller
    ByCode<std::int64_t> seen_digests;           // events that were loaded, by digest in hex, for voids that name them
    std::optional<Leaks> leaks_in_words;         // kept from the first question until something is recorded

    /// The chain that this person appends to: that of the book, or on a server that of a desk.
    struct Writer {
        BookId book{};
        std::uint16_t branch = 0;
        std::int64_t origin = 0;
        const std::string& public_key;
    };
    [[nodiscard]] Writer writer() const {
        if (info.desk) return {info.desk->id, 0, origin_id(info.desk->id), info.desk->public_key};
        return {info.id, own_branch, own_origin, info.public_key};
    }
    Hold hold;                             ///< what the open recording has locked
    std::optional<std::string> moved_to;   ///< the book has another place from now on
    std::optional<std::string> moving_to;  ///< a move there was cut off, or is about to end
    bool puts_off = false;                 ///< a recording of this connection made events wait (to_judge.hpp)

    void read_info();
    void read_origins();
    /// Reads both again if another program has recorded since, and forgets all look-ups that may have changed.
    void look_afresh();
    [[nodiscard]] bool one_book() const { return origins.size() == 1; }
    /// Of one that another program has added since the origins were read, too: a Book that is not held still sees its
    /// events.
    const Origin& known_origin(std::int64_t id);
    [[nodiscard]] OrderKey key(std::int64_t at, std::int64_t origin, std::int64_t seq);
    /// "E12" for the own book, else the first twelve digits of the digest.
    [[nodiscard]] std::string name_of(std::int64_t origin, std::int64_t seq, const Digest& digest) const;
    [[nodiscard]] bool is_own(std::int64_t origin, std::int64_t seq) const {
        return origin == own_origin || is_own_before_branch(origin, seq);
    }
    /// An SQL condition on the columns origin and seq: the own chain, down to its first event.
    [[nodiscard]] std::string own_path_sql() const;
    [[nodiscard]] bool is_own_before_branch(std::int64_t origin, std::int64_t seq) const;
    [[nodiscard]] std::string name_of_row(std::int64_t id);
    /// At most two rows whose digest begins with these digits. Precondition: eight digits or more.
    [[nodiscard]] std::vector<std::int64_t> rows_with_digest(std::string_view digits);
    /// 0 if there is none.
    [[nodiscard]] std::int64_t row_with_digest(const Digest& digest);
    /// The row of the event that another event calls `name`: "E12" is on the caller's own chain. 0 if there is none.
    [[nodiscard]] std::int64_t row_called(std::string_view name, std::int64_t origin_of_caller);
    /// The row of an event, 0 where there is none or more than one; a row's own number is not looked up.
    [[nodiscard]] std::int64_t row_of(const EventHandle& handle);
    /// "L-3" of another book's chain in the words of this book; unchanged if this book does not know it.
    [[nodiscard]] std::string leak_called(std::string_view code, std::int64_t origin_of_caller);
    const Leaks& known_leaks();
    /// 0 if there is none and `make` is false.
    std::int64_t account_id(const Account& account, bool make);
    std::int64_t lot_id(const LotKey& lot);
    void forget() {
        for (auto& kind : account_ids) kind.clear();
        lot_ids.clear();
        reg.forget();
        leaks_in_words.reset();
    }
    /// Rows of books, or parts of books, that are not trusted.
    [[nodiscard]] std::unordered_set<std::int64_t> quarantined_rows();
    StoredEvent load(std::int64_t id);
    std::vector<StoredEvent> load_all(const std::vector<std::int64_t>& ids);
};

/// posting.circuit_day: the event's day if the account is a circuit, so that an index without other postings finds
/// those of a circuit.
inline std::optional<std::int64_t> circuit_day(const Posting& posting, const Event& event) {
    if (posting.account.kind != AccountKind::circuit) return std::nullopt;
    return event.when.date().time_since_epoch().count();
}

/// All-zero digest if `bytes` has the wrong length.
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
/// The total order of events, as the columns have it.
using Place = PlaceInFile;
inline Place place_of(const OrderKey& order) {
    return {seconds_of(order.at), origin_of(order), order.seq};
}

/// Numbers of events that come in together: from `first` on, before `end`. A number names an event in this file alone,
/// and does not show when it came.
struct IdBlock {
    std::int64_t first = 1, end = 1;
    [[nodiscard]] std::int64_t size() const { return end - first; }
};
/// Numbers from this one on are those of events that desks recorded on a server (schema/office/0002).
inline constexpr std::int64_t event_ids_of_a_desk = std::int64_t{1} << 40;
/// The first number that no event of the book itself has, nor one that came in by a bundle.
std::int64_t free_event_id(Db& db);

/// What a resolution is about: the finding's name without its event, and the row of that event; 0 if there is none.
struct ResolvedName {
    std::string finding;
    std::int64_t about = 0;
};
/// A finding whose name begins so drops a branch of a book, from the event whose digest follows.
inline constexpr std::string_view branch_prefix = "branch/";

/// Whether this book trusts another one: the last event of its own chain about it.
struct Trusted {
    BookId book{};
    std::string called, key;
    std::optional<std::string> from;
    bool withdrawn = false;
    std::optional<std::pair<std::int64_t, Digest>> last;  ///< withdrawn: the last event that still counts
    std::string why;
};
std::map<BookId, Trusted> trusted_books(Book::Impl& book);
/// The books that this book has withdrawn at least once, also those that it trusts again.
std::set<BookId> books_ever_withdrawn(Book::Impl& book);
/// Events of a kind among watched_kinds, in total order.
std::vector<std::int64_t> rows_of_kind(Book::Impl& book, std::string_view kind);
/// The branches on the way to an event of a book, each with the last number on it that belongs to the way. Empty if the
/// file does not have the event.
std::map<std::int64_t, std::int64_t> path_to(Book::Impl& book, const BookId& id,
                                             const std::pair<std::int64_t, Digest>& last);
/// Up to which event each origin counts, from the own chain's trust, signed heads and resolved branches alone.
std::map<std::int64_t, std::int64_t> effective_origins(Book::Impl& book);
/// As effective_origins, without regard to dropped branches.
std::map<std::int64_t, std::int64_t> admitted_origins(Book::Impl& book);

/// A desk's draft names events and leaks as the book does; its chain names them in words of its own.
void say_in_own_words(Book::Impl& book, Event& draft);
ResolvedName resolved_name(Book::Impl& book, std::string_view finding, std::int64_t origin_of_caller);
void add_resolved(Book::Impl& book, std::string_view finding, std::int64_t event_id, std::int64_t origin);

/// Throws a StorageError: the rows of the book contradict each other.
[[noreturn]] void throw_damaged(const Book::Impl& book, std::string_view what);

/// Throws it as a StorageError. It states that nothing was written if the command meant to write and did not, and after
/// a COMMIT that what was recorded stays.
[[noreturn]] void rethrow_of_book(const Book::Impl& book, const DbError& e);

/// Runs `f`; an SQLite exception becomes a StorageError, as rethrow_of_book says.
template <class F>
auto guarded(const Book::Impl& book, F&& f) {
    try {
        return f();
    } catch (const DbError& e) {
        rethrow_of_book(book, e);
    } catch (const std::out_of_range&) {
        throw_damaged(book, "a row names a book or branch that is not in it");
    } catch (const std::bad_optional_access&) {
        throw_damaged(book, "a row has a word that is none of its column's");
    } catch (const BrokenPromise& e) {
        // Mostly a damaged file; else a fault of the program, and then nothing is written either.
        throw_damaged(book, e.what());
    }
}

/// Ends the transaction; `head` is its last event. A COMMIT that fails may have been done nevertheless: then this asks
/// the book, and the StorageError states which.
void commit_transaction(Book::Impl& book, const Head& head);

}  // namespace tarebook
