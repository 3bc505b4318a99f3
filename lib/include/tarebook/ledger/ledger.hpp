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

/// Whose gas it is where it came from no equipment: bought stock.
inline constexpr std::string_view shop_owner = "shop";

struct LotKey {
    std::string refrigerant;  ///< designation, or "unknown"
    std::string owner;        ///< owner of the equipment it came from, or shop_owner
    Condition condition = Condition::recovered;
    friend auto operator<=>(const LotKey&, const LotKey&) = default;
};
struct Lot {
    LotKey key;
    Mass mass;
    friend bool operator==(const Lot&, const Lot&) = default;
};
using Lots = std::vector<Lot>;  ///< ordered by key, none of zero mass
Mass total(const Lots& lots);

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
inline constexpr std::size_t account_kinds = 13;
std::string_view text_of(AccountKind kind);
std::optional<AccountKind> account_kind_from(std::string_view text);

struct Account {
    AccountKind kind = AccountKind::cylinder;
    std::string code;  ///< empty for those that are one in a book
    friend auto operator<=>(const Account&, const Account&) = default;
};

struct Posting {
    Account account;
    LotKey lot;
    Mass mass;
    friend bool operator==(const Posting&, const Posting&) = default;
};

struct CylinderState {
    Lots lots;
    Lots lots_when_lost;
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

    [[nodiscard]] Mass contents() const { return total(lots); }
    friend bool operator==(const CylinderState&, const CylinderState&) = default;
};
/// A cylinder as it is now: what the register says last, and the state after its last event.
struct CylinderNow {
    std::string code;
    CylinderFacts facts;
    CylinderState state;
    bool in_register = true;           ///< else gas is in it that events speak of, and no entry of it counts
    std::string entry_voided_by = {};  ///< the void, where that is why no entry counts
};
/// Bytes that are equal exactly where the states are, and back. Throws std::invalid_argument on other bytes.
std::string packed(const CylinderState& state);
CylinderState unpacked(std::string_view bytes);

/// A level that did not meet the book's expectation.
struct Gap {
    std::string cylinder;
    Mass expected_gross;
    Mass read_gross;
    std::string read_typed;
    Mass gap;  ///< read - expected
    Mass tolerance;
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

enum class Severity {
    note,       ///< one quiet line: not on record
    exception,  ///< recorded, and on the exceptions list until an event resolves it
    refusal     ///< not recorded unless the person says with --anyway that it happened
};

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

struct Outcome {
    std::vector<Posting> postings;
    std::vector<Effect> effects;  ///< one per cylinder of cylinders_of(event), in that order
    std::vector<Gap> gaps;
    std::vector<Finding> findings;  ///< filled by the checks, empty after the fold alone
};

/// What a return sent, as a statement about it finds it.
struct Sent {
    OrderKey order;
    std::string cylinder, to;
    Lots lots;             ///< what the return moved to the reclaimer's account; negative where it went the wrong way
    bool settled = false;  ///< another statement stands between the return and this one
};

/// What another book recorded of a cylinder in the hours before an event: two books may tell of one act, or of two that
/// cannot both be so.
struct NearbyEvent {
    std::string event;  ///< its name
    OrderKey order;
    Moment when;
    std::string kind, circuit;
    std::optional<Mass> before, after;  ///< gross, where both were read
    Mass moved, gap;
    Mass contents;  ///< after it
};
inline constexpr std::chrono::hours nearby_reach{36};
/// Of the event's share in one cylinder.
NearbyEvent nearby_event(const Event& event, std::string_view cylinder, Mass moved, Mass gap, Mass contents,
                         std::string name);

/// Where an event is the first of a branch: another one goes on from the same place.
struct Fork {
    BookId book{};
    std::int64_t after = 0;  ///< sequence of the last event that both have; 0 where that is not known
    Digest first{};          ///< with which one of them goes on; where the own book is one, the other
    Digest other{};          ///< the other; zeros where that is not known, or is the own chain
};

/// What was there when an event was recorded: by that a clock is seen that went back, or ran ahead.
struct RecordedBefore {
    struct Received {
        BookId book{};
        Instant recorded{};
    };
    std::optional<Instant> on_chain;   ///< the event before it on its chain
    std::optional<Received> received;  ///< of a merge of this book: the latest of the events that bundles ended with
};

/// States of the event's cylinders just before it, by code; and for a statement, what its return sent: absent where
/// that return is not on record, does not count, or comes after it.
struct States : std::map<std::string, CylinderState, std::less<>> {
    using map::map;
    std::optional<Sent> sent;
    std::map<std::string, std::vector<NearbyEvent>, std::less<>> nearby;  ///< by cylinder, the earliest first
    std::optional<Fork> fork;
    RecordedBefore recorded_before;
};

/// What a statement makes of a return. Lot by lot, sent = stated + contaminants + rest.
struct Settlement {
    Lots sent, stated, contaminants, rest;
    Mass tolerance;  ///< of the rest, as between two scales
    [[nodiscard]] bool within_tolerance() const { return total(rest).magnitude() <= tolerance; }
};
Settlement settlement_of(const kinds::Settle& statement, const Lots& sent);
/// Whether the statement settles anything: the first about a return that counts and lies before it.
bool settles(const kinds::Settle& statement, const std::optional<Sent>& sent);

/// How far a first weight may lie from the book between scales or days: 0.5 lb or 1 % of gross, whichever is larger;
/// 2 lb at least for half-ton cylinders. Common practice, no source.
Mass level_tolerance(Mass gross, const CylinderFacts& cylinder);

/// What the event does to the accounts and to its cylinders. `before` must hold every cylinder of cylinders_of(event)
/// (default-constructed where it never had an event). Does not look at voids: the caller leaves those out.
Outcome fold_one(const Event& event, const States& before, const Register& reg);

/// Raised whenever the checks come to find more, or less, in an event than before: a book says by which edition its
/// exceptions were found. 1: issue of the first schema. 2: vacuum-short. 3: statements, recycling, condition of reuse.
/// 4: what two books tell of one thing. 5: over-limit. 6: malformed; a gas that the book has overdrawn counts towards
/// the limit. 7: clock-went-back, clock-ahead. 8:
/// out-of-test by the mark and the basis on record, small appliances, service-ban. 9: certificate-type,
/// mothball-not-evacuated.
inline constexpr int checks_edition = 9;

/// How an event is judged: the fold alone, or the fold and the checks. The book calls it for each event that it has to
/// look at again, and knows nothing of checks itself. There are these two and no others: a book that something else had
/// judged would not agree with its own `check`.
class Evaluator {
 public:
    virtual ~Evaluator() = default;
    virtual Outcome evaluate(const Event& event, const States& before, const Register& reg) const = 0;

 private:
    friend class Judge;
    friend class FoldAlone;
    Evaluator() = default;
    Evaluator(const Evaluator&) = default;
    Evaluator& operator=(const Evaluator&) = default;
};

}  // namespace tarebook
