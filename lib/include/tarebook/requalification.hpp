// When a cylinder is due for requalification, by its specification and the date on its collar.
//
//     auto due = requalification(default_rule_packs(), "DOT-4BA400", parse_month("2022-06").value(), today);
//     due.due_on                                       // 2027-06-30: the last day of that month
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/rules.hpp"

namespace tarebook {

struct RequalificationDue {
    enum class Answer { due, read_the_collar, no_test, never, unknown_type };
    Answer answer = Answer::unknown_type;
    std::optional<Date> due_on;  ///< the last day on which it is in test
    std::optional<RuleMatch> match;
    std::string why;  ///< for people, where there is no date
};
/// `spec` as stamped or typed: "DOT-4BA400", "110A500W".
RequalificationDue requalification(RulePacks packs, std::string_view spec,
                                   std::optional<std::chrono::year_month> tested, Date on);

/// The least test pressure of 49 CFR 180.209(a) for a mark that carries its service pressure.
std::optional<GaugePressure> least_test_pressure(const terms::Requalification& rule, int service_psig);

}  // namespace tarebook
