#include "export_summary.hpp"

#include <fmt/format.h>

#include "tarebook/checks/site_packs.hpp"
#include "year_answer.hpp"
#include "year_document.hpp"

namespace tarebook::report {

std::string export_summary(const Book& book, const YearView& view, const ExportWalk& walk, const ExportFigures& figures,
                           const AppliedRules& rules) {
    const auto units = book.info().units;
    Document page(fmt::format("Refrigerant {}, {}{}", static_cast<int>(view.balance.year), book.info().company,
                              view.scope.text()),
                  year_answer_text(year_answer(view, GwpSets(view.catalogue, view.packs),
                                               {figures.additions_that_count, figures.additions_over}),
                                   units));
    page.paragraph(fmt::format("{}. Each figure stands in the tables beside this page, with the events behind it.",
                               counted(walk.events(), "event")));
    if (walk.seal().sealed()) page.chapter("Seal").item(walk.seal().text(book, false));
    page.chapter("Balances").add(year_tables(view, units));
    page.chapter("Leaks").paragraph(fmt::format("{}: {} over the threshold of the day.",
                                                counted(figures.additions, "addition"), figures.additions_over));
    page.table(table_of({"appliance", "day", "added", "rate", "threshold", "event"}, 2, figures.over, {"added"}),
               "Additions over the threshold");
    std::vector<std::vector<Cell>> sent;
    for (const auto& [key, sum] : figures.sent)
        sent.push_back({key.first, key.second, count_cell(sum.shipments), mass_cell(sum.mass.value(), units)});
    page.chapter("Disposal and reclaim")
        .table(table_of({"month", "gas", "appliances", "recovered"}, 2, figures.disposals, {"recovered"}),
               "Appliances disposed of, by month")
        .table(table_of({"to", "gas", "shipments", "sent"}, 2, std::move(sent), {"sent"}),
               "Sent for reclaim or destruction, by receiver and gas");
    page.chapter("Open").paragraph(fmt::format(
        "{}: {} not resolved. {} out of test, or with a test date that is not on record.",
        counted(figures.exceptions, "exception"), figures.unresolved, counted(figures.out_of_test, "cylinder")));
    if (!view.packs.empty()) page.paragraph(fmt::format("Rule packs: {}.", packs_text(view.packs)));
    for (const auto& country : view.countries_without_pack) page.paragraph(no_pack_text(book.rules(), country) + ".");
    page.paragraph(fmt::format("Rules applied: {}.", rules.text()));
    std::vector<std::vector<Cell>> open, heads;
    for (const auto& rule : rules.all())
        if (rule.status == "to-confirm") open.push_back({rule.pack, rule.date, rule.rule, rule.clause});
    for (const auto& [id, head] : walk.heads()) heads.push_back({hex(id), event_name(head.seq), hex(head.digest)});
    page.table(table_of({"pack", "date", "rule", "clause"}, 4, open),
               "Rules applied that are still to be confirmed against the clause");
    page.table(table_of({"book", "event", "digest"}, 3, heads),
               "Heads: the person who has noted them can show that nothing before them changed");
    page.paragraph(year_reserve());
    return page.html({book.info().company, {}, {}, book.info().practice()});
}

}  // namespace tarebook::report
