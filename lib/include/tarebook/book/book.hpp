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

#include "tarebook/book/drafts.hpp"
#include "tarebook/book/lock_wait.hpp"
#include "tarebook/book/upgrade.hpp"
#include "tarebook/ledger/ledger.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

class Merging;

enum class Access { read, write };

/// A practice book is for learning: nothing in it is real, and no real book trusts it or merges what it sends.
enum class Purpose { real, practice };

struct BookInfo {
    BookId id{};
    BookId shop{};  ///< all books of one shop have the same: the id of the first of them
    [[nodiscard]] bool practice() const { return is_practice(id); }
    std::string company;
    DisplayUnits units = DisplayUnits::lb;
    std::string zone;
    std::string country;                  ///< ISO 3166-1 alpha-2; empty where none is on record
    std::string public_key;               ///< Ed25519, hex
    int checks_edition = 1;               ///< by which the exceptions of the whole book were found at least
    std::vector<std::string> remarks;     ///< what was strange about the file, and set right, when it was opened
    std::optional<UpgradePlan> upgraded;  ///< what was done when it was opened
};

struct Head {
    std::int64_t seq = 0;
    Digest digest{};
};

/// "120:9f2c...", and back; nothing where the words are no head.
std::string head_text(const Head& head);
std::optional<Head> head_from(std::string_view text);

struct StoredEvent {
    std::int64_t id = 0;
    Event event;
    Digest digest{};
    std::optional<std::string> voided_by;  ///< name of the counting void
    std::string name;                      ///< "E12"; of another book's the first twelve digits of the digest
    bool quarantined = false;              ///< of a book, or a part of it, that is not trusted: kept, not counted
};

/// The n-th leak that this book ever recorded is L-n, also where that event was voided; another book's has digits of
/// its digest instead.
struct KnownLeak {
    std::string code;
    std::string appliance;
    StoredEvent event;
};

struct Resolution {
    std::string finding;
    std::int64_t event_id = 0;
    std::string by;  ///< name of that event
    Date on{};
};

/// The statement that settles a return: the first about it that counts and comes after it.
struct Statement {
    std::int64_t returned_id = 0, event_id = 0;
    Date on{};
};

/// An event as it lies in the file, for as long as it is looked at.
struct StoredBody {
    std::int64_t id = 0;
    std::string_view digest;  ///< its 32 bytes
    std::string_view body;
    std::optional<std::string> voided_by;  ///< name of the counting void
    bool own = true;                       ///< of this book's own chain: a number names it
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
    std::optional<Digest> voided_by;       ///< digest of the counting void
    std::optional<OrderKey> voided_order;  ///< and its place
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
    std::string event;  ///< its name
    Finding finding;
};

/// An exception of the book, resolved or not.
struct KnownException {
    std::int64_t event_id = 0;
    Digest event{};
    std::string kind;  ///< of the event
    Date day{};
    Finding finding;
    std::optional<Digest> resolved_by;
};

struct BookCheck {
    std::int64_t events = 0;
    std::vector<std::string> problems;
    std::vector<std::string> remarks;       ///< kinds this program does not know, and such
    std::vector<std::string> not_as_noted;  ///< for who compares it with heads that were noted elsewhere
};

struct Restored {
    BookId book{}, old_book{};
    Head head;  ///< of the copy
};

class Book {
 public:
    /// Makes the file (mode 0600), the key, and the first event. Refuses an existing file: StorageError. `shop` is that
    /// of the books it belongs with; without one the book is the first of its shop. `country`: a code of parse_country,
    /// in which the shop works, else StorageError; empty: nobody said it.
    static Book create(const std::filesystem::path& path, const std::string& company, DisplayUnits units,
                       const std::string& zone, const Moment& now, const std::optional<BookId>& shop = {},
                       Purpose purpose = Purpose::real, const std::string& country = {});
    /// `while_waiting`: called while another program has the book; without it the wait is silent. A book with an older
    /// schema is not read (OlderBook); to be recorded in it is upgraded where that is quick, or as `when_older` says.
    static Book open(const std::filesystem::path& path, Access access, WhileWaiting while_waiting = {},
                     const WhenOlder& when_older = {});
    /// Of a file, whatever its schema; nothing where no book can be read there.
    static std::optional<Purpose> purpose_of(const std::filesystem::path& path);
    /// The book as it is now, in memory, for a look at what a recording would do: nothing reaches the file, and nobody
    /// waits for it.
    [[nodiscard]] Book copy_in_memory() const;
    Book(Book&&) noexcept;
    Book& operator=(Book&&) noexcept;
    ~Book();

    /// From now on all questions are answered from the book as it is now, until the Book goes or records something; a
    /// writer waits so long.
    void hold_still();
    /// Lets go again: from now on each question is answered from the book as it is then.
    void let_go();
    /// A mark that another one equals only where no other program has recorded anything between the two.
    [[nodiscard]] std::int64_t version_mark() const;

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
    [[nodiscard]] std::string name_at(const OrderKey& order) const;
    /// The leak that a charge, repair or test names, as this book calls it; empty where none is named.
    [[nodiscard]] std::string leak_named_in(const Event& event) const;
    [[nodiscard]] bool has_own_ids() const;
    [[nodiscard]] std::vector<KnownLeak> leaks() const;  ///< by number
    /// What was resolved by an event, of the findings whose name begins so; with the first event that did.
    [[nodiscard]] std::vector<Resolution> resolutions(std::string_view prefix) const;
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
    /// Nothing where neither the register nor any event knows it.
    [[nodiscard]] std::optional<CylinderNow> cylinder_now(std::string_view code) const;
    /// All of the register, by code, in one walk; among them those that no entry counts of any more and that hold gas
    /// by the events all the same.
    void each_cylinder(const std::function<void(CylinderNow&&)>& visit) const;
    /// Flows of circuits whose code starts with `prefix`, on local days from..to inclusive.
    [[nodiscard]] std::vector<Flow> flows(std::string_view prefix, Date from, Date to) const;
    /// As flows, and before them what the same jobs moved there before `from`: a job may span the edge of a period.
    [[nodiscard]] std::vector<Flow> flows_of_whole_jobs(std::string_view prefix, Date from, Date to) const;
    [[nodiscard]] std::vector<Posting> postings(std::int64_t event_id) const;
    [[nodiscard]] std::vector<Balance> balances() const;
    /// Exceptions that no event has resolved, in total order, then those asked at each look; `subject` empty: all.
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

    /// The last signed head, of this book or of another one whose events are here.
    struct SignedHead {
        BookId book{};
        Head head;
        std::string public_key;  ///< hex
        std::string signature;   ///< 64 bytes
    };
    /// That of the own chain at this event, where one was signed there; of the last event without a number.
    [[nodiscard]] std::optional<SignedHead> signed_head(std::optional<std::int64_t> seq = {}) const;
    /// That of whichever book, at the event with this digest.
    [[nodiscard]] std::optional<SignedHead> signed_head_of(const Digest& digest) const;
    /// The events with this number of a book: several where it has branches, none where it is not here.
    [[nodiscard]] std::vector<Digest> digests_at(const BookId& book, std::int64_t seq) const;
    /// Ed25519, by the book's own key: 64 bytes.
    [[nodiscard]] std::string sign(std::string_view message) const;
    /// The own chain up to which a bundle was made last; 0 where none was. A note for convenience, no part of the
    /// record: where the file cannot be written, nothing is noted.
    [[nodiscard]] std::int64_t last_sent() const;
    static void note_sent(const std::filesystem::path& path, std::int64_t seq);
    /// What somebody sealed to the book's own key (libsodium's sealed box); nothing where it was not to this one.
    [[nodiscard]] std::optional<std::string> unseal(std::string_view sealed) const;

    /// Whether the signing key needs a passphrase to record anything (Argon2id, libsodium's interactive limits).
    [[nodiscard]] bool key_is_locked() const;
    void use_passphrase(std::string_view passphrase);
    void lock_key(std::string_view passphrase);  ///< a key that is locked needs use_passphrase before
    void unlock_key();

    /// Whole runs of one chain, each up to a signed head. `from`: events of the own chain before it are left out.
    struct ChainRun {
        SignedHead end;
        std::int64_t first = 1;
        Digest previous{};  ///< what the first one follows
        std::uint16_t branch = 0;
    };
    [[nodiscard]] std::vector<ChainRun> chain_runs(bool own_only, std::int64_t from = 1) const;
    void each_of_run(const ChainRun& run, const std::function<void(std::string_view body)>& visit) const;
    /// The register as it is, one canonical body a line (see snapshot.hpp of lib/book); to be signed.
    [[nodiscard]] std::string register_snapshot() const;

    /// Every book whose events are here or in quarantine, or that is trusted; the own one first.
    struct KnownBook {
        BookId id{};
        std::string called, public_key;  ///< as trusted; empty where it is not
        bool own = false, trusted = false, withdrawn = false;
        std::optional<std::string> from;
        std::string why;  ///< of the withdrawal
        std::int64_t events = 0, ineffective = 0;
        std::int64_t branches = 0;
        std::optional<Head> last;
        std::vector<std::pair<std::int64_t, std::int64_t>> missing;  ///< from, to: not here yet
        /// Of those that no trusted key covers, kept beside the book: how many. For others there was no room: from, to.
        std::int64_t quarantined = 0;
        std::vector<std::pair<std::int64_t, std::int64_t>> not_kept;
        bool register_quarantined = false, register_not_kept = false;
    };
    [[nodiscard]] std::vector<KnownBook> books() const;
    /// First events of branches: those that left another branch, and where it went on itself.
    [[nodiscard]] std::vector<Digest> branch_firsts() const;

    /// The whole book into another file, while it is in use: checked, then renamed to its name. A backup of the same
    /// book is replaced where its last event is on this book's own chain. Errors: file-exists, backup-newer,
    /// backup-damaged.
    [[nodiscard]] Result<Head> backup(const std::filesystem::path& to, const Evaluator& evaluator) const;
    /// A book that goes on from a copy, under a new id and key: the copy may have gone on elsewhere. Its first event
    /// names the head that it goes on from; it trusts that book, and whom that book trusted. Errors: file-exists,
    /// restore-damaged.
    static Result<Restored> restore(const std::filesystem::path& from, const std::filesystem::path& to,
                                    const Evaluator& evaluator, Instant now);

    class Transaction;  ///< how record() writes: defined inside the library only
    struct Impl;        ///< the open file: defined inside lib/book only

 private:
    friend class Merging;
    explicit Book(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

/// Practice books and real ones stay apart: an error where one of the two is a practice book and the other is not.
/// Error (refused): practice-apart.
Result<void> not_apart(const BookId& book, const BookId& other);

/// Bytes that are signed for a head.
std::string head_message(const BookId& book, std::int64_t seq, const Digest& digest);
/// `public_key` in hex. Needs nothing but these: a third party can ask it.
bool head_signature_holds(std::string_view public_key, const BookId& book, std::int64_t seq, const Digest& digest,
                          std::string_view signature);

}  // namespace tarebook
