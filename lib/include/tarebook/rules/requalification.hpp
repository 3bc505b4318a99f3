// When a cylinder is due for requalification, by its specification and the date on its collar.
//
//     auto due = requalification(Rulebook().default_packs(), "DOT-4BA400", parse_month("2022-06").value(), "", today);
//     due.due_on                                       // 2027-06-30: the last day of that month
//
// A longer period needs a basis on record: "clean-service", "clean-service-proof", "star" or "ammonia". The basis
// itself is not checked: it is what a person wrote down about the cylinder.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/rules/rulebook.hpp"

namespace tarebook {

/// The last day in test, or why there is none.
struct RequalificationDue {
    /// `never`: not requalifiable; `unknown_type`: no rule of the packs names the specification.
    enum class Answer { due, read_the_collar, no_test, never, unknown_type };
    Answer answer = Answer::unknown_type;
    std::optional<Date> due_on;      ///< the last day on which it is in test
    std::optional<RuleMatch> match;  ///< nothing where the packs do not know the type
    std::string period;              ///< where there is a date: "five years", "twelve years in clean service"
    std::string clause;              ///< of that period: "49 CFR 180.209(e)"
    std::string why;                 ///< for people, where there is no date
};
/// The answer for a mark as stamped or typed: "DOT-4BA400", "110A500W". A basis that the rule of its type does not know
/// changes nothing. `kept_for`: a designation, where a rule tells gases apart; empty takes the shortest period.
RequalificationDue requalification(RulePacks packs, std::string_view spec,
                                   std::optional<std::chrono::year_month> tested, std::string_view basis, Date on,
                                   std::string_view kept_for = {});

/// The same from the words of a register, by the packs of the country where the cylinder is filled. Under the acts of
/// the United States a mark that is not known, or not on record, takes the shortest period of the table: five years.
/// Elsewhere such a mark gives no day.
RequalificationDue requalification_on_record(const Rulebook& rules, const std::optional<std::string>& spec,
                                             const std::optional<std::string>& tested,
                                             const std::optional<std::string>& basis, Date on,
                                             std::string_view country = {}, std::string_view kept_for = {});

}  // namespace tarebook
