// A document as a spreadsheet: each table becomes a sheet, and the other text the last sheet.
#include "document.hpp"
#include "shared_text.hpp"
#include "tarebook/report/practice.hpp"
#include "workbook.hpp"

namespace tarebook::report {

std::string Document::xlsx(const Imprint& imprint, DisplayUnits units) const {
    const std::string mark = imprint.practice ? "PRACTICE " : "";  // on the tab of each sheet
    Workbook book(mark + title_, imprint.company, imprint.printed ? imprint.printed->at : Instant{});
    Table about;
    about.column("about").column("words");
    if (imprint.practice) about.row({"PRACTICE", std::string(practice_words)});
    about.row({"report", title_});
    if (!lead_.empty()) about.row({"", lead_});
    for (const auto& part : parts_) {
        if (const auto* rows = std::get_if<Rows>(&part)) {
            const auto name = book.sheet(mark + rows->caption, rows->table, units);
            about.row({"sheet " + name, rows->caption});
        } else if (const auto* cards = std::get_if<Cards>(&part)) {
            const auto name = book.sheet(mark + cards->caption, cards->table, units);
            about.row({"sheet " + name, cards->caption});
        } else if (const auto* words = std::get_if<Words>(&part)) {
            about.row({"", words->words});
        } else if (const auto* fact = std::get_if<Fact>(&part)) {
            about.row({fact->name, fact->value});
        }
    }
    about.row({"company", imprint.company});
    if (imprint.printed) about.typed_row({"from the book as of", moment_cell(*imprint.printed)});
    if (imprint.head) about.row({"head", event_name(imprint.head->seq) + " " + hex(imprint.head->digest)});
    if (!imprint.judged_anew.empty()) about.row({"", imprint.judged_anew});
    about.row({"", "Figures from the book. The page informs: local codes and a licensed person decide."});
    book.sheet(mark + "About", about, units);
    return book.bytes();
}

}  // namespace tarebook::report
