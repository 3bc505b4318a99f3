// One site over a period: what was put in, taken out and reused, per circuit, appliance and refrigerant, each figure
// the sum of weighings. Never "charge in circuit": a circuit is a flow.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "additions.hpp"
#include "clock_cards.hpp"
#include "document.hpp"
#include "gathered.hpp"
#include "shared_text.hpp"
#include "statements.hpp"
#include "year_pictures.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr std::string_view addition_note =
    "An addition is here, per appliance and job, what was put in less what was taken out. A leak rate leaves out a "
    "first "
    "charge, and what comes back with a season or after a repair: tarebook report appliance";

struct ApplianceView {
    std::string code, refrigerant;
    std::optional<Mass> full_charge;
    Mass additions;
    std::map<std::string, Sums, CodeOrder> circuits;
};
struct Total {
    Sums sums;
    Mass additions;
};
struct SiteView {
    std::string site;
    std::optional<std::string> name, owner;
    Date from{}, to{};
    std::vector<ApplianceView> appliances;
    std::map<std::string, Total> totals;  // by refrigerant
    std::vector<ReturnView> returns;      // of the owner's gas: a cylinder serves several sites
    std::vector<Addition> additions;
    LateCount late = {};  // of its appliances today
};

LateCount late_at(const Book& book, const std::vector<ApplianceView>& appliances, Date today,
                  const Gathered* gathered) {
    LateCount out;
    for (const auto& a : appliances) {
        if (gathered) {
            if (const auto it = gathered->clocks.late_by_subject.find(a.code);
                it != gathered->clocks.late_by_subject.end())
                out += it->second;
            continue;
        }
        for (const auto& clock : clocks_of_appliance(book, a.code, today))
            if (const auto days = days_late(clock, today)) out += {1, *days};
    }
    return out;
}

SiteView view_of(const Book& book, std::string_view site, Date from, Date to, Date today, const Gathered* gathered) {
    SiteView view{std::string(site), {}, {}, from, to, {}, {}, {}, {}};
    const auto last = order_at(Instant::max());
    if (const auto* entry = book.entries().find(EntryKind::site, site)) {
        view.name = entry->text("name", last);
        view.owner = entry->text("owner", last);
    }
    if (view.owner && !view.owner->empty()) view.returns = returns_among(book, book.returns_of(*view.owner, from, to));
    std::map<std::string, ApplianceView, CodeOrder> appliances;
    const auto appliance = [&](const std::string& code) -> ApplianceView& {
        auto& a = appliances[code];
        a.code = code;
        return a;
    };
    // Everything on record is listed, with zeros where nothing moved: a missing line could be a forgotten one.
    const std::string prefix = view.site + "/";
    for (const auto& code : book.codes(EntryKind::appliance))
        if (code.starts_with(prefix)) appliance(code);
    for (const auto& code : book.codes(EntryKind::circuit))
        if (code.starts_with(prefix)) appliance(appliance_of(code)).circuits[code];
    const auto flows = book.flows_of_whole_jobs(site, from, to);
    for (const auto& flow : flows) {
        if (flow.date < from) continue;
        appliance(appliance_of(flow.circuit)).circuits[flow.circuit].take(flow);
        view.totals[flow.refrigerant].sums.take(flow);
    }
    for (const auto& addition : additions(flows, from, to)) {
        appliance(addition.appliance).additions += addition.mass;
        view.totals[addition.refrigerant].additions += addition.mass;
        view.additions.push_back(addition);
    }
    // The facts as they were at the end of the period, by the shop's clock.
    const auto midnight = parse_moment(date_text(to) + "T23:59:59", book.info().zone, Instant(to));
    const auto end = order_at(midnight ? midnight->at : Instant(to + std::chrono::days(1)));
    for (auto& [code, a] : appliances) {
        if (const auto* entry = book.entries().find(EntryKind::appliance, code)) {
            a.refrigerant = entry->text("refrigerant", end).value_or("");
            a.full_charge = full_charge(*entry, end);
        }
        view.appliances.push_back(std::move(a));
    }
    view.late = late_at(book, view.appliances, today, gathered);
    return view;
}

using Gas = std::pair<const std::string, Total>;
const Columns<Gas>& total_columns() {
    static const auto columns =
        Columns<Gas>{{"refrigerant", "gas", &Gas::first}}
            .with(sums_columns(), [](const Gas& t) { return t.second.sums; })
            .with({Column<Gas>("additions", "additions", [](const Gas& t) { return t.second.additions; }).moved()});
    return columns;
}

const Columns<ApplianceView>& appliance_columns() {
    static const Columns<ApplianceView> columns{
        {"appliance", "appliance", &ApplianceView::code},
        {"refrigerant", "gas", &ApplianceView::refrigerant},
        {"full_charge", "full charge", &ApplianceView::full_charge},
        Column<ApplianceView>("additions", "additions", &ApplianceView::additions).moved(),
        {"circuits", "", [](const ApplianceView& a) { return circuit_columns().json(a.circuits); }}};
    return columns;
}

// A circuit with what it belongs to, as a spreadsheet wants it. An appliance without circuits has a row of its own.
struct SheetRow {
    const SiteView* site;
    const ApplianceView* appliance;
    CircuitSums circuit;
};
const Columns<SheetRow>& sheet_columns() {
    static const auto columns = Columns<SheetRow>{
        {"site", "", [](const SheetRow& r) { return r.site->site; }},
        {"from", "", [](const SheetRow& r) { return r.site->from; }},
        {"to", "", [](const SheetRow& r) { return r.site->to; }},
        {"appliance", "appliance", [](const SheetRow& r) { return r.appliance->code; }},
        {"refrigerant", "gas", [](const SheetRow& r) { return r.appliance->refrigerant; }},
        {"appliance_full_charge", "", [](const SheetRow& r) { return r.appliance->full_charge; }},
        {"appliance_additions", "", [](const SheetRow& r) {
             return r.appliance->additions;
         }}}.with(circuit_columns(), &SheetRow::circuit);
    return columns;
}
std::vector<SheetRow> sheet_rows(const SiteView& v) {
    std::vector<SheetRow> out;
    for (const auto& a : v.appliances) {
        if (a.circuits.empty()) out.push_back({&v, &a, {}});
        for (const auto& circuit : a.circuits) out.push_back({&v, &a, circuit});
    }
    return out;
}

Json site_json(const SiteView& v) {
    Json returns = Json::array();
    for (const auto& view : v.returns) returns.push(return_json_for(view, *v.owner));
    return page_of("site", {{"site", v.site},
                            {"name", v.name},
                            {"owner", v.owner},
                            {"from", v.from},
                            {"to", v.to},
                            {"number_late", v.late.late},
                            {"appliances", appliance_columns().json(v.appliances)},
                            {"totals", total_columns().json(v.totals)},
                            {"owner_returns", std::move(returns)}});
}

// "2 LATE, oldest 79 days; added 5.65 lb of R-448A, 6.25 lb of R-404A"
std::string site_answer(const SiteView& v, DisplayUnits units) {
    std::vector<std::pair<Mass, std::string>> added;
    for (const auto& [gas, total] : v.totals)
        if (!total.additions.is_zero()) added.emplace_back(total.additions, gas);
    std::sort(added.begin(), added.end(), [](const auto& a, const auto& b) { return b.first < a.first; });
    std::vector<std::string> parts;
    for (const auto& [mass, gas] : added) parts.push_back(fmt::format("{} of {}", mass_text(mass, units), gas));
    const auto what = parts.empty() ? std::string("no addition") : "added " + joined(parts);
    const auto late = v.late.text();
    return late.empty() ? what : late + "; " + what;
}

Document site_document(const SiteView& v, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    Document page(v.site, site_answer(v, units), ": ");
    page.line(fmt::format("{}owner {}, {} to {}", v.name ? *v.name + ", " : "", or_dash(v.owner), date_text(v.from),
                          date_text(v.to)));
    page.gap();
    if (!v.totals.empty()) {
        page.table(
            total_columns().table({"gas", "recovered", "reused", "charged", "net in", "additions"}, v.totals, units),
            "By gas");
    } else {
        page.line("nothing was put in or taken out");
    }
    for (const auto& [gas, total] : v.totals)
        if (auto months = additions_by_month(gas, v.additions, units)) page.picture(std::move(*months));
    Mass most;  // all pictures of the site have one scale, so that the worst is seen
    for (const auto& a : v.appliances)
        for (const auto& [code, s] : a.circuits) most = std::max({most, s.recovered, s.reused + s.charged});
    for (const auto& a : v.appliances) {
        page.gap().heading(fmt::format("{}  {}, full charge {}, additions {}", a.code,
                                       a.refrigerant.empty() ? "-" : a.refrigerant,
                                       mass_or(a.full_charge, units, "not on record"), m(a.additions)));
        if (a.circuits.empty()) continue;
        std::vector<InOut> bars;
        for (const auto& [code, s] : a.circuits)
            if (!s.recovered.is_zero() || !(s.reused + s.charged).is_zero())
                bars.push_back({code, s.recovered, s.reused + s.charged});
        page.table(circuit_columns().table({"circuit", "recovered", "reused", "charged", "net in", "released"},
                                           a.circuits, units),
                   "Circuits of " + a.code, 2);
        for (const auto& [code, s] : a.circuits)
            if (const auto pumped = pumped_text(code, s, units); !pumped.empty()) page.line(pumped, 2);
        if (auto picture =
                in_and_out(a.code, "taken out, and put in (reused and charged), by circuit", bars, units, most))
            page.picture(std::move(*picture));
    }
    if (!v.returns.empty())
        page.gap()
            .heading(fmt::format("Returned, of the gas of {} (of all its sites):", *v.owner))
            .table(returns_table(v.returns, units, v.owner), "Returned");
    page.gap().paragraph(std::string(addition_note));
    return page;
}

// For a spreadsheet: all circuits on one sheet, as in the CSV, to be summed and filtered there.
Document site_sheets(const SiteView& v, DisplayUnits units) {
    Document page(v.site, fmt::format("{}, owner {}, {} to {}", v.name ? *v.name : v.site, or_dash(v.owner),
                                      date_text(v.from), date_text(v.to)));
    page.table(sheet_columns().sheet(sheet_rows(v), units), "Circuits")
        .table(appliance_columns().table(v.appliances, units), "Appliances")
        .table(total_columns().table({"gas", "recovered", "reused", "charged", "net in", "additions"}, v.totals, units),
               "By gas");
    if (!v.returns.empty())
        page.table(returns_table(v.returns, units, v.owner),
                   fmt::format("Returned, of the gas of {} (of all its sites)", *v.owner));
    page.paragraph(std::string(addition_note));
    return page;
}

}  // namespace
}  // namespace report

Result<Page> site_page(const Book& book, std::string_view site, Date from, Date to, const PageOptions& options) {
    if (auto known = report::entry_exists(book, EntryKind::site, site); !known) return fail(known.error());
    if (to < from)
        return usage("period-backwards", "the period ends before it begins",
                     fmt::format("{} to {}", date_text(from), date_text(to)), "--from not later than --to");
    const auto view = report::view_of(book, site, from, to, report::today_of(book, options.now), options.gathered);
    switch (options.format) {
        case Format::json:
            return Page{report::site_json(view).page()};
        case Format::csv:
            return Page{report::sheet_columns().csv(report::sheet_rows(view))};
        case Format::text:
        case Format::html:
            break;
        case Format::xlsx:
            return Page{report::page_body(report::site_sheets(view, options.units), book, options)};
    }
    return Page{report::page_body(report::site_document(view, options.units), book, options)};
}

}  // namespace tarebook
