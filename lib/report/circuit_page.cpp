// How to isolate a circuit: what to close, in which order, and what to bring along.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "candidate_cylinders.hpp"
#include "cautions.hpp"
#include "columns.hpp"
#include "document.hpp"
#include "expected.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "unit_text.hpp"

namespace tarebook {
namespace report {
namespace {

struct CircuitView {
    std::string code;
    std::optional<std::string> serves;
    PlaceFacts place;
    const Refrigerant* gas = nullptr;
    std::vector<std::string> close, bring;
    CandidateCylinders cylinders;
    std::optional<ExpectView> expected;  ///< only where piping is on record
    bool us = true;                      ///< the acts of the United States hold where it stands
    std::string vacuum;  ///< needed before opening, with its clause; what to look up, where it is not known
};

std::vector<std::string> points_of(const std::string& text) {
    const auto lines = split(text, '\n');
    std::vector<std::string> out(lines.begin(), lines.end());
    std::erase(out, "");
    return out;
}

std::vector<std::string> gas_facts(const Refrigerant& gas, bool us, DisplayUnits units) {
    const bool metric = units == DisplayUnits::kg;
    const auto pressure = [&](GaugePressure p) {
        return metric ? fmt::format("{:.1f} barg", p.in_kilopascals() / 100) : fmt::format("{:.0f} psig", p.in_psig());
    };
    const auto* hot = metric ? "55 C" : "131 F";
    std::vector<std::string> out;
    if (!gas.safety_group.empty()) out.push_back(fmt::format("{}, safety group {}", gas.designation, gas.safety_group));
    if (gas.cylinder && gas.cylinder->at_55c)
        out.push_back(fmt::format("{} at {} in a cylinder filled to 80 %", pressure(*gas.cylinder->at_55c), hot));
    // With the uncertainty of its figures, as `room` judges a mark; up to the next whole pound.
    const Refrigerant* const only[] = {&gas};
    const auto needed = pressure_rating(only, "").needed;
    if (needed && !us)
        out.push_back(
            fmt::format("recovery cylinder of at least {} service pressure, so that {} stays within 5/4 of "
                        "it (saturation table)",
                        gauge_up(*needed, units), hot));
    else if (needed)
        out.push_back(
            fmt::format("recovery cylinder of at least {} service pressure (49 CFR 173.301a(d); a listed "
                        "mark decides instead where the regulation names the gas)",
                        gauge_up(*needed, units)));
    return out;
}

const std::vector<std::string>& reminders() {
    static const std::vector<std::string> lines = {
        "liquid first and pump down; then suction; then hot gas, defrost, pilot and equalizing lines",
        "never leave a liquid-full line shut at both ends: it bursts when it warms",
        "lock and tag controller, defrost and fans; hang a tag on each valve; record the reopening"};
    return lines;
}

std::string vacuum_line(const Book& book, const CircuitView& view, Instant now, DisplayUnits units) {
    const auto today = moment_in_zone(now, book.info().zone);
    const auto need = view.gas && today ? needed_vacuum(book.reference_data(), book.entries(), view.code, std::nullopt,
                                                        order_at(now), today->date())
                                        : std::nullopt;
    if (!need && view.gas && today)
        if (const auto exempt =
                exempt_from_recovery(book.reference_data(), book.entries(), view.code, order_at(now), today->date()))
            return fmt::format("none asked for: {} is exempt here ({}: {})", view.gas->designation,
                               exempt->rule->clause, exempt->rule->note);
    const auto* site = book.entries().find(EntryKind::site, view.place.site);
    const auto country = country_of(site, order_at(now));
    if (!need && !law_of_the_us(country)) {
        const auto none = no_pack_text(book.rules(), country);
        return none.empty() ? "no pack that applies here names a level: ask the maker and local rules" : none;
    }
    if (!need) return "not known here: 40 CFR 82.156(a), by pressure class and the appliance's full charge";
    if (need->small_appliance) return needed_vacuum_text(*need, *view.gas, view.place.full_charge, units);
    return needed_vacuum_text(*need, *view.gas, view.place.full_charge, units) +
           fmt::format(
               ". The size is the appliance's full charge; {} if the isolated part alone counts: to be confirmed",
               units == DisplayUnits::kg ? "0 barg" : "0 psig");
}

CircuitView view_of(const Book& book, std::string_view code, DisplayUnits units, Instant now) {
    CircuitView view;
    view.code = std::string(code);
    const auto last = order_at(Instant::max());
    if (const auto place = place_facts(book.entries(), code, last)) view.place = *place;
    view.gas = view.place.refrigerant.empty() ? nullptr : book.catalogue().find(view.place.refrigerant);
    const auto* entry = book.entries().find(EntryKind::circuit, code);
    view.serves = entry->text("serves", last);
    if (const auto close = entry->text("close", last)) view.close = points_of(*close);
    for (int n = 1;; ++n) {
        const auto one = entry->text(fmt::format("close_{}", n), last);
        if (!one) break;
        view.close.push_back(*one);
    }
    if (const auto bring = entry->text("bring", last)) view.bring = points_of(*bring);
    view.us = place_under_us_law(book.entries(), code, last);
    view.vacuum = vacuum_line(book, view, now, units);
    // A plan for a visit knows no job: what is kept for anything is not offered.
    if (view.gas)
        view.cylinders = candidate_cylinders(
            book, {.gas = view.gas, .owner = view.place.owner, .place = {}, .job = {}, .stored_at = {}}, units, now);
    if (has_piping(book, code)) {
        ExpectQuestion question;
        question.circuit = view.code;
        if (auto expected = expect_view(book, question, units)) view.expected = std::move(*expected);
    }
    return view;
}

std::vector<std::string> cautions_for(const CircuitView& view, DisplayUnits units) {
    auto cautions = gas_cautions(view.gas ? std::vector{view.gas} : std::vector<const Refrigerant*>{}, units);
    for (auto& one : opening_cautions(view.gas)) cautions.push_back(std::move(one));
    return cautions;
}

const Columns<CandidateCylinder>& cylinder_columns() {
    static const Columns<CandidateCylinder> columns{
        {"cylinder", "", &CandidateCylinder::code},
        {"place", "", &CandidateCylinder::place},
        {"room", "", [](const CandidateCylinder& c) { return c.fill.weights.room; }}};
    return columns;
}

Json circuit_json(const CircuitView& v) {
    return page_of("circuit",
                   {{"circuit", v.code},
                    {"serves", v.serves},
                    {"site", v.place.site},
                    {"appliance", v.place.appliance},
                    {"refrigerant", v.place.refrigerant},
                    {"owner", v.place.owner},
                    {"appliance_full_charge", v.place.full_charge},
                    {"close", v.close},
                    {"bring", v.bring},
                    {"gas_facts", v.gas ? gas_facts(*v.gas, v.us, DisplayUnits::lb) : std::vector<std::string>()},
                    {"expectation", v.expected ? expect_json(*v.expected) : Json::null()},
                    {"cylinders", cylinder_columns().json(v.cylinders.takers)},
                    {"not_to_be_filled", v.cylinders.barred},
                    {"reminders", reminders()},
                    {"vacuum_before_opening", v.vacuum},
                    {"cautions", cautions_for(v, DisplayUnits::lb)}});
}

// "R-448A; 3 points to close; serves produce cases"
std::string circuit_answer(const CircuitView& v) {
    std::string out = v.place.refrigerant.empty() ? "GAS NOT ON RECORD" : v.place.refrigerant;
    out += v.close.empty() ? "; POINTS TO CLOSE NOT ON RECORD"
                           : "; close " + counted(std::ssize(v.close), "point") + " in this order";
    return out + (v.serves ? "; serves " + *v.serves : "");
}

Document circuit_document(const CircuitView& v, DisplayUnits units) {
    Document page(v.code, circuit_answer(v), ": ");
    page.gap().heading("Close, in this order:");
    for (const auto& point : v.close) page.step(point);
    if (v.close.empty())
        page.paragraph(
            fmt::format("not on record. After the visit: tarebook circuit correct {} --close \"liquid: ...\" --close "
                        "\"suction: ...\"",
                        v.code),
            2);
    for (const auto& reminder : reminders()) page.bullet(reminder);
    page.bullet("vacuum before opening: " + v.vacuum);
    page.gap().line(fmt::format("{}  {}, owner {}, full charge {}", v.place.appliance,
                                v.place.refrigerant.empty() ? "gas not on record" : v.place.refrigerant,
                                v.place.owner.empty() ? "not on record" : v.place.owner,
                                mass_or(v.place.full_charge, units, "not on record")));
    if (v.expected) {
        page.paragraph(fmt::format("expected in it {} (a sanity range, never recorded; tarebook circuit expect {})",
                                   expected_sum(*v.expected, units), v.code));
        for (const auto& line : v.expected->assumed) page.bullet(line);
    }
    page.gap().heading("Bring:");
    for (const auto& line : v.bring) page.bullet(line);
    if (v.gas)
        for (const auto& fact : gas_facts(*v.gas, v.us, units)) page.bullet(fact);
    for (const auto& taker : v.cylinders.takers)
        page.bullet(fmt::format("{}: room {}{}", taker.code, mass_text_down(taker.fill.weights.room, units),
                                taker.place.empty() ? "" : ", at " + taker.place));
    if (v.gas && v.cylinders.takers.empty()) page.bullet("a cylinder for this gas: the book has none with room");
    if (!v.cylinders.barred.empty()) page.bullet("NOT to be filled now: " + joined(v.cylinders.barred));
    page.bullet("scale, new filter-drier, short wide hoses, goggles and gloves");
    page.gap().heading("Cautions:");
    for (const auto& caution : cautions_for(v, units)) page.bullet(caution);
    return page;
}

}  // namespace
}  // namespace report

Result<Page> circuit_page(const Book& book, std::string_view circuit, const PageOptions& options) {
    if (auto known = report::entry_exists(book, EntryKind::circuit, circuit); !known) return fail(known.error());
    const auto view =
        report::view_of(book, circuit, for_people(options.format) ? options.units : DisplayUnits::lb, options.now);
    if (options.format == Format::json) return Page{report::circuit_json(view).page()};
    if (options.format == Format::csv) {
        report::Csv csv({"circuit", "order", "close"});
        for (std::size_t i = 0; i < view.close.size(); ++i) csv.row({view.code, std::to_string(i + 1), view.close[i]});
        return Page{csv.page()};
    }
    return Page{report::page_body(report::circuit_document(view, options.units), book, options)};
}

}  // namespace tarebook
