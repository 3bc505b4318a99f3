// The book: one file that holds events for ever and the balances they amount to. It appends whole transactions (I6),
// links each event to its predecessor (I4), and answers questions. It knows events and the fold; what may be recorded
// is decided above it, by `record`.
//
//     auto book = Book::open("shop.tarebook", Access::read);
//     for (const auto& step : book.steps("RC-031")) ...
//
// Every call may throw StorageError; reading never writes.
#pragma once

#include <algorithm>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/drafts.hpp"
#include "tarebook/ledger.hpp"

namespace tarebook {

enum class Access { read, write };

struct BookInfo {
    BookId id{};
    std::string company;
    DisplayUnits units = DisplayUnits::lb;
    std::string zone;
    std::string public_key;  ///< Ed25519, hex
    int checks_edition = 1;  ///< by which the exceptions of the whole book were found at least
};

struct Head {
    std::int64_t seq = 0;
    Digest digest{};
};

struct StoredEvent {
    std::int64_t id = 0;
    Event event;
    Digest digest{};
    std::optional<std::int64_t> voided_by;  ///< sequence of the counting void
};

/// The n-th leak that was ever recorded is L-n, also where that event was voided.
struct KnownLeak {
    std::string code;
    std::string appliance;
    StoredEvent event;
};

struct Settled {
    std::string finding;
    std::int64_t event_id = 0;
    std::int64_t seq = 0;
    Date on{};
};

/// The statement that settles a return: the first about it that counts and comes after it.
struct Statement {
    std::int64_t returned_id = 0, returned_seq = 0;
    std::int64_t event_id = 0, seq = 0;
    Date on{};
};

/// An event as it lies in the file, for as long as it is looked at.
struct StoredBody {
    std::int64_t id = 0;
    std::string_view digest;  ///< its 32 bytes
    std::string_view body;
    std::optional<std::int64_t> voided_by;
    [[nodiscard]] Digest whole_digest() const {
        Digest out{};
        std::copy_n(digest.data(), std::min(out.size(), digest.size()), reinterpret_cast<char*>(out.data()));
        return out;
    }
};

/// StorageError where the bytes are damaged.
StoredEvent read(const StoredBody& stored);

/// An event as it lies in the file, with what it did. Accounts and lots live until the next such walk.
struct BookedPosting {
    const Account* account = nullptr;
    const LotKey* lot = nullptr;
    Mass mass;
};
struct BookedEvent {
    StoredBody stored;
    std::optional<Digest> voided_by;  ///< digest of the counting void
    OrderKey order;
    Date day{};
    std::string_view kind;
    std::span<const BookedPosting> postings;  ///< none where it is voided
};

/// A cylinder just after one event.
struct Step {
    std::int64_t event_id = 0;
    OrderKey order;
    Mass moved;
    Mass gap;
    CylinderState after;
};

/// A cylinder of the register as it is now: what the register says last, and the state after its last event.
struct CylinderNow {
    std::string code;
    CylinderFacts facts;
    CylinderState state;
};

/// One event's movement between a circuit and the rest, per refrigerant.
struct Flow {
    std::string circuit;
    std::int64_t event_id = 0;
    std::string kind;
    std::optional<std::string> job;
    Date date{};
    std::string refrigerant;
    Mass mass;  ///< put into the circuit; negative where taken out
};

struct Balance {
    Account account;
    LotKey lot;
    Mass mass;
};

struct OpenFinding {
    std::string id;  ///< check/subject/E12
    std::int64_t event_id = 0;
    std::int64_t seq = 0;
    Finding finding;
};

/// An exception of the book, settled or not.
struct KnownException {
    std::int64_t event_id = 0;
    Digest event{};
    Date day{};
    Finding finding;
    std::optional<Digest> settled_by;
};

struct BookCheck {
    std::int64_t events = 0;
    std::vector<std::string> problems;
    std::vector<std::string> remarks;  ///< kinds this program does not know, and such
};

class Book {
 public:
    /// Makes the file (mode 0600), the key, and the first event. Refuses an existing file: StorageError.
    static Book create(const std::filesystem::path& path, const std::string& company, DisplayUnits units,
                       const std::string& zone, const Moment& now);
    static Book open(const std::filesystem::path& path, Access access);
    Book(Book&&) noexcept;
    Book& operator=(Book&&) noexcept;
    ~Book();

    /// From now on all questions are answered from the book as it is now, until the Book goes; a writer waits so long.
    void hold_still();

    [[nodiscard]] const BookInfo& info() const;
    [[nodiscard]] const std::filesystem::path& path() const;
    [[nodiscard]] Head head() const;
    [[nodiscard]] std::int64_t event_count() const;

    // The register.
    [[nodiscard]] const Register& entries() const;
    [[nodiscard]] std::vector<std::string> codes(EntryKind kind) const;
    /// All entries of a kind by code, in one walk; what `visit` gets lives no longer than the call.
    void each_entry(EntryKind kind, const std::function<void(const Entry&)>& visit) const;

    // Events.
    [[nodiscard]] std::optional<StoredEvent> event(std::int64_t id) const;
    /// `E12`, `12`, or the first eight or more digits of a digest.
    [[nodiscard]] std::optional<StoredEvent> event_named(std::string_view name) const;
    [[nodiscard]] std::vector<StoredEvent> events_of_job(std::string_view job) const;
    [[nodiscard]] std::optional<StoredEvent> event_with_own_id(std::string_view own_id) const;
    [[nodiscard]] bool has_own_ids() const;
    [[nodiscard]] std::vector<KnownLeak> leaks() const;  ///< by number
    /// What was settled by an event, of the findings whose name begins so; with the first event that did.
    [[nodiscard]] std::vector<Settled> settled(std::string_view prefix) const;
    [[nodiscard]] std::vector<Statement> statements() const;  ///< one a return, in the order of recording
    [[nodiscard]] std::optional<StoredEvent> statement_on(std::int64_t return_id) const;
    /// Returns that count and took gas of this owner along, on local days from..to inclusive, in total order.
    [[nodiscard]] std::vector<StoredEvent> returns_of(std::string_view owner, Date from, Date to) const;
    /// Those of one kind that count, from an instant on, in total order: inspect, leak, leak-test, plan, repair,
    /// return, settle, and those of a count.
    [[nodiscard]] std::vector<StoredEvent> watched_events(std::string_view kind, Instant since = Instant::min()) const;
    /// Those of any kind that count, in total order; looks through all events.
    [[nodiscard]] std::vector<StoredEvent> events_of_kind(std::string_view kind) const;
    void each_event(const std::function<void(const StoredEvent&)>& visit) const;  ///< in total order
    void each_body(const std::function<void(const StoredBody&)>& visit) const;    ///< the same, not read

    /// In total order, each with its postings.
    void each_booked(const std::function<void(const BookedEvent&)>& visit) const;

    // What they amount to.
    [[nodiscard]] std::vector<Step> steps(std::string_view cylinder) const;  ///< in total order
    /// The newest `most` of them; the others are not read.
    [[nodiscard]] std::vector<Step> last_steps(std::string_view cylinder, std::int64_t most) const;
    [[nodiscard]] std::int64_t step_count(std::string_view cylinder) const;
    [[nodiscard]] std::optional<Step> last_step(std::string_view cylinder) const;
    /// The newest `most` of those before a place in the order.
    [[nodiscard]] std::vector<Step> steps_before(std::string_view cylinder, const OrderKey& order,
                                                 std::int64_t most) const;
    [[nodiscard]] CylinderState state(std::string_view cylinder) const;
    /// All of them, by code, in one walk.
    void each_cylinder(const std::function<void(CylinderNow&&)>& visit) const;
    /// Flows of circuits whose code starts with `prefix`, on local days from..to inclusive.
    [[nodiscard]] std::vector<Flow> flows(std::string_view prefix, Date from, Date to) const;
    [[nodiscard]] std::vector<Posting> postings(std::int64_t event_id) const;
    [[nodiscard]] std::vector<Balance> balances() const;
    /// Exceptions that no event has resolved; all of them with `subject` empty.
    [[nodiscard]] std::vector<OpenFinding> open_findings(std::string_view subject = {}) const;
    /// Exceptions that no event has resolved, of all events that touched the cylinder, whatever they are about.
    [[nodiscard]] std::vector<OpenFinding> open_findings_on(std::string_view cylinder) const;
    [[nodiscard]] std::vector<Finding> findings(std::int64_t event_id) const;
    /// All exceptions of events on local days from..to inclusive, in total order.
    void each_exception(Date from, Date to, const std::function<void(KnownException&&)>& visit) const;

    /// Recomputes digests, chain, columns, fold, balances and zero sums from the bodies alone, and runs SQLite's own
    /// integrity check. Changes nothing.
    [[nodiscard]] BookCheck check(const Evaluator& evaluator) const;
    /// Makes all projections anew from the bodies, in one transaction.
    void rebuild(const Evaluator& evaluator);

    class Transaction;
    Transaction begin();

    struct Impl;  ///< defined inside lib/book only

 private:
    explicit Book(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

/// One command is one transaction (I6): judge the drafts on the state as it would be, then commit all or leave all.
class Book::Transaction {
 public:
    Transaction(Transaction&&) noexcept;
    Transaction& operator=(Transaction&&) = delete;
    ~Transaction();  ///< leaves the book as it was unless committed

    /// Gives the drafts their book and sequence, and evaluates them and whatever they touch downstream.
    /// The outcomes are those of the drafts, in their order.
    std::vector<Outcome> judge(std::vector<Event>& drafts, const Evaluator& evaluator);
    /// Writes bodies, chain, signed head and the findings as they now stand in `outcomes`; then commits.
    std::vector<StoredEvent> commit(std::vector<Event>& drafts, const std::vector<Outcome>& outcomes);

    /// Sees a draft's event and its outcome; what it takes on (`accepted`, `anyway`) goes into the body.
    using See = std::function<void(std::size_t position, Event& event, Outcome& outcome)>;
    /// As judge, for many drafts that lie after all that the book has of their cylinders: the states stay in memory
    /// and nothing needs to be looked at again. `which` are the drafts to take, in the order of the chain; the drafts
    /// must live until commit_many. False, with nothing done, where they do not lie so, or do more than move gas and
    /// add entries: use judge then.
    bool judge_many(const Drafts& drafts, std::vector<std::uint32_t> which, const Evaluator& evaluator, const See& see,
                    const std::function<void(double)>& progress = {});
    /// Writes what judge_many judged; then commits.
    Head commit_many(const std::function<void(double)>& progress = {});

 private:
    friend class Book;
    struct Work;
    explicit Transaction(std::unique_ptr<Work> work);
    std::unique_ptr<Work> work_;
};

/// Bytes that are signed for a head.
std::string head_message(const BookId& book, std::int64_t seq, const Digest& digest);
bool head_signature_holds(const BookInfo& info, std::int64_t seq, const Digest& digest, std::string_view signature);

}  // namespace tarebook
