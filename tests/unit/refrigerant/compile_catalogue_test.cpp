// Runs the generator on small sources that are wrong in one way each: it has to stop with file, line and key, because
// in the build nobody else will notice.
#include <doctest/doctest.h>
#include <sys/wait.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

namespace {

const std::string sources = TAREBOOK_SOURCE_DIR "/tests/unit/refrigerant/bad/";

struct Run {
    int code;
    std::string said;
};

Run compile_at(const std::string& refrigerants, const std::string& fill, const std::string& saturation,
               const std::string& out) {
    const std::string command =
        "'" COMPILE_CATALOGUE "' '" + refrigerants + "' '" + fill + "' '" + saturation + "' '" + out + "' 2>&1";
    FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string said;
    char buffer[256];
    while (std::fgets(buffer, sizeof buffer, pipe)) said += buffer;
    const int status = pclose(pipe);
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, said};
}

Run compile(const std::string& refrigerants, const std::string& fill, const std::string& saturation,
            const std::string& out) {
    return compile_at(sources + refrigerants, sources + fill, sources + saturation, out);
}

const std::string compiled_to = COMPILE_CATALOGUE_OUT "/compiled.cpp";
constexpr const char* good_refrigerants = "good.refrigerants.yaml";
constexpr const char* good_fill = "good.cylinder-fill.yaml";
constexpr const char* good_saturation = "good-saturation";

struct Bad {
    const char* name;
    const char* said;
};

}  // namespace

TEST_CASE("a good source compiles, so that what the bad ones say is about their fault") {
    std::filesystem::remove(compiled_to);
    const auto run = compile(good_refrigerants, good_fill, good_saturation, compiled_to);
    CHECK(run.said == "");
    CHECK(run.code == 0);
    CHECK(std::filesystem::exists(compiled_to));
}

TEST_CASE("every fault in refrigerants.yaml stops the build with file, line and key") {
    const Bad rows[] = {
        {"duplicate-refrigerant", ":14: refrigerants.R-32: duplicate key"},
        {"duplicate-key", ":9: refrigerants.R-32.class: duplicate key"},
        {"duplicate-component", ":7: refrigerants.R-32.composition.R-32: duplicate key"},
        {"duplicate-section", ":12: refrigerants: duplicate key"},
        {"unknown-key", ":12: refrigerants.R-32.colour: unknown key"},
        {"unknown-section", ":12: cylinders: unknown key"},
        {"missing-key", ":6: refrigerants.R-32.safety_group: missing required key"},
        {"missing-source", ":1: source: missing required key"},
        {"sum-short", ":22: refrigerants.R-410A.composition: sums to 99.999 %, expected 100 %"},
        {"sum-long", ":22: refrigerants.R-410A.composition: sums to 100.100 %, expected 100 %"},
        {"too-fine", ":22: refrigerants.R-410A.composition.R-32: finer than a thousandth of a per cent"},
        {"negative-component", ":22: refrigerants.R-410A.composition.R-125: the share of a component is above zero"},
        {"unknown-component", ":13: refrigerants.R-410A: composition: R-125 is not in the catalogue itself"},
        {"no-number", ":9: refrigerants.R-32.molar_mass_g_mol: \"heavy\" is not a number"},
        {"bad-group", ":8: refrigerants.R-32.safety_group: \"A4\" is not one of the values"},
        {"bad-designation", ":5: refrigerants.r32: is not written as a designation"},
        {"bad-verified", ":11: refrigerants.R-32.verified: gwp_ar4 has no value here"},
        {"syntax", ":6: the bracket does not end"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.name);
        const std::string file = std::string(row.name) + ".refrigerants.yaml";
        std::filesystem::remove(compiled_to);
        const auto run = compile(file, good_fill, good_saturation, compiled_to);
        CHECK(run.code == 1);
        CAPTURE(run.said);
        CHECK(run.said.find(file + row.said) != std::string::npos);
        CHECK_FALSE(std::filesystem::exists(compiled_to));
    }
}

TEST_CASE("every fault in cylinder-fill.yaml stops the build with file, line and key") {
    const Bad rows[] = {
        {"stranger", ":10: filling_densities.R-22: is not in the catalogue of refrigerants"},
        {"duplicate-rating", ":13: ratings.R-32: duplicate key"},
        {"unknown-flag", ":9: ratings.R-32.flags: unknown flag thin"},
        {"flag-disagrees", ":9: ratings.R-32.flags: do not agree with tc_c"},
        {"not-five-quarters", ":9: ratings.R-32.min_service_pressure_psig: is not p_55c_psig / 1.25"},
        {"grades-fall", ":11: filling_densities.R-32.grades.percent: must rise from grade to grade"},
        {"bad-mark", ":10: filling_densities.R-32.grades.marks: \"4BAA\" is not a specification mark"},
        {"no-rating", ": ratings.R-32: missing required key"},
        {"low-tc", ": ratings.R-32.tc_c: is not above the last row of the table"},
        {"no-table", ": ratings.R-125: there is no table in "},
    };
    for (const auto& row : rows) {
        CAPTURE(row.name);
        const std::string file = std::string(row.name) + ".cylinder-fill.yaml";
        const auto run = compile(good_refrigerants, file, good_saturation, compiled_to);
        CHECK(run.code == 1);
        CAPTURE(run.said);
        CHECK(run.said.find(file + row.said) != std::string::npos);
    }
}

TEST_CASE("a saturation table that is not monotone, or is no table, stops the build with file, line and column") {
    const Bad rows[] = {
        {"density-rises", "R-32.csv:4: rho_liquid_kg_m3: must fall from row to row"},
        {"pressure-falls", "R-32.csv:4: p_bubble_kpa: must rise from row to row"},
        {"temperature-repeats", "R-32.csv:3: t_c: must rise from row to row"},
        {"dew-above-bubble", "R-32.csv:3: p_dew_kpa: is above the bubble pressure"},
        {"short-row", "R-32.csv:3: rho_vapor_kg_m3: expected five columns"},
        {"no-number", "R-32.csv:3: p_bubble_kpa: is not a number"},
        {"wrong-header", "R-32.csv:1: expected the header"},
        {"few-rows", "R-32.csv: expected at least three rows"},
        {"stranger", "R-22.csv: R-22 is not in the catalogue of refrigerants"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.name);
        const auto run = compile(good_refrigerants, good_fill, std::string(row.name) + ".saturation", compiled_to);
        CHECK(run.code == 1);
        CAPTURE(run.said);
        CHECK(run.said.find(row.said) != std::string::npos);
    }
}

TEST_CASE("what a table rests on is complete, or the build stops with file, line and key") {
    // A source of its own for each fault: one pure table and one blend, in a folder that is made here.
    const std::string head = "source: s\nedition: e\ndate: d\nmethod: m\n";
    const std::string equations = "equations:\n  R-32: x\n  R-125: y\n";
    const std::string pairs = "pairs:\n  - source: z\n    of: [R-125/R-32]\n";
    const std::string rest = "estimated: {}\nremarks: {}\n";
    struct Fault {
        std::string yaml;
        const char* said;
    };
    const Fault rows[] = {
        {head + "equations:\n  R-32: x\n" + pairs + rest, ":5: equations: no equation for R-125 in R-410A"},
        {head + equations + "pairs: []\n" + rest, ":8: pairs: no parameters for R-32/R-125 in R-410A"},
        {head + equations + pairs + "colour: red\n" + rest, ":11: colour: unknown key"},
        {head + equations + "pairs:\n  - source: z\n    of: [R-32/R-125, R-125/R-32]\n" + rest,
         ":10: pairs.of: R-125/R-32 has a source already"},
        {head + equations + "pairs:\n  - source: z\n    of: [R-32]\n" + rest, ":10: pairs.of: \"R-32\" is not a pair"},
        {head + equations + pairs + "estimated:\n  R-22: {pairs: [R-1/R-2], used: u, effect: e}\nremarks: {}\n",
         ":12: estimated.R-22: there is no table of that name"},
        {head + equations + pairs + "estimated:\n  R-410A: {pairs: [R-32/R-125], used: u, effect: e}\nremarks: {}\n",
         ":12: estimated.R-410A.pairs: R-32/R-125 has published parameters"},
        {head + equations + pairs + "estimated:\n  R-410A: {pairs: [R-32/R-22], used: u, effect: e}\nremarks: {}\n",
         ":11: estimated: R-410A has no such pair"},
        {head + equations + pairs + "estimated: {}\nremarks: {R-22: weak}\n",
         ":12: remarks: there is no table of R-22"},
    };
    const std::string folder = COMPILE_CATALOGUE_OUT "/blend-saturation";
    std::filesystem::create_directories(folder);
    std::filesystem::copy(sources + "good-saturation/R-32.csv", folder + "/R-32.csv",
                          std::filesystem::copy_options::overwrite_existing);
    std::filesystem::copy(sources + "good-saturation/R-32.csv", folder + "/R-410A.csv",
                          std::filesystem::copy_options::overwrite_existing);
    const auto with = [&](const std::string& yaml) {
        std::ofstream(folder + "/provenance.yaml") << yaml;
        return compile_at(sources + good_refrigerants, sources + "blend.cylinder-fill.yaml", folder, compiled_to);
    };
    const auto good = with(head + equations + pairs + rest);
    CHECK(good.said == "");
    CHECK(good.code == 0);
    for (const auto& row : rows) {
        CAPTURE(row.yaml);
        const auto run = with(row.yaml);
        CHECK(run.code == 1);
        CAPTURE(run.said);
        CHECK(run.said.find("provenance.yaml" + std::string(row.said)) != std::string::npos);
    }
}

TEST_CASE("a source that is not there stops the build") {
    const auto run = compile("nowhere.yaml", good_fill, good_saturation, compiled_to);
    CHECK(run.code == 1);
    CHECK(run.said.find("nowhere.yaml: cannot be read") != std::string::npos);
}
