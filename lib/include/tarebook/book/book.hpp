// The book: one file that holds events for ever and the balances they amount to. It appends whole transactions (I6),
// links each event to its predecessor (I4), and answers questions. It knows events and the fold; what may be recorded
// is decided above it, by `record`.
//
//     auto book = Book::open("shop.tarebook", Access::read);
//     for (const auto& step : book.steps("RC-031")) ...
//
// Every function of Book may throw StorageError; reading never writes.
//
// Threads: a Book is used by one thread at a time, and so is all that refers into it. Two threads open the same file
// twice, as two programs would: who reads does not wait for who records. Catalogue, Rulebook, Register and what a Book
// returned by value may be read by many threads at once, as long as none of them changes it. The library keeps no state
// of the process.
//
// Lifetimes: what is returned by value is the caller's. A reference or pointer is good as long as what it came from: of
// info(), path(), entries() and reference_data() as long as the Book, of an Entry until the register changes (the next
// recording). What a walk hands to its visitor (StoredBody, BookedEvent, Entry, bytes of a run) is good until the
// visitor returns; CylinderNow and KnownException may be moved from. A visitor may ask the same Book questions; it may
// not record.
#pragma once

#include <algorithm>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <tuple>
#include <utility>
#include <variant>
#include <vector>

#include "tarebook/book/changes.hpp"
#include "tarebook/book/drafts.hpp"
#include "tarebook/book/lock_wait.hpp"
#include "tarebook/book/people.hpp"
#include "tarebook/book/upgrade.hpp"
#include "tarebook/ledger/ledger.hpp"
#include "tarebook/rules/reference_data.hpp"
#include "tarebook/units/error.hpp"
#include "tarebook/units/walk.hpp"

namespace tarebook {

class Merging;

/// What a book is opened for.
enum class Access { read, write };

/// How events left a book for another one: in a bundle that a person carries, or through a folder of `sync`.
enum class SentBy { bundle, sync };

/// A practice book is for learning: nothing in it is real, and no real book trusts it or merges what it sends.
enum class Purpose { real, practice };

/// Who records in a book on a server with a chain and a key of their own.
struct Desk {
    BookId id{};              ///< of its chain
    std::string public_key;   ///< Ed25519, hex
    std::int64_t number = 0;  ///< among the desks of the book, from 1 on
    bool trusted = false;     ///< whether the book trusts that chain under that key
};

/// What a book says of itself.
struct BookInfo {
    BookId id{};    ///< of its chain
    BookId shop{};  ///< all books of one shop have the same: the id of the first of them
    /// Whether it is a practice book.
    [[nodiscard]] bool practice() const { return is_practice(id); }
    std::string company;                    ///< as typed when the book was started
    DisplayUnits units = DisplayUnits::lb;  ///< in which pages show masses
    std::string zone;                       ///< IANA name
    std::string country;                    ///< ISO 3166-1 alpha-2; empty where none is on record
    std::string public_key;                 ///< Ed25519, hex
    int checks_edition = 1;                 ///< at least the edition of the checks by which its exceptions were found
    std::optional<Desk> desk;               ///< where this person records as a desk, and not as who keeps the book
    /// Sentences about what was strange in the file, and set right, when it was opened.
    std::vector<std::string> remarks;
    std::optional<UpgradePlan> upgraded;  ///< what was done when it was opened
};

/// The number and digest of an event: that of the last one in a chain stands for all before it.
struct Head {
    std::int64_t seq = 0;
    Digest digest{};
};

/// "120:9f2c...", the digest in hex.
std::string head_text(const Head& head);
/// The head of such a text; nothing for any other text.
std::optional<Head> head_from(std::string_view text);

/// An event of the book, with what the book knows of it.
struct StoredEvent {
    std::int64_t id = 0;
    Event event;
    Digest digest{};
    std::optional<std::string> voided_by;  ///< name of the counting void
    std::string name;                      ///< "E12"; of another book's the first twelve digits of the digest
    bool quarantined = false;              ///< not effective: its book, or that part of it, is not trusted
};

/// An event by any of its names: its id in this file (StoredEvent::id; another file has other ids), its digest, which
/// is the same in each book that holds it, or what people type: "E12", "12", the first eight or more digits of the
/// digest.
class EventHandle {
 public:
    EventHandle(std::int64_t id) : name_(id) {}                  ///< by StoredEvent::id
    EventHandle(const Digest& digest) : name_(digest) {}         ///< by its digest
    EventHandle(std::string name) : name_(std::move(name)) {}    ///< as people call it
    EventHandle(const char* name) : name_(std::string(name)) {}  ///< as people call it
    EventHandle(const StoredEvent& event) : name_(event.id) {}   ///< that event of the same book
    /// As constructed.
    [[nodiscard]] const std::variant<std::int64_t, Digest, std::string>& name() const { return name_; }

 private:
    std::variant<std::int64_t, Digest, std::string> name_;
};

/// A leak of the record. The n-th leak that this book ever recorded is L-n, also if that event was voided; the leak of
/// another book has digits of its digest instead.
struct KnownLeak {
    std::string code;
    std::string appliance;
    StoredEvent event;
};

/// An exception, clock or branch that an event resolved.
struct Resolution {
    std::string finding;  ///< as in OpenFinding::id
    std::int64_t event_id = 0;
    std::string by;  ///< name of that event
    Date on{};
};

/// The statement that settles a return: the first effective one about it that comes after it.
struct Statement {
    std::int64_t returned_id = 0, event_id = 0;
    Date on{};
};

/// An event as it is stored, good for as long as it is visited.
struct StoredBody {
    std::int64_t id = 0;
    std::string_view digest;  ///< its 32 bytes
    std::string_view body;
    std::optional<std::string> voided_by;  ///< name of the counting void
    bool own = true;                       ///< of this book's own chain: a number names it
    std::uint16_t branch = 0;              ///< of its book's chain, which the body does not say
    /// The digest as a value of its own.
    [[nodiscard]] Digest whole_digest() const {
        Digest out{};
        std::copy_n(digest.data(), std::min(out.size(), digest.size()), reinterpret_cast<char*>(out.data()));
        return out;
    }
};

/// The event of a stored body. Throws StorageError where the bytes are damaged.
StoredEvent read(const StoredBody& stored);

/// A posting of a stored event. Account and lot are good until the next such walk.
struct BookedPosting {
    const Account* account = nullptr;
    const LotKey* lot = nullptr;
    Mass mass;
};
/// An event as it is stored, with what it did; good for as long as it is visited.
struct BookedEvent {
    StoredBody stored;
    std::optional<Digest> voided_by;       ///< digest of the counting void
    std::optional<OrderKey> voided_order;  ///< and its place
    OrderKey order;
    Date day{};
    std::string_view kind;
    std::span<const BookedPosting> postings;  ///< empty for a voided event
};

/// A cylinder just after one event.
struct Step {
    std::int64_t event_id = 0;
    OrderKey order;
    Mass moved;
    Mass gap;
    CylinderState after;
};

/// What one event moved between a circuit and the rest, for one refrigerant.
struct Flow {
    std::string circuit;
    std::int64_t event_id = 0;
    std::string kind;
    std::optional<std::string> job;
    Date date{};
    std::string refrigerant;
    Mass mass;  ///< put into the circuit; negative where taken out
};

/// The sum of all postings to an account, for one lot; never zero.
struct Balance {
    Account account;
    LotKey lot;
    Mass mass;
};

/// An exception that no event has resolved.
struct OpenFinding {
    std::string id;  ///< check/subject/E12
    std::int64_t event_id = 0;
    std::string event;  ///< its name
    Finding finding;
};

/// How many exceptions are open, by the id of their event in this file, their check and their subject.
using OpenFindingKeys = std::map<std::tuple<std::int64_t, std::string, std::string>, int>;

/// An exception of the book, resolved or not.
struct KnownException {
    std::int64_t event_id = 0;
    Digest event{};
    std::string kind;  ///< of the event
    Date day{};
    Finding finding;
    std::optional<Digest> resolved_by;
};

/// What Book::check found.
struct BookCheck {
    std::int64_t events = 0;
    std::vector<std::string> problems;      ///< what is damaged, for people; empty: all is well
    std::vector<std::string> remarks;       ///< kinds this program does not know, and such
    std::vector<std::string> not_as_noted;  ///< filled by the caller, who compares the book with heads noted elsewhere
};

/// What Book::restore made.
struct Restored {
    BookId book{}, old_book{};
    Head head;  ///< of the copy
};

/// An open book.
class Book {
 public:
    /// Makes the file (mode 0600), the key, and the first event. `shop`: that of the books it belongs with; without one
    /// the book is the first of its shop. `country`: where the shop works, a code as parse_country returns it; empty:
    /// not on record. StorageError where the file exists, `country` is no code, or one of shop and book is for practice
    /// alone.
    static Book create(const std::filesystem::path& path, const std::string& company, DisplayUnits units,
                       const std::string& zone, const Moment& now, const std::optional<BookId>& shop = {},
                       Purpose purpose = Purpose::real, const std::string& country = {}, ReferenceData data = {});
    /// Opens a book. `data`: the refrigerants and rule packs by which it is read and judged. `while_waiting`: called
    /// while another program has the book; without it the wait is silent. A book with an older schema is not read
    /// (OlderBook); if it is opened to be recorded in, it is upgraded where that is quick, or as `when_older` says.
    static Book open(const std::filesystem::path& path, Access access, ReferenceData data = {},
                     WhileWaiting while_waiting = {}, const WhenOlder& when_older = {});
    /// Of a book on a server: makes this person a desk of it, with a chain and a key of its own; the same desk if that
    /// was done before. It records once the book trusts it (`card.hpp` has its card). StorageError for a file, and for
    /// who keeps the book.
    Desk become_desk();
    /// The file with the signing key of this person: the book itself, or of a book on a server one of its own. It may
    /// not be there.
    [[nodiscard]] std::filesystem::path key_file() const;
    /// The purpose of a book with any schema; nothing where no book can be read there. Does not throw.
    static std::optional<Purpose> purpose_of(const std::filesystem::path& path);
    /// The book as it is now, in memory, to see what a recording would do: nothing reaches the file, and no other
    /// program waits for it.
    [[nodiscard]] Book copy_in_memory() const;
    Book(Book&&) noexcept;
    Book& operator=(Book&&) noexcept;
    ~Book();

    /// From now on all questions are answered from the book as it is now, until let_go(), the end of this Book, or its
    /// next recording. On a network disk a writer waits so long.
    void hold_still();
    /// Ends hold_still(): from now on each question is answered from the book as it is then.
    void let_go();
    /// A mark that changes when another program records. Two marks of one Book are equal only if none did between the
    /// two.
    [[nodiscard]] std::int64_t version_mark() const;

    /// The refrigerants and rule packs with which it was opened.
    [[nodiscard]] const ReferenceData& reference_data() const;
    /// The refrigerants among them.
    [[nodiscard]] const Catalogue& catalogue() const { return reference_data().catalogue; }
    /// The rule packs among them.
    [[nodiscard]] const Rulebook& rules() const { return reference_data().rules; }

    /// What the book says of itself.
    [[nodiscard]] const BookInfo& info() const;
    /// The file, as it was opened.
    [[nodiscard]] const std::filesystem::path& path() const;
    /// The last event of the own chain.
    [[nodiscard]] Head head() const;
    /// The last event here of the chain, and of its branch, on which an event is: of a truck, or of a desk on a server.
    [[nodiscard]] Head head_of(const Event& event) const;
    /// All events in the file, of every book, also those that are not effective.
    [[nodiscard]] std::int64_t event_count() const;
    /// The highest row of the book's events, and on a server of each desk's events: a person who keeps them learns
    /// later which rows are new. A row names an event in this file alone.
    [[nodiscard]] std::vector<std::int64_t> last_rows() const;
    /// The rows that are new since, in ascending order. Nothing where they are more than `most`, or where the book does
    /// not have those that were the last ones.
    [[nodiscard]] std::optional<std::vector<std::int64_t>> rows_since(const std::vector<std::int64_t>& last_rows,
                                                                      std::size_t most) const;
    /// The event that came last, by the moments that the last rows say; nothing in a book without events.
    [[nodiscard]] std::optional<StoredEvent> newest_event() const;
    /// The `most` events that happened last, at `until` or before, in total order from the last one back. `kind`: of
    /// these the ones of that kind; empty: all of them.
    void each_event_back(Instant until, std::size_t most, std::string_view kind,
                         const ForEach<const StoredEvent&>& visit) const;

    // The register.
    /// The register; good as long as the Book.
    [[nodiscard]] const Register& entries() const;
    /// The codes of all entries of a kind, in their order.
    [[nodiscard]] std::vector<std::string> codes(EntryKind kind) const;
    /// Visits all entries of a kind by code, in one walk; an entry is good for as long as it is visited.
    void each_entry(EntryKind kind, const ForEach<const Entry&>& visit) const;

    // Events.
    /// Nothing where there is no such event, or more than one is called so.
    [[nodiscard]] std::optional<StoredEvent> event(const EventHandle& handle) const;
    /// The id of that event in this file, without reading it; nothing where there is none.
    [[nodiscard]] std::optional<std::int64_t> id_of(const EventHandle& handle) const;
    /// As event(), by what people type.
    [[nodiscard]] std::optional<StoredEvent> event_named(std::string_view name) const;
    /// In total order, also voided ones.
    [[nodiscard]] std::vector<StoredEvent> events_of_job(std::string_view job) const;
    /// A job, and the time of the last event that names it.
    struct KnownJob {
        std::string job;
        Instant last{};
    };
    /// The jobs that events name, the newest first, and `most` of them.
    [[nodiscard]] std::vector<KnownJob> jobs(std::size_t most) const;
    /// The event of the own chain with that own id; nothing where there is none.
    [[nodiscard]] std::optional<StoredEvent> event_with_own_id(std::string_view own_id) const;
    /// The name of the event at a place: "E12", or digits of its digest if it is of another book.
    [[nodiscard]] std::string name_at(const OrderKey& order) const;
    /// The leak that a charge, repair or test names, as this book calls it; empty where none is named.
    [[nodiscard]] std::string leak_named_in(const Event& event) const;
    /// Whether any event has an own id.
    [[nodiscard]] bool has_own_ids() const;
    [[nodiscard]] std::vector<KnownLeak> leaks() const;  ///< all but those in quarantine, by number
    /// The findings that begin so and are resolved, each with the first event that did it.
    [[nodiscard]] std::vector<Resolution> resolutions(std::string_view prefix) const;
    [[nodiscard]] std::vector<Statement> statements() const;  ///< one a return, in the order of recording
    /// The statement that settles this return; nothing where there is none.
    [[nodiscard]] std::optional<StoredEvent> statement_on(const EventHandle& returned) const;
    /// Effective returns with gas of this owner, on local days from..to inclusive, in total order.
    [[nodiscard]] std::vector<StoredEvent> returns_of(std::string_view owner, Date from, Date to) const;
    /// Effective events of one kind, from an instant on, in total order, by an index: inspect, leak, leak-test, plan,
    /// repair, return, settle, and those of a count.
    [[nodiscard]] std::vector<StoredEvent> watched_events(std::string_view kind, Instant since = Instant::min()) const;
    /// All of them one by one: of returns a book may have many.
    void each_watched(std::string_view kind, const ForEach<const StoredEvent&>& visit) const;
    /// Effective recoveries from an instant on, in total order; looks through the events since then.
    [[nodiscard]] std::vector<StoredEvent> recoveries_since(Instant since) const;
    /// Effective events of any kind, in total order; looks through all events.
    [[nodiscard]] std::vector<StoredEvent> events_of_kind(std::string_view kind) const;
    /// Visits all events but those in quarantine, in total order; each_body does not parse them.
    void each_event(const ForEach<const StoredEvent&>& visit) const;
    void each_body(const ForEach<const StoredBody&>& visit) const;

    /// Visits the same events in the same order, each with its postings.
    void each_booked(const ForEach<const BookedEvent&>& visit) const;
    /// As each_booked, of these events alone, in the order of the list; those in quarantine are left out.
    void each_booked_of(const std::vector<std::int64_t>& event_ids, const ForEach<const BookedEvent&>& visit) const;

    // People (people.hpp).
    /// Who types what this Book records from now on. Where that is another person or device than the chain says, an
    /// event `typist` is recorded first, in the same transaction; no page shows it among what was recorded. Nothing is
    /// said of it before the first call. Error (usage): typist-form, where name or device is blank, too long, no UTF-8
    /// or begins as a formula of a spreadsheet does.
    Result<void> set_typing(Typing typing);
    /// Who typed an event: what the last `typist` before it on its chain says. Nothing where there is none.
    [[nodiscard]] std::optional<Typing> typed_by(const EventHandle& event) const;
    /// The name of a code; where it was removed or is not here, words that say so. Any other text as it is.
    [[nodiscard]] std::string name_of_person(std::string_view code) const;
    /// The code that a name has here.
    [[nodiscard]] std::optional<std::string> code_of_person(std::string_view name) const;
    /// All of whom an event here has a code, by name; those without one at the end.
    [[nodiscard]] std::vector<KnownPerson> people() const;
    /// The names that are here, by code: what goes along to the other books of the shop.
    [[nodiscard]] std::vector<PersonName> person_names() const;
    /// Names of the events, voided ones among them, whose bytes have these words, in total order; looks through all
    /// events.
    [[nodiscard]] std::vector<std::string> events_that_say(std::string_view words) const;
    /// Writes the file anew without the bytes of what was removed from it, and empties the log beside it. False where
    /// another program has the book open, so that the log stays until that one closes the book.
    bool lay_out_anew();
    /// Whether a name was removed since the file was laid out anew: its bytes may still be in it.
    [[nodiscard]] bool has_bytes_of_removed() const;

    // What changed (changes.hpp).
    /// How far the book is read by one who reads it now. Precondition: hold_still(), where both shall be of one moment.
    [[nodiscard]] BookMark mark() const;
    /// What may be other than it was at the mark. `seen`: the steps that the reader kept then.
    [[nodiscard]] BookChanges changes_since(const BookMark& mark, const SeenSteps& seen) const;
    /// Visits the steps of all cylinders, one cylinder after the other, each in total order.
    void each_step(const ForEach<const BookStep&>& visit) const;
    /// The steps of one cylinder at a place and behind it.
    void each_step_of(std::string_view cylinder, const PlaceInFile& from, const ForEach<const BookStep&>& visit) const;
    /// What place_in_file made a place of. Precondition: the book has an event there.
    [[nodiscard]] OrderKey order_at(const PlaceInFile& place) const;

    // What they amount to.
    [[nodiscard]] std::vector<Step> steps(std::string_view cylinder) const;  ///< of one cylinder, in total order
    /// The newest `most` of them, in total order; the others are not read.
    [[nodiscard]] std::vector<Step> last_steps(std::string_view cylinder, std::int64_t most) const;
    /// How many steps the cylinder has.
    [[nodiscard]] std::int64_t step_count(std::string_view cylinder) const;
    /// The newest one; nothing where no event touched the cylinder.
    [[nodiscard]] std::optional<Step> last_step(std::string_view cylinder) const;
    /// The newest `most` of those before a place, in total order.
    [[nodiscard]] std::vector<Step> steps_before(std::string_view cylinder, const OrderKey& order,
                                                 std::int64_t most) const;
    /// The state after the last step; a default-constructed one where no event touched the cylinder.
    [[nodiscard]] CylinderState state(std::string_view cylinder) const;
    /// The cylinder as it is now; nothing where neither the register nor any event knows it.
    [[nodiscard]] std::optional<CylinderNow> cylinder_now(std::string_view code) const;
    /// Visits all cylinders of the register by code, in one walk; then those without an effective entry that hold gas
    /// by the events.
    void each_cylinder(const ForEach<CylinderNow&&>& visit) const;
    /// Flows of the circuits at or below `prefix` (OAK, OAK/RACK-A ...; empty: all), on local days from..to inclusive,
    /// in total order.
    [[nodiscard]] std::vector<Flow> flows(std::string_view prefix, Date from, Date to) const;
    /// The local day of the last of them; nothing where there is none.
    [[nodiscard]] std::optional<Date> last_flow_day(std::string_view prefix) const;
    /// As flows, and before them the earlier flows of the same jobs there: a job may span the edge of a period.
    [[nodiscard]] std::vector<Flow> flows_of_whole_jobs(std::string_view prefix, Date from, Date to) const;
    /// What an event posted, in its order; empty for one that is not effective.
    [[nodiscard]] std::vector<Posting> postings(const EventHandle& event) const;
    /// By account, then by lot.
    [[nodiscard]] std::vector<Balance> balances() const;
    /// Exceptions that no event has resolved, in total order, then those that are found anew at each call; `subject`
    /// empty: all.
    [[nodiscard]] std::vector<OpenFinding> open_findings(std::string_view subject = {}) const;
    /// Exceptions that no event has resolved, of all events that touched the cylinder, on any subject.
    [[nodiscard]] std::vector<OpenFinding> open_findings_on(std::string_view cylinder) const;
    /// How many open_findings has, without reading their words.
    [[nodiscard]] std::int64_t number_of_open_findings() const;
    /// What is open now, to be compared with what is open later.
    [[nodiscard]] OpenFindingKeys open_finding_keys() const;
    /// As open_findings has it, what is open beyond what was known.
    [[nodiscard]] std::vector<OpenFinding> open_findings_beyond(OpenFindingKeys known) const;
    /// What the checks found in an event, resolved or not, in their order.
    [[nodiscard]] std::vector<Finding> findings(const EventHandle& event) const;
    /// Visits all exceptions of events on local days from..to inclusive, in total order.
    void each_exception(Date from, Date to, const ForEach<KnownException&&>& visit) const;
    /// The exceptions of one event, in their order.
    [[nodiscard]] std::vector<KnownException> exceptions_of(std::int64_t event_id) const;

    /// Computes digests, chain, columns, fold, balances and zero sums anew from the bodies alone, and runs SQLite's own
    /// integrity check. Changes nothing.
    [[nodiscard]] BookCheck check(const Evaluator& evaluator) const;
    /// Makes all that follows from the bodies anew, in one transaction.
    void rebuild(const Evaluator& evaluator);

    /// A signed head, of this book or of another one whose events are here.
    struct SignedHead {
        BookId book{};
        Head head;
        std::string public_key;  ///< hex
        std::string signature;   ///< 64 bytes
    };
    /// The head of the own chain at this event; without a number the last one. Nothing where none was signed there.
    [[nodiscard]] std::optional<SignedHead> signed_head(std::optional<std::int64_t> seq = {}) const;
    /// The head of any book at the event with this digest; nothing where none is here.
    [[nodiscard]] std::optional<SignedHead> signed_head_of(const Digest& digest) const;
    /// The events with this number of a book: several if it has branches, none if the event is not here.
    [[nodiscard]] std::vector<Digest> digests_at(const BookId& book, std::int64_t seq) const;
    /// Ed25519, by the book's own key: 64 bytes. StorageError where the key is locked.
    [[nodiscard]] std::string sign(std::string_view message) const;
    /// The number of the last own event in the last bundle that was made, or at the last `sync`; 0 if none was. A note
    /// for convenience, no part of the record.
    [[nodiscard]] std::int64_t last_sent(SentBy how = SentBy::bundle) const;
    /// Sets last_sent(). Where the file cannot be written, nothing is noted; does not throw.
    static void note_sent(const std::filesystem::path& path, std::int64_t seq, SentBy how = SentBy::bundle);
    /// The content of what was sealed to the book's own key (libsodium's sealed box); nothing where it was sealed to
    /// another one. StorageError where the key is locked.
    [[nodiscard]] std::optional<std::string> unseal(std::string_view sealed) const;

    /// Whether the signing key needs a passphrase to record anything (Argon2id, libsodium's interactive limits).
    [[nodiscard]] bool key_is_locked() const;
    /// Opens a locked key for what this Book does from now on. A wrong passphrase is told when the key is used.
    void use_passphrase(std::string_view passphrase);
    /// Locks the key with a passphrase, in place of the one that it has. Precondition: use_passphrase for a locked key.
    void lock_key(std::string_view passphrase);
    /// Removes the passphrase of the key. Precondition: use_passphrase for a locked key.
    void unlock_key();

    /// Events of one branch of a chain without a gap, up to a signed head.
    struct ChainRun {
        SignedHead end;
        std::int64_t first = 1;
        Digest previous{};  ///< what the first one follows
        std::uint16_t branch = 0;
    };
    /// The runs that may be sent: of the own chain, or of all books. Events of the own chain before `from` are left
    /// out, and so is what follows the last signed head.
    [[nodiscard]] std::vector<ChainRun> chain_runs(bool own_only, std::int64_t from = 1) const;
    /// Visits the canonical bytes of a run's events, in their order; they are good for as long as they are visited.
    void each_of_run(const ChainRun& run, const ForEach<std::string_view>& visit) const;
    /// The register as it is, one canonical body a line (see snapshot.hpp of lib/book): the bytes to be signed. What
    /// was set on a branch is left out.
    [[nodiscard]] std::string register_snapshot() const;

    /// A book whose events are here or in quarantine, or that is trusted.
    struct KnownBook {
        BookId id{};
        std::string called, public_key;  ///< as trusted; called is empty for a book that is not trusted
        bool own = false, trusted = false, withdrawn = false;
        bool desk = false;                ///< a desk of this book on a server: nothing of it comes by bundles
        std::optional<std::string> from;  ///< YYYY-MM-DD, as in kinds::Trust
        std::string why;                  ///< of the withdrawal
        std::int64_t events = 0, ineffective = 0;
        std::int64_t branches = 0;
        std::optional<Head> last;
        std::vector<std::pair<std::int64_t, std::int64_t>> missing;  ///< from, to: not here yet
        /// Of those that no trusted key covers, kept beside the book: how many. For others there was no room: from, to.
        std::int64_t quarantined = 0;
        std::vector<std::pair<std::int64_t, std::int64_t>> not_kept;
        bool register_quarantined = false, register_not_kept = false;
    };
    /// The own one first, then by the name that they have here.
    [[nodiscard]] std::vector<KnownBook> books() const;
    /// First events of branches: of those that left another branch, and of the way that the other one took. The own
    /// chain is not among them.
    [[nodiscard]] std::vector<Digest> branch_firsts() const;

    // What it has of other books, for devices that share a folder.
    /// The book from whose copy another one goes on, and since when, by the clock of the machine that restored it.
    struct RestoredFrom {
        BookId book{};
        Instant since{};
    };
    /// A book that this one trusts.
    struct TrustedBook {
        BookId id{};
        std::string called, public_key;
        bool withdrawn = false;
        std::optional<Head> last;              ///< of a withdrawn one: its last event that counts, where one was named
        std::optional<RestoredFrom> restored;  ///< where it goes on from a copy, and its first event is here
    };
    /// All that were ever trusted, by name.
    [[nodiscard]] std::vector<TrustedBook> trusted() const;
    /// The book from whose copy this one goes on.
    [[nodiscard]] std::optional<RestoredFrom> restored_from() const;
    /// The end of what is here of a book without a gap, under a signed head; seq 0: nothing.
    struct HeldBook {
        BookId id{};
        Head head;
    };
    /// Of each trusted book that is not withdrawn, and of each of its branches.
    [[nodiscard]] std::vector<HeldBook> held() const;
    /// Among which events holds() looks: those that a trusted key covers; or also those that one covered once.
    enum class Holding { admitted, all };
    /// Whether the events of a book from `first` to `last` are here, on the branch that ends so, without a gap.
    [[nodiscard]] bool holds(const BookId& book, std::int64_t first, const Head& last,
                             Holding what = Holding::admitted) const;
    /// The event with this number on the own chain.
    [[nodiscard]] std::optional<Digest> own_digest_at(std::int64_t seq) const;
    /// The register of another book that is here, under that key: its number, and the digest of its lines.
    [[nodiscard]] std::optional<Head> register_held(const BookId& book, std::string_view public_key) const;
    /// Own events that others may want.
    struct News {
        std::int64_t events = 0, first = 0, last = 0;  ///< how many; their first and last numbers, 0 where none is
    };
    /// Those behind an event, leaving out the kind merge: that something came is no news to others.
    [[nodiscard]] News news_since(std::int64_t seq) const;
    /// The number of the last own event that is not of kind merge; 0 where there is none.
    [[nodiscard]] std::int64_t last_news() const;

    /// Copies the whole book into another file while it is in use: the copy is checked, then takes its name. Returns
    /// the last event of the copy. A backup of the same book is replaced if its last event is on this book's own chain.
    /// Errors: file-exists, backup-newer (refused); backup-damaged, cannot-write (storage).
    [[nodiscard]] Result<Head> backup(const std::filesystem::path& to, const Evaluator& evaluator) const;
    /// Makes a book that goes on from a copy, under a new id and key: the copy may have gone on elsewhere. Its first
    /// event names the head that it goes on from; it trusts that book, and those that it trusted. Errors: file-exists
    /// (refused); restore-damaged, cannot-write (storage).
    static Result<Restored> restore(const std::filesystem::path& from, const std::filesystem::path& to,
                                    const Evaluator& evaluator, Instant now);

    class Transaction;  ///< how record() writes: defined inside the library only
    struct Impl;        ///< the open file: defined inside lib/book only

 private:
    friend class Merging;
    explicit Book(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

/// Keeps practice books and real ones apart. Error (refused): practice-apart, where just one of the two is a practice
/// book.
Result<void> not_apart(const BookId& book, const BookId& other);

/// The bytes that are signed for a head.
std::string head_message(const BookId& book, std::int64_t seq, const Digest& digest);
/// Whether a head was signed under this key. `public_key` is hex, `signature` 64 bytes; needs no book.
bool head_signature_holds(std::string_view public_key, const BookId& book, std::int64_t seq, const Digest& digest,
                          std::string_view signature);
/// The bytes that are signed for a register as its book had it after event `seq`; `entries`: the digest of its lines.
std::string register_message(const BookId& book, std::int64_t seq, const Digest& entries);
/// As head_signature_holds, of a register.
bool register_signature_holds(std::string_view public_key, const BookId& book, std::int64_t seq, const Digest& entries,
                              std::string_view signature);

}  // namespace tarebook
