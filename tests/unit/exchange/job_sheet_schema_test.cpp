// schema/job-sheet.schema.yaml documents what the program takes: for every act the two know the same keys.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <fstream>
#include <set>
#include <sstream>

#include "any_sheet_book.hpp"
#include "exchange/checked_sheet.hpp"
#include "tarebook/exchange/job_sheet.hpp"

using namespace tarebook;
using exchange::SheetNode;

namespace {

const SheetNode& at(const SheetNode& map, const std::string& key) {
    for (std::size_t i = 0; i < map.keys.size(); ++i)
        if (map.keys[i].text == key) return map.items[i];
    FAIL("the schema has no " << key);
    return map;
}

SheetNode schema() {
    std::ifstream in(TAREBOOK_SOURCE_DIR "/schema/job-sheet.schema.yaml", std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    FileProblems problems;
    auto tree = exchange::read_sheet_tree(text.str(), "job-sheet.schema.yaml", problems);
    for (const auto& p : problems.listed) MESSAGE(p.line << " " << p.error.what);
    REQUIRE(tree);
    return std::move(*tree);
}

// Whether the program knows the key there: it may dislike the value, but not the key.
bool knows(const std::string& sheet, const std::string& key) {
    const auto parsed = parse_job_sheet(sheet, "x", any_sheet_book(), Instant());
    for (const auto& p : parsed.problems.listed)
        if (p.field == key && (p.error.name == "sheet-unknown-key" || p.error.name == "sheet-key-of-other-act"))
            return false;
    return true;
}

std::set<std::string> keys_of(const SheetNode& map) {
    std::set<std::string> out;
    for (const auto& k : map.keys) out.insert(k.text);
    return out;
}

}  // namespace

TEST_CASE("The schema and the program know the same keys of a sheet") {
    const auto root = schema();
    for (const auto& key : keys_of(at(root, "properties"))) CHECK_MESSAGE(knows(key + ": x\n", key), key);
    CHECK_FALSE(knows("technician: x\n", "technician"));
    for (const auto& key : keys_of(at(at(at(at(root, "properties"), "isolated"), "items"), "properties")))
        CHECK_MESSAGE(knows(fmt::format("weighings:\n  - act: weigh\nisolated:\n  - {}: x\n", key), key), key);
}

TEST_CASE("The schema and the program know the same acts, and the same keys of each") {
    const auto root = schema();
    const auto& defs = at(root, "$defs");
    const auto& acts = at(at(at(at(root, "properties"), "weighings"), "items"), "oneOf").items;
    REQUIRE(acts.size() == 23);
    const auto common = keys_of(at(at(defs, "line"), "properties"));
    std::set<std::string> all = common;
    std::map<std::string, std::set<std::string>> by_act;
    for (const auto& ref : acts) {
        const auto& path = at(ref, "$ref").text;
        const auto act = path.substr(path.rfind('/') + 1);
        const auto& properties = at(at(defs, act), "properties");
        CHECK(at(at(properties, "act"), "const").text == act);
        by_act[act] = keys_of(properties);
        all.insert(by_act[act].begin(), by_act[act].end());
    }
    for (const auto& [name, keys] : by_act)
        for (const auto& key : all) {
            const auto& act = name;  // a capture of a structured binding is g++'s alone
            CAPTURE(act);
            CAPTURE(key);
            const auto line = key == "act" ? std::string() : fmt::format("    {}: x\n", key);
            CHECK(knows(fmt::format("weighings:\n  - act: {}\n{}", act, line), key) ==
                  (keys.contains(key) || common.contains(key)));
        }
}

TEST_CASE("What the schema requires of a line, the program asks for") {
    const auto root = schema();
    const auto& defs = at(root, "$defs");
    for (const char* act :
         {"recover", "reuse",         "charge",  "transfer",     "return",    "receive",   "weigh",   "release",
          "recycle", "leak",          "inspect", "repair",       "leak-test", "plan",      "isolate", "fit",
          "note",    "pressure-test", "oil",     "filter-drier", "identify",  "compressor"}) {
        std::set<std::string> asked;
        const auto parsed =
            parse_job_sheet(fmt::format("weighings:\n  - act: {}\n", act), "x", any_sheet_book(), Instant());
        for (const auto& p : parsed.problems.listed) asked.insert(p.field);
        for (const auto& key : at(at(defs, act), "required").items)
            if (key.text != "act") CHECK_MESSAGE(asked.contains(key.text), act << " " << key.text);
    }
    const auto nothing = parse_job_sheet("note: x\n", "x", any_sheet_book(), Instant());
    std::set<std::string> asked;
    for (const auto& p : nothing.problems.listed) asked.insert(p.field);
    for (const auto& key : at(root, "required").items) CHECK_MESSAGE(asked.contains(key.text), key.text);
}
