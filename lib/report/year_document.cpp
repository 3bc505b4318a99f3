#include "year_document.hpp"

#include <fmt/format.h>

#include <map>

#include "shared_text.hpp"
#include "year_flow.hpp"

namespace tarebook::report {
namespace {

Table stock(const YearView& view, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_cell(mass, units); };
    auto table =
        table_of({"gas", "owner", "start", "taken over", "received", "recovered", "charged", "reused", "returned",
                  "destroyed", "released", "lost", "unaccounted", "scale", "reclassified", "end", "counted"},
                 2);
    for (const auto& [key, s] : view.balance.stock) {
        std::vector<Cell> cells{key.refrigerant, owner_text(key.refrigerant, key.owner), m(s.line.opening())};
        for (const auto term :
             {Term::taken_over, Term::received, Term::recovered, Term::charged, Term::reused, Term::returned,
              Term::destroyed, Term::released, Term::lost, Term::unaccounted, Term::scale, Term::reclassified})
            cells.push_back(m(s.line.sum(term)));
        cells.push_back(m(s.line.closing()));
        cells.push_back(m(s.counted));
        table.typed_row(std::move(cells));
    }
    return table;
}

Table losses(const YearView& view, DisplayUnits units) {
    const GwpSets sets(view.catalogue, view.packs);
    std::vector<std::string> headings{"gas", "where", "material balance", "simplified"};
    for (const auto& set : sets.sets()) headings.push_back("t CO2e, " + set.set);
    auto table = table_of(headings, 2);
    for (const auto& line : view.losses) {
        const Mass loss = line.loss.material.loss();
        std::vector<Cell> cells{
            line.refrigerant,
            line.site.empty() ? "cylinders, owner " + owner_text(line.refrigerant, line.owner) : line.site,
            mass_cell(loss, units),
            mass_cell(line.site.empty() ? std::nullopt : std::optional(line.loss.simplified.loss()), units)};
        for (const auto& set : sets.sets()) {
            const auto tonnes = sets.tonnes(line.refrigerant, loss, set);
            const auto text = known_part_text(tonnes);
            cells.push_back(tonnes && !tonnes->at_least ? Cell{text, Number{tonnes->value, 3}} : Cell(text));
        }
        table.typed_row(std::move(cells));
    }
    return table;
}

}  // namespace

std::string left_out_text(const YearView& view, DisplayUnits units) {
    std::vector<std::string> parts;
    for (const auto& line : view.losses)
        if (const Mass out = line.loss.material.left_out_at_end; Mass() < out)
            parts.push_back(fmt::format("{} of {} at {}", mass_text(out, units), line.refrigerant, line.site));
    if (parts.empty()) return {};
    return "Taken out and not put back by the end of the year, so neither charge nor loss: " + joined(parts) + ". ";
}

std::string released_text(const YearView& view, DisplayUnits units) {
    std::map<std::pair<std::string, std::string>, Mass> released;
    for (const auto& [key, line] : view.balance.equipment)
        released[{key.refrigerant, site_of(key.appliance)}] -= line.sum(Term::released);
    std::vector<std::string> parts;
    for (const auto& line : view.losses) {
        const auto there = line.site.empty() ? released.end() : released.find({line.refrigerant, line.site});
        if (there != released.end() && Mass() < there->second)
            parts.push_back(fmt::format("{} of {} at {} (lost there: {})", mass_text(there->second, units),
                                        line.refrigerant, line.site, mass_text(line.loss.material.loss(), units)));
    }
    if (parts.empty()) return {};
    return "Released from equipment: " + joined(parts) +
           ". The balance has no line for it: it is counted as lost once gas is put in for it, and then with that gas, "
           "not twice. ";
}

Table table_of(const std::vector<std::string>& headings, std::size_t words,
               const std::vector<std::vector<std::string>>& rows) {
    Table table;
    for (std::size_t i = 0; i < headings.size(); ++i) table.column(headings[i], i < words ? Side::left : Side::right);
    for (const auto& row : rows) table.row(row);
    return table;
}

Table equipment_table(const YearView& view, DisplayUnits units, bool zeros) {
    using Equipment = std::pair<const EquipmentKey, YearLine>;
    const auto sum = [zeros](const char* heading, Term term) {
        Column<Equipment> out("", heading, [term](const Equipment& e) { return e.second.sum(term); });
        return zeros ? out : std::move(out).blank_zero();
    };
    return Columns<Equipment>{
        {"", "gas", [](const Equipment& e) { return e.first.refrigerant; }},
        {"", "site", [](const Equipment& e) { return e.first.appliance; }},
        {"", "owner", [](const Equipment& e) { return owner_text(e.first.refrigerant, e.first.owner); }},
        sum("charged", Term::charged),
        sum("reused", Term::reused),
        sum("by others", Term::by_others),
        sum("recovered", Term::recovered),
        sum("released", Term::released),
        sum("pumped over", Term::pumped_over),
        {"", "net in", [](const Equipment& e) { return e.second.closing() - e.second.opening(); }}}
        .table(by_site(view.balance), units);
}

const Columns<Reclaimed>& reclaim_columns() {
    static const Columns<Reclaimed> columns{
        {"refrigerant", "gas", [](const Reclaimed& r) { return r.first.refrigerant; }},
        Column<Reclaimed>("owner", "owner", [](const Reclaimed& r) { return r.first.owner; })
            .shown(
                [](const Reclaimed& r, DisplayUnits) { return Cell(owner_text(r.first.refrigerant, r.first.owner)); }),
        {"awaited_at_start", "awaited before", [](const Reclaimed& r) { return r.second.awaited_at_start.value(); }},
        {"sent", "sent", [](const Reclaimed& r) { return r.second.sent.value(); }},
        {"sent_in_exchange", "in exchange", [](const Reclaimed& r) { return r.second.sent_in_exchange.value(); }},
        {"stated", "stated", [](const Reclaimed& r) { return r.second.stated.value(); }},
        {"not_refrigerant", "oil, water, air", [](const Reclaimed& r) { return r.second.not_refrigerant.value(); }},
        {"difference", "difference", [](const Reclaimed& r) { return r.second.difference.value(); }},
        {"awaited_at_end", "awaited now", [](const Reclaimed& r) { return r.second.awaited_at_end(); }}};
    return columns;
}

Json packs_json(const YearView& view) {
    static const Columns<const RulePack*> columns{{"pack", "", [](const RulePack* pack) { return pack->id; }},
                                                  {"date", "", [](const RulePack* pack) { return pack->date; }}};
    return columns.json(view.packs);
}

Document year_tables(const YearView& view, DisplayUnits units) {
    Document out;
    for (const auto& flow : gas_flows(view.balance)) out.picture(flow_picture(flow, units));
    if (view.scope.site)
        out.paragraph("Gas in cylinders belongs to owners and not to sites: an owner's export has it.");
    else
        out.table(stock(view, units), "Gas in cylinders, by whose it is");
    if (!view.reclaim.empty()) out.table(reclaim_columns().table(view.reclaim, units), std::string(sent_title));
    out.table(equipment_table(view, units, true), "Into equipment (taken out: with a minus)");
    out.table(losses(view, units), "Lost, by the balances of EPA's guidance (equations from memory)");
    out.paragraph(left_out_text(view, units) + released_text(view, units) + std::string(loss_remark) +
                  " Equivalents of two sets are never added; not known is not zero.");
    return out;
}

}  // namespace tarebook::report
