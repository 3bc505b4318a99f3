// The fold: events, in time order, as double entry. Mass leaves one account and enters another; per refrigerant the sum
// over all accounts is zero (I1). Everything here is pure: values in, values out.
//
// A gross weight is a level: contents at a moment = the last level, plus what moved since. Where a level differs from
// what the book expected, the difference is a gap, posted to "unaccounted" (or to "scale" where the tolerance of two
// weighings explains it). Gaps are derived here and stored nowhere as facts: a late entry that explains one makes it
// vanish.
#pragma once

#include <compare>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/event/event.hpp"
#include "tarebook/ledger/register.hpp"

namespace tarebook {

/// The owner of gas that came from no equipment: bought stock.
inline constexpr std::string_view shop_owner = "shop";
/// The owner of gas of which it is not on record whose it is.
inline constexpr std::string_view owner_unassigned = "unassigned";
/// The designation of gas of which it is not on record what it is.
inline constexpr std::string_view gas_unknown = "unknown";
/// The designation of gas that came into the book as a mixture. It is mixed gas for every rule.
inline constexpr std::string_view gas_mixed = "mixed";

/// What gas in a cylinder is kept apart by.
struct LotKey {
    std::string refrigerant;  ///< designation, or gas_unknown, or gas_mixed
    std::string owner;        ///< owner of the equipment it came from, or shop_owner, or owner_unassigned
    Condition condition = Condition::recovered;
    friend auto operator<=>(const LotKey&, const LotKey&) = default;
};
/// So much gas of one key; negative where more was drawn than the book had.
struct Lot {
    LotKey key;
    Mass mass;
    friend bool operator==(const Lot&, const Lot&) = default;
};
using Lots = std::vector<Lot>;  ///< ordered by key, none of zero mass
/// The sum of all lots.
Mass total(const Lots& lots);

/// The accounts of the double entry.
enum class AccountKind {
    cylinder,
    circuit,  ///< a circuit, or an appliance where the job was done at the rack: a flow, never contents
    supplier,
    reclaimer,
    destroyer,
    atmosphere,
    lost,
    opening,
    outside,          ///< gas that others put in
    unaccounted,      ///< gaps beyond tolerance
    scale,            ///< gaps that the tolerance of two weighings explains
    reclassified,     ///< counter-account of a lot that turned out to be another refrigerant
    not_refrigerant,  ///< oil, water and air that a reclaimer found in what the book had sent as refrigerant
};
/// How many kinds there are.
inline constexpr std::size_t account_kinds = 13;
/// The word of the record: "not-refrigerant".
std::string_view text_of(AccountKind kind);
/// The value of such a word; nothing for any other text.
std::optional<AccountKind> account_kind_from(std::string_view text);

/// An account; its code is that of the cylinder, circuit, supplier or facility.
struct Account {
    AccountKind kind = AccountKind::cylinder;
    std::string code;  ///< empty for those that are one in a book
    friend auto operator<=>(const Account&, const Account&) = default;
};

/// Mass that enters an account; negative where it leaves.
struct Posting {
    Account account;
    LotKey lot;
    Mass mass;
    friend bool operator==(const Posting&, const Posting&) = default;
};

/// What the last refrigerant identifier that looked at a gas showed of it, and in which event that stands.
struct IdentifiedGas {
    BookId book{};
    std::int64_t seq = 0;
    std::chrono::sys_days on{};  ///< the day, as at the place
    std::string cylinder;        ///< the one that it looked at; gas takes this along in a transfer
    std::optional<std::string> refrigerant, composition, air, result;  ///< as in kinds::Identify
    friend bool operator==(const IdentifiedGas&, const IdentifiedGas&) = default;
};

/// A cylinder after an event, by the book.
struct CylinderState {
    Lots lots;
    Lots lots_when_lost;        ///< while it is lost: what comes back if it is found
    std::optional<Mass> gross;  ///< what the scale should show now, where that is known
    bool gone = false;          ///< left the shop: returned, destroyed, exchanged
    bool lost = false;
    bool condemned = false;
    bool leaking = false;
    bool reclaim_only = false;  ///< two owners' gas has met in it
    bool mixed = false;         ///< two refrigerants have met in it
    std::string spoiled;        ///< burnt-out or acid
    std::string place;
    std::string held_for;
    /// Until the cylinder is empty, or what is in it is said anew on evidence; none where it named what the book has.
    std::optional<IdentifiedGas> identified;

    /// All lots together.
    [[nodiscard]] Mass contents() const { return total(lots); }
    friend bool operator==(const CylinderState&, const CylinderState&) = default;
};
/// Where a cylinder is: after the last event that moved it, else as its entry says; empty where neither does.
inline std::string place_of(const CylinderFacts& facts, const CylinderState& state) {
    return state.place.empty() ? facts.place.value_or("") : state.place;
}
/// A cylinder as it is now: what the register says last, and the state after its last event.
struct CylinderNow {
    std::string code;
    CylinderFacts facts;
    CylinderState state;
    bool in_register = true;           ///< false: events put gas in it, and no entry of it is effective
    std::string entry_voided_by = {};  ///< name of the void that took its entry out, where there is one
    /// As place_of.
    [[nodiscard]] std::string place() const { return place_of(facts, state); }
};
/// The state as bytes, which are equal exactly where the states are.
std::string packed(const CylinderState& state);
/// The state of such bytes. Throws BrokenPromise on other ones.
CylinderState unpacked(std::string_view bytes);

/// A level that did not meet the book's expectation.
struct Gap {
    std::string cylinder;
    Mass expected_gross;
    Mass read_gross;
    std::string read_typed;  ///< the reading as typed
    Mass gap;                ///< read - expected
    Mass tolerance;
    /// Whether two weighings explain it: then it is posted to `scale`, else to `unaccounted`.
    [[nodiscard]] bool within_tolerance() const { return gap.magnitude() <= tolerance; }
};

/// A cylinder's share in an event.
struct Effect {
    std::string cylinder;
    CylinderState before, after;
    CylinderState levelled;  ///< after the event's first weight, before anything moved
    Mass moved;              ///< net change by the event itself, gaps left out
    Mass gap;                ///< all gaps of this cylinder in this event
};

/// What a finding means for a recording.
enum class Severity {
    note,       ///< one quiet line: not on record
    exception,  ///< recorded, and on the exceptions list until an event resolves it
    refusal     ///< not recorded unless the person says with --anyway that it happened
};

/// "note", "exception", "refusal"
std::string_view text_of(Severity severity);

/// What a check has to say about an event.
struct Finding {
    std::string check;    ///< kebab-case name of the check
    std::string subject;  ///< code of the cylinder, circuit ... it is about
    Severity severity = Severity::exception;
    std::string text;      ///< one sentence: what, with its figures
    std::string seen;      ///< what was read or typed
    std::string expected;  ///< the limit, or what would have been taken
    std::string next;      ///< what to do now
    std::string question;  ///< asked once at a terminal; empty where there is nothing to ask
    std::string accepted;  ///< the reason, where the person took it on
};

/// What an event does.
struct Outcome {
    std::vector<Posting> postings;
    std::vector<Effect> effects;  ///< one per cylinder of cylinders_of(event), in that order
    std::vector<Gap> gaps;
    std::vector<Finding> findings;  ///< filled by the checks, empty after the fold alone
};

/// What a return sent, for the fold of a statement about it.
struct Sent {
    OrderKey order;
    std::string cylinder, to;
    Lots lots;             ///< what the return moved to the reclaimer's account; negative where it went the wrong way
    bool settled = false;  ///< an earlier statement settles this return
};

/// What was recorded of a cylinder in the hours before an event. Two books may tell of one act, or of two that cannot
/// both be so; one book may tell of one act twice.
struct NearbyEvent {
    std::string event;  ///< its name
    OrderKey order;
    Moment when;
    std::string kind, circuit;
    std::optional<Mass> before, after;  ///< gross, where both were read
    Mass moved, gap;
    Mass contents;  ///< after it
};
/// How far back such events are looked at. Common practice, no source.
inline constexpr std::chrono::hours nearby_reach{36};
/// What the event's own weights of this cylinder say was moved, without a sign; zero where they do not say it.
Mass weighed_amount(const Event& event, std::string_view cylinder);
/// Whether two amounts may be one, read twice: of the same book an event is met only where it moved about what this one
/// did, without regard to signs. No scale that stands under a cylinder has larger steps (common practice, no source).
bool may_be_one_amount(Mass moved, Mass amount);
/// The event's share in one cylinder, which is one of cylinders_of(event); `name` as the book names it.
NearbyEvent nearby_event(const Event& event, std::string_view cylinder, Mass moved, Mass gap, Mass contents,
                         std::string name);

/// An event is the first of a branch: two events of one book follow the same one.
struct Fork {
    BookId book{};
    std::int64_t after = 0;  ///< number of the last event that both branches have; 0 if not known
    Digest first{};          ///< the first event of one branch; if one of the two is the own chain, that of the other
    Digest other{};          ///< the first event of the other branch; zeros if not known, or if that is the own chain
};

/// When events before this one were recorded, so that a clock is seen that went back, or ran ahead.
struct RecordedBefore {
    /// An event of another book, and when it was recorded there.
    struct Received {
        BookId book{};
        Instant recorded{};
    };
    std::optional<Instant> on_chain;   ///< the event before it on its chain
    std::optional<Received> received;  ///< of a merge of this book: the latest of the events that bundles ended with
};

/// What the fold and the checks have to know of before the event: the states of its cylinders just before it, by code,
/// and what other events bear on it.
struct States : std::map<std::string, CylinderState, std::less<>> {
    using map::map;
    /// Of a statement; absent if its return is not on record, is not effective, or comes after it.
    std::optional<Sent> sent;
    /// By cylinder, the earliest first: all of other books, and those of the same book that may be the same act.
    std::map<std::string, std::vector<NearbyEvent>, std::less<>> nearby;
    std::optional<Fork> fork;
    RecordedBefore recorded_before;
};

/// What a statement makes of a return. Lot by lot, sent = stated + contaminants + rest.
struct Settlement {
    Lots sent, stated, contaminants, rest;
    Mass tolerance;  ///< of the rest, as between two scales
    /// Whether the two scales explain the rest.
    [[nodiscard]] bool within_tolerance() const { return total(rest).magnitude() <= tolerance; }
};
/// Shares what the statement says over the lots that were sent, in proportion. Without weights on the statement what
/// was sent counts as stated.
Settlement settlement_of(const kinds::Settle& statement, const Lots& sent);
/// Whether the statement settles its return: it names the cylinder that was sent, and no earlier statement settles it.
bool settles(const kinds::Settle& statement, const std::optional<Sent>& sent);

/// How far a first weight may be from the book's, between scales or days: 0.5 lb or 1 % of gross, whichever is larger;
/// 2 lb at least for half-ton cylinders (water capacity of 900 lb and more). Common practice, no source.
Mass level_tolerance(Mass gross, const CylinderFacts& cylinder);

/// What the event does to the accounts and to its cylinders, without findings. Preconditions: `before` has every
/// cylinder of cylinders_of(event) (a default-constructed state if it never had an event), and the event is not voided.
/// Throws Refused (too-large) where a sum goes beyond what a Mass can hold.
Outcome fold_one(const Event& event, const States& before, const Register& reg);

/// The edition of the checks: raised when they find more, or less, in an event than before. A book says by which
/// edition its exceptions were found. 1: the first schema. 2: vacuum-short. 3: statements, recycling, condition of
/// reuse. 4: what two books tell of one act. 5: over-limit. 6: malformed; a gas that the book has overdrawn counts
/// towards the limit. 7: clock-went-back, clock-ahead. 8: out-of-test by the mark and the basis on record, small
/// appliances, service-ban. 9: certificate-type, mothball-not-evacuated. 10: machine-flammable,
/// charge-exceeds-full-charge. 11: weight-off-scale, overdrawn by two weights of a jug. 12: vacuum-not-readable,
/// evacuation-short, identified-otherwise. 13: entered-twice in one book, weight-beyond-cylinder, digits-swapped,
/// charge-of-used-gas. 15: becomes-mixed, identified-before, pressure-over-marking,
/// pressure-fell; evacuation-short by a gauge; a state says what an identifier showed.
inline constexpr int checks_edition = 15;

/// How an event is judged: by the fold alone, or by the fold and the checks. The book calls it for each event that it
/// evaluates, and knows no checks itself. There are these two and no others, so that each book agrees with its own
/// `check`.
class Evaluator {
 public:
    virtual ~Evaluator() = default;
    /// What the event does, and what the checks find. Preconditions as for fold_one.
    virtual Outcome evaluate(const Event& event, const States& before, const Register& reg) const = 0;

 private:
    friend class Judge;
    friend class FoldAlone;
    Evaluator() = default;
    Evaluator(const Evaluator&) = default;
    Evaluator& operator=(const Evaluator&) = default;
};

}  // namespace tarebook
