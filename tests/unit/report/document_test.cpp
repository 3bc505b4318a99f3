#include "report/document.hpp"

#include <doctest/doctest.h>

using namespace tarebook;
using namespace tarebook::report;

namespace {

Document sample() {
    Table table;
    table.column("gas").column("net", Side::right);
    table.row({"R-22", "1.00 lb"});
    Document page("RC-1", "1.00 lb of R-22");
    page.fact("place", "truck").gap().heading("Events:").table(std::move(table), "Events of RC-1", 2);
    return page;
}

std::string html_of(const Document& page) {
    return page.html({"Fern & Hollow", Moment{}, {}});
}
bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a document is one list of parts for a terminal and for a browser") {
    CHECK(sample().text() ==
          "RC-1  1.00 lb of R-22\nplace         truck\n\nEvents:\n  gas       net\n  R-22  1.00 lb\n");
    const auto html = html_of(sample());
    CHECK(has(html, "<h1>RC-1</h1>\n<p class=\"lead\">1.00 lb of R-22</p>"));
    CHECK(has(html, "<dl>\n<dt>place</dt><dd>truck</dd>\n</dl>\n<h2>Events</h2>"));
    CHECK(has(html, "<caption>Events of RC-1</caption>"));
    CHECK(has(html, "<th scope=\"col\" class=\"n\">net</th>"));
    CHECK(has(html, "<td class=\"n\">1.00 lb</td>"));
    CHECK(has(html, "<p>Fern &amp; Hollow; from the book as of"));
}

TEST_CASE("no text becomes markup, and what a terminal would act on is shown") {
    CHECK(escaped("<b>&\"'\x1b[2J\r") == "&lt;b&gt;&amp;&quot;&#39;\\x1b[2J\\x0d");
    // an override of direction is shown, letters that are read from the right are sent
    CHECK(escaped("a\u202e\u2066b \u05d0\u2013\u20ac") == "a\\u202e\\u2066b \u05d0\u2013\u20ac");
    const std::string bad = "</h2><script>alert(1)</script>";
    Table table;
    table.column(bad);
    table.row({bad});
    Document page(bad, bad);
    page.heading(bad).line(bad).paragraph(bad).warning(bad).bullet(bad).item(bad + "\n  " + bad);
    page.fact(bad, bad).table(std::move(table), bad);
    page.picture(fill_gauge(bad, bad, Mass::pounds(1), Mass::pounds(2), {{Mass::pounds(1), bad}}));
    CHECK(!has(html_of(page), "<script"));
}

TEST_CASE("an item is named by its first line, and the others are one text however a terminal broke them") {
    Document page("p", "");
    page.item("due/repair/A/B/E1\n  repair its\n  leaks\n");
    CHECK(page.text() == "p\ndue/repair/A/B/E1\n  repair its\n  leaks\n");
    CHECK(has(html_of(page), "<p><strong>due/repair/A/B/E1</strong><br>repair its leaks</p>"));
}

TEST_CASE("a picture is drawn inside its box, and not at all where it would show nothing") {
    CHECK(!weight_history("w", "one", {{Instant(), Mass::pounds(1)}}, DisplayUnits::lb));
    CHECK(!rate_history("r", "none", {}));
    CHECK(!in_and_out("i", "nothing", {{"A", Mass(), Mass()}}, DisplayUnits::lb));
    // all at one moment, or all of one weight: no division by nothing
    const auto flat =
        weight_history("w", "two", {{Instant(), Mass::pounds(1)}, {Instant(), Mass::pounds(1)}}, DisplayUnits::lb);
    REQUIRE(flat);
    CHECK(!has(flat->svg, "nan"));
    const auto empty = fill_gauge("g", "empty", Mass(), Mass(), {});
    CHECK(!has(empty.svg, "nan"));
    CHECK(!has(empty.svg, "width=\"-"));
    const auto over = fill_gauge("g", "over", Mass::pounds(3), Mass::pounds(2), {});
    CHECK(has(over.svg, "class=\"over\""));
}
