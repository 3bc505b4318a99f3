// The year in balances: stock by owner, equipment by site, what was lost by two methods, and its equivalents by set.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "event_row.hpp"
#include "layout.hpp"
#include "shared_text.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "year_answer.hpp"
#include "year_document.hpp"
#include "year_reading.hpp"

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
    return owner == shop_owner ? "the shop's" : owner == owner_unassigned ? "owner not on record" : "of " + owner;
}

std::string stock_text(const YearView& v, DisplayUnits units) {
    std::string out;
    for (const auto* held : by_owner(v.balance.stock)) {
        const auto& line = held->second.line;
        out += fmt::format("\n{}, {}\n", held->first.refrigerant, owner_words(held->first.owner));
        Table table;
        table.column("").column("", Side::right, Figures::moved_with_sums).column("");
        const auto row = [&](std::string_view what, Mass mass, std::string words = {}) {
            table.typed_row({std::string(what), mass_cell(mass, units), std::move(words)});
        };
        row("at the start", line.opening());
        for (const auto term : all_terms()) {
            const Mass sum = line.sum(term);
            const auto words = basis_words(line, term, units);
            if (!sum.is_zero() || !words.empty()) row(with_blanks(text_of(term)), sum, words);
        }
        row("at the end", line.closing(), "by the book");
        row("counted", held->second.counted, "when each cylinder was last on a scale");
        if (!held->second.not_counted.is_zero())
            row("never counted", held->second.not_counted, "by the book, no weight against a tare");
        out += table.text(2);
    }
    return out;
}

std::string losses_text(const YearView& v, const GwpSets& sets, DisplayUnits units) {
    std::set<std::string> gases, gaps;
    for (const auto& line : v.losses) gases.insert(line.refrigerant);
    for (const auto& gas : gases)
        for (const auto& set : sets.sets())
            if (auto gap = sets.gap_text(gas, set); !gap.empty()) gaps.insert(std::move(gap));
    return losses_table(v, sets, units).text() +
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
                      const YearAnswer& answer, DisplayUnits units) {
    std::string out = fmt::format("{}, {}{}: {}\n", static_cast<int>(v.balance.year), book.info().company,
                                  v.scope.text(), year_answer_text(answer, units));
    if (v.scope.all()) out += counted(v.balance.events, "event") + "\n";
    out += seal.text(book, v.scope.all());
    if (v.scope.site) {
        out += "\n" + wrapped("Gas in cylinders belongs to owners and not to sites: report year --owner has it.", 0);
    } else {
        out += "\nIn cylinders, by whose gas it is\n";
        out += v.balance.stock.empty() ? "\nnothing\n" : stock_text(v, units);
    }
    if (!v.reclaim.empty()) out += fmt::format("\n{}\n", sent_title) + reclaim_columns().table(v.reclaim, units).text();
    const auto equipment = equipment_table(v, units);
    out += fmt::format("\n{}\n", equipment_title) + (equipment.empty() ? "nothing went in or out\n" : equipment.text());
    if (!v.losses.empty()) {
        out += fmt::format("\n{}\n", loss_title) + losses_text(v, sets, units);
        out += wrapped(unknown_before_text(v, units) + left_out_text(v, units) + released_text(v, units) +
                           std::string(loss_remark) +
                           " Equivalents are of the material balance; those of two sets are never added.",
                       0);
    }
    out += '\n' + wrapped("rules applied: " + sets_spoken(v, sets).text(), 0);
    for (const auto& country : v.countries_without_pack) out += wrapped(no_pack_text(book.rules(), country), 0);
    if (!v.unknown_packs.empty()) out += wrapped("rule packs not known here: " + joined(v.unknown_packs), 0);
    return out + wrapped(year_reserve(), 0);
}

// What moved under one term, by how it is known.
struct Amount {
    std::string_view term, basis;
    Mass mass;
};
std::vector<Amount> amounts_of(const YearLine& line) {
    std::vector<Amount> out;
    for (const auto term : all_terms())
        for (const auto basis : {Basis::weighed, Basis::stated, Basis::estimated})
            if (const Mass mass = line.sum(term, basis); !mass.is_zero())
                out.push_back({text_of(term), text_of(basis), mass});
    return out;
}
const Columns<Amount>& amount_columns() {
    static const Columns<Amount> columns{
        {"term", "", &Amount::term}, {"basis", "", &Amount::basis}, {"mass", "", &Amount::mass}};
    return columns;
}
Json terms_json(const YearLine& line) {
    return amount_columns().json(amounts_of(line));
}

// A loss by one set of potentials.
struct Equivalent {
    const GwpValues* set = nullptr;
    std::optional<KnownPart> gwp = {}, tonnes = {};
    [[nodiscard]] bool at_least() const { return gwp && gwp->at_least; }
};
std::vector<Equivalent> equivalents_of(const GwpSets& sets, const std::string& refrigerant, Mass loss) {
    std::vector<Equivalent> out;
    for (const auto& set : sets.sets())
        out.push_back({&set, sets.gwp(refrigerant, set), sets.tonnes(refrigerant, loss, set)});
    return out;
}
const Columns<Equivalent>& equivalent_columns() {
    const auto figure = [](const std::optional<KnownPart>& part, int decimals) {
        return part ? Field::decimal(part->value, decimals) : Field();
    };
    static const Columns<Equivalent> columns{
        {"gwp_set", "", [](const Equivalent& e) { return e.set ? e.set->set : ""; }},
        Column<Equivalent>("status", "", [](const Equivalent& e) { return key_of(e.set->status); }).no_csv(),
        {"gwp", "", [figure](const Equivalent& e) { return figure(e.gwp, 4); }},
        {"t_co2e", "", [figure](const Equivalent& e) { return figure(e.tonnes, 6); }},
        Column<Equivalent>("at_least", "", &Equivalent::at_least).csv_as([](const Equivalent& e) {
            return e.at_least() ? "yes" : "";
        })};
    return columns;
}

Json loss_json(const LossLine& line, const GwpSets& sets) {
    const auto& m = line.loss.material;
    const auto& s = line.loss.simplified;
    const auto of_site = [&](Mass mass) { return line.site.empty() ? std::nullopt : std::optional(mass); };
    return facts({{"refrigerant", line.refrigerant},
                  {"owner", line.owner},
                  {"site", line.site},
                  {"material_loss", m.loss()},
                  {"stock_at_start", m.stock_at_start},
                  {"stock_at_end", m.stock_at_end},
                  {"acquired", m.acquired},
                  {"disbursed", m.disbursed},
                  {"full_charge_at_start", m.full_charge_at_start},
                  {"full_charge_at_end", m.full_charge_at_end},
                  {"left_out_at_start", m.left_out_at_start},
                  {"left_out_at_end", m.left_out_at_end},
                  {"simplified_loss", of_site(s.loss())},
                  {"charged_into_new", of_site(s.charged_into_new)},
                  {"full_charge_of_new", of_site(s.full_charge_of_new)},
                  {"used_in_service", of_site(s.used_in_service)},
                  {"full_charge_of_disposed", of_site(s.full_charge_of_disposed)},
                  {"recovered_from_disposed", of_site(s.recovered_from_disposed)},
                  {"equivalents", equivalent_columns().json(equivalents_of(sets, line.refrigerant, m.loss()))}});
}

Json year_json(const Book& book, const YearView& v, const SealWatch& seal, const GwpSets& sets,
               const YearAnswer& answer) {
    Json stock = Json::array(), equipment = Json::array(), losses = Json::array();
    for (const auto& [key, s] : v.balance.stock)
        stock.push(facts({{"refrigerant", key.refrigerant},
                          {"owner", key.owner},
                          {"opening", s.line.opening()},
                          {"terms", terms_json(s.line)},
                          {"closing", s.line.closing()},
                          {"counted", s.counted},
                          {"never_counted", s.not_counted}}));
    for (const auto& [key, line] : v.balance.equipment)
        equipment.push(facts({{"refrigerant", key.refrigerant},
                              {"owner", key.owner},
                              {"site", site_of(key.appliance)},
                              {"appliance", key.appliance},
                              {"opening", line.opening()},
                              {"terms", terms_json(line)},
                              {"closing", line.closing()}}));
    for (const auto& line : v.losses) losses.push(loss_json(line, sets));
    return page_of("year", {{"year", static_cast<int>(v.balance.year)},
                            {"owner", v.scope.owner},
                            {"site", v.scope.site},
                            {"lost_by_owner", lost_json(answer)},
                            {"gwp_set", answer.gwp_set},
                            {"number_of_additions", answer.additions.all},
                            {"additions_over", answer.additions.over},
                            {"stock", std::move(stock)},
                            {"reclaim", reclaim_columns().json(v.reclaim)},
                            {"equipment", std::move(equipment)},
                            {"losses", std::move(losses)},
                            {"seal", seal.json(book, v.scope.all())},
                            {"rule_packs", packs_json(v)}});
}

// A row of CSV: a part of a balance, or a loss by one set of potentials.
struct YearRow {
    std::string part, refrigerant, owner, site, appliance;
    Amount amount;
    Equivalent equivalent = {};
};
std::vector<YearRow> rows_of(const YearView& v, const GwpSets& sets) {
    std::vector<YearRow> out;
    const auto add = [&](YearRow row, const YearLine& line) {
        const auto one = [&](const Amount& amount) { row.amount = amount, out.push_back(row); };
        one({"opening", "", line.opening()});
        for (const auto& amount : amounts_of(line)) one(amount);
        one({"closing", "", line.closing()});
    };
    for (const auto& [key, s] : v.balance.stock) {
        add({"stock", key.refrigerant, key.owner, "", "", {}}, s.line);
        out.push_back({"stock", key.refrigerant, key.owner, "", "", {"counted", "weighed", s.counted}});
    }
    for (const auto& [key, line] : v.balance.equipment)
        add({"equipment", key.refrigerant, key.owner, site_of(key.appliance), key.appliance, {}}, line);
    for (const auto& r : v.reclaim)
        for (const auto& c : reclaim_columns().list())
            if (const auto mass = c.field(r).mass())
                out.push_back({"reclaim", r.first.refrigerant, r.first.owner, "", "", {c.name(), "", *mass}});
    for (const auto& line : v.losses) {
        const auto loss = [&](const char* method, Mass mass) {
            for (const auto& e : equivalents_of(sets, line.refrigerant, mass))
                out.push_back({"loss", line.refrigerant, line.owner, line.site, "", {method, "", mass}, e});
        };
        loss("material-balance", line.loss.material.loss());
        if (!line.site.empty()) loss("simplified", line.loss.simplified.loss());
    }
    return out;
}
Columns<YearRow> row_columns() {
    return Columns<YearRow>{{"part", "", &YearRow::part},
                            {"refrigerant", "", &YearRow::refrigerant},
                            {"owner", "", &YearRow::owner},
                            {"site", "", &YearRow::site},
                            {"appliance", "", &YearRow::appliance}}
        .with(amount_columns(), &YearRow::amount)
        .with(equivalent_columns(), &YearRow::equivalent);
}
std::string year_csv(const YearView& v, const GwpSets& sets) {
    return row_columns().csv(rows_of(v, sets), "year", std::to_string(static_cast<int>(v.balance.year)));
}

Document year_document(const Book& book, const YearView& v, const SealWatch& seal, const YearAnswer& answer,
                       const PageOptions& options) {
    const GwpSets sets(v.catalogue, v.packs);
    const bool for_a_spreadsheet = options.format == Format::xlsx;
    Document page(fmt::format("Refrigerant {}{}", static_cast<int>(v.balance.year), v.scope.text()),
                  year_answer_text(answer, options.units));
    if (seal.sealed()) page.item(seal.text(book, v.scope.all()));
    page.add(year_tables(v, options.units, for_a_spreadsheet ? LossSums::left_out : LossSums::shown));
    if (for_a_spreadsheet) page.table(row_columns().sheet(rows_of(v, sets), options.units), "Figures");
    return std::move(page.paragraph("rules applied: " + sets_spoken(v, sets).text()).paragraph(year_reserve()));
}

}  // namespace

YearReading::YearReading(const Book& book, const YearScope& scope, std::chrono::year year,
                         const std::vector<StoredEvent>& seals)
    : book_(book),
      scope_(scope),
      sums_(year, book.entries()),
      seal_(book, year, seals),
      reclaim_(book, year),
      stock_(scope_, sums_.first_day(), sums_.last_day()) {}

void YearReading::see(const BookedEvent& e, const YearEvent& event, const YearWords& words,
                      const std::vector<YearMovement>& movements) {
    seal_.see(e);
    reclaim_.see(e);
    sums_.take(event, words, movements);
    if (e.day <= sums_.last_day()) stock_.see(e.day, movements);
}

Page YearReading::page(const EquipmentMovements& movements, const LeakLog& log, const PageOptions& options) {
    const auto view = year_view_of(book_, scope_, sums_, reclaim_, stock_);
    const GwpSets sets(view.catalogue, view.packs);
    seal_.finish(view.whole_digest);
    if (options.format == Format::csv) return Page{year_csv(view, sets), seal_.broken()};
    const auto answer = year_answer(view, sets, additions_of_year(book_, view, movements, log, options.gathered));
    switch (options.format) {
        case Format::json:
            return Page{year_json(book_, view, seal_, sets, answer).page(), seal_.broken()};
        case Format::html:
        case Format::xlsx:
            return Page{page_body(year_document(book_, view, seal_, answer, options), book_, options), seal_.broken()};
        case Format::csv:
        case Format::text:
            break;
    }
    return Page{laid_out(year_text(book_, view, seal_, sets, answer, options.units), options.width), seal_.broken()};
}

YearWalk::YearWalk(const Book& book, std::deque<YearReading>& years)
    : equipment(book), year_movements_(book.entries()) {
    walk(book, years);
}
void YearWalk::walk(const Book& book, std::deque<YearReading>& years) {
    EventRowReader rows;
    YearWordsReader reader;
    std::vector<YearPosting> postings;
    book.each_booked([&](const BookedEvent& e) {
        postings.clear();
        for (const auto& p : e.postings) postings.push_back({p.account, p.lot, p.mass});
        const YearEvent event{e.stored.body, e.order, e.day, e.kind, postings};
        const auto words = reader.read(event);
        const auto& movements = year_movements_.of(event, words);
        for (auto& year : years) year.see(e, event, words, movements);
        if (move_equipment(movements)) equipment.take(e, movements, rows.read(e.stored.body).job);
    });
}

YearWalk::YearWalk(const Book& book) : equipment(book), year_movements_(book.entries()) {
    std::deque<YearReading> none;
    walk(book, none);
}

}  // namespace report

Result<Page> year_page(const Book& book, const YearQuestion& question, const PageOptions& options) {
    const auto scope = report::scope_of(book, question);
    if (!scope) return fail(scope.error());
    std::deque<report::YearReading> years;
    years.emplace_back(book, *scope, question.year, book.events_of_kind(kinds::Seal::name));
    const report::YearWalk seen(book, years);
    return years.front().page(seen.equipment, report::LeakLog(book), options);
}

}  // namespace tarebook
