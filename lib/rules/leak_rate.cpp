#include "tarebook/rules/leak_rate.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tarebook {
namespace {

using std::chrono::days;

int days_between(Date from, Date to) {
    return static_cast<int>((to - from).count());
}

// The place of the first addition on that day or later. Additions are by day, and an appliance may have thousands.
std::size_t from_day(const std::vector<LeakAddition>& additions, Date day) {
    const auto before = [](const LeakAddition& a, Date on) { return a.on < on; };
    return static_cast<std::size_t>(std::lower_bound(additions.begin(), additions.end(), day, before) -
                                    additions.begin());
}

// The divisor of a rate on one day, without the mass that is added on that day.
struct Divisor {
    int days = 0;
    DaysBasis basis = DaysBasis::counted;
    std::optional<Date> since;
};

// Counted from the last addition that counts, first charge or conversion before `first`; else from the day of the first
// charge; else the start is not known.
Divisor annualizing_divisor(const std::vector<LeakAddition>& additions, Date first, Date on,
                            const LeakRateOptions& options) {
    std::optional<Date> since;
    bool first_charge_that_day = options.installed == first;
    const auto that_day = from_day(additions, first);
    for (auto i = that_day; i < additions.size() && additions[i].on == first; ++i)
        first_charge_that_day = first_charge_that_day || additions[i].has_first_charge();
    for (auto i = that_day; i-- > 0 && !since;)
        if (additions[i].counts() || additions[i].has_first_charge()) since = additions[i].on;
    if (!since && options.installed && *options.installed < first) since = options.installed;
    if (!since && first_charge_that_day)
        return {std::clamp(days_between(first, on), 1, options.longest_days), DaysBasis::same_day, first};
    if (!since) return {options.longest_days, DaysBasis::first_on_record, std::nullopt};
    const int passed = days_between(*since, on);
    if (passed > options.longest_days) return {options.longest_days, DaysBasis::capped, since};
    return {passed, DaysBasis::counted, since};
}

struct Window {
    Date first{};
    bool since_follow_up = false;
};
// The last 365 days including the day itself, or the days after the last follow-up test that showed all leaks repaired.
Window rolling_window(Date on, const LeakRateOptions& options) {
    Window out{on - days(options.longest_days - 1), false};
    for (const auto repaired : options.repaired)
        if (repaired < on && repaired + days(1) > out.first) out = {repaired + days(1), true};
    return out;
}

// The rate on a day for one leak, or, with an empty `leak`, for all together. Its mass may be zero: a margin starts
// from such a rate.
LeakRate base(const std::vector<LeakAddition>& additions, Date on, const std::string& leak, Mass full_charge,
              const LeakRateOptions& options) {
    LeakRate out;
    out.on = on;
    out.method = options.method;
    out.full_charge = full_charge;
    out.longest_days = options.longest_days;
    out.leak = leak;
    MassTotal counted;
    const auto count = [&](std::size_t i) {
        counted += additions[i].mass;
        out.additions.push_back(i);
    };
    if (options.method == LeakRateMethod::rolling) {
        const auto window = rolling_window(on, options);
        for (auto i = from_day(additions, window.first); i < additions.size() && additions[i].on <= on; ++i)
            if (additions[i].counts()) count(i);
        out.days = days_between(window.first, on) + 1;
        out.since = window.first;
        out.since_follow_up = window.since_follow_up;
        out.leak.clear();
    } else {
        const auto same = [&](const LeakAddition& a) {
            return a.counts() && (a.on == on || (!leak.empty() && a.leak == leak && a.on < on));
        };
        Date first = on;
        for (std::size_t i = 0; !leak.empty() && i < additions.size() && first == on; ++i)
            if (same(additions[i])) first = std::min(first, additions[i].on);
        const auto divisor = annualizing_divisor(additions, first, on, options);
        for (auto i = from_day(additions, leak.empty() ? on : on - days(options.longest_days - 1));
             i < additions.size() && additions[i].on <= on; ++i)
            if (same(additions[i])) count(i);
        out.days = divisor.days;
        out.basis = divisor.basis;
        out.since = divisor.since;
    }
    out.counted = counted.value();
    out.rate = Ratio::of(out.counted, full_charge);
    if (options.method == LeakRateMethod::annualizing) out.rate = out.rate.scaled(options.longest_days, out.days);
    return out;
}

std::string lb(Mass mass) {
    return pounds_text(mass) + " lb";
}

}  // namespace

bool LeakAddition::has_first_charge() const {
    return std::any_of(excluded_reasons.begin(), excluded_reasons.end(),
                       [](Reason reason) { return reason != Reason::seasonal && reason != Reason::purged; });
}

LeakRateOptions LeakRateOptions::by(const terms::LeakRateCalculation& rule) const {
    auto out = *this;
    out.longest_days = rule.longest_days;
    return out;
}

std::string_view text_of(LeakRateMethod method) {
    return method == LeakRateMethod::annualizing ? "annualizing" : "rolling";
}
std::optional<LeakRateMethod> leak_rate_method_from(std::string_view text) {
    if (text == "annualizing") return LeakRateMethod::annualizing;
    if (text == "rolling") return LeakRateMethod::rolling;
    return std::nullopt;
}

std::optional<Mass> full_charge_on(const std::vector<FullChargeRevision>& revisions, Date on) {
    const FullChargeRevision* valid = nullptr;
    const FullChargeRevision* earliest = nullptr;
    for (const auto& r : revisions) {
        if (!earliest || r.from < earliest->from) earliest = &r;
        if (r.from <= on && (!valid || r.from >= valid->from)) valid = &r;
    }
    if (!valid) valid = earliest;
    if (!valid || valid->full_charge <= Mass()) return std::nullopt;
    return valid->full_charge;
}

std::optional<LeakRate> leak_rate(const std::vector<LeakAddition>& additions, std::size_t which,
                                  const std::vector<FullChargeRevision>& full_charge, const LeakRateOptions& options) {
    const auto& addition = additions.at(which);
    const auto full = full_charge_on(full_charge, addition.on);
    if (!addition.counts() || !full) return std::nullopt;
    return base(additions, addition.on, addition.leak, *full, options);
}

std::string formula_text(const LeakRate& r, std::optional<Percent> threshold, DisplayUnits units) {
    const auto shown = [&](Mass mass) { return units == DisplayUnits::kg ? mass_text(mass, units) : lb(mass); };
    std::string out = fmt::format("{} / {}", shown(r.counted), shown(r.full_charge));
    if (r.method == LeakRateMethod::annualizing)
        out += fmt::format(" x {} / {} day{}", r.longest_days, r.days, r.days == 1 ? "" : "s");
    out += " = " + percent_text(r.rate, threshold);
    if (r.method == LeakRateMethod::rolling)
        return out + fmt::format(", rolling average: {} addition{} from {} to {}{}", r.additions.size(),
                                 r.additions.size() == 1 ? "" : "s", date_text(*r.since), date_text(r.on),
                                 r.since_follow_up ? ", since the follow-up test that showed all leaks repaired" : "");
    out += ", annualizing";
    if (r.additions.size() > 1)
        out += fmt::format(": {} additions counted as one{}", r.additions.size(),
                           r.leak.empty() ? " of that day" : " for " + r.leak);
    switch (r.basis) {
        case DaysBasis::counted:
            return out + fmt::format("; added before that on {}", date_text(*r.since));
        case DaysBasis::capped:
            return out + fmt::format("; added before that on {}, and no more than {} days count", date_text(*r.since),
                                     r.longest_days);
        case DaysBasis::same_day:
            return out +
                   fmt::format("; first charged on {}, and the day itself counts as one (own reading, to confirm)",
                               date_text(*r.since));
        case DaysBasis::first_on_record:
            return out + fmt::format(
                             "; the first addition on record: with no earlier date, {} days are taken (own "
                             "reading, to confirm: a shorter time would give a higher rate)",
                             r.longest_days);
    }
    return out;
}

std::optional<Margin> margin_on(const std::vector<LeakAddition>& additions, Date on,
                                const std::vector<FullChargeRevision>& full_charge, const LeakRateOptions& options,
                                const terms::LeakRateThreshold& threshold) {
    const auto full = full_charge_on(full_charge, on);
    if (!full) return std::nullopt;
    const auto now = base(additions, on, "", *full, options);
    auto allowed_share = Ratio::of(threshold.threshold);
    if (threshold.threshold > Percent::whole(0) && options.method == LeakRateMethod::annualizing)
        allowed_share = allowed_share.scaled(now.days, options.longest_days);
    Mass allowed = allowed_share.part_of(*full);
    if (threshold.compare == Comparison::at_least && allowed_share.divides(*full)) allowed -= Mass::from_count(1);
    Margin out{on, {}, now.days, now.counted > allowed};
    if (!out.already_over) out.mass = allowed - now.counted;
    return out;
}

std::optional<ChronicYear> chronic_year(const std::vector<LeakAddition>& additions, std::chrono::year year,
                                        const std::vector<FullChargeRevision>& full_charge,
                                        const terms::ChronicReport& rule) {
    const Date first = std::chrono::sys_days(year / std::chrono::January / 1);
    const Date last = std::chrono::sys_days(year / std::chrono::December / 31);
    const auto full = full_charge_on(full_charge, last);
    if (!full) return std::nullopt;
    MassTotal added;
    for (const auto& a : additions)
        if (a.on >= first && a.on <= last) added += a.mass;
    const auto share = Ratio::of(added.value(), *full);
    return ChronicYear{year,
                       added.value(),
                       *full,
                       share,
                       reaches(share, rule.compare, rule.of_full_charge),
                       std::chrono::sys_days((year + std::chrono::years(1)) / rule.due)};
}

}  // namespace tarebook
