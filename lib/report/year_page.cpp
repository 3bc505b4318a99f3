// The year in balances: stock by owner, equipment by site, what was lost by two methods, and its equivalents by set.
#include <fmt/format.h>

#include <map>
#include <set>

#include "shared_text.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "year_document.hpp"
#include "year_reclaim.hpp"
#include "year_seal.hpp"
#include "year_view.hpp"

namespace tarebook {
namespace report {
namespace {

std::string basis_words(const YearLine& line, Term term, DisplayUnits units) {
    std::vector<std::string> parts;
    std::vector<std::string> plain;
    for (const auto basis : {Basis::weighed, Basis::stated, Basis::estimated}) {
        const Mass mass = line.sum(term, basis);
        if (mass.is_zero()) continue;
        plain.emplace_back(text_of(basis));
        parts.push_back(fmt::format("{} {}", text_of(basis), mass_text(mass, units)));
    }
    return plain.size() > 1 ? joined(parts) : joined(plain);
}

std::string owner_words(const std::string& owner) {
    return owner == shop_owner ? "the shop's" : owner == "unassigned" ? "owner not on record" : "of " + owner;
}

std::string stock_text(const YearView& v, DisplayUnits units) {
    std::string out;
    for (const auto& [key, stock] : v.balance.stock) {
        const auto& line = stock.line;
        out += fmt::format("\n{}, {}\n", key.refrigerant, owner_words(key.owner));
        Table table;
        table.column("").column("", Side::right).column("");
        table.row({"at the start", mass_text(line.opening(), units)});
        for (const auto term : all_terms()) {
            const Mass sum = line.sum(term);
            const auto words = basis_words(line, term, units);
            if (!sum.is_zero() || !words.empty()) table.row({std::string(text_of(term)), mass_text(sum, units), words});
        }
        table.row({"at the end", mass_text(line.closing(), units), "by the book"});
        table.row({"counted", mass_text(stock.counted, units), "when each cylinder was last on a scale"});
        if (!stock.not_counted.is_zero())
            table.row({"never counted", mass_text(stock.not_counted, units), "by the book, no weight against a tare"});
        auto text = table.text(2);
        out += text.substr(text.find('\n') + 1);
    }
    return out;
}

std::string equipment_text(const YearView& v, DisplayUnits units) {
    Table table;
    table.column("gas").column("site").column("owner");
    for (const auto* heading : {"charged", "reused", "by others", "recovered", "released", "pumped over", "net in"})
        table.column(heading, Side::right);
    for (const auto& [key, line] : by_site(v.balance)) {
        std::vector<std::string> cells{key.refrigerant, key.appliance, key.owner};
        for (const auto term :
             {Term::charged, Term::reused, Term::by_others, Term::recovered, Term::released, Term::pumped_over})
            cells.push_back(line.sum(term).is_zero() ? "" : mass_text(line.sum(term), units));
        cells.push_back(mass_text(line.closing() - line.opening(), units));
        table.row(std::move(cells));
    }
    if (table.empty()) return "nothing went in or out\n";
    return table.text();
}

std::string losses_text(const YearView& v, const GwpSets& sets, DisplayUnits units) {
    Table table;
    table.column("gas").column("where").column("material balance", Side::right).column("simplified", Side::right);
    for (const auto& set : sets.sets()) table.column("t CO2e " + set.set, Side::right);
    std::map<std::string, YearLoss> by_gas;
    const auto row = [&](const std::string& gas, const std::string& where, const YearLoss& loss, bool storage) {
        const Mass mass = loss.material.loss();
        std::vector<std::string> cells{gas, where, mass_text(mass, units),
                                       storage ? "-" : mass_text(loss.simplified.loss(), units)};
        for (const auto& set : sets.sets()) cells.push_back(known_part_text(sets.tonnes(gas, mass, set)));
        table.row(std::move(cells));
    };
    std::map<std::string, std::vector<CarbonDioxideEquivalent>> by_set;
    for (const auto& line : v.losses) {
        by_gas[line.refrigerant] += line.loss;
        if (line.site.empty() && line.loss.material.loss().is_zero()) continue;
        row(line.refrigerant, line.site.empty() ? "cylinders, " + owner_words(line.owner) : line.site, line.loss,
            line.site.empty());
    }
    std::vector<std::string> gaps;
    std::set<std::string> lacking;
    for (const auto& [gas, loss] : by_gas) {
        row(gas, "all", loss, false);
        for (const auto& set : sets.sets()) {
            if (auto gap = sets.gap_text(gas, set); !gap.empty())
                gaps.push_back(std::move(gap)), lacking.insert(set.set);
            if (const auto tonnes = sets.tonnes(gas, loss.material.loss(), set))
                by_set[set.set].push_back({tonnes->value, set.set});
        }
    }
    std::vector<std::string> cells{"all", "all", "", ""};
    for (const auto& set : sets.sets())
        cells.push_back(known_part_text(KnownPart{total(by_set[set.set]).value().tonnes, lacking.contains(set.set)}));
    table.row(std::move(cells));
    return table.text() +
           (gaps.empty() ? "" : wrapped("parts without a value, in no figure and no sum: " + joined(gaps, "; "), 0));
}

// Of the packs only the sets of potentials speak here, beside what is lost.
SpokenRules sets_spoken(const YearView& v, const GwpSets& sets) {
    SpokenRules out;
    if (v.losses.empty()) return out;
    for (const auto* pack : v.packs)
        for (const auto& rule : pack->rules)
            if (const auto* terms = std::get_if<terms::GwpSet>(&rule.terms))
                for (const auto& set : sets.sets())
                    if (set.set == terms->set) out.add(*pack, rule, rule.status);
    return out;
}

std::string year_text(const Book& book, const YearView& v, const SealWatch& seal, const GwpSets& sets,
                      DisplayUnits units) {
    std::string out = fmt::format("{}, {}{}: {}\n", static_cast<int>(v.balance.year), book.info().company,
                                  v.scope.text(), counted(v.balance.events, "event"));
    if (!v.scope.all())
        out = fmt::format("{}, {}{}\n", static_cast<int>(v.balance.year), book.info().company, v.scope.text());
    out += seal.text(book, v.scope.all());
    if (v.scope.site) {
        out += "\n" + wrapped("Gas in cylinders belongs to owners and not to sites: report year --owner has it.", 0);
    } else {
        out += "\nIn cylinders, by whose gas it is\n";
        out += v.balance.stock.empty() ? "\nnothing\n" : stock_text(v, units);
    }
    if (!v.reclaim.empty())
        out += "\nSent to reclaimers, and what their statements said\n" + reclaim_table(v, units).text();
    out += "\nInto equipment (taken out: with a minus)\n" + equipment_text(v, units);
    if (!v.losses.empty()) {
        out += "\nLost, by the balances of EPA's guidance (equations from memory)\n" + losses_text(v, sets, units);
        out += wrapped(
            "A loss below nothing is an error of data or scale and is shown as it is. Equivalents are of the material "
            "balance; those of two sets are never added.",
            0);
    }
    out += '\n' + wrapped("rules applied: " + sets_spoken(v, sets).text(), 0);
    for (const auto& country : v.countries_without_pack) out += wrapped(no_pack_text(country), 0);
    if (!v.unknown_packs.empty()) out += wrapped("rule packs not known here: " + joined(v.unknown_packs), 0);
    return out + wrapped(year_reserve(), 0);
}

void add_line(Json& j, const YearLine& line) {
    j.add_mass("opening", line.opening());
    Json terms = Json::array();
    for (const auto term : all_terms())
        for (const auto basis : {Basis::weighed, Basis::stated, Basis::estimated}) {
            const Mass mass = line.sum(term, basis);
            if (mass.is_zero()) continue;
            Json t = Json::object();
            t.add("term", Json::text(text_of(term))).add("basis", Json::text(text_of(basis))).add_mass("mass", mass);
            terms.push(std::move(t));
        }
    j.add("terms", std::move(terms)).add_mass("closing", line.closing());
}

Json loss_json(const LossLine& line, const GwpSets& sets) {
    Json j = Json::object();
    const auto& m = line.loss.material;
    const auto& s = line.loss.simplified;
    j.add("refrigerant", Json::text(line.refrigerant)).add("owner", Json::text(line.owner));
    j.add("site", line.site.empty() ? Json::null() : Json::text(line.site));
    j.add_mass("material_loss", m.loss())
        .add_mass("stock_at_start", m.stock_at_start)
        .add_mass("stock_at_end", m.stock_at_end)
        .add_mass("acquired", m.acquired)
        .add_mass("disbursed", m.disbursed)
        .add_mass("full_charge_at_start", m.full_charge_at_start)
        .add_mass("full_charge_at_end", m.full_charge_at_end);
    if (!line.site.empty())
        j.add_mass("simplified_loss", s.loss())
            .add_mass("charged_into_new", s.charged_into_new)
            .add_mass("full_charge_of_new", s.full_charge_of_new)
            .add_mass("used_in_service", s.used_in_service)
            .add_mass("full_charge_of_disposed", s.full_charge_of_disposed)
            .add_mass("recovered_from_disposed", s.recovered_from_disposed);
    Json equivalents = Json::array();
    for (const auto& set : sets.sets()) {
        const auto gwp = sets.gwp(line.refrigerant, set);
        const auto tonnes = sets.tonnes(line.refrigerant, m.loss(), set);
        Json e = Json::object();
        e.add("gwp_set", Json::text(set.set))
            .add("status", Json::text(key_of(set.status)))
            .add("gwp", gwp ? Json::decimal(gwp->value, 4) : Json::null())
            .add("t_co2e", tonnes ? Json::decimal(tonnes->value, 6) : Json::null())
            .add("at_least", Json::boolean(gwp && gwp->at_least));
        equivalents.push(std::move(e));
    }
    j.add("equivalents", std::move(equivalents));
    return j;
}

Json year_json(const Book& book, const YearView& v, const SealWatch& seal, const GwpSets& sets) {
    Json page = versioned();
    page.add("year", Json::whole(static_cast<int>(v.balance.year)))
        .add("owner", Json::text_or_null(v.scope.owner))
        .add("site", Json::text_or_null(v.scope.site));
    Json stock = Json::array(), equipment = Json::array(), losses = Json::array(), packs = Json::array();
    for (const auto& [key, s] : v.balance.stock) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(key.refrigerant)).add("owner", Json::text(key.owner));
        add_line(j, s.line);
        j.add_mass("counted", s.counted).add_mass("never_counted", s.not_counted);
        stock.push(std::move(j));
    }
    for (const auto& [key, line] : v.balance.equipment) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(key.refrigerant))
            .add("owner", Json::text(key.owner))
            .add("site", Json::text(site_of(key.appliance)))
            .add("appliance", Json::text(key.appliance));
        add_line(j, line);
        equipment.push(std::move(j));
    }
    for (const auto& line : v.losses) losses.push(loss_json(line, sets));
    for (const auto* pack : v.packs) {
        Json j = Json::object();
        packs.push(std::move(j.add("pack", Json::text(pack->id)).add("date", Json::text(date_text(pack->date)))));
    }
    Json reclaim = Json::array();
    for (const auto& [key, line] : v.reclaim) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(key.refrigerant)).add("owner", Json::text(key.owner));
        for (const auto& [term, mass] : terms_of(line)) j.add_mass(term, mass);
        reclaim.push(std::move(j));
    }
    page.add("stock", std::move(stock))
        .add("reclaim", std::move(reclaim))
        .add("equipment", std::move(equipment))
        .add("losses", std::move(losses))
        .add("seal", seal.json(book, v.scope.all()))
        .add("rule_packs", std::move(packs));
    return page;
}

Document year_document(const Book& book, const YearView& v, const SealWatch& seal, DisplayUnits units) {
    Document page(fmt::format("Refrigerant {}{}", static_cast<int>(v.balance.year), v.scope.text()), year_reserve());
    if (seal.sealed()) page.item(seal.text(book, v.scope.all()));
    return std::move(
        page.add(year_tables(v, units)).paragraph("rules applied: " + sets_spoken(v, GwpSets(v.packs)).text()));
}

std::string year_csv(const YearView& v, const GwpSets& sets) {
    Csv csv({"year", "part", "refrigerant", "owner", "site", "appliance", "term", "basis", "mass_lb", "gwp_set", "gwp",
             "t_co2e", "at_least"});
    const auto year = std::to_string(static_cast<int>(v.balance.year));
    using Cells = std::vector<std::string>;
    const auto lines = [&](const Cells& key, const YearLine& line) {
        const auto row = [&](std::string_view term, std::string_view basis, Mass mass) {
            Cells cells{year};
            cells.insert(cells.end(), key.begin(), key.end());
            cells.insert(cells.end(), {std::string(term), std::string(basis), pounds_cell(mass), "", "", "", ""});
            csv.row(cells);
        };
        row("opening", "", line.opening());
        for (const auto term : all_terms())
            for (const auto basis : {Basis::weighed, Basis::stated, Basis::estimated})
                if (!line.sum(term, basis).is_zero()) row(text_of(term), text_of(basis), line.sum(term, basis));
        row("closing", "", line.closing());
    };
    for (const auto& [key, s] : v.balance.stock) {
        lines({"stock", key.refrigerant, key.owner, "", ""}, s.line);
        csv.row({year, "stock", key.refrigerant, key.owner, "", "", "counted", "weighed", pounds_cell(s.counted), "",
                 "", "", ""});
    }
    for (const auto& [key, line] : v.balance.equipment)
        lines({"equipment", key.refrigerant, key.owner, site_of(key.appliance), key.appliance}, line);
    for (const auto& [key, line] : v.reclaim)
        for (const auto& [term, mass] : terms_of(line))
            csv.row({year, "reclaim", key.refrigerant, key.owner, "", "", term, "", pounds_cell(mass), "", "", "", ""});
    for (const auto& line : v.losses) {
        const auto row = [&](const char* method, Mass loss) {
            for (const auto& set : sets.sets()) {
                const auto gwp = sets.gwp(line.refrigerant, set);
                const auto tonnes = sets.tonnes(line.refrigerant, loss, set);
                csv.row({year, "loss", line.refrigerant, line.owner, line.site, "", method, "", pounds_cell(loss),
                         set.set, gwp ? fmt::format("{:.4f}", gwp->value) : "",
                         tonnes ? fmt::format("{:.6f}", tonnes->value) : "", gwp && gwp->at_least ? "yes" : ""});
            }
        };
        row("material-balance", line.loss.material.loss());
        if (!line.site.empty()) row("simplified", line.loss.simplified.loss());
    }
    return csv.page();
}

}  // namespace
}  // namespace report

Result<Page> year_page(const Book& book, const YearQuestion& question, const PageOptions& options) {
    const auto scope = report::scope_of(book, question);
    if (!scope) return fail(scope.error());
    YearSums sums(question.year, book.entries());
    report::SealWatch seal(book, question.year);
    report::ReclaimWatch reclaim(book, question.year);
    std::vector<YearPosting> postings;
    book.each_booked([&](const BookedEvent& e) {
        seal.see(e);
        reclaim.see(e);
        postings.clear();
        for (const auto& p : e.postings) postings.push_back({p.account, p.lot, p.mass});
        sums.take({e.stored.body, e.order, e.day, e.kind, postings});
    });
    const auto view = report::year_view_of(book, *scope, sums, reclaim);
    const report::GwpSets sets(view.packs);
    seal.finish(view.whole_digest);
    switch (options.format) {
        case Format::json:
            return Page{report::year_json(book, view, seal, sets).page(), seal.broken()};
        case Format::csv:
            return Page{report::year_csv(view, sets), seal.broken()};
        case Format::html:
        case Format::xlsx:
            return Page{page_body(report::year_document(book, view, seal, options.units), book, options),
                        seal.broken()};
        case Format::text:
            break;
    }
    return Page{report::year_text(book, view, seal, sets, options.units), seal.broken()};
}

}  // namespace tarebook
