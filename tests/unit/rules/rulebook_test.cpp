#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/requalification.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

namespace {
std::string ids(RulePacks packs) {
    std::string out;
    for (const auto* pack : packs) out += (out.empty() ? "" : " ") + pack->id;
    return out;
}
}  // namespace

TEST_CASE("packs of a country: its own, and those of no other") {
    CHECK(ids(Rulebook().packs_of_country("US")) == "us-82f us-84c us-49cfr");
    CHECK(ids(Rulebook().packs_of_country("")) == "us-82f us-84c us-49cfr");  // not on record
    CHECK(ids(Rulebook().packs_of_country("PR")) == "us-82f us-84c us-49cfr");
    CHECK(ids(Rulebook().packs_of_country("DE")) == "eu-2024-573 eu-adr-p200");
    CHECK(ids(Rulebook().packs_of_country("IE")) == "eu-2024-573 eu-adr-p200");
    for (const char* other : {"JP", "CA", "GB", "CH", "NO"}) CHECK(Rulebook().packs_of_country(other).empty());
}

TEST_CASE("packs of a country: one of a region speaks in its country alone") {
    CHECK(Rulebook().speaks_in(*Rulebook().find("us-ca"), "US"));
    CHECK(Rulebook().speaks_in(*Rulebook().find("us-ca"), ""));
    CHECK_FALSE(Rulebook().speaks_in(*Rulebook().find("us-ca"), "CA"));  // Canada
    CHECK_FALSE(Rulebook().speaks_in(*Rulebook().find("us-ca"), "DE"));
    CHECK(Rulebook().speaks_in(*Rulebook().find("eu-2024-573"), "FR"));
    CHECK_FALSE(Rulebook().speaks_in(*Rulebook().find("eu-2024-573"), "US"));
    CHECK(law_of_the_us(""));
    CHECK(law_of_the_us("GU"));
    CHECK_FALSE(law_of_the_us("DE"));
}

// ADR P200, from memory (the pack marks it so): ten years for most refrigerants, five for toxic ones.
TEST_CASE("requalification in Europe hangs on the gas that a cylinder is kept for") {
    using Answer = RequalificationDue::Answer;
    const auto on = parse_date("2026-06-01").value();
    const auto of = [&](const char* spec, const char* gas, const char* country = "DE") {
        return requalification_on_record(Rulebook(), std::string(spec), std::string("2020-02"), {}, on, country, gas);
    };
    for (const char* mark : {"Pi", "PI 0036", "pi-0036", "\u03c0 0036"}) {
        CAPTURE(mark);
        CHECK(date_text(of(mark, "R-449A").due_on.value()) == "2030-02-28");
        CHECK(date_text(of(mark, "R-717").due_on.value()) == "2025-02-28");
        CHECK(date_text(of(mark, "").due_on.value()) == "2025-02-28");  // not on record: the shorter one
    }
    CHECK(of("Pi", "R-449A").clause == "ADR 4.1.4.1 P200");
    CHECK(of("Pi", "R-449A").match->status() == RuleStatus::to_confirm);
    // of a mark that the packs do not know nothing is said, and no period of another country stands in
    for (const char* mark : {"DOT-4BA400", "EN 13322-1", "Pip", ""}) {
        CAPTURE(mark);
        CHECK(of(mark, "R-449A").answer == Answer::unknown_type);
        CHECK_FALSE(of(mark, "R-449A").due_on);
    }
    CHECK(of("Pi", "R-449A", "JP").answer == Answer::unknown_type);
    CHECK(date_text(of("DOT-4BA400", "R-449A", "US").due_on.value()) == "2025-02-28");
    CHECK(date_text(of("unreadable", "R-449A", "").due_on.value()) == "2025-02-28");
}

TEST_CASE("rulebook: an added pack stands in the place of the compiled one of its id, else beside the default ones") {
    const auto named = [](const char* id, const char* jurisdiction) {
        RulePack pack;
        pack.id = id;
        pack.jurisdiction = jurisdiction;
        return pack;
    };
    const auto town = Rulebook().with(named("town", "ZZ"));
    CHECK(ids(town.default_packs()) == "us-82f us-84c us-49cfr town");
    CHECK(ids(town.packs_of_country("DE")) == "eu-2024-573 eu-adr-p200 town");
    CHECK(ids(town.packs_of_country("JP")) == "town");
    CHECK(ids(town.packs()) == ids(Rulebook().packs()) + " town");
    CHECK(town.speaks_in(*town.find("town"), "DE"));
    CHECK(Rulebook().find("town") == nullptr);

    const auto changed = town.with(named("us-84c", "US")).with(named("us-84c", "DE"));
    CHECK(ids(changed.default_packs()) == "us-82f us-84c us-49cfr town");
    CHECK(changed.find("us-84c")->rules.empty());
    CHECK(changed.find("us-84c")->jurisdiction == "US");  // the first of two
    CHECK(changed.default_packs()[1] == changed.find("us-84c"));
    CHECK_FALSE(changed.speaks_in(*changed.find("us-84c"), "DE"));
    CHECK_FALSE(town.find("us-84c")->rules.empty());
    CHECK(town.find("us-84c") == Rulebook().find("us-84c"));
    CHECK(changed.find("town") == town.find("town"));  // shared, not copied
}

TEST_CASE("rulebook: a pack from a file calls a gas of a person's own as that person's file does") {
    const auto text =
        "pack: town\ntitle: t\njurisdiction: ZZ\nsource: s\ndate: \"2026-01-01\"\nrules:\n  town.r:\n"
        "    kind: exempt-substitute\n    clause: c\n    gases: [r9001a, r744]\n    basis: clause\n    status: "
        "confirmed\n";
    const auto file = (std::filesystem::temp_directory_path() / "tarebook-town.yaml").string();
    std::ofstream(file, std::ios::binary) << text;
    const auto own = Catalogue::with_own(TAREBOOK_SOURCE_DIR "/fixtures/own-refrigerants.yaml").value();
    const auto gases = [](const RulePack& pack) {
        return std::get<terms::ExemptSubstitute>(pack.rules[0].terms).gases;
    };
    CHECK(gases(load_rule_pack(file, own).value()) == std::vector<std::string>{"R-9001A", "R-744"});
    CHECK(gases(load_rule_pack(file).value()) == std::vector<std::string>{"r9001a", "R-744"});
}
