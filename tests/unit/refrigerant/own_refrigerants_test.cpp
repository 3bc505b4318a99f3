// A person's own refrigerants.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"
#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/refrigerant/spec_mark.hpp"

using namespace tarebook;

namespace {

std::string written(const std::string& text) {
    const auto file = (std::filesystem::temp_directory_path() / "tarebook-own-refrigerants.yaml").string();
    std::ofstream(file, std::ios::binary) << text;
    return file;
}

constexpr const char* head = "source: s\nedition: e\ndate: d\nrefrigerants:\n";

using Row = std::array<double, 5>;

// The rows of a shipped table: what a person would copy who has the same source.
std::vector<Row> rows_of(const Refrigerant& r, std::size_t every) {
    std::vector<Row> rows;
    const auto& all = r.saturation.rows;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (i % every == 0 || i + 1 == all.size() || all[i].temperature == Temperature::celsius(55))
            rows.push_back({all[i].temperature.in_celsius(), all[i].bubble.in_kilopascals(),
                            all[i].dew.in_kilopascals(), all[i].liquid.in_kg_per_m3(), all[i].vapor.in_kg_per_m3()});
    return rows;
}

std::string table(const std::vector<Row>& lines) {
    std::string out = "    table:\n";
    for (const auto& r : lines) {
        out += "      - [";
        for (std::size_t i = 0; i < r.size(); ++i) out += fmt::format("{}{:.6f}", i ? ", " : "", r[i]);
        out += "]\n";
    }
    return out;
}

std::string entry(const std::string& designation, const std::vector<Row>& rows, double critical_c = 71.3,
                  double molar_mass = 72.585, double p_pct = 2) {
    return fmt::format(
        "  {}:\n    class: HFC blend\n    composition: {{R-32: 50, R-125: 50}}\n    safety_group: A1\n"
        "    molar_mass_g_mol: {}\n    status: memory\n    verified: []\n    critical_c: {}\n"
        "    p_uncertainty_pct: {}\n    rho_uncertainty_pct: 1\n{}",
        designation, molar_mass, critical_c, p_pct, table(rows));
}

const std::vector<Row>& good_rows() {
    static const auto rows = rows_of(*Catalogue().find("R-410A"), 1);
    return rows;
}
std::vector<Row> changed(std::size_t row, std::size_t column, double value) {
    auto rows = good_rows();
    rows[row][column] = value;
    return rows;
}
std::string good(const std::string& designation) {
    return head + entry(designation, good_rows());
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
    const auto at = text.find(what);
    REQUIRE(at != std::string::npos);
    return text.replace(at, what.size(), by);
}

// What is said of a text, without the folder.
std::string said_of(const std::string& text) {
    const auto loaded = Catalogue::with_own(written(text));
    if (loaded) return "taken";
    CHECK(loaded.error().name == "refrigerants-file");
    CHECK(loaded.error().kind == ErrorKind::usage);
    const auto& what = loaded.error().what;
    return what.substr(what.find("own-refrigerants.yaml") + std::string("own-refrigerants.yaml").size());
}

constexpr std::size_t row_0c = 12;      // from -60 C in steps of 5 K
constexpr std::size_t first_line = 15;  // of the table in good()

}  // namespace

TEST_CASE("an own refrigerant is found by its names, computes as any other, and rates a cylinder") {
    REQUIRE(good_rows()[row_0c][0] == 0);
    const auto loaded = Catalogue::with_own(written(good("R-9101A")));
    REQUIRE(loaded.has_value());
    REQUIRE(loaded->own().size() == 1);
    CHECK(Catalogue().find("R-9101A") == nullptr);  // a catalogue knows its own file alone
    const auto* own = loaded->find("r9101a");
    REQUIRE(own != nullptr);
    CHECK(own == &loaded->own().front());
    CHECK(own->blend());
    CHECK(own->from_own_file);
    CHECK_FALSE(loaded->find("R-410A")->from_own_file);
    CHECK(own->composition.front().entry == loaded->find("R-32"));
    const auto& like = *Catalogue().find("R-410A");
    const auto point = saturation_at(*own, Temperature::celsius(23));
    REQUIRE(point.has_value());
    CHECK(point->bubble.in_kilopascals() ==
          doctest::Approx(saturation_at(like, Temperature::celsius(23))->bubble.in_kilopascals()).epsilon(1e-6));
    CHECK(saturation_at(*own, Temperature::celsius(76)).error().side == OutsideTable::Side::hotter);
    CHECK(own->saturation.provenance.method == "your own file: s; e; d");
    CHECK(own->saturation.provenance.fluids.empty());
    CHECK(loaded->like("R-9101").front() == "R-9101A");
    // 49 CFR 173.301a(d) through the figures of schema/cylinder-fill.yaml, which an equation of state gave.
    REQUIRE(own->cylinder.has_value());
    CHECK(own->cylinder->at_55c->in_psig() == doctest::Approx(like.cylinder->at_55c->in_psig()).epsilon(0.005));
    CHECK(own->cylinder->min_service->in_psig() == doctest::Approx(own->cylinder->at_55c->in_psig() / 1.25));
    CHECK(own->cylinder->thin_margin == like.cylinder->thin_margin);
    CHECK(pressure_rating(std::array{own}, "4BA260").rating == Rating::too_low);
    CHECK(pressure_rating(std::array{own}, "4BA400").rating == Rating::suits);
}

TEST_CASE("the limits of an own table are those of the shipped one, and say whose figures they are") {
    const auto loaded = Catalogue::with_own(written(good("R-9102A")));
    REQUIRE(loaded.has_value());
    FillQuestion question{.refrigerant = &loaded->own().front()};
    question.water_capacity = Volume::litres(21.6);
    const auto own = fill_limits(question);
    question.refrigerant = Catalogue().find("R-410A");
    const auto shipped = fill_limits(question);
    REQUIRE(own.has_value());
    REQUIRE(shipped.has_value());
    REQUIRE(own->candidates.size() == shipped->candidates.size());
    for (std::size_t i = 0; i < own->candidates.size(); ++i) {
        CHECK(own->candidates[i].rule == shipped->candidates[i].rule);
        CHECK(own->candidates[i].net.in_kilograms() ==
              doctest::Approx(shipped->candidates[i].net.in_kilograms()).epsilon(1e-6));
    }
    CHECK(own->notes.front().find("from your own file") != std::string::npos);
}

TEST_CASE("every shipped table passes as an own one, in steps of 5 K and of 10 K, and rates its cylinder alike") {
    int number = 0, rated = 0;
    for (const auto& r : Catalogue::compiled()) {
        if (!r.saturation.has_table() || r.saturation.low() > Temperature::celsius(0)) continue;
        for (const std::size_t every : {1U, 2U}) {
            CAPTURE(r.designation);
            CAPTURE(every);
            const auto text = entry(fmt::format("R-92{:03}", number++), rows_of(r, every),
                                    r.saturation.critical.in_celsius(), r.molar_mass_g_mol);
            const auto loaded = Catalogue::with_own(written(head + text));
            if (!loaded) FAIL_CHECK(loaded.error().what);
            if (!loaded) continue;
            const auto& own = *loaded->own().front().cylinder;
            CHECK(own.no_liquid_at_25c == r.cylinder->no_liquid_at_25c);
            CHECK(own.no_liquid_at_55c == r.cylinder->no_liquid_at_55c);
            CHECK(own.at_55c.has_value() == !own.no_liquid_at_55c);
            CHECK(own.thin_margin == r.cylinder->thin_margin);
            // R-125 alone is liquid-full before 55 C at 80 %: the schema's figure there is that of squeezed liquid.
            if (!own.at_55c || r.designation == "R-125") continue;
            CHECK(own.at_55c->in_psig() == doctest::Approx(r.cylinder->at_55c->in_psig()).epsilon(0.005));
            ++rated;
        }
    }
    CHECK(rated > 100);
}

TEST_CASE("a gas without liquid at 131 F gets no computed limit, and no rating, from an own table") {
    const auto& r = *Catalogue().find("R-13");
    const auto loaded =
        Catalogue::with_own(written(head + entry("R-9103", rows_of(r, 1), r.saturation.critical.in_celsius(), 104.46)));
    REQUIRE(loaded.has_value());
    FillQuestion question{.refrigerant = &loaded->own().front()};
    question.water_capacity = Volume::litres(21.6);
    CHECK(fill_limits(question).error().name == "fill-limit-unknown");
    question.stamped_limit_net = Mass::pounds(5);
    CHECK(fill_limits(question)->net() == Mass::pounds(5));
    CHECK(pressure_rating(std::array{&loaded->own().front()}, "3AA1800").rating == Rating::unknown);
}

TEST_CASE(
    "a table that does not reach the temperatures of the limits is refused, whatever critical temperature it claims") {
    auto rows = good_rows();
    const auto ends_at = [&](double last) {
        auto cut = good_rows();
        while (cut.back()[0] > last) cut.pop_back();
        return cut;
    };
    CHECK(said_of(head + entry("R-9110", ends_at(50))) ==
          ":38: refrigerants.R-9110.table: the table ends at 50 C and has to reach 55 C (131 F), where a cylinder must "
          "not "
          "be liquid-full");
    CHECK(said_of(head + entry("R-9110", ends_at(40))).find("the table ends at 40 C") != std::string::npos);
    // The wrong critical temperature would drop the 131 F limit.
    CHECK(said_of(head + entry("R-9110", ends_at(50), 55)) ==
          ":38: refrigerants.R-9110.table: the table ends at 50 C and has to reach 2.5 K below the critical "
          "temperature, 55 "
          "C");
    CHECK(said_of(head + entry("R-9110", ends_at(50), 52))
              .find(":12: refrigerants.R-9110.critical_c: cannot be: 2 K below it the vapour has 16 %") == 0);
    CHECK(said_of(head + entry("R-9110", rows, 60))
              .find(":12: refrigerants.R-9110.critical_c: is not above the last row") == 0);
    // The 77 F rule needs rows on both sides.
    rows.erase(rows.begin(), rows.begin() + static_cast<std::ptrdiff_t>(row_0c) + 1);
    CHECK(said_of(head + entry("R-9110", rows)).find(":16: refrigerants.R-9110.table: the table has to begin at 0 C") ==
          0);
    // One row further either way and it is taken.
    rows.insert(rows.begin(), good_rows()[row_0c]);
    while (rows.back()[0] > 55) rows.pop_back();
    const auto taken = Catalogue::with_own(written(head + entry("R-9110", rows)));
    REQUIRE(taken.has_value());
    CHECK(taken->own().front().cylinder->thin_margin);  // as far as the table tells
}

TEST_CASE("every fault in the rows is told with its line") {
    const auto& rows = good_rows();
    const auto& at = rows[row_0c];
    const auto line = fmt::format(":{}: refrigerants.R-9120.table: ", first_line + 1 + row_0c);
    const struct {
        std::vector<Row> rows;
        std::string why;
    } bad[] = {
        {changed(row_0c, 0, -5), "t_c: must rise"},
        {changed(row_0c, 0, -6), "t_c: must rise"},
        {changed(row_0c, 0, -4.99), "t_c: rows closer than 0.1 K"},
        {changed(row_0c, 1, rows[row_0c - 1][1] * 0.99), "p_dew_kpa: is above the bubble pressure"},
        {changed(row_0c, 1, at[2] * 0.99), "p_dew_kpa: is above the bubble pressure"},
        {changed(row_0c, 2, rows[row_0c - 1][2]), "p_dew_kpa: must rise"},
        {changed(row_0c, 3, rows[row_0c - 1][3]), "rho_liquid_kg_m3: must fall"},
        {changed(row_0c, 4, rows[row_0c - 1][4]), "rho_vapor_kg_m3: must rise"},
        {changed(row_0c, 4, 1171), "rho_vapor_kg_m3: is not below that of the liquid"},
        {changed(row_0c, 1, 0), "p_bubble_kpa: must be positive"},
        {changed(row_0c, 2, -1), "p_dew_kpa: must be positive"},
        {changed(row_0c, 3, -1170), "rho_liquid_kg_m3: must be positive"},
        {changed(row_0c, 4, 0), "rho_vapor_kg_m3: must be positive"},
        {changed(row_0c, 1, 2e6), "value 2 is too large"},
        {changed(row_0c, 3, 1e300), "value 4 is too large"},
        // A wrong digit that still rises and falls as it should.
        {changed(row_0c, 1, at[1] * 1.05), "p_bubble_kpa: +"},
        {changed(row_0c, 3, at[3] * 1.012), "rho_liquid_kg_m3: +1.2"},
        {changed(row_0c, 4, at[4] * 1.08), "rho_vapor_kg_m3: +"},
    };
    for (const auto& b : bad) {
        CAPTURE(b.why);
        const auto said = said_of(head + entry("R-9120", b.rows));
        CHECK(said.substr(0, line.size() + b.why.size()) == line + b.why);
    }
    auto wide = rows;
    wide.erase(wide.begin() + static_cast<std::ptrdiff_t>(row_0c),
               wide.begin() + static_cast<std::ptrdiff_t>(row_0c) + 2);
    CHECK(said_of(head + entry("R-9120", wide)) == line + "t_c: 15 K after the row before; at most 10");
    CHECK(said_of(head + entry("R-9120", {rows[0], rows[1]})) ==
          ":15: refrigerants.R-9120.table: expected at least three rows");
}

TEST_CASE("a table in other units is refused: gauge pressures, psi, bar, fahrenheit, pounds by the cubic foot") {
    const auto said = [](auto change) {
        auto rows = good_rows();
        for (auto& row : rows) change(row);
        return said_of(head + entry("R-9130", rows));
    };
    constexpr const char* z = "the vapour's p M / (rho R T)";
    CHECK(said([](Row& r) { r[1] /= 6.894757, r[2] /= 6.894757; }).find(z) != std::string::npos);
    CHECK(said([](Row& r) { r[1] /= 100, r[2] /= 100; }).find(z) != std::string::npos);
    CHECK(said([](Row& r) { r[3] /= 16.018463, r[4] /= 16.018463; }).find(z) != std::string::npos);
    CHECK(said([](Row& r) { r[3] *= 16.018463; }).find("no refrigerant is that heavy") != std::string::npos);
    CHECK(said([](Row& r) { r[0] = r[0] * 1.8 + 32; }) != "taken");
    auto gauge_rows = good_rows();
    gauge_rows.erase(gauge_rows.begin(), gauge_rows.begin() + 4);  // above one atmosphere
    for (auto& r : gauge_rows) r[1] -= 101.325, r[2] -= 101.325;
    CHECK(said_of(head + entry("R-9130", gauge_rows)).find(z) != std::string::npos);
    CHECK(said_of(head + entry("R-9130", good_rows(), 71.3, 30)).find(z) != std::string::npos);
}

TEST_CASE("every fault beside the rows is told with its line") {
    const struct {
        const char* what;
        const char* by;
        const char* said;
    } bad[] = {
        {"safety_group: A1", "safety_group: A4",
         ":8: refrigerants.R-9140A.safety_group: \"A4\" is not one of the values"},
        {"safety_group: A1", "safety_group: A1\n    safety_group: A3",
         ":9: refrigerants.R-9140A.safety_group: duplicate key"},
        {"safety_group: A1", "gwp_ar4: -1\n    safety_group: A1",
         ":8: refrigerants.R-9140A.gwp_ar4: expected 0 to 100000"},
        {"safety_group: A1", "gwp_ar5: nan\n    safety_group: A1",
         ":8: refrigerants.R-9140A.gwp_ar5: \"nan\" is not a number"},
        {"safety_group: A1", "un_number: 99999999999999999999\n    safety_group: A1",
         ":8: refrigerants.R-9140A.un_number: expected 0 to 9999"},
        {"safety_group: A1", "un_number: 12.5\n    safety_group: A1",
         ":8: refrigerants.R-9140A.un_number: expected a whole number"},
        {"safety_group: A1", "colour: red\n    safety_group: A1", ":8: refrigerants.R-9140A.colour: unknown key"},
        {"safety_group: A1", "tc_c: 80\n    safety_group: A1", ":8: refrigerants.R-9140A.tc_c: is more than 5 K away"},
        {"    safety_group: A1\n", "", ":6: refrigerants.R-9140A.safety_group: missing required key"},
        {"R-125: 50", "R-125: 49", ":7: refrigerants.R-9140A.composition: sums to 99.000 %"},
        {"R-125: 50", "R-125: 50.1", ":7: refrigerants.R-9140A.composition: sums to 100.100 %"},
        {"R-125: 50", "R-125: inf", ":7: refrigerants.R-9140A.composition.R-125: \"inf\" is not a number"},
        {"R-125: 50", "R-125: 1000000000000000000000", ":7: refrigerants.R-9140A.composition.R-125: is not a share"},
        {"R-32: 50, R-125: 50", "R-32: 150, R-125: -50",
         ":7: refrigerants.R-9140A.composition.R-125: the share of a component"},
        {"R-32: 50, R-125: 50", "R-32: 100, R-125: 0",
         ":7: refrigerants.R-9140A.composition.R-125: the share of a component"},
        {"R-125: 50", "R-9999: 50",
         ":7: refrigerants.R-9140A.composition.R-9999: is neither in the catalogue nor in this"},
        {"R-125: 50", "R-9140A: 50",
         ":7: refrigerants.R-9140A.composition.R-9140A: a blend cannot be a part of itself"},
        {"R-125: 50", "R-32: 50", ":7: refrigerants.R-9140A.composition.R-32: duplicate key"},
        {"R-32: 50, R-125: 50", "R-32: 100", ":6: refrigerants.R-9140A.class: a blend has more than one component"},
        {"class: HFC blend", "class: freon", ":6: refrigerants.R-9140A.class: is not a class of the catalogue"},
        {"class: HFC blend", "class: \"a\\e[2J\"", ":6: refrigerants.R-9140A.class: has a control character in it"},
        {"molar_mass_g_mol: 72.585", "molar_mass_g_mol: 0",
         ":9: refrigerants.R-9140A.molar_mass_g_mol: expected 1 to 1000"},
        {"p_uncertainty_pct: 2", "p_uncertainty_pct: 0",
         ":13: refrigerants.R-9140A.p_uncertainty_pct: expected 0.01 to 50"},
        {"p_uncertainty_pct: 2", "p_uncertainty_pct: 1000",
         ":13: refrigerants.R-9140A.p_uncertainty_pct: expected 0.01"},
        {"critical_c: 71.3", "critical_c: 100000000", ":12: refrigerants.R-9140A.critical_c: expected -200 to 500"},
        {"status: memory", "status: sure", ":10: refrigerants.R-9140A.status: \"sure\" is not one of the values"},
        {"verified: []", "verified: [colour]", ":11: refrigerants.R-9140A.verified: colour is not a field"},
        {"R-9140A:", "r9140a:", ":5: refrigerants.r9140a: is not written as a designation"},
        {"R-9140A:", "R-410A:", ":5: refrigerants.R-410A: the catalogue has it already: R-410A"},
        {"R-9140A:", "R-410a:", ":5: refrigerants.R-410a: the catalogue has it already: R-410A"},
        {"R-9140A:", "R-1234zeE:", ":5: refrigerants.R-1234zeE: the catalogue has it already: R-1234ze(E)"},
        {"R-9140A:", "R-1234ze:", ":5: refrigerants.R-1234ze: is R-1234ze(E) of the catalogue, cut short"},
        {"R-9140A:", "R-410:", ":5: refrigerants.R-410: is R-410A of the catalogue, cut short"},
        {"R-9140A:", "R-406A:", ":5: refrigerants.R-406A: the catalogue has it already: R-406A"},
        {"source: s\n", "", ":1: source: missing required key"},
        {"source: s", "source: s\nsource: t", ":2: source: duplicate key"},
        {"source: s", "source: s\ncolour: t", ":2: colour: unknown key"},
        {"source: s", "source: \"s\\x1b[2J\"", ":1: source: has a control character in it"},
        {"date: d\n", "date: d\n---\n", ":4: one file is one document; here another begins"},
        // the library makes documents without end of it
        {"source: s\n", ",source: s\n", ":1: this cannot be read as YAML"},
        {"    table:\n", "    table: 5\n    other:\n", ":16: refrigerants.R-9140A.other: unknown key"},
    };
    for (const auto& b : bad) {
        CAPTURE(b.said);
        const auto said = said_of(replaced(good("R-9140A"), b.what, b.by));
        CHECK(said.substr(0, std::string(b.said).size()) == b.said);
    }
    const auto both = std::string(head) + entry("R-9140A", good_rows()) + entry("R-9140a", good_rows());
    CHECK(said_of(both).find("refrigerants.R-9140a: another one of this file differs only") != std::string::npos);
    // All or none: a good one before the bad one is not taken either.
    CHECK(said_of(good("R-9140A") + entry("R-9141A", changed(5, 1, 1))).find("refrigerants.R-9141A.table") !=
          std::string::npos);
    CHECK(said_of(good("R-9140A")) == "taken");
}

TEST_CASE("a file that is no such file is refused in a moment, whatever its size") {
    const auto folder = std::filesystem::temp_directory_path().string();
    CHECK(Catalogue::with_own("nowhere.yaml").error().what == "nowhere.yaml: cannot be read");
    CHECK(Catalogue::with_own(folder).error().what == folder + ": cannot be read");
    CHECK(Catalogue::with_own("/dev/zero").error().what == "/dev/zero: cannot be read");
    CHECK(said_of("") == ":1: the file is empty");
    CHECK(said_of("# nothing\n") == ":1: the file is empty");
    CHECK(said_of("- a\n") == ":1: : expected a map");
    CHECK(said_of(head) == ":4: refrigerants: expected a map");
    CHECK(said_of(std::string(head) + "  {}\n") == ":4: refrigerants: expected at least one");
    CHECK(said_of(std::string("source: \"s\0\"", 12)) == ":1: a control character stands in the text");
    CHECK(said_of("source: s\n\xff\xfe") == ":2: the text is not UTF-8");
    CHECK(said_of(std::string(head) + "  R-9150A: " + std::string(4000, '[')).find(":5: ") == 0);
    CHECK(said_of(std::string(head) + "  R-9150A: " + std::string(100'000, '[')) == ":5: the line is too long");
    std::string rows = good("R-9150A");
    for (int i = 0; i < 1'000'000; ++i) rows += "      - [1, 1, 1, 1, 1]\n";
    CHECK(said_of(rows).find("the file goes on beyond 1048576 bytes") != std::string::npos);
    std::string many = good("R-9150A");
    for (int i = 0; i < 1000; ++i) many += "      - [1, 1, 1, 1, 1]\n";
    CHECK(said_of(many) == fmt::format(":{}: refrigerants.R-9150A.table: more than 500 rows", first_line + 501));
    std::string names = head;
    for (int i = 0; i < 30'000; ++i) names += fmt::format("  R-{}: x\n", 100'000 + i);
    CHECK(said_of(names) == ":1005: refrigerants: more than 1000 keys");
}
