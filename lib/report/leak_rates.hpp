// The leak rates of an appliance: its movements with their reasons, the additions that follow from them, the rate of
// each, and the rules that apply to it on that day. Gives figures, clause and status; refuses nothing and claims
// nothing.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "additions.hpp"
#include "leak_log.hpp"
#include "shared_text.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"
#include "tarebook/rules/leak_rate.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::report {

struct RatedAddition {
    LeakAddition addition;
    std::string event;  ///< of the job's last movement
    Moment when;
    std::optional<LeakRate> rate;  ///< empty if the full charge is not on record, or if nothing counts
    std::optional<RuleMatch> regime, threshold;
    std::optional<RuleMatch> purged;  ///< the rule that leaves out what replaces purged gas
    bool exceeded = false;
};

/// How many additions count, and how many of them are over their threshold.
struct AdditionCount {
    std::int64_t all = 0, over = 0;
    void take(const RatedAddition& rated) {
        if (!rated.addition.counts()) return;
        ++all;
        over += rated.exceeded ? 1 : 0;
    }
};

struct LeakRecord {
    std::string appliance;
    RuleSubject now;
    std::vector<const RulePack*> packs;
    std::vector<std::string> unknown_packs;    ///< packs that the site names and this program does not have
    std::vector<std::string> packs_elsewhere;  ///< named by the site, and of another country
    std::string country;                       ///< the country of the site; empty if it is not on record
    LeakRateOptions options;
    bool method_on_record = false;
    std::vector<FullChargeRevision> full_charge;
    std::vector<LeakEvent> events;  ///< what is on record about its leaks, in order of time
    std::vector<LeakAddition> additions;
    std::vector<TakenOut> taken_out;   ///< for repairs, and whether it was put back
    std::vector<RatedAddition> rated;  ///< one for each of the additions, or for the last ones
};

/// The fields of an appliance at a moment, for the rules.
RuleSubject subject_at(const Catalogue& catalogue, const Entry& appliance, const OrderKey& when);

/// The packs and the method of the site alone.
LeakRecord packs_of(const Rulebook& rules, const Entry& site);

/// No event is later.
inline constexpr Date last_day_of_all{std::chrono::days(2'900'000)};
/// All additions up to and including `until`.
LeakRecord leak_record(const Book& book, std::string_view appliance, Date until);
LeakRecord leak_record(const Book& book, std::string_view appliance, Date until, const LeakLog& log);

/// A movement with the event that gives its reason; without a source if the caller does not need one.
struct KnownMovement {
    std::int64_t event = 0;  ///< a number that all movements of one event have, and no other one
    ApplianceMovement movement;
    Moment when;
    OrderKey order;
    std::optional<Percent> destroyed = {};  ///< of the purged gas that it replaces
};
/// How much of the purged gas that a charge or reuse replaces was destroyed.
std::optional<Percent> destroyed_by(const Event& event);
/// From movements that the caller has, in order of time. One event is one movement, of several lots and of what is
/// pumped over within the appliance. `rated_from`: of additions before that day `rated` has none.
LeakRecord leak_record(const Book& book, std::string_view appliance, std::vector<KnownMovement> known,
                       const LeakLog& log, Date rated_from = beginning);

/// An addition within this time after another may be for the same leak (common practice, no source).
inline constexpr std::chrono::days soon_after{30};
/// The last addition before `which` that counts, is within `soon_after` before it, and is not known to be for the same
/// leak.
const RatedAddition* addition_soon_before(const LeakRecord& record, const RatedAddition& which);

/// How far back a rate normally reaches: a rule counts at most 365 days from the addition before.
inline constexpr std::chrono::days recent{2 * 366};
/// As leak_record, for the rates of one day, from `flows` of whole jobs of the appliance between `until` - recent and
/// `until`. If a rate reaches further back, all flows are read.
LeakRecord recent_leak_record(const Book& book, std::string_view appliance, const std::vector<Flow>& flows, Date until);

/// "10 % (40 CFR 84.106(c)(2), read in print)"
std::string threshold_text(const RuleMatch& threshold);
/// "over its threshold of 20 % (40 CFR 84.106(c)(2))", or "threshold 20 % (...)"
std::string verdict_text(const RatedAddition& rated);

}  // namespace tarebook::report
