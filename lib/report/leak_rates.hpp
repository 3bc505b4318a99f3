// The leak rates of an appliance from the book: its movements with their reasons, the additions they come to, the rate
// of each, and the rules that speak to it on that day. Nothing here is refused or claimed: figures, clause and status.
#pragma once

#include <optional>
#include <string>
#include <vector>

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
    std::optional<LeakRate> rate;  ///< nothing where the full charge is not on record, or nothing counts
    std::optional<RuleMatch> regime, threshold;
    std::optional<RuleMatch> purged;  ///< what leaves out of it what takes the place of purged gas
    bool exceeded = false;
};

struct LeakRecord {
    std::string appliance;
    RuleSubject now;
    std::vector<const RulePack*> packs;
    std::vector<std::string> unknown_packs;    ///< named by the site, and not known to this program
    std::vector<std::string> packs_elsewhere;  ///< named by the site, and of another country
    std::string country;                       ///< where the site stands; empty: not on record
    LeakRateOptions options;
    bool method_on_record = false;
    std::vector<FullChargeRevision> full_charge;
    std::vector<LeakEvent> events;  ///< what is on record about its leaks, in order of time
    std::vector<LeakAddition> additions;
    std::vector<TakenOut> taken_out;   ///< for repairs, and whether it is back
    std::vector<RatedAddition> rated;  ///< one for each of the additions
};

/// What the register says of an appliance at a moment.
RuleSubject subject_at(const Entry& appliance, const OrderKey& when);

/// The packs and the method that the site names, and nothing else.
LeakRecord packs_of(const Entry& site);

/// All additions up to and with `until`.
LeakRecord leak_record(const Book& book, std::string_view appliance, Date until);
LeakRecord leak_record(const Book& book, std::string_view appliance, Date until, const LeakLog& log);

/// A movement with the event that says why; without a source where nobody asked.
struct KnownMovement {
    ApplianceMovement movement;
    Moment when;
    OrderKey order;
    std::optional<Percent> destroyed = {};  ///< of purged gas that it takes the place of
};
/// What a charge or reuse says was destroyed of the purged gas whose place it takes.
std::optional<Percent> destroyed_by(const Event& event);
/// From movements that are at hand, in order of time.
LeakRecord leak_record(const Book& book, std::string_view appliance, const std::vector<KnownMovement>& known,
                       const LeakLog& log);

/// An addition less than so long before another may be for the same leak. Common practice, no source.
inline constexpr std::chrono::days soon_after{30};
/// The last one before `which` that counts, lies less than that before it, and is not known to be for the same leak.
const RatedAddition* addition_soon_before(const LeakRecord& record, const RatedAddition& which);

/// How far back a rate normally reaches: a rule counts 365 days at most, from the addition before.
inline constexpr std::chrono::days recent{2 * 366};
/// As leak_record, where `flows` (of whole jobs of the appliance, from `until` - recent to `until`) are at hand and
/// only the rates of that day are wanted. Where one reaches further back, all flows are read after all.
LeakRecord recent_leak_record(const Book& book, std::string_view appliance, const std::vector<Flow>& flows, Date until);

/// "10 % (40 CFR 84.106(c)(2), read in print)"
std::string threshold_text(const RuleMatch& threshold);
/// "over its threshold of 20 % (40 CFR 84.106(c)(2))", or "threshold 20 % (...)"
std::string verdict_text(const RatedAddition& rated);

}  // namespace tarebook::report
