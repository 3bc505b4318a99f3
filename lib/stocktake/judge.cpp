#include <algorithm>
#include <cmath>

#include "offset.hpp"
#include "tarebook/stocktake/stocktake_judge.hpp"
#include "tarebook/units/weight_slips.hpp"

namespace tarebook {

std::string_view text_of(StocktakeWeight verdict) {
    switch (verdict) {
        case StocktakeWeight::not_weighed:
            return "not weighed";
        case StocktakeWeight::not_expected:
            return "no weight expected";
        case StocktakeWeight::agrees:
            return "agrees";
        case StocktakeWeight::gap:
            return "gap";
    }
    return "";
}
std::string_view text_of(StocktakeMark mark) {
    switch (mark) {
        case StocktakeMark::found:
            return "found";
        case StocktakeMark::wrong_place:
            return "wrong place";
        case StocktakeMark::unknown_to_the_book:
            return "unknown to the book";
        case StocktakeMark::wrong_gas:
            return "wrong gas";
        case StocktakeMark::heel:
            return "heel";
        case StocktakeMark::below_tare:
            return "below tare";
    }
    return "";
}

namespace {

using namespace stocktake;

Mass mass_of(double lb) {
    return Mass::from_kilograms(lb * 0.45359237);
}

// By how much the reading exceeds the expected weight because a cap is on now that was off, or the other way round.
Mass cap_difference(const StocktakeCylinder& c) {
    const auto& before = c.expected->weighed;
    if (!c.cap || !before || !c.reading->cap_on || !before->cap_on || *c.reading->cap_on == *before->cap_on) return {};
    return *c.reading->cap_on ? *c.cap : -*c.cap;
}

std::set<StocktakeMark> marks_of(const StocktakeCylinder& c) {
    std::set<StocktakeMark> out;
    if (!c.reading) return out;
    switch (c.book_has) {
        case BookHas::here:
            break;
        case BookHas::elsewhere:
            out.insert(StocktakeMark::wrong_place);
            break;
        case BookHas::lost:
        case BookHas::left:
            out.insert(StocktakeMark::found);
            break;
        case BookHas::nothing:
            out.insert(StocktakeMark::unknown_to_the_book);
            break;
    }
    const bool other_label = c.label && !c.book_gas.empty() && *c.label != c.book_gas;
    if (other_label || c.pressure == PressureSays::other_gas) out.insert(StocktakeMark::wrong_gas);
    if (c.tare) {
        // the tare was weighed on its own, on the maker's scale
        const Mass net = c.reading->gross.mass - *c.tare;
        const Mass within = mass_of(2 * std::sqrt(2.0) * tolerance_lb(*c.reading)) + division_of(*c.reading);
        if (net < -within)
            out.insert(StocktakeMark::below_tare);
        else if (c.heel && net <= *c.heel)
            out.insert(StocktakeMark::heel);
    }
    return out;
}

// Names the slip, or the cap, that would explain the difference.
std::string slip_of(const StocktakeCylinder& c, const Difference& d) {
    const double expected_lb = d.load_lb - d.rest_lb;
    const auto meets = [&](double lb) { return std::abs(lb - expected_lb) <= 3 * d.standard_lb; };
    for (const auto& meant : weights_that_may_be_meant(c.reading->gross, c.reading->reads))
        if (meets(meant.mass.in_pounds())) return std::string(text_of(meant.slip));
    const auto& before = c.expected->weighed;
    const bool both_known = before && before->cap_on && c.reading->cap_on;
    if (c.cap && !both_known) {
        if (meets(d.load_lb + c.cap->in_pounds())) return "cap off?";
        if (meets(d.load_lb - c.cap->in_pounds())) return "cap on?";
    }
    if (!c.cap && both_known && *before->cap_on != *c.reading->cap_on && *c.reading->cap_on == (d.rest_lb > 0))
        return *c.reading->cap_on ? "its cap is on, and was off?" : "its cap is off, and was on?";
    return {};
}

// One without a tare weighs more than what is in it: a reading below that is a gap, of which only the least is known.
void judge_by_contents(const StocktakeCylinder& c, StocktakeVerdict& verdict, double false_alarms) {
    const Mass missing = c.reading->gross.mass - *c.holds;
    const double standard_lb = uncertainty_of(*c.reading, {*c.holds, {}, {}, {}}).standard_lb;
    if (probability_of_passing(missing.in_pounds() / standard_lb) > false_alarms / 2 || !missing.is_negative()) return;
    verdict.weight = StocktakeWeight::gap;
    verdict.difference = verdict.gap = missing;
    verdict.uncertainty = mass_of(2 * standard_lb);
    verdict.times_standard = missing.in_pounds() / standard_lb;
    verdict.may_be = "less than its contents, without its tare";
}

}  // namespace

StocktakeVerdicts judge_stocktake(std::span<const StocktakeCylinder> cylinders, double false_alarms) {
    StocktakeVerdicts out;
    out.cylinders.resize(cylinders.size());
    std::vector<Difference> differences;
    std::vector<std::size_t> cylinder_of;
    for (std::size_t i = 0; i < cylinders.size(); ++i) {
        const auto& c = cylinders[i];
        auto& verdict = out.cylinders[i];
        verdict.marks = marks_of(c);
        if (!c.reading) continue;
        verdict.weight = StocktakeWeight::not_expected;
        if (!c.expected) {
            if (c.holds) judge_by_contents(c, verdict, false_alarms);
            continue;
        }
        verdict.difference = c.reading->gross.mass - c.expected->gross - cap_difference(c);
        const auto& before = c.expected->weighed;
        differences.push_back({verdict.difference.in_pounds(), uncertainty_of(*c.reading, *c.expected),
                               c.reading->scale, before ? before->scale : "", c.reading->gross.mass.in_pounds(),
                               before ? before->gross.mass.in_pounds() : 0, 0, 0});
        cylinder_of.push_back(i);
    }
    out.offsets = take_offsets_out(differences, false_alarms / 2);

    // Holm's method: the farthest first, each against what is left of the error rate.
    std::vector<std::size_t> order(differences.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    const auto deviate = [&](std::size_t i) { return std::abs(differences[i].rest_lb) / differences[i].standard_lb; };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return deviate(a) > deviate(b); });
    bool still = true;
    for (std::size_t rank = 0; rank < order.size(); ++rank) {
        const auto& d = differences[order[rank]];
        const auto& c = cylinders[cylinder_of[order[rank]]];
        auto& verdict = out.cylinders[cylinder_of[order[rank]]];
        verdict.gap = mass_of(d.rest_lb);
        verdict.uncertainty = mass_of(2 * d.standard_lb);
        verdict.shared = mass_of(2 * d.uncertainty.shared_lb);
        verdict.times_standard = d.rest_lb / d.standard_lb;
        still = still && probability_of_passing(verdict.times_standard) <=
                             false_alarms / 2 / static_cast<double>(order.size() - rank);
        verdict.weight = still ? StocktakeWeight::gap : StocktakeWeight::agrees;
        if (still) verdict.may_be = slip_of(c, d);
    }
    return out;
}

}  // namespace tarebook
