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
    CHECK(!has(html, "<caption>"));  // the heading above says it
    CHECK(has(html, "role=\"region\" aria-label=\"Events of RC-1\""));
    CHECK(has(html, "<th scope=\"col\" class=\"n\">net</th>"));
    CHECK(has(html, "<td class=\"n\">1.00 lb</td>"));
    CHECK(has(html, "<p>Fern &amp; Hollow; from the book as of"));
}

TEST_CASE("a card has a name and a line for each field that has words; what stands out is marked by its word") {
    Table table;
    table.column("late").column("what").column("owner").column("next");
    table.row({"LATE by 3 days", "repair", "-", "tarebook repair L-1"});
    table.row({"", "inspection", "Fern & Co", ""});
    Document page("Due", "1 LATE", ": ");
    page.cards({table, "Clocks", 2});
    CHECK(page.text() ==
          "Due: 1 LATE\nLATE by 3 days  repair\n  next   tarebook repair L-1\n\ninspection\n  owner  Fern & Co\n");
    const auto html = html_of(page);
    CHECK(has(html, "<section class=\"card out\">\n<h2>LATE by 3 days, repair</h2>\n<dl>\n<dt>next</dt>"));
    CHECK(has(html, "<section class=\"card\">\n<h2>inspection</h2>\n<dl>\n<dt>owner</dt><dd>Fern &amp; Co</dd>"));
    Document under("Page", "");
    under.heading("Exceptions:").cards({table, "Clocks", 2});
    CHECK(has(html_of(under), "<h2>Exceptions</h2>\n<section class=\"card out\">\n<h3>"));
    for (const auto* words : {"LATE by 1 day", "OVER its limit", "UNDER the level", "DO NOT FILL", "NOT trusted"})
        CHECK(stands_out(words));
    for (const auto* words : {"", "late", "over", "NOTE", "OAK"}) CHECK(!stands_out(words));
}

TEST_CASE("steps are numbered, from one again after other words; a box stands between two rules") {
    Document page("Circuit", "");
    page.step("liquid").step("suction").line("then").step("hot gas").box("STOP AT 69.30 lb");
    const std::string rule(40, '=');
    CHECK(page.text() ==
          "Circuit\n  1. liquid\n  2. suction\nthen\n  1. hot gas\n" + rule + "\n  STOP AT 69.30 lb\n" + rule + "\n");
    CHECK(has(html_of(page),
              "<ol>\n<li>liquid</li>\n<li>suction</li>\n</ol>\n<p>then</p>\n<ol>\n<li>hot gas</li>\n</ol>"));
    CHECK(has(html_of(page), "<p class=\"box\">STOP AT 69.30 lb</p>"));
}

TEST_CASE("a page that needs no book does not say that its figures are from one") {
    const auto html = page_body(sample(), PageOptions{Format::html});
    CHECK(!has(html, "from the book"));
    CHECK(!has(html, "Figures from the book"));
    CHECK(has(html, "The page informs: local codes and a licensed person decide."));
    CHECK(page_body(sample(), PageOptions{}) == sample().text());
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
    page.picture(cylinder_picture(bad, bad, {{0.5, bad, LiquidLevel::Kind::stop}}, false, bad));
    page.picture(*weight_history(bad, bad, {{{}, Mass::pounds(1)}, {{}, Mass::pounds(2)}}, {{Mass::pounds(1), bad}},
                                 DisplayUnits::lb));
    CHECK(!has(html_of(page), "<script"));
}

TEST_CASE(
    "a table without a heading right above it gets one, and below a chapter all headings are of the third level") {
    Table table;
    table.column("gas");
    table.row({"R-22"});
    Document page("p", "");
    page.table(table, "Stock")
        .line("words")
        .chapter("Leaks")
        .table(table, "Open ones")
        .heading("Closed:")
        .table(table, "x");
    const auto html = html_of(page);
    CHECK(has(html, "<h2>Stock</h2>\n<div class=\"wide\""));
    CHECK(has(html, "<h2>Leaks</h2>\n<h3>Open ones</h3>\n<div"));
    CHECK(has(html, "<h3>Closed</h3>\n<div"));
    CHECK(!has(html, "<h3>x</h3>"));
}

TEST_CASE("every sheet of paper names the company and the page, whatever is in their names") {
    auto html = html_of(sample());
    CHECK(
        has(html, "<style>@page{@top-left{content:\"Fern \\26  Hollow\"}@top-right{content:\"RC\\2d 1\"}}\n</style>"));
    CHECK(has(html, "counter(page)"));
    html = html_of(Document("\"}}</style><script>\\ \u202e" + std::string(100, 'x'), ""));
    const auto edges = html.substr(html.rfind("<style>"));
    CHECK(edges.find("</style>") == edges.find('<', 1));
    CHECK(has(edges, "@top-right{content:\"\\22 \\7d \\7d \\3c \\2f style\\3e "));
    CHECK(!has(edges.substr(0, edges.find("</style>")), "\u202e"));
    CHECK(has(edges, " ...\"}"));
}

TEST_CASE("a table is set on paper by how wide it is, and not by how many columns it has") {
    const auto of = [](std::size_t columns, const std::string& words) {
        Table table;
        for (std::size_t c = 0; c < columns; ++c) table.column("c", Side::right);
        table.row(std::vector<std::string>(columns, words));
        Document page("p", "");
        page.table(std::move(table), "t");
        const auto html = html_of(page);
        const auto at = html.find("<div class=\"wide") + 12;
        return html.substr(at, html.find('"', at) - at);
    };
    CHECK(of(17, "1") == "wide");  // many and narrow
    CHECK(of(3, std::string(30, '8')) == "wide p8");
    CHECK(of(3, std::string(35, '8')) == "wide p7");
    CHECK(of(3, std::string(40, '8')) == "wide turned p8");
    CHECK(of(3, std::string(60, '8')) == "wide turned p6");
}

TEST_CASE("two people can sign, with a day") {
    Document page("p", "");
    page.on_one_sheet().signature("technician").signature("customer");
    CHECK(page.text() ==
          "p\ntechnician  ____________________________\ncustomer    "
          "____________________________\n");
    const auto html = html_of(page);
    CHECK(has(html, "<body class=\"one-sheet\">"));
    CHECK(has(html, "<p class=\"sign\">customer <span></span> <span>date</span></p>"));
}

TEST_CASE("an item is named by its first line, and the others are one text however a terminal broke them") {
    Document page("p", "");
    page.item("due/repair/A/B/E1\n  repair its\n  leaks\n");
    CHECK(page.text() == "p\ndue/repair/A/B/E1\n  repair its\n  leaks\n");
    CHECK(has(html_of(page), "<p><strong>due/repair/A/B/E1</strong><br>repair its leaks</p>"));
}

namespace {
// The numbers of an attribute, in the order of the drawing.
std::vector<double> numbers_of(const std::string& svg, const std::string& attribute) {
    std::vector<double> out;
    for (auto at = svg.find(" " + attribute + "=\""); at != std::string::npos;
         at = svg.find(" " + attribute + "=\"", at + 1))
        out.push_back(std::stod(svg.substr(at + attribute.size() + 3)));
    return out;
}
// Heights of the words of a picture.
std::vector<double> words_of(const std::string& svg) {
    std::vector<double> out;
    for (auto at = svg.find("<text"); at != std::string::npos; at = svg.find("<text", at + 1))
        out.push_back(std::stod(svg.substr(svg.find(" y=\"", at) + 4)));
    return out;
}
}  // namespace

TEST_CASE("the words beside a cylinder do not meet, wherever its levels are") {
    for (const double stop : {0.0, 0.05, 0.5, 0.79, 0.8, 1.0})
        for (const double hot : {0.0, 0.81, 0.82, 1.0}) {
            const auto p = cylinder_picture("c", "t",
                                            {{0.8, "now", LiquidLevel::Kind::now},
                                             {hot, "hot", LiquidLevel::Kind::hot},
                                             {stop, "STOP AT", LiquidLevel::Kind::stop}},
                                            false, "whole");
            auto heights = words_of(p.svg);
            REQUIRE(heights.size() == 4);
            std::sort(heights.begin(), heights.end());
            for (std::size_t i = 1; i < heights.size(); ++i) CHECK(heights[i] - heights[i - 1] >= 14);
            CHECK(heights.front() >= 12);
            CHECK(heights.back() <= p.height);
            for (const double x : numbers_of(p.svg, "x")) CHECK(x <= p.width);
        }
}

TEST_CASE("a long history keeps its outermost weights, and its picture stays small") {
    std::vector<WeightAt> weights;
    for (int i = 0; i < 5000; ++i)
        weights.push_back(
            {Moment{Instant(std::chrono::hours(i)), {}, "UTC"}, Mass::pounds(i == 2500 ? 70 : 30 + i % 7)});
    const auto p = weight_history("w", "many", weights, {{Mass::pounds(27), "tare"}}, DisplayUnits::lb);
    REQUIRE(p);
    CHECK(p->svg.size() < 30'000);
    CHECK(has(p->svg, ",44.0"));  // 70 lb, at the ceiling
    CHECK(has(p->svg, "heaviest 70.00 lb, lightest 30.00 lb"));
    CHECK(has(p->svg, "1970-01-01"));
    const auto day = weight_history("w", "a day", {weights[0], weights[1]}, {}, DisplayUnits::lb);
    CHECK(has(day->svg, ">01:00<"));
}

TEST_CASE("a picture is drawn inside its box, and not at all where it would show nothing") {
    CHECK(!weight_history("w", "one", {{{}, Mass::pounds(1)}}, {}, DisplayUnits::lb));
    CHECK(!rate_history("r", "none", {}));
    CHECK(!in_and_out("i", "nothing", {{"A", Mass(), Mass()}}, DisplayUnits::lb));
    // all at one moment, or all of one weight: no division by nothing
    const auto flat = weight_history("w", "two", {{{}, Mass::pounds(1)}, {{}, Mass::pounds(1)}}, {}, DisplayUnits::lb);
    REQUIRE(flat);
    CHECK(!has(flat->svg, "nan"));
    const auto empty = cylinder_picture("g", "empty", {{0.0, "now", LiquidLevel::Kind::now}}, false, "whole");
    CHECK(!has(empty.svg, "nan"));
    CHECK(!has(empty.svg, "height=\"-"));
    const auto over = cylinder_picture("g", "over", {{1.2, "now", LiquidLevel::Kind::now}}, true, "whole");
    CHECK(has(over.svg, "class=\"over\""));
    CHECK(!has(over.svg, "y=\"-"));
}
