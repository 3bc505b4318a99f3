#include "year_document.hpp"

#include <fmt/format.h>

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
        std::vector<Cell> cells{key.refrigerant, key.owner, m(s.line.opening())};
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

Table equipment(const YearView& view, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_cell(mass, units); };
    auto table = table_of(
        {"gas", "site", "owner", "charged", "reused", "by others", "recovered", "released", "pumped over", "net in"},
        3);
    for (const auto& [key, line] : by_site(view.balance)) {
        std::vector<Cell> cells{key.refrigerant, key.appliance, key.owner};
        for (const auto term :
             {Term::charged, Term::reused, Term::by_others, Term::recovered, Term::released, Term::pumped_over})
            cells.push_back(m(line.sum(term)));
        cells.push_back(m(line.closing() - line.opening()));
        table.typed_row(std::move(cells));
    }
    return table;
}

Table losses(const YearView& view, DisplayUnits units) {
    const GwpSets sets(view.packs);
    std::vector<std::string> headings{"gas", "where", "material balance", "simplified"};
    for (const auto& set : sets.sets()) headings.push_back("t CO2e, " + set.set);
    auto table = table_of(headings, 2);
    for (const auto& line : view.losses) {
        const Mass loss = line.loss.material.loss();
        std::vector<Cell> cells{
            line.refrigerant, line.site.empty() ? "cylinders, owner " + line.owner : line.site, mass_cell(loss, units),
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

Table table_of(const std::vector<std::string>& headings, std::size_t words,
               const std::vector<std::vector<std::string>>& rows) {
    Table table;
    for (std::size_t i = 0; i < headings.size(); ++i) table.column(headings[i], i < words ? Side::left : Side::right);
    for (const auto& row : rows) table.row(row);
    return table;
}

Table reclaim_table(const YearView& view, DisplayUnits units) {
    auto table = table_of(
        {"gas", "owner", "awaited before", "sent", "stated", "oil, water, air", "difference", "awaited now"}, 2);
    for (const auto& [key, line] : view.reclaim) {
        std::vector<Cell> cells{key.refrigerant, key.owner};
        for (const auto& [term, mass] : terms_of(line)) cells.push_back(mass_cell(mass, units));
        table.typed_row(std::move(cells));
    }
    return table;
}

Document year_tables(const YearView& view, DisplayUnits units) {
    Document out;
    for (const auto& flow : gas_flows(view.balance)) out.picture(flow_picture(flow, units));
    if (view.scope.site)
        out.paragraph("Gas in cylinders belongs to owners and not to sites: an owner's export has it.");
    else
        out.table(stock(view, units), "Gas in cylinders, by whose it is");
    if (!view.reclaim.empty())
        out.table(reclaim_table(view, units), "Sent to reclaimers, and what their statements said");
    out.table(equipment(view, units), "Into equipment (taken out: with a minus)");
    out.table(losses(view, units), "Lost, by the balances of EPA's guidance (equations from memory)");
    out.paragraph(
        "A loss below nothing is an error of data or scale and is shown as it is. Equivalents of two sets are never "
        "added; not known is not zero.");
    return out;
}

}  // namespace tarebook::report
