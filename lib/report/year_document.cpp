#include "year_document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "shared_text.hpp"
#include "year_flow.hpp"

namespace tarebook::report {
namespace {

using Stock = const std::pair<const StockKey, StockLine>*;
Table stock(const YearView& view, DisplayUnits units) {
    const auto sum = [](const char* heading, Term term) {
        return Column<Stock>("", heading, [term](const Stock& s) { return s->second.line.sum(term); }).moved();
    };
    return Columns<Stock>{
        {"", "owner", [](const Stock& s) { return owner_text(s->first.refrigerant, s->first.owner); }},
        {"", "gas", [](const Stock& s) { return s->first.refrigerant; }},
        Column<Stock>("", "start", [](const Stock& s) { return s->second.line.opening(); }).moved(),
        sum("taken over", Term::taken_over),
        sum("received", Term::received),
        sum("recovered", Term::recovered),
        sum("charged", Term::charged),
        sum("reused", Term::reused),
        sum("returned", Term::returned),
        sum("destroyed", Term::destroyed),
        sum("released", Term::released),
        sum("lost", Term::lost),
        sum("unaccounted", Term::unaccounted),
        sum("scale", Term::scale),
        sum("reclassified", Term::reclassified),
        Column<Stock>("", "end", [](const Stock& s) { return s->second.line.closing(); }).moved(),
        Column<Stock>("", "counted", [](const Stock& s) { return s->second.counted; }).moved()}
        .table(by_owner(view.balance.stock), units);
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

Table losses_table(const YearView& view, const GwpSets& sets, DisplayUnits units, LossSums sums) {
    const bool any_unknown = std::any_of(view.losses.begin(), view.losses.end(),
                                         [](const LossLine& line) { return !line.charge_unknown_before.is_zero(); });
    constexpr auto figures = Figures::moved_with_sums;
    Table table;
    table.column("owner").column("gas").column("where").column("material balance", Side::right, figures);
    if (any_unknown) table.column(std::string(unknown_before_heading), Side::right, figures);
    table.column("simplified", Side::right, figures);
    for (const auto& set : sets.sets()) table.column("t CO2e " + set.set, Side::right, figures);

    struct Sum {
        Mass loss, unknown, simplified;
        std::int64_t rows = 0;
    };
    std::map<std::string, Sum> by_gas;
    std::vector<Cell> cells;
    const auto masses = [&](Mass loss, Mass unknown, const std::optional<Mass>& simplified) {
        cells.push_back(mass_cell(loss, units));
        if (any_unknown) cells.push_back(mass_cell(unknown, units));
        cells.push_back(mass_cell(simplified, units));
    };
    const auto tonnes_cell = [](const std::optional<KnownPart>& tonnes) {
        if (tonnes && tonnes->value == 0)
            return Cell("-", Number{0, 3});  // of nothing there is no part that lacks a value
        const auto text = known_part_text(tonnes);
        return tonnes && !tonnes->at_least ? Cell{text, Number{tonnes->value, 3}} : Cell(text);
    };
    std::vector<const LossLine*> lines;
    for (const auto& line : view.losses) lines.push_back(&line);
    std::stable_sort(lines.begin(), lines.end(), [](const LossLine* a, const LossLine* b) {
        return owner_text(a->refrigerant, a->owner) < owner_text(b->refrigerant, b->owner);
    });
    for (const auto* line : lines) {
        const Mass loss = line->loss.material.loss(), simplified = line->loss.simplified.loss();
        const bool in_cylinders = line->site.empty();
        auto& sum = by_gas[line->refrigerant];
        sum.loss += loss, sum.unknown += line->charge_unknown_before;
        if (!in_cylinders) sum.simplified += simplified;
        if (in_cylinders && loss.is_zero()) continue;
        ++sum.rows;
        cells = {owner_text(line->refrigerant, line->owner), line->refrigerant,
                 in_cylinders ? "cylinders" : line->site};
        masses(loss, line->charge_unknown_before, in_cylinders ? std::nullopt : std::optional(simplified));
        for (const auto& set : sets.sets()) cells.push_back(tonnes_cell(sets.tonnes(line->refrigerant, loss, set)));
        table.typed_row(std::move(cells));
    }
    if (table.empty() || sums == LossSums::left_out) return table;
    // that nothing was lost, the rows say
    if (std::all_of(by_gas.begin(), by_gas.end(),
                    [](const auto& gas) { return gas.second.loss.is_zero() && gas.second.simplified.is_zero(); }))
        return table;
    Sum all;
    for (const auto& [gas, sum] : by_gas) {
        all.loss += sum.loss, all.unknown += sum.unknown, all.simplified += sum.simplified;
        if (sum.rows < 2) continue;
        cells = {"all", gas, "all"};
        masses(sum.loss, sum.unknown, sum.simplified);
        for (const auto& set : sets.sets()) cells.push_back(tonnes_cell(sets.tonnes(gas, sum.loss, set)));
        table.typed_row(std::move(cells));
    }
    cells = {"all", "all", "all"};
    masses(all.loss, all.unknown, all.simplified);
    for (const auto& set : sets.sets()) {
        std::vector<CarbonDioxideEquivalent> known;
        bool lacks = false;
        for (const auto& [gas, sum] : by_gas) {
            lacks = lacks || !sets.gap_text(gas, set).empty();
            if (const auto tonnes = sets.tonnes(gas, sum.loss, set)) known.push_back({tonnes->value, set.set});
        }
        cells.push_back(tonnes_cell(KnownPart{total(known).value().tonnes, lacks}));
    }
    table.typed_row(std::move(cells));
    return table;
}

std::string unknown_before_text(const YearView& view, DisplayUnits units) {
    Mass sum;
    for (const auto& line : view.losses) sum += line.charge_unknown_before;
    if (sum.is_zero()) return {};
    return fmt::format(
        "{}: {} went into equipment that this book has known only since this year. What such equipment held before is "
        "not on record: gas that filled it up, or made up for what had leaked before, reads as lost in this year. ",
        unknown_before_heading, mass_text(sum, units));
}

Table table_of(const std::vector<std::string>& headings, std::size_t words, std::vector<std::vector<Cell>> rows,
               const std::vector<std::string>& summed) {
    Table table;
    for (std::size_t i = 0; i < headings.size(); ++i) {
        const bool sum = std::find(summed.begin(), summed.end(), headings[i]) != summed.end();
        table.column(headings[i], i < words ? Side::left : Side::right, sum ? Figures::summed : Figures::single);
    }
    for (auto& row : rows) table.typed_row(std::move(row));
    return table;
}

Table equipment_table(const YearView& view, DisplayUnits units) {
    using Equipment = const std::pair<const EquipmentKey, YearLine>*;
    const auto sum = [](const char* heading, Term term) {
        return Column<Equipment>("", heading, [term](const Equipment& e) { return e->second.sum(term); }).moved();
    };
    const auto lines = by_site(view.balance);
    return Columns<Equipment>{
        {"", "owner", [](const Equipment& e) { return owner_text(e->first.refrigerant, e->first.owner); }},
        {"", "gas", [](const Equipment& e) { return e->first.refrigerant; }},
        {"", "site", [](const Equipment& e) { return e->first.appliance; }},
        sum("charged", Term::charged),
        sum("reused", Term::reused),
        sum("by others", Term::by_others),
        sum("recovered", Term::recovered),
        sum("released", Term::released),
        sum("pumped over", Term::pumped_over),
        Column<Equipment>("", "net in", [](const Equipment& e) { return e->second.closing() - e->second.opening(); })
            .moved()}
        .table(by_owner(lines), units);
}

const Columns<Reclaimed>& reclaim_columns() {
    using C = Column<Reclaimed>;
    static const Columns<Reclaimed> columns{
        {"refrigerant", "gas", [](const Reclaimed& r) { return r.first.refrigerant; }},
        C("owner", "owner",
          [](const Reclaimed& r) {
              return r.first.owner;
          }).shown([](const Reclaimed& r, DisplayUnits) {
            return Cell(owner_text(r.first.refrigerant, r.first.owner));
        }),
        C("awaited_at_start", "awaited before",
          [](const Reclaimed& r) {
              return r.second.awaited_at_start.value();
          }).moved(),
        C("sent", "sent", [](const Reclaimed& r) { return r.second.sent.value(); }).moved(),
        C("sent_in_exchange", "in exchange",
          [](const Reclaimed& r) {
              return r.second.sent_in_exchange.value();
          }).moved(),
        C("stated", "stated", [](const Reclaimed& r) { return r.second.stated.value(); }).moved(),
        C("not_refrigerant", "not refrigerant",
          [](const Reclaimed& r) {
              return r.second.not_refrigerant.value();
          }).moved(),
        C("difference", "difference", [](const Reclaimed& r) { return r.second.difference.value(); }).moved(),
        C("awaited_at_end", "awaited now", [](const Reclaimed& r) { return r.second.awaited_at_end(); }).moved()};
    return columns;
}

Json packs_json(const YearView& view) {
    static const Columns<const RulePack*> columns{{"pack", "", [](const RulePack* pack) { return pack->id; }},
                                                  {"date", "", [](const RulePack* pack) { return pack->date; }}};
    return columns.json(view.packs);
}

Document year_tables(const YearView& view, DisplayUnits units, LossSums sums) {
    Document out;
    for (const auto& flow : gas_flows(view.balance)) out.picture(flow_picture(flow, units));
    if (auto stock = stock_picture(view.stock_days, view.balance.year, view.stock_until, units))
        out.picture(std::move(*stock));
    if (view.scope.site)
        out.paragraph("Gas in cylinders belongs to owners and not to sites: an owner's export has it.");
    else
        out.table(stock(view, units), std::string(stock_title));
    if (!view.reclaim.empty()) out.table(reclaim_columns().table(view.reclaim, units), std::string(sent_title));
    out.table(equipment_table(view, units), std::string(equipment_title));
    out.table(losses_table(view, GwpSets(view.catalogue, view.packs), units, sums), std::string(loss_title));
    out.paragraph(unknown_before_text(view, units) + left_out_text(view, units) + released_text(view, units) +
                  std::string(loss_remark) + " Equivalents of two sets are never added; not known is not zero.");
    return out;
}

}  // namespace tarebook::report
