// The clocks of a cylinder: its next requalification, a heel before disposal, an awaited statement.
#include <fmt/format.h>

#include "tarebook/refrigerant/spec_mark.hpp"
#include "tarebook/rules/clocks.hpp"
#include "tarebook/rules/evacuation.hpp"
#include "tarebook/rules/requalification.hpp"

namespace tarebook {

std::vector<Clock> cylinder_clocks(RulePacks packs, const CylinderHistory& cylinder, Date on) {
    std::vector<Clock> out;
    if (!cylinder.in_service || cylinder.spec.empty()) return out;
    const auto due = requalification(packs, cylinder.spec, cylinder.tested, cylinder.basis, on, cylinder.kept_for);
    using Answer = RequalificationDue::Answer;
    if (due.answer == Answer::due || due.answer == Answer::read_the_collar) {
        Clock c;
        c.what = ClockKind::requalification;
        c.subject = cylinder.cylinder;
        c.opened_by = cylinder.tested_by;
        c.due_on = due.due_on;
        c.text = due.due_on ? fmt::format("requalify before it is filled after that day ({}{})", cylinder.spec,
                                          cylinder.basis.empty() ? "" : ", " + due.period)
                            : "read the collar: the date of its last test is not on record";
        c.rule = due.match;
        out.push_back(std::move(c));
    }
    const auto mark = parse_spec_mark(cylinder.spec);
    if (!cylinder.empty_with_heel || !mark || mark->refillable) return out;
    if (const auto rule = first_matching<terms::Heel>(packs, {}, on)) {
        Clock c;
        c.what = ClockKind::heel;
        c.subject = cylinder.cylinder;
        c.opened_by = cylinder.emptied_by;
        c.opened_on = cylinder.emptied_on;
        c.text = fmt::format("before it is thrown away: draw the heel down to {}; {}",
                             level_text(rule->as<terms::Heel>().vacuum, cylinder.units), rule->rule->note);
        c.rule = rule;
        out.push_back(std::move(c));
    }
    return out;
}

Clock statement_clock(const ReturnAwaiting& sent) {
    Clock c;
    c.what = ClockKind::statement;
    c.subject = sent.cylinder;
    c.opened_by = sent.event;
    c.opened_on = sent.on;
    c.text =
        fmt::format("{}'s statement of what came in: the shop awaits it, no rule of the packs asks for it", sent.to);
    return c;
}

}  // namespace tarebook
