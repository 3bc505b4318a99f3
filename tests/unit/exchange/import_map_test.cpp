// The mapping itself: what it may say, and that schema/import-map.schema.yaml says the same.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <fstream>
#include <set>
#include <sstream>

#include "exchange/checked_sheet.hpp"
#include "exchange/import_map.hpp"

using namespace tarebook;
namespace import_map_test {

using exchange::SheetNode;

namespace {

struct Mapping {
    FileProblems problems;
    ImportMap map;
    explicit Mapping(const std::string& text, MapKind kind = MapKind::cylinders)
        : map(read_import_map(text, "m.yaml", kind, problems)) {}
    [[nodiscard]] std::string told() const {
        std::string out;
        for (const auto& p : problems.listed)
            out += fmt::format("{}{} {} {}", out.empty() ? "" : "; ", p.line, p.field, p.error.name);
        return out;
    }
};

const SheetNode& at(const SheetNode& map, const std::string& key) {
    for (std::size_t i = 0; i < map.keys.size(); ++i)
        if (map.keys[i].text == key) return map.items[i];
    FAIL("the schema has no " << key);
    return map;
}

std::set<std::string> keys_of(const SheetNode& map) {
    std::set<std::string> out;
    for (const auto& k : map.keys) out.insert(k.text);
    return out;
}

SheetNode schema() {
    std::ifstream in(TAREBOOK_SOURCE_DIR "/schema/import-map.schema.yaml", std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    FileProblems problems;
    auto tree = exchange::read_sheet_tree(text.str(), "import-map.schema.yaml", problems);
    for (const auto& p : problems.listed) MESSAGE(p.line << " " << p.error.what);
    REQUIRE(tree);
    return std::move(*tree);
}

}  // namespace

TEST_CASE("A mapping says column, fixed value, words, unit and form of dates of each field") {
    const Mapping m(
        "import: cylinders\nweights: kg\ndates: DD.MM.YYYY\nnothing: [\"N/A\", \"-\"]\nfields:\n"
        "  cylinder: \"Cyl  #\"\n"
        "  use: {value: recovery}\n"
        "  refrigerant: {column: Gas, words: {Old  Stuff: unknown}}\n"
        "  tare: {column: TW, unit: lb}\n"
        "  gross: Now\n"
        "  tested: {column: Test, dates: MM/YYYY}\n"
        "  counted_on: Day\n"
        "  serial:\n"
        "ignore: [Price]\n");
    CHECK(m.told() == "");
    CHECK(m.map.find("cylinder")->column == "Cyl  #");
    CHECK(m.map.find("use")->value == "recovery");
    CHECK(m.map.find("refrigerant")->words.at("old stuff") == "unknown");
    CHECK(m.map.find("tare")->unit == ColumnUnit::lb);
    CHECK(m.map.find("gross")->unit == ColumnUnit::kg);
    CHECK(m.map.find("counted_on")->dates->text() == "DD.MM.YYYY");
    CHECK(m.map.find("tested")->dates->text() == "MM/YYYY");
    CHECK(m.map.find("serial") == nullptr);  // left open
    CHECK(m.map.nothing == std::set<std::string>{"n/a", "-"});
    REQUIRE(m.map.ignored.size() == 1);
    CHECK(m.map.ignored[0].line == 14);
}

TEST_CASE("A title above the names of the columns, and sums below the rows, are no rows") {
    const Mapping m(
        "import: cylinders\nheader_line: 3\nskip: {\"Cyl #\": [Total, ON  HAND]}\nfields: {cylinder: \"Cyl #\"}\n");
    CHECK(m.told() == "");
    CHECK(m.map.header_line == 3);
    REQUIRE(m.map.skipped.size() == 1);
    CHECK(m.map.skipped[0].words == std::set<std::string>{"total", "on hand"});
    CHECK(Mapping("import: cylinders\nheader_line: top\nskip: [Total]\nfields: {cylinder: A}\n").told() ==
          "3 skip sheet-shape; 2 header_line sheet-number");
}

TEST_CASE("Every slip in a mapping is told at its line, in one run") {
    const Mapping m(
        "import: sites\nweights: stone\ndates: MMDD\ncolour: red\nfields:\n"
        "  tear: TW\n"
        "  tare: {column: TW, value: 27lb}\n"
        "  gross: {column: Now, unit: L}\n"
        "  place: [a, b]\n"
        "  use: {words: {x: y}}\n");
    CHECK(m.told() ==
          "4 colour sheet-unknown-key; 1 import map-other-kind; 2 weights map-unit; 3 dates map-dates; "
          "6 tear map-field-unknown; 7 tare map-source; 8 unit map-unit; 9 place sheet-shape; 10 use map-source; "
          "5 fields map-field-missing; 8 gross map-together");
    CHECK(m.problems.listed[4].error.next == "did you mean tare?");
}

TEST_CASE("What a mapping needs is asked for") {
    CHECK(Mapping("").told() == "0  sheet-empty");
    CHECK(Mapping("just words\n").told() == "1  sheet-shape");
    CHECK(Mapping("import: cylinders\n").told() == "1 fields sheet-key-missing");
    CHECK(Mapping("import: cylinders\nfields:\n  cylinder: A\n").told() == "");
    CHECK(Mapping("import: cylinders\nfields:\n  cylinder: A\n  gross: B\n  net: C\n  counted_on: D\n").told() ==
          "5 net map-together");
    CHECK(Mapping("import: sites\nfields:\n  site: A\n  circuit: B\n", MapKind::sites).told() ==
          "4 circuit map-together");
    CHECK(Mapping("import: movements\nfields:\n  kind: A\n  date: B\n  cylinder: C\n", MapKind::movements).told() ==
          "2 fields map-field-missing");
    CHECK(Mapping("import: movements\nfields:\n  kind: A\n  date: B\n  cylinder: C\n  net: D\n", MapKind::movements)
              .told() == "");
    CHECK(Mapping("import: movements\nfields:\n  kind: A\n  date: B\n  cylinder: C\n  gross_before: D\n  net: E\n",
                  MapKind::movements)
              .told() == "6 gross_before map-together");
}

TEST_CASE("The schema and the program know the same keys, and the same fields of each kind of file") {
    const auto root = schema();
    for (const auto& key : keys_of(at(root, "properties"))) {
        const auto told = Mapping(key + ": x\n").told();
        CHECK_MESSAGE(told.find("sheet-unknown-key") == std::string::npos, key);
    }
    for (const auto& key : keys_of(at(at(at(root, "$defs"), "source"), "properties"))) {
        const auto told = Mapping(fmt::format("import: cylinders\nfields:\n  wc: {{{}: x}}\n", key)).told();
        CHECK_MESSAGE(told.find("sheet-unknown-key") == std::string::npos, key);
    }
    for (const auto kind : {MapKind::cylinders, MapKind::sites, MapKind::movements, MapKind::work}) {
        std::set<std::string> ours, needed;
        for (const auto& field : map_fields(kind)) {
            ours.insert(field.name);
            if (field.needed) needed.insert(field.name);
        }
        const auto& of_kind = at(at(root, "$defs"), std::string(text_of(kind)));
        CHECK(keys_of(at(of_kind, "properties")) == ours);
        std::set<std::string> required;
        for (const auto& item : at(of_kind, "required").items) required.insert(item.text);
        CHECK(required == needed);
    }
}

TEST_CASE("Every field of the register can come from a file") {
    for (const auto kind : {EntryKind::site, EntryKind::appliance, EntryKind::circuit, EntryKind::cylinder})
        for (const auto& rule : field_rules(kind)) {
            const auto& fields = map_fields(kind == EntryKind::cylinder ? MapKind::cylinders : MapKind::sites);
            const bool there = std::any_of(fields.begin(), fields.end(),
                                           [&](const MapField& f) { return f.of == kind && f.rule.name == rule.name; });
            CHECK_MESSAGE(there, text_of(kind) << " " << rule.name);
        }
}

}  // namespace import_map_test
