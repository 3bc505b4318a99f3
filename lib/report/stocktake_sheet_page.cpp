// The sheet of a stocktake: for a clipboard, a phone, or a spreadsheet.
#include <fmt/format.h>

#include "document.hpp"
#include "stocktake_view.hpp"
#include "tarebook/report/stocktake_page.hpp"

namespace tarebook {
namespace report {
namespace {

struct SheetLine {
    std::string code;
    Content content;
    std::optional<Mass> tare, expected;
};

// What was not seen yet, as the book has it now: a cylinder may be filled while others are still being weighed.
std::vector<SheetLine> lines_of(const Book& book, const StocktakeView& view) {
    std::vector<SheetLine> out;
    for (const auto& c : view.cylinders) {
        if (!c.listed || c.seen()) continue;
        const auto state = book.state(c.code);
        const auto* entry = book.entries().find(EntryKind::cylinder, c.code);
        const auto& facts = entry ? entry->facts_at(order_at(Instant::max())) : c.facts;
        SheetLine line{c.code, content_of(state, facts), facts.tare, std::nullopt};
        if (facts.tare)
            line.expected = *facts.tare + state.contents();
        else
            line.expected = state.gross;
        out.push_back(std::move(line));
    }
    return out;
}

// They are on no sheet, and whoever counts may stand before them.
std::int64_t cylinders_without_place(const Book& book) {
    std::int64_t n = 0;
    book.each_cylinder([&](CylinderNow&& c) {
        if (!c.state.gone && !c.state.lost && place_of(c.state, c.facts).empty()) ++n;
    });
    return n;
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
    Table table;
    table.column("cylinder").column("gas").column("condition").column("tare", Side::right);
    if (!blind) table.column("should weigh", Side::right);
    table.column("weight, with unit").column("scale").column("cap");
    for (const auto& line : lines) {
        std::vector<std::string> cells{line.code, or_dash(line.content.refrigerant), or_dash(line.content.condition),
                                       mass_or(line.tare, units)};
        if (!blind) cells.push_back(mass_or(line.expected, units));
        cells.insert(cells.end(), {"_________________", "_____", "on  off"});
        table.row(std::move(cells));
    }
    page.table(std::move(table), "To weigh").gap();
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

std::string sheet_csv(const Book& book, const StocktakeView& view) {
    const bool blind = view.count.what().blind;
    std::vector<std::string> head{"count", "cylinder", "refrigerant", "condition", "tare_lb"};
    if (!blind) head.emplace_back("expected_gross_lb");
    head.insert(head.end(), {"gross", "scale", "cap", "seen", "label", "at", "note"});
    Csv csv(head);
    const auto id = view.count.id().substr(0, 16);
    for (const auto& line : lines_of(book, view)) {
        std::vector<std::string> cells{id, line.code, line.content.refrigerant.value_or(""),
                                       line.content.condition.value_or(""), pounds_cell(line.tare)};
        if (!blind) cells.push_back(pounds_cell(line.expected));
        cells.insert(cells.end(), {"", "", "", "", "", "", ""});
        csv.row(cells);
    }
    return csv.page();
}

Json sheet_json(const Book& book, const StocktakeView& view) {
    const bool blind = view.count.what().blind;
    Json page = versioned();
    page.add("count", Json::text(view.count.begin.name))
        .add("digest", Json::text(view.count.id()))
        .add("place", Json::text(view.count.what().place))
        .add("begun", Json::text(moment_text(view.count.begin.event.when)))
        .add("blind", Json::boolean(blind));
    Json cylinders = Json::array();
    for (const auto& line : lines_of(book, view)) {
        Json j = Json::object();
        j.add("cylinder", Json::text(line.code))
            .add("refrigerant", Json::text_or_null(line.content.refrigerant))
            .add("condition", Json::text_or_null(line.content.condition))
            .add_mass("tare", line.tare);
        if (!blind) j.add_mass("expected_gross", line.expected);
        cylinders.push(std::move(j));
    }
    return std::move(page.add("cylinders", std::move(cylinders)));
}

}  // namespace
}  // namespace report

Page stocktake_sheet_page(const Book& book, const KnownStocktake& count, const PageOptions& options) {
    const auto view = report::stocktake_view(book, count);
    switch (options.format) {
        case Format::json:
            return Page{report::sheet_json(book, view).page()};
        case Format::csv:
            return Page{report::sheet_csv(book, view)};
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            break;
    }
    return Page{report::page_body(report::sheet_document(book, view, options.units), book, options)};
}

}  // namespace tarebook
