// How fast an appliance loses refrigerant, by the two methods of 40 CFR 82.152 and 84.102, from the additions to it:
// pure functions over a list, no book and no clock. Every rate carries what it was computed from, so that a page can
// show it.
//
//     auto additions = sorted(movements, excluded).additions;   // net per job; what is excluded, with the reason
//     auto rate = leak_rate(additions, additions.size() - 1, full_charge, {.method = LeakRateMethod::annualizing});
//     rate->rate > Ratio::of(Percent::whole(20));
//     formula_text(*rate);
//
// Own readings, where the text that was read leaves a gap; each is said in the result's words:
//   - same-day additions are one; an interval of no days (the day of the first charge) counts as one day;
//   - a first addition on record, with no earlier date known, is put over the longest interval, 365 days;
//   - the day "last added" is that of an addition that counts, of an initial charge or of a conversion; what comes back
//     with a season or after a repair, and is no more than what was taken out, is none;
//   - additions for one leak are one addition, over the days since the addition before the first of them; where those
//     reach back more than 365 days, only what was added in the last 365 days counts;
//   - the rolling window is 365 days with the day itself as the last.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/event/event.hpp"
#include "tarebook/rules/rule_terms.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook {

/// The two methods of the regulation.
enum class LeakRateMethod { annualizing, rolling };
/// The word of the register: "annualizing".
std::string_view text_of(LeakRateMethod method);
/// The method of such a word; nothing for any other text.
std::optional<LeakRateMethod> leak_rate_method_from(std::string_view text);

/// Mass put into an appliance; negative where it was taken out. Releases are none: the gas that replaces them counts.
struct ApplianceMovement {
    Date on{};
    std::optional<std::string> job;
    Mass mass;
    Reason reason = Reason::leak;
    std::string leak;    ///< "L-3" where the job was for a known leak
    std::string source;  ///< the event: "E12"
};

/// What one job (or, without a job, one day) put into the appliance beyond what it took out.
struct LeakAddition {
    Date on{};  ///< of the job's last movement
    std::optional<std::string> job;
    std::string leak;
    Mass mass;      ///< what counts; zero where all of it is excluded
    Mass excluded;  ///< put in for a reason that the definition of a leak rate leaves out
    std::vector<Reason> excluded_reasons;
    std::vector<std::string> sources;
    Mass put_back = {};            ///< what other jobs had taken out for a repair: no part of `mass`
    Mass put_back_uncovered = {};  ///< part of `mass`: called put back, though nothing on record was taken out for it
    /// Whether any of it counts.
    [[nodiscard]] bool counts() const { return !mass.is_zero(); }
    /// Whether any of it was put in for a first charge or a conversion.
    [[nodiscard]] bool has_first_charge() const;
};

/// Mass taken out of an appliance for a repair. It is out until it is put back, by its own job or by another one with
/// the reason put-back; or until the appliance gets another gas or is disposed of.
struct TakenOut {
    Date on{};
    std::optional<std::string> job;
    Mass mass;
    Mass left;                    ///< still out
    std::string source;           ///< the event
    std::optional<Date> back_on;  ///< the day on which the last of it came back
    std::string back_by;          ///< the event that brought it
};

/// What the movements of an appliance come to.
struct SortedMovements {
    std::vector<LeakAddition> additions;  ///< by day
    std::vector<TakenOut> taken_out;      ///< for repairs, in order of time, also what is back
};
/// Of the additions: movements with an excluded reason are left out of their job's net, and so is a seasonal put-in
/// up to what was taken out seasonally in the 12 months before it; the rest of it counts. A put-back counts as far as
/// it exceeds what this job and others took out for a repair. Jobs that put in nothing net are no addition.
SortedMovements sorted(const std::vector<ApplianceMovement>& movements, const std::vector<Reason>& excluded);

/// The full charge over time: each value holds from its day on, the first one also before.
struct FullChargeRevision {
    Date from{};
    Mass full_charge;
};
/// The full charge on a day; nothing where none is on record, or it is zero.
std::optional<Mass> full_charge_on(const std::vector<FullChargeRevision>& revisions, Date on);

/// What a leak rate rests on beside additions and full charge.
struct LeakRateOptions {
    LeakRateMethod method = LeakRateMethod::annualizing;
    int longest_days = 365;  ///< an interval is counted as no longer
    /// Successful follow-up tests that showed all known leaks repaired: the rolling window begins after the last.
    std::vector<Date> repaired;
    /// The day of the first charge, where that is known and no addition says so.
    std::optional<Date> installed;
    /// The same with the longest interval of that rule.
    [[nodiscard]] LeakRateOptions by(const terms::LeakRateCalculation& rule) const;
};

/// Why the divisor of an annualized rate is what it is.
enum class DaysBasis { counted, capped, same_day, first_on_record };

/// A leak rate with all that it was computed from.
struct LeakRate {
    Date on{};
    LeakRateMethod method = LeakRateMethod::annualizing;
    Ratio rate;
    Mass counted;  ///< the additions that the rate rests on, together
    Mass full_charge;
    std::vector<std::size_t> additions;  ///< their positions in the list
    int days = 0;                        ///< the divisor, or the length of the window
    int longest_days = 365;
    DaysBasis basis = DaysBasis::counted;
    std::optional<Date> since;     ///< the addition before, or the first day of the window
    bool since_follow_up = false;  ///< the window is cut by a follow-up test
    std::string leak;              ///< additions for this leak are counted as one
};

/// The rate that addition `which` shows; `additions` by day, as sorted() gives them. Nothing where it does not
/// count, or where no full charge is on record. Throws std::out_of_range where there is no such addition,
/// Refused (too-large) as Ratio does.
std::optional<LeakRate> leak_rate(const std::vector<LeakAddition>& additions, std::size_t which,
                                  const std::vector<FullChargeRevision>& full_charge, const LeakRateOptions& options);

/// For people: "5.00 lb / 900.00 lb x 365 / 60 days = 3.4 %", and what had to be assumed. `threshold`: the limit that
/// the shown figure must not be on the wrong side of.
std::string formula_text(const LeakRate& rate, std::optional<Percent> threshold = std::nullopt,
                         DisplayUnits units = DisplayUnits::lb);

/// How much may be added on a day, for no leak in particular, so that the rate stays within the threshold. Zero if it
/// is `already_over`.
struct Margin {
    Date on{};
    Mass mass;
    int days = 0;  ///< the divisor, or the length of the window
    bool already_over = false;
};
/// Nothing where no full charge is on record.
std::optional<Margin> margin_on(const std::vector<LeakAddition>& additions, Date on,
                                const std::vector<FullChargeRevision>& full_charge, const LeakRateOptions& options,
                                const terms::LeakRateThreshold& threshold);

/// The additions of a calendar year against its full charge, 40 CFR 82.157(j) and 84.106(j).
struct ChronicYear {
    std::chrono::year year{};
    Mass added;
    Mass full_charge;  ///< at the end of the year
    Ratio share;       ///< of the full charge
    bool reached = false;
    Date report_due{};
};
/// Nothing where no full charge is on record.
std::optional<ChronicYear> chronic_year(const std::vector<LeakAddition>& additions, std::chrono::year year,
                                        const std::vector<FullChargeRevision>& full_charge,
                                        const terms::ChronicReport& rule);

}  // namespace tarebook
