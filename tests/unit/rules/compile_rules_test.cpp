// A pack that says something the program would misread has to stop the build, and a pack from a file has to be refused
// with the same words.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

#include "tarebook/rules/rulebook.hpp"
#include "tarebook/rules/rules.hpp"

using namespace tarebook;

namespace {

const std::string folder = COMPILE_RULES_OUT;

std::string write_pack(const std::string& text) {
    const auto file = folder + "/trial.yaml";
    std::ofstream(file, std::ios::binary) << text;
    return file;
}

const std::string head = "pack: trial\ntitle: \"Trial\"\njurisdiction: ZZ\nsource: \"a test\"\ndate: \"2026-11-25\"\n";
const std::string scope =
    "scopes:\n  all:\n    clause: \"Z 1\"\n    any_of: [hfc]\n    basis: clause\n    status: confirmed\n";
const std::string rule =
    "rules:\n  trial.repair:\n    kind: repair-deadline\n    clause: \"Z 2\"\n    scope: [all]\n    within: 30 days\n"
    "    basis: clause\n    status: confirmed\n";

std::string replaced(std::string text, const std::string& what, const std::string& by) {
    const auto at = text.find(what);
    REQUIRE(at != std::string::npos);
    return text.replace(at, what.size(), by);
}

struct BadRow {
    std::string what;
    std::string text;
    std::string complaint;  ///< after "FILE:"
};

}  // namespace

TEST_CASE("rule pack: the trial pack is taken, so that the bad ones differ from it in one thing") {
    const auto pack = load_rule_pack(write_pack(head + scope + rule));
    REQUIRE(pack);
    CHECK(pack->id == "trial");
    CHECK(std::holds_alternative<terms::RepairDeadline>(pack->rules.at(0).terms));
    CHECK(std::get<terms::RepairDeadline>(pack->rules.at(0).terms).within == Period{30, Period::Unit::day});
}

TEST_CASE("rule pack: what is wrong is refused at its line, while building and at run time") {
    const std::string good = head + scope + rule;
    const std::vector<BadRow> rows = {
        {"unknown key of a rule", replaced(good, "    within: 30 days\n", "    within: 30 days\n    after: 3\n"),
         "18: rules.trial.repair.after: unknown key"},
        {"key of another kind", replaced(good, "    within: 30 days\n", "    within: 30 days\n    percent: 3\n"),
         "18: rules.trial.repair.percent: unknown key"},
        {"duplicate key", replaced(good, "    within: 30 days\n", "    within: 30 days\n    within: 40 days\n"),
         "18: rules.trial.repair.within: duplicate key"},
        {"duplicate rule", good + rule.substr(rule.find('\n') + 1), "20: rules.trial.repair: duplicate key"},
        {"unknown section", good + "remarks: none\n", "20: remarks: unknown key"},
        {"missing key", replaced(good, "    within: 30 days\n", ""),
         "14: rules.trial.repair.within: missing required key"},
        {"unknown kind", replaced(good, "repair-deadline", "repair-line"),
         "14: rules.trial.repair.kind: \"repair-line\" is not a kind of rule"},
        {"unknown scope", replaced(good, "scope: [all]", "scope: [some]"),
         "16: rules.trial.repair.scope: \"some\" is not a scope of this pack"},
        {"unknown class", replaced(good, "any_of: [hfc]", "any_of: [cfc]"),
         "9: scopes.all.any_of: \"cfc\" is not one of"},
        {"listed twice", replaced(good, "any_of: [hfc]", "any_of: [hfc, hfc]"), "9: scopes.all.any_of: hfc is listed"},
        {"empty list", replaced(good, "any_of: [hfc]", "any_of: []"), "9: scopes.all.any_of: an empty list"},
        {"memory that claims to be confirmed", replaced(good, "basis: clause", "basis: memory"),
         "11: scopes.all.status: what rests on memory or a reading is to-confirm"},
        {"period without unit", replaced(good, "30 days", "30"),
         "17: rules.trial.repair.within: \"30\" is not a period"},
        {"period of nothing", replaced(good, "30 days", "0 days"), "17: rules.trial.repair.within: \"0 days\" is no"},
        {"no date", replaced(good, "2026-11-25", "2026-02-30"), "5: date:"},
        {"ends before it begins",
         replaced(good, "    any_of", "    from: \"2026-01-02\"\n    to: \"2026-01-01\"\n    any_of"),
         "10: scopes.all.to: ends before it begins"},
        {"a potential without its set", replaced(good, "    any_of", "    gwp_above: 53\n    any_of"),
         "8: scopes.all.gwp_set: goes with"},
        {"two bounds of the charge",
         replaced(good, "    any_of", "    full_charge_from: 50 lb\n    full_charge_above: 50 lb\n    any_of"),
         "10: scopes.all.full_charge_above: beside full_charge_from"},
        {"a bare number for a mass", replaced(good, "    any_of", "    full_charge_from: 50\n    any_of"),
         "9: scopes.all.full_charge_from:"},
        {"no YAML", replaced(good, "[hfc]", "[hfc"), "9: the bracket does not end"},
        {"nested too deeply", good + std::string(100, '[') + "\n", "20: lists and keys are nested too deeply"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.what);
        const auto file = write_pack(row.text);
        const auto pack = load_rule_pack(file);
        REQUIRE_FALSE(pack);
        CHECK(pack.error().name == "rule-pack");
        CAPTURE(pack.error().what);
        CHECK(pack.error().what.find(file + ":" + row.complaint) == 0);
        const auto command =
            fmt::format("\"{}\" \"{}/trial.cpp\" \"{}\" 2>\"{}/trial.err\"", COMPILE_RULES, folder, file, folder);
        CHECK(std::system(command.c_str()) != 0);
        std::ifstream said(folder + "/trial.err");
        std::string line;
        std::getline(said, line);
        CHECK(line == pack.error().what);
    }
}

TEST_CASE("rule pack: all that is wrong in a pack is said in one run") {
    auto text = replaced(head + scope + rule, "30 days", "thirty days");
    text = replaced(text, "[hfc]", "[gas]");
    const auto pack = load_rule_pack(write_pack(text));
    REQUIRE_FALSE(pack);
    CHECK(pack.error().what.find("any_of") != std::string::npos);
    CHECK(pack.error().seen.find("within") != std::string::npos);
}

TEST_CASE("rule pack: a file that is not there is refused by its name") {
    const auto pack = load_rule_pack(folder + "/nowhere.yaml");
    REQUIRE_FALSE(pack);
    CHECK(pack.error().what == folder + "/nowhere.yaml: cannot be read");
}
