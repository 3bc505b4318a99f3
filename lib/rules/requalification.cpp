#include "tarebook/rules/requalification.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "tarebook/refrigerant/spec_mark.hpp"

namespace tarebook {
namespace {

// Ton containers have marks such as 110A500W, which are no cylinder marks.
std::string ton_container_type(std::string_view spec) {
    for (const auto* type : {"110A", "106A"})
        if (spec.find(type) != std::string_view::npos) return type;
    return {};
}

// "Pi 0035", "\u03c0": the mark of transportable pressure equipment in Europe, a stamped Greek letter.
std::string pi_type(std::string_view spec) {
    const bool word = spec.size() >= 2 && (spec[0] == 'P' || spec[0] == 'p') && (spec[1] == 'I' || spec[1] == 'i') &&
                      (spec.size() == 2 || spec[2] == ' ' || spec[2] == '-');
    return word || spec.starts_with("\u03c0") || spec.starts_with("\u03a0") ? "PI" : "";
}

Date last_day_of_month(std::chrono::year_month tested, Period every) {
    const std::chrono::year_month_day due(after(Date(std::chrono::sys_days(tested / 1)), every));
    return std::chrono::sys_days(due.year() / due.month() / std::chrono::last);
}

std::string years_text(Period every) {
    constexpr std::array words = {"five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"};
    if (every.unit != Period::Unit::year || every.count < 5 || every.count > 12) return every.text();
    return fmt::format("{} years", words.at(static_cast<std::size_t>(every.count - 5)));
}

bool contains(const std::vector<std::string>& list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}
bool sooner(const std::optional<Period>& one, const std::optional<Period>& other) {
    return one && other && after(Date(), *one) < after(Date(), *other);
}

// What is on record about a cylinder, and the paragraph of 49 CFR 180.209 that gives it a longer period.
struct Basis {
    std::string_view name, words, paragraph;
    std::optional<Period> terms::Requalification::*period;
};
const Basis* basis_named(std::string_view name) {
    using R = terms::Requalification;
    static const std::array all = {
        Basis{"clean-service", "in clean service", "(e)", &R::clean_service},
        Basis{"clean-service-proof", "in clean service after a proof-pressure test", "(e)", &R::clean_service_proof},
        Basis{"star", "by the star on its mark", "(b)", &R::star},
        Basis{"ammonia", "for ammonia alone", "(h)", &R::ammonia}};
    const auto it = std::find_if(all.begin(), all.end(), [&](const Basis& b) { return b.name == name; });
    return it == all.end() ? nullptr : &*it;
}

}  // namespace

RequalificationDue requalification(RulePacks packs, std::string_view spec,
                                   std::optional<std::chrono::year_month> tested, std::string_view basis, Date on,
                                   std::string_view kept_for) {
    using Answer = RequalificationDue::Answer;
    std::string type = ton_container_type(spec);
    if (type.empty()) type = pi_type(spec);
    if (type.empty())
        if (const auto mark = parse_spec_mark(spec)) type = mark->type;
    RequalificationDue out;
    for (const auto& m : matching<terms::Requalification>(packs, {}, on)) {
        const auto& terms = m.as<terms::Requalification>();
        if (!contains(terms.types, type)) continue;
        // If the use of a cylinder is not on record, the rule for some gases applies too: the shorter period.
        if (!terms.gases.empty() && !kept_for.empty() && !contains(terms.gases, kept_for)) continue;
        if (!out.match || sooner(terms.every, out.match->as<terms::Requalification>().every)) out.match = m;
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
        const auto* on_record = basis_named(basis);
        const auto longer = on_record ? rule.*(on_record->period) : std::nullopt;
        out.answer = Answer::due;
        out.due_on = last_day_of_month(*tested, longer.value_or(*rule.every));
        out.period = years_text(longer.value_or(*rule.every));
        const bool us = out.match->pack->jurisdiction == "US";
        out.clause = us ? "49 CFR 180.209(a)" : out.match->rule->clause;
        if (longer) {
            out.period += fmt::format(" {}", on_record->words);
            out.clause = fmt::format("49 CFR 180.209{}", on_record->paragraph);
        } else if (on_record) {
            out.period += fmt::format(", no longer ones for a {} {}", type, on_record->words);
        }
    }
    return out;
}

RequalificationDue requalification_on_record(const Rulebook& rules, const std::optional<std::string>& spec,
                                             const std::optional<std::string>& tested,
                                             const std::optional<std::string>& basis, Date on, std::string_view country,
                                             std::string_view kept_for) {
    std::optional<std::chrono::year_month> month;
    if (tested)
        if (const auto read = parse_month(*tested)) month = *read;
    auto out =
        requalification(rules.packs_of_country(country), spec.value_or(""), month, basis.value_or(""), on, kept_for);
    if (out.answer != RequalificationDue::Answer::unknown_type || !month || !law_of_the_us(country)) return out;
    constexpr Period shortest{5, Period::Unit::year};
    out.answer = RequalificationDue::Answer::due;
    out.due_on = last_day_of_month(*month, shortest);
    out.period = years_text(shortest);
    out.clause = "49 CFR 180.209";
    return out;
}

}  // namespace tarebook
