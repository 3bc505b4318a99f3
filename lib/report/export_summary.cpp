#include "export_summary.hpp"

#include <fmt/format.h>

#include "tarebook/checks/site_packs.hpp"
#include "year_document.hpp"

namespace tarebook::report {

std::string export_summary(const Book& book, const YearView& view, const ExportWalk& walk, const ExportFigures& figures,
                           const AppliedRules& rules) {
    const auto units = book.info().units;
    Document page(fmt::format("Refrigerant {}, {}{}", static_cast<int>(view.balance.year), book.info().company,
                              view.scope.text()),
                  fmt::format("{}. Each figure stands in the tables beside this page, with the events behind it. {}",
                              counted(walk.events(), "event"), year_reserve()));
    if (walk.seal().sealed()) page.heading("Seal").item(walk.seal().text(book, false));
    page.heading("Balances").add(year_tables(view, units));
    page.heading("Leaks").paragraph(fmt::format("{}: {} over the threshold of the day.",
                                                counted(figures.additions, "addition"), figures.additions_over));
    page.table(table_of({"appliance", "day", "added", "rate", "threshold", "event"}, 2, figures.over),
               "Additions over the threshold");
    page.heading("Disposal and reclaim")
        .table(table_of({"month", "gas", "appliances", "recovered"}, 2, figures.disposals),
               "Appliances disposed of, by month")
        .table(table_of({"day", "to", "gas", "owner", "mass", "basis"}, 4, figures.sent),
               "Sent for reclaim or destruction");
    page.heading("Open").paragraph(fmt::format(
        "{}: {} not resolved. {} out of test, or with a test date that is not on record.",
        counted(figures.exceptions, "exception"), figures.unresolved, counted(figures.out_of_test, "cylinder")));
    if (!view.packs.empty()) page.paragraph(fmt::format("Rule packs: {}.", packs_text(view.packs)));
    for (const auto& country : view.countries_without_pack) page.paragraph(no_pack_text(book.rules(), country) + ".");
    page.paragraph(fmt::format("Rules applied: {}.", rules.text()));
    std::vector<std::vector<std::string>> open, heads;
    for (const auto& rule : rules.all())
        if (rule.status == "to-confirm") open.push_back({rule.pack, rule.date, rule.rule, rule.clause});
    for (const auto& [id, head] : walk.heads()) heads.push_back({hex(id), event_name(head.seq), hex(head.digest)});
    page.table(table_of({"pack", "date", "rule", "clause"}, 4, open),
               "Rules applied that are still to be confirmed against the clause");
    page.table(table_of({"book", "event", "digest"}, 3, heads),
               "Heads: the person who has noted them can show that nothing before them changed");
    return page.html({book.info().company, {}, {}, book.info().practice()});
}

}  // namespace tarebook::report
