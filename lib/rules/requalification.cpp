#include "tarebook/requalification.hpp"

#include <algorithm>

#include "tarebook/spec_mark.hpp"

namespace tarebook {
namespace {

// Ton containers carry marks such as 110A500W, which are no cylinder marks; their type ends where the letters do.
std::string ton_container_type(std::string_view spec) {
    for (const auto* type : {"110A", "106A"})
        if (spec.find(type) != std::string_view::npos) return type;
    return {};
}

}  // namespace

RequalificationDue requalification(RulePacks packs, std::string_view spec,
                                   std::optional<std::chrono::year_month> tested, Date on) {
    using Answer = RequalificationDue::Answer;
    std::string type = ton_container_type(spec);
    if (type.empty())
        if (const auto mark = parse_spec_mark(spec)) type = mark->type;
    RequalificationDue out;
    for (const auto& m : matching<terms::Requalification>(packs, {}, on)) {
        const auto& types = m.as<terms::Requalification>().types;
        if (std::find(types.begin(), types.end(), type) != types.end()) out.match = m;
    }
    if (!out.match) {
        out.why = "no rule for this specification in the packs: read the collar, and the regulation of the mark";
        return out;
    }
    const auto& rule = out.match->as<terms::Requalification>();
    using Test = terms::Requalification::Test;
    if (rule.test == Test::not_requalifiable) {
        out.answer = Answer::never;
        out.why = "not requalifiable: non-refillable";
    } else if (rule.test == Test::not_required) {
        out.answer = Answer::no_test;
        out.why = "no test required";
    } else if (!tested) {
        out.answer = Answer::read_the_collar;
        out.why = "date of the last test not on record: read the collar";
    } else {
        const Date first_of_month = std::chrono::sys_days(*tested / 1);
        const std::chrono::year_month_day due(after(first_of_month, *rule.every));
        out.answer = Answer::due;
        out.due_on = std::chrono::sys_days(due.year() / due.month() / std::chrono::last);
    }
    return out;
}

std::optional<GaugePressure> least_test_pressure(const terms::Requalification& rule, int service_psig) {
    if (rule.test_pressure_thirds == 0) return std::nullopt;
    return GaugePressure::psig(service_psig * rule.test_pressure_thirds / 3.0);
}

}  // namespace tarebook
