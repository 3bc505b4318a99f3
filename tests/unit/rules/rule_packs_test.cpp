#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "rules/compiled.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

TEST_CASE("rule packs: every file of schema/rules is compiled in, and says the same when read at run time") {
    std::set<std::string> files;
    for (const auto& entry : std::filesystem::directory_iterator(TAREBOOK_SOURCE_DIR "/schema/rules")) {
        const auto name = entry.path().stem().string();
        CAPTURE(name);
        files.insert(name);
        const auto* compiled = Rulebook().find(name);
        REQUIRE(compiled);
        const auto read = load_rule_pack(entry.path());
        REQUIRE(read);
        CHECK(read->rules.size() == compiled->rules.size());
        CHECK(read->scopes.size() == compiled->scopes.size());
        CHECK_FALSE(compiled->rules.empty());
    }
    CHECK(files.size() == Rulebook().packs().size());
    CHECK(rules::compiled_sources.size() == files.size());
}

TEST_CASE("rule packs: the identity of a rule is its pack's name and its own, once in all packs") {
    std::set<std::string> ids;
    for (const auto* pack : Rulebook().packs())
        for (const auto& rule : pack->rules) {
            CAPTURE(rule.id);
            CHECK(rule.id.find(pack->id + ".") == 0);
            CHECK(ids.insert(rule.id).second);
            CHECK_FALSE(rule.clause.empty());
        }
}

TEST_CASE("rule packs: what the collectors did not read in a text is to-confirm") {
    // Spot checks against the marks of the reference notes; the build refuses a confirmed rule from memory.
    const auto status = [](std::string_view pack, std::string_view id) {
        for (const auto& rule : Rulebook().find(pack)->rules)
            if (rule.id == id) return rule.status;
        FAIL("no such rule");
        return RuleStatus::read;
    };
    CHECK(status("us-82f", "us-82f.threshold-commercial") == RuleStatus::read);
    CHECK(status("us-82f", "us-82f.inspection-large") == RuleStatus::read);
    CHECK(status("us-82f", "us-82f.exempt-any-use") == RuleStatus::read_in_print);
    CHECK(status("us-84c", "us-84c.threshold-commercial") == RuleStatus::read_in_print);
    CHECK(status("us-84c", "us-84c.inspection-large") == RuleStatus::to_confirm);
    CHECK(status("us-84c", "us-84c.gwp-aim") == RuleStatus::read);
    CHECK(status("us-49cfr", "us-49cfr.requalification-110a") == RuleStatus::to_confirm);
    for (const auto& rule : Rulebook().find("eu-adr-p200")->rules) CHECK(rule.status == RuleStatus::to_confirm);
}

TEST_CASE("rule packs: a book that names none applies the three federal ones, and says so with their date") {
    std::vector<std::string> ids;
    for (const auto* pack : Rulebook().default_packs()) ids.push_back(pack->id);
    CHECK(ids == std::vector<std::string>{"us-82f", "us-84c", "us-49cfr"});
    const RulePack* const california[] = {Rulebook().find("us-ca")};
    CHECK(packs_text(california) == "us-ca 2026-11-29");
}

TEST_CASE("rule packs: a page counts the rules that could speak about its subject, and no others") {
    const RulePack* const california[] = {Rulebook().find("us-ca")};
    const RuleSubject rack{Catalogue().find("R-404A"), Mass::pounds(900), ApplianceCategory::commercial_refrigeration};
    SpokenRules spoken;
    CHECK(spoken.text() == "none of the packs");
    const auto day = parse_date("2026-06-01").value();
    spoken.add_matching<terms::LeakInspection, terms::AnnualReport>(california, rack, day);
    CHECK(spoken.text() == "us-ca (2026-11-29, 2 of 2 rules to confirm)");  // their scope is from memory
    const RuleSubject carbon_dioxide{Catalogue().find("R-744"), Mass::pounds(900), rack.category};
    SpokenRules none;
    none.add_matching<terms::LeakInspection, terms::AnnualReport>(california, carbon_dioxide, day);
    CHECK(none.by_pack().empty());
}

TEST_CASE("period: months and years keep the day, cut back to a shorter month") {
    const auto on = [](const char* text) { return parse_date(text).value(); };
    using enum Period::Unit;
    CHECK(date_text(after(on("2026-01-31"), {1, month})) == "2026-02-28");
    CHECK(date_text(after(on("2028-01-31"), {1, month})) == "2028-02-29");
    CHECK(date_text(after(on("2028-02-29"), {1, year})) == "2029-02-28");
    CHECK(date_text(after(on("2026-11-30"), {3, month})) == "2027-02-28");
    CHECK(date_text(after(on("2026-12-20"), {30, day})) == "2027-01-19");
    CHECK(Period{1, month}.text() == "1 month");
    CHECK(Period{30, day}.text() == "30 days");
}

TEST_CASE("rule packs: a list of names is taken apart, and a slip is answered with the nearest") {
    CHECK(rule_pack_names("us-ca, eu-2024-573") == std::vector<std::string>{"us-ca", "eu-2024-573"});
    CHECK(rule_pack_names(" us-ca ,,") == std::vector<std::string>{"us-ca"});
    CHECK(rule_pack_names("").empty());
    CHECK(Rulebook().parse("us-ca").value()->id == "us-ca");
    const auto slip = Rulebook().parse("us-82");
    REQUIRE_FALSE(slip);
    CHECK(slip.error().name == "rule-pack-unknown");
    CHECK(slip.error().next.find("us-82f") != std::string::npos);
    CHECK_FALSE(Rulebook().find("us-82f.yaml"));
}
