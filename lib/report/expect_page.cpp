// circuit expect: the parts of a circuit, what would be in each, and what a recovery may bring.
#include "tarebook/report/expect_page.hpp"

#include <fmt/format.h>

#include "expected.hpp"
#include "layout.hpp"
#include "shared_text.hpp"
#include "table.hpp"

namespace tarebook {
namespace report {
namespace {

const std::vector<std::string>& cautions() {
    static const std::vector<std::string> lines = {
        "a line full of liquid between two shut valves bursts when it warms: leave it a way out until it is empty",
        "an estimate is a sanity range: the scale says what is recorded. Oil holds refrigerant, coils trap liquid, "
        "shut valves leak"};
    return lines;
}

std::string text_page(const ExpectQuestion& question, const ExpectView& view, DisplayUnits units) {
    std::string out =
        fmt::format("{}  {}, expected {}\n\n", question.circuit, view.gas->designation, expected_sum(view, units));
    out += part_columns(units).table(view.charge.parts, units).text(2) + "\n";
    for (const auto& line : view.assumed) out += bulleted(line);
    out += "\n";
    for (const auto& behind : view.left) {
        const auto expected = view.to_recover(behind);
        const auto range = ExpectView::range(expected);
        out += wrapped(fmt::format("down to {}: {} stays as vapour, about {} to recover: {} to {}", behind.at,
                                   estimate_text(behind.mass, units), estimate_text(expected, units),
                                   estimate_text(range.low, units), estimate_text(range.high, units)),
                       0);
    }
    out += fmt::format("(range: {})\n\nCautions:\n", range_words);
    for (const auto& caution : cautions()) out += bulleted(caution);
    return out;
}

}  // namespace
}  // namespace report

Result<Page> expect_page(const Book& book, const ExpectQuestion& question, const PageOptions& options) {
    const auto units = options.format == Format::text ? options.units : DisplayUnits::lb;
    const auto view = report::expect_view(book, question, units);
    if (!view) return fail(view.error());
    if (options.format == Format::json) {
        return Page{report::page_of("circuit-expect", {{"circuit", question.circuit},
                                                       {"expectation", report::expect_json(*view)},
                                                       {"cautions", report::cautions()}})
                        .page()};
    }
    if (options.format == Format::csv)
        return Page{report::part_columns(units).csv(view->charge.parts, "circuit", question.circuit)};
    return Page{report::laid_out(report::text_page(question, *view, options.units), options.width)};
}

}  // namespace tarebook
