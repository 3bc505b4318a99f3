#include "fill.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cautions.hpp"
#include "tarebook/checks/mixing.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/rules/requalification.hpp"
#include "unit_text.hpp"

namespace tarebook::report {
namespace {

// 131 F: in the United States 49 CFR 173.304(b), clause from memory; elsewhere the same figure, as physics alone
constexpr Temperature transport_limit = Temperature::celsius(55);
constexpr Temperature hot_van = Temperature::fahrenheit(130);  // common practice, no source

Mass usual_division(DisplayUnits units) {
    return units == DisplayUnits::lb ? Mass::thousandths_of_a_pound(50) : Mass::from_count(20 * Mass::counts_per_gram);
}

FillConditions conditions_of(const RoomQuestion& question, DisplayUnits units) {
    FillConditions out = question;
    if (!out.division) out.division = usual_division(units);
    out.units = units;
    return out;
}

bool full_below(const Saturated<Temperature>& full, Temperature limit) {
    return full ? *full < limit : full.error().side == OutsideTable::Side::colder;
}
bool known(const Saturated<Temperature>& full) {
    return full || full.error().side != OutsideTable::Side::no_table;
}

}  // namespace

Result<FillView> fill_view(const RoomQuestion& question, DisplayUnits units) {
    auto now = fill_limit_now(question.data, question, question, conditions_of(question, units));
    if (!now) return fail(now.error());
    FillView view;
    static_cast<FillLimitNow&>(view) = std::move(*now);
    view.scale_reads = question.scale_reads;
    if (view.net_now > view.limits.net() && question.contents.size() == 1 && !question.mixed)
        view.liquid_full_now =
            liquid_full_temperature(*question.contents.front(), view.net_now, *question.facts.water_capacity);
    return view;
}

std::optional<FillWeights> fill_weights_of(FillLimitMemo& limits, const RoomQuestion& question, DisplayUnits units) {
    if (!question.facts.water_capacity || !question.facts.tare) return std::nullopt;
    const auto& limit =
        limits.smallest(fill_question(question.data.rules, question.facts, question, question.stored_at));
    if (!limit) return std::nullopt;
    return fill_weights(limit->net, question, conditions_of(question, units));
}

std::optional<FillView> fill_view_of(const Book& book, std::string_view cylinder, DisplayUnits units,
                                     const std::optional<std::string>& scale) {
    const auto question = room_question_for(book, cylinder, scale);
    if (!question) return std::nullopt;
    auto view = fill_view(*question, units);
    if (!view) return std::nullopt;
    return std::move(*view);
}

std::string watched_text(Mass mass, const FillView& fill, DisplayUnits units) {
    if (!fill.scale_reads || *fill.scale_reads == units) return mass_text_down(mass, units);
    return fmt::format("{} ({})", mass_text_down(mass, *fill.scale_reads), mass_text_down(mass, units));
}

std::string liquid_full_text(const FillView& view, DisplayUnits units) {
    const auto van = fmt::format("a closed van can pass {}", degrees(hot_van, units));
    if (view.liquid_full_now && known(*view.liquid_full_now))
        return fmt::format("liquid-full {} as it is now; {}", liquid_full_words(*view.liquid_full_now, units), van);
    if (!view.limits.liquid_full || !known(*view.limits.liquid_full))
        return "liquid-full temperature: not known for this content; keep it cool";
    return fmt::format("liquid-full {} when filled to the limit; {}",
                       liquid_full_words(*view.limits.liquid_full, units), van);
}

std::string month_text(std::chrono::year_month month) {
    return fmt::format("{:04}-{:02}", static_cast<int>(month.year()), static_cast<unsigned>(month.month()));
}
namespace {
bool under_us_law(const CylinderFacts& facts) {
    return law_of_the_us(facts.country.value_or(""));
}
RequalificationDue requalification_of(const Rulebook& rules, const CylinderFacts& facts) {
    // no rule of a period changed by date so far: any day asks for the same
    return requalification_on_record(rules, facts.spec, facts.tested, facts.test_basis, Date::max(),
                                     facts.country.value_or(""), facts.refrigerant.value_or(""));
}
}  // namespace

std::optional<std::chrono::year_month> test_due(const Rulebook& rules, const CylinderFacts& facts) {
    const auto due = requalification_of(rules, facts);
    if (!due.due_on) return std::nullopt;
    const std::chrono::year_month_day day(*due.due_on);
    return day.year() / day.month();
}
bool test_is_over(const Rulebook& rules, const CylinderFacts& facts, Instant now) {
    const auto due = test_due(rules, facts);
    const std::chrono::year_month_day today{std::chrono::floor<std::chrono::days>(now)};
    return due && std::chrono::year_month{today.year(), today.month()} > *due;
}
std::string test_text(const Rulebook& rules, const CylinderFacts& facts, Instant now) {
    const auto due = requalification_of(rules, facts);
    using Answer = RequalificationDue::Answer;
    if (due.answer == Answer::no_test || due.answer == Answer::never)
        return fmt::format("test: {} ({})", due.why, *facts.spec);
    if (due.answer == Answer::unknown_type && facts.spec && !under_us_law(facts)) return "test: " + due.why;
    if (!due.due_on) return "test due: not on record, read the collar";
    return fmt::format(
        "{} {} (tested {}, {}{}{})",
        test_is_over(rules, facts, now) ? "OUT OF TEST since" : "test due:", month_text(*test_due(rules, facts)),
        *facts.tested, facts.test_basis ? "" : "usual ", due.period,
        under_us_law(facts) ? "" : fmt::format("; {}, {}", due.clause, tarebook::text_of(due.match->status())));
}

std::vector<FillBar> fill_bars(const RoomQuestion& question, Instant now, DisplayUnits units) {
    std::vector<FillBar> out;
    const auto& s = question.state;
    const auto& f = question.facts;
    const auto& rules = question.data.rules;
    if (const auto why = not_in_register(question); !why.empty())
        out.push_back({std::string(not_in_register_bar),
                       fmt::format("{}; before gas goes in: tarebook cylinder add {}", why, question.code)});
    if (s.leaking) out.push_back({"leaking", "LEAKING: do not fill, do not transport"});
    if (s.condemned) out.push_back({"condemned", "CONDEMNED: do not fill"});
    if (s.lost) out.push_back({"lost", "the book has it as lost: record `found` first"});
    if (s.gone) out.push_back({"gone", "the book has it as gone from the shop"});
    const auto mark = f.spec ? parse_spec_mark(*f.spec) : std::nullopt;
    const bool one_filling = mark && !mark->refillable;
    if (one_filling)
        out.push_back(
            {fmt::format("{} is not refillable", *f.spec), "NEVER REFILL: this mark is for one filling", true});
    if (test_is_over(rules, f, now) && !one_filling)
        out.push_back({"out of test since " + month_text(*test_due(rules, f)), test_text(rules, f, now)});
    if (f.spec && pressure_rating(question.contents, *f.spec, under_us_law(f)).rating == Rating::too_low)
        out.push_back({*f.spec + " is too low", rating_text(question, units)});
    const bool flammable =
        std::any_of(question.contents.begin(), question.contents.end(), [](const auto* g) { return g->flammable(); });
    if (flammable && !f.flammable_rated.value_or(true))
        out.push_back({"not rated for flammables", "NOT RATED FOR FLAMMABLES: do not fill with this gas"});
    return out;
}

std::vector<std::string> marks_not_on_record(const RoomQuestion& question) {
    std::vector<std::string> out;
    const bool burns =
        std::any_of(question.contents.begin(), question.contents.end(), [](const auto* g) { return g->flammable(); });
    if (!question.facts.spec) out.emplace_back("mark");
    if (!question.facts.tested) out.emplace_back("test date");
    if (burns && !question.facts.flammable_rated) out.emplace_back("flammable rating");
    return out;
}

std::vector<std::string> not_in_catalogue(const RoomQuestion& question) {
    std::vector<std::string> out;
    const auto look = [&](const std::string& name) {
        if (name != gas_unknown && name != gas_mixed && !question.data.catalogue.find(name) &&
            std::find(out.begin(), out.end(), name) == out.end())
            out.push_back(name);
    };
    for (const auto& lot : question.state.lots) look(lot.key.refrigerant);
    if (question.state.lots.empty() && question.facts.refrigerant) look(*question.facts.refrigerant);
    return out;
}

bool holds_unknown(const RoomQuestion& question) {
    const auto& lots = question.state.lots;
    return std::any_of(lots.begin(), lots.end(), [](const Lot& lot) {
        return lot.key.refrigerant == gas_unknown || lot.key.refrigerant == gas_mixed;
    });
}

std::string rating_text(const RoomQuestion& question, DisplayUnits units) {
    const bool us = under_us_law(question.facts);
    if (!question.facts.spec)
        return us ? "not on record, read the collar (DOT ...)" : "not on record, read the collar: mark and pressure";
    const auto verdict = pressure_rating(question.contents, *question.facts.spec, us, units);
    if (const auto strange = not_in_catalogue(question); !strange.empty() && verdict.rating != Rating::too_low)
        return fmt::format("{} not decided; {}: not in the catalogue", *question.facts.spec, joined(strange));
    // The named gas speaks for itself alone.
    if (holds_unknown(question) && verdict.rating != Rating::too_low)
        return fmt::format("{} not decided; a gas that is not known is in it", *question.facts.spec);
    switch (verdict.rating) {
        case Rating::suits:
            return fmt::format("{} suits; {}", *question.facts.spec, verdict.why);
        case Rating::too_low:
            return fmt::format("{} IS TOO LOW; {}", *question.facts.spec, verdict.why);
        case Rating::unknown:
            break;
    }
    return fmt::format("{} not decided; {}", *question.facts.spec, verdict.why);
}

namespace {
// Of the gases that 173.304(b) excepts the catalogue has carbon dioxide alone.
bool may_be_liquid_full(const RoomQuestion& question) {
    return !question.mixed && question.contents.size() == 1 && question.contents.front()->designation == "R-744";
}
}  // namespace

std::vector<std::string> fill_cautions(const RoomQuestion& question, const FillView& view, const PageOptions& options) {
    std::vector<std::string> out;
    const auto& s = question.state;
    if (!view.draw_down.is_zero())
        out.push_back(
            fmt::format("OVER THE LIMIT: do not transport; draw down {}", mass_text_up(view.draw_down, options.units)));
    else if (view.limits.liquid_full && full_below(*view.limits.liquid_full, transport_limit))
        out.emplace_back(fmt::format(
            "liquid-full below {} at the limit: {}", degrees(transport_limit, options.units),
            !under_us_law(question.facts)  ? "stay under it and keep it cool; ask the carrier before it travels"
            : may_be_liquid_full(question) ? "49 CFR 173.304(b) excepts carbon dioxide; keep it cool"
                                           : "stay under it, or do not transport"));
    if (const auto shown = shown_otherwise(question.data.catalogue, s))
        out.push_back(
            fmt::format("an identifier showed on {}: {}. It is not for reuse until it is said on evidence what "
                        "it is",
                        date_text(s.identified->on), shown->text));
    if (s.mixed) out.emplace_back("MIXED: nothing may be charged from it; reclaim or destruction");
    if (s.reclaim_only) out.emplace_back("two owners' gas: for reclaim only");
    if (!s.spoiled.empty()) out.push_back(fmt::format("holds {} gas: not for reuse", s.spoiled));
    if (!question.facts.flammable_rated &&
        std::any_of(question.contents.begin(), question.contents.end(), [](const auto* g) { return g->flammable(); }))
        out.emplace_back("flammable rating: not on record, read the collar (left-hand thread, red mark)");
    if (const auto strange = not_in_catalogue(question); !strange.empty())
        out.push_back(
            fmt::format("{}: not in the catalogue; its density, its pressure and whether it burns are not known here: "
                        "give the file that has it, --refrigerants",
                        joined(strange)));
    if (auto none = no_pack_text(question.data.rules, question.facts.country.value_or("")); !none.empty())
        out.push_back(std::move(none));
    if (holds_unknown(question) || question.unnamed || !not_in_catalogue(question).empty())
        out.push_back(fmt::format("may be flammable (a gas in it is not known): {}", flammable_rule));
    for (auto& caution : gas_cautions(question.contents, options.units)) out.push_back(std::move(caution));
    out.push_back(heat_caution(options.units));
    out.emplace_back("stop by the scale; a float switch is not enough. Local code and the maker come first");
    return out;
}

}  // namespace tarebook::report
