// The sheet of a stocktake: for a clipboard, a phone, or a spreadsheet.
#include <fmt/format.h>

#include "columns.hpp"
#include "document.hpp"
#include "stocktake_view.hpp"
#include "tarebook/report/stocktake_page.hpp"

namespace tarebook {
namespace report {
namespace {

struct SheetLine {
    std::string code;
    Content content;
    std::optional<Mass> tare, expected, expected_net;
};

// What was not seen yet, as the book has it now: a cylinder may be filled while others are still being weighed.
std::vector<SheetLine> lines_of(const Book& book, const StocktakeView& view) {
    std::vector<SheetLine> out;
    for (const auto& c : view.cylinders) {
        if (!c.listed || c.seen()) continue;
        const auto state = book.state(c.code);
        const auto* entry = book.entries().find(EntryKind::cylinder, c.code);
        const auto& facts = entry ? entry->facts_at(order_at(Instant::max())) : c.facts;
        SheetLine line{c.code, content_of(state, facts), facts.tare, std::nullopt, net_without_tare(state, facts)};
        if (facts.tare)
            line.expected = *facts.tare + state.contents();
        else
            line.expected = state.gross;
        out.push_back(std::move(line));
    }
    return out;
}

// They are on no sheet, and the person who counts may find them.
std::int64_t cylinders_without_place(const Book& book) {
    std::int64_t n = 0;
    book.each_cylinder([&](CylinderNow&& c) {
        if (!c.state.gone && !c.state.lost && place_of(c.state, c.facts).empty()) ++n;
    });
    return n;
}

// What the book knows of each, then what is to be written down.
Columns<SheetLine> line_columns(bool blind) {
    const auto blank = [](std::string name, std::string heading, const char* to_write_on) {
        return Column<SheetLine>(std::move(name), std::move(heading), [](const SheetLine&) { return ""; })
            .no_json()
            .shown([to_write_on](const SheetLine&, DisplayUnits) { return to_write_on; });
    };
    Columns<SheetLine> known{{"cylinder", "cylinder", &SheetLine::code},
                             {"refrigerant", "gas", [](const SheetLine& l) { return l.content.refrigerant; }},
                             {"condition", "condition", [](const SheetLine& l) { return l.content.condition; }},
                             {"tare", "tare", &SheetLine::tare}};
    if (!blind)
        known = std::move(known).with({Column<SheetLine>("expected_gross", "should weigh", &SheetLine::expected)
                                           .shown([](const SheetLine& l, DisplayUnits units) {
                                               return expected_cell(l.expected, l.expected_net, units);
                                           }),
                                       {"expected_net", "", &SheetLine::expected_net}});
    return std::move(known).with({blank("gross", "weight, with unit", "_________________"),
                                  blank("scale", "scale", "_____"), blank("cap", "cap", "on  off"),
                                  blank("seen", "", ""), blank("label", "", ""), blank("at", "", ""),
                                  blank("note", "", "")});
}

Document sheet_document(const Book& book, const StocktakeView& view, DisplayUnits units) {
    const bool blind = view.count.what().blind;
    const auto lines = lines_of(book, view);
    Document page(fmt::format("Count of {}", view.count.what().place),
                  fmt::format("{}, {} to weigh{}", view.count.begin.name,
                              counted(static_cast<std::int64_t>(lines.size()), "cylinder"), blind ? ", blind" : ""),
                  ": ");
    page.fact("begun", moment_text(view.count.begin.event.when)).fact("by", "____________________");
    page.fact("second person", "____________________").gap();
    page.table(line_columns(blind).table(lines, units), "To weigh").gap();
    if (const auto n = cylinders_without_place(book); n > 0)
        page.paragraph(fmt::format("{} of the book {} no place on record, and so {} on no sheet",
                                   counted(n, "cylinder"), n == 1 ? "has" : "have", n == 1 ? "is" : "are"))
            .gap();
    page.bullet("write what the scale shows, with its unit; zero it when it is empty, and weigh again what surprises");
    page.bullet("a cylinder that is not on this sheet, or has no code: write it below with its weight and label");
    page.bullet("one that is not there: write \"missing\" in place of a weight");
    page.bullet("leaking, hot, bulged or over its limit: do not move it; ventilate, and follow local rules");
    return page;
}

Json sheet_json(const Book& book, const StocktakeView& view) {
    const bool blind = view.count.what().blind;
    return page_of("count-sheet", {{"count", view.count.begin.name},
                                   {"digest", view.count.id()},
                                   {"place", view.count.what().place},
                                   {"begun_at", moment_text(view.count.begin.event.when)},
                                   {"blind", blind},
                                   {"cylinders", line_columns(blind).json(lines_of(book, view))}});
}

}  // namespace
}  // namespace report

Page stocktake_sheet_page(const Book& book, const KnownStocktake& count, const PageOptions& options) {
    const auto view = report::stocktake_view(book, count);
    switch (options.format) {
        case Format::json:
            return Page{report::sheet_json(book, view).page()};
        case Format::csv:
            return Page{report::line_columns(count.what().blind)
                            .csv(report::lines_of(book, view), "count", count.id().substr(0, 16))};
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            break;
    }
    return Page{report::page_body(report::sheet_document(book, view, options.units), book, options)};
}

}  // namespace tarebook
