// One site over a period: what was put in, taken out and reused, per circuit, appliance and refrigerant, each figure
// the sum of weighings. Never "charge in circuit": a circuit is a flow.
#include <fmt/format.h>

#include <map>

#include "additions.hpp"
#include "document.hpp"
#include "shared_text.hpp"
#include "statements.hpp"

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
    std::map<std::string, Sums> circuits;
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
};

SiteView view_of(const Book& book, std::string_view site, Date from, Date to) {
    SiteView view{std::string(site), {}, {}, from, to, {}, {}, {}};
    const auto last = order_at(Instant::max());
    if (const auto* entry = book.entries().find(EntryKind::site, site)) {
        view.name = entry->text("name", last);
        view.owner = entry->text("owner", last);
    }
    if (view.owner && !view.owner->empty()) view.returns = returns_among(book, book.returns_of(*view.owner, from, to));
    std::map<std::string, ApplianceView> appliances;
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
    return view;
}

void add_sums(Json& j, const Sums& sums) {
    j.add_mass("recovered", sums.recovered)
        .add_mass("reused", sums.reused)
        .add_mass("charged", sums.charged)
        .add_mass("pumped_in", sums.moved_in)
        .add_mass("pumped_out", sums.moved_out)
        .add_mass("net", sums.net())
        .add_mass("released", sums.released);
}

Json site_json(const Book& book, const SiteView& v) {
    Json page = versioned();
    page.add("site", Json::text(v.site))
        .add("name", Json::text_or_null(v.name))
        .add("owner", Json::text_or_null(v.owner))
        .add("from", Json::text(date_text(v.from)))
        .add("to", Json::text(date_text(v.to)));
    Json appliances = Json::array();
    for (const auto& a : v.appliances) {
        Json j = Json::object();
        j.add("appliance", Json::text(a.code))
            .add("refrigerant", a.refrigerant.empty() ? Json::null() : Json::text(a.refrigerant))
            .add_mass("full_charge", a.full_charge)
            .add_mass("additions", a.additions);
        Json circuits = Json::array();
        for (const auto& [code, sums] : a.circuits) {
            Json c = Json::object();
            c.add("circuit", Json::text(code));
            add_sums(c, sums);
            circuits.push(std::move(c));
        }
        appliances.push(std::move(j.add("circuits", std::move(circuits))));
    }
    page.add("appliances", std::move(appliances));
    Json totals = Json::array();
    for (const auto& [refrigerant, total] : v.totals) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(refrigerant));
        add_sums(j, total.sums);
        totals.push(std::move(j.add_mass("additions", total.additions)));
    }
    page.add("totals", std::move(totals));
    Json returns = Json::array();
    for (const auto& view : v.returns) returns.push(return_json_for(book, view, *v.owner));
    return std::move(page.add("owner_returns", std::move(returns)));
}

std::string site_csv(const SiteView& v) {
    Csv csv({"site", "from", "to", "appliance", "refrigerant", "circuit", "recovered_lb", "reused_lb", "charged_lb",
             "net_lb", "released_lb", "appliance_full_charge_lb", "appliance_additions_lb", "pumped_in_lb",
             "pumped_out_lb"});
    for (const auto& a : v.appliances) {
        const auto row = [&](const std::string& circuit, const Sums& s) {
            csv.row({v.site, date_text(v.from), date_text(v.to), a.code, a.refrigerant, circuit,
                     pounds_cell(s.recovered), pounds_cell(s.reused), pounds_cell(s.charged), pounds_cell(s.net()),
                     pounds_cell(s.released), pounds_cell(a.full_charge), pounds_cell(a.additions),
                     pounds_cell(s.moved_in), pounds_cell(s.moved_out)});
        };
        if (a.circuits.empty()) row("", {});
        for (const auto& [code, sums] : a.circuits) row(code, sums);
    }
    return csv.page();
}

Document site_document(const Book& book, const SiteView& v, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    Document page(v.site,
                  fmt::format("{}, owner {}, {} to {}", v.name ? " " + *v.name : "", or_dash(v.owner),
                              date_text(v.from), date_text(v.to)),
                  "");
    page.gap();
    if (!v.totals.empty()) {
        Table totals;
        totals.column("gas").column("taken out", Side::right).column("reused", Side::right);
        totals.column("charged", Side::right).column("net in", Side::right).column("additions", Side::right);
        for (const auto& [refrigerant, t] : v.totals)
            totals.row({refrigerant, m(t.sums.recovered), m(t.sums.reused), m(t.sums.charged), m(t.sums.net()),
                        m(t.additions)});
        page.table(std::move(totals), "By gas");
    } else {
        page.line("nothing was put in or taken out");
    }
    for (const auto& a : v.appliances) {
        page.gap().heading(fmt::format("{}  {}, full charge {}, additions {}", a.code,
                                       a.refrigerant.empty() ? "-" : a.refrigerant,
                                       mass_or(a.full_charge, units, "not on record"), m(a.additions)));
        if (a.circuits.empty()) continue;
        Table circuits;
        circuits.column("circuit").column("taken out", Side::right).column("reused", Side::right);
        circuits.column("charged", Side::right).column("net in", Side::right).column("released", Side::right);
        std::vector<InOut> bars;
        for (const auto& [code, s] : a.circuits) {
            circuits.row({code, m(s.recovered), m(s.reused), m(s.charged), m(s.net()),
                          s.released.is_zero() ? "" : m(s.released)});
            if (!s.recovered.is_zero() || !(s.reused + s.charged).is_zero())
                bars.push_back({code, s.recovered, s.reused + s.charged});
        }
        page.table(std::move(circuits), "Circuits of " + a.code, 2);
        for (const auto& [code, s] : a.circuits)
            if (const auto pumped = pumped_text(code, s, units); !pumped.empty()) page.line(pumped, 2);
        if (auto picture = in_and_out(a.code, "taken out, and put in (reused and charged), by circuit", bars, units))
            page.picture(std::move(*picture));
    }
    if (!v.returns.empty())
        page.gap()
            .heading(fmt::format("Returned, of the gas of {} (of all its sites):", *v.owner))
            .table(returns_table(book, v.returns, units, v.owner), "Returned");
    page.gap().paragraph(std::string(addition_note));
    return page;
}

// For a spreadsheet: all circuits on one sheet, as in the CSV, to be summed and filtered there.
Document site_sheets(const Book& book, const SiteView& v, DisplayUnits units) {
    const auto m = [&](const std::optional<Mass>& mass) { return mass_cell(mass, units, ""); };
    Document page(v.site, fmt::format("{}, owner {}, {} to {}", v.name ? *v.name : v.site, or_dash(v.owner),
                                      date_text(v.from), date_text(v.to)));
    Table circuits, appliances, totals;
    circuits.column("appliance").column("gas").column("circuit");
    for (const auto* heading : {"recovered", "reused", "charged", "pumped in", "pumped out", "net in", "released"})
        circuits.column(heading, Side::right);
    appliances.column("appliance").column("gas").column("full charge", Side::right).column("additions", Side::right);
    totals.column("gas");
    for (const auto* heading : {"recovered", "reused", "charged", "net in", "additions"})
        totals.column(heading, Side::right);
    for (const auto& a : v.appliances) {
        for (const auto& [code, s] : a.circuits)
            circuits.typed_row({a.code, a.refrigerant, code, m(s.recovered), m(s.reused), m(s.charged), m(s.moved_in),
                                m(s.moved_out), m(s.net()), m(s.released)});
        appliances.typed_row({a.code, a.refrigerant, m(a.full_charge), m(a.additions)});
    }
    for (const auto& [refrigerant, t] : v.totals)
        totals.typed_row(
            {refrigerant, m(t.sums.recovered), m(t.sums.reused), m(t.sums.charged), m(t.sums.net()), m(t.additions)});
    page.table(std::move(circuits), "Circuits").table(std::move(appliances), "Appliances");
    page.table(std::move(totals), "By gas");
    if (!v.returns.empty())
        page.table(returns_table(book, v.returns, units, v.owner),
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
    const auto view = report::view_of(book, site, from, to);
    switch (options.format) {
        case Format::json:
            return Page{report::site_json(book, view).page()};
        case Format::csv:
            return Page{report::site_csv(view)};
        case Format::text:
        case Format::html:
            break;
        case Format::xlsx:
            return Page{report::page_body(report::site_sheets(book, view, options.units), book, options)};
    }
    return Page{report::page_body(report::site_document(book, view, options.units), book, options)};
}

}  // namespace tarebook
