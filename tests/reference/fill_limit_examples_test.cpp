// Worked examples that others published, or that were computed from published densities, row by row:
// data/fill-worked-examples.csv and the FL rows of data/us-worked-examples.csv. Each row names its source and status.
// A row is one check: its formula, with its own specific gravity, gives its figure; and where it names a refrigerant
// and a density, ours agrees within 1 %. A row with a formula that is not known here fails.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>
#include <string>
#include <utility>

#include "support/csv.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"

using namespace tarebook;
using tarebook::tests::CsvRow;
using tarebook::tests::read_csv;

namespace {

const std::string data = TAREBOOK_SOURCE_DIR "/tests/reference/data/";
constexpr double density_agreement = 0.01;

Mass typed(const std::string& number, const std::string& unit) {
    return parse_weight(number + unit, ScaleReads::unknown).value().mass;
}
double in(const std::string& unit, Mass mass) {
    return unit == "kg" ? mass.in_kilograms() : mass.in_pounds();
}
Mass times(Mass mass, double factor) {
    return Mass::from_kilograms(mass.in_kilograms() * factor);
}

/// What stands after `name=` in the cell, up to the next semicolon.
std::string named_value(const std::string& cell, const std::string& name) {
    const auto at = cell.rfind(name + "=");
    REQUIRE(at != std::string::npos);
    const auto start = at + name.size() + 1;
    return cell.substr(start, cell.find(';', start) - start);
}

Temperature reference_temperature(const CsvRow& row) {
    return parse_temperature(row["reference_temp"]).value();
}

struct Example {
    const CsvRow& row;
    [[nodiscard]] Mass water() const { return typed(row["wc"], row["wc_unit"]); }
    [[nodiscard]] Mass tare() const { return typed(row["tare"], row["tare_unit"]); }
    [[nodiscard]] double gravity() const { return std::stod(named_value(row["specific_gravity_or_density"], "SG")); }
    [[nodiscard]] double kg_per_m3() const {
        return std::stod(named_value(row["specific_gravity_or_density"], "density"));
    }
    [[nodiscard]] Mass gross(const std::string& name) const {
        const auto value = named_value(row["formula"], name);
        const bool has_unit = value.find_first_of("lk") != std::string::npos;
        return has_unit ? parse_weight(value, ScaleReads::unknown).value().mass : typed(value, row["unit"]);
    }
    [[nodiscard]] Volume volume() const {
        return row["wc_unit"] == "L" ? Volume::litres(row.number("wc")) : Volume::of_water(water());
    }
    [[nodiscard]] const Refrigerant* refrigerant() const { return Catalogue().find(row["refrigerant"]); }

    void gross_is(Mass gross) const {
        const double off = in(row["unit"], gross) - row.number("expected_gross");
        CHECK(std::abs(off) <= row.number("tolerance") + 1e-9);
    }
    void figures(Mass net, Mass gross) const {
        const double off = in(row["unit"], net) - row.number("expected_net");
        CHECK(std::abs(off) <= row.number("tolerance") + 1e-9);
        gross_is(gross);
    }
    void limit(Mass net) const { figures(net, net + tare()); }
    /// Through the library's own stop weights, on a scale so fine that rounding down does not show.
    void remaining(Mass net) const {
        const auto w = stop_weights(net, tare(), gross("gross_now"), Mass::thousandths_of_a_pound(1));
        CHECK(w.limit_gross == net + tare());
        figures(w.room, w.limit_gross);
    }
};

std::optional<Mass> library_limit(const FillQuestion& question, const std::string& rule) {
    const auto limits = fill_limits(question);
    REQUIRE(limits.has_value());
    for (const auto& c : limits->candidates)
        if (c.rule == rule) return c.net;
    return std::nullopt;
}

/// Our own limit, from our own density, within the 1 % that densities may differ.
void library_agrees(const Example& e, const FillQuestion& question, const std::string& rule) {
    const auto net = library_limit(question, rule);
    REQUIRE(net.has_value());
    CHECK(in(e.row["unit"], *net) == doctest::Approx(e.row.number("expected_net")).epsilon(density_agreement));
}

FillQuestion about(const Example& e) {
    FillQuestion q;
    q.refrigerant = e.refrigerant();
    q.water_capacity = e.volume();
    return q;
}

void by_gravity(const Example& e) {
    e.limit(times(e.water(), 0.8 * e.gravity()));
    if (e.row["reference_temp"] == "77 F" || e.row["reference_temp"] == "25 C")
        library_agrees(e, about(e), "80-percent-at-77F");
}

void by_capped_gravity(const Example& e) {
    e.limit(times(e.water(), 0.8 * std::min(1.0, e.gravity())));
    // The library caps at water in the rule for partly known contents.
    auto q = about(e);
    q.could_be = {std::exchange(q.refrigerant, nullptr)};
    library_agrees(e, q, "mixed-lightest-at-130F");
}

void by_lightest(const Example& e) {
    e.limit(times(e.water(), 0.8 * e.gravity()));
    FillQuestion q;
    q.water_capacity = e.volume();
    std::istringstream names(e.row["refrigerant"].substr(std::string("mixed ").size()));
    for (std::string name; std::getline(names, name, '/');) {
        q.could_be.push_back(Catalogue().find(name));
        REQUIRE(q.could_be.back() != nullptr);
    }
    library_agrees(e, q, "mixed-lightest-at-130F");
}

void by_filling_density(const Example& e) {
    const double percent = std::stod(named_value(e.row["specific_gravity_or_density"], "FD"));
    e.limit(times(e.water(), percent / 100));
    const auto net = library_limit(about(e), "filling-density");
    REQUIRE(net.has_value());
    e.limit(*net);
}

void by_pounds_per_cubic_foot(const Example& e) {
    const double cubic_feet = e.water().in_pounds() / 62.37;
    const double net_lb = 0.8 * cubic_feet * e.kg_per_m3() * 0.06242796;
    e.limit(times(Mass::pounds(1), net_lb));
    library_agrees(e, about(e), "80-percent-at-77F");
}

void by_litres(const Example& e) {
    e.limit(times(e.volume().filled_with(Density::kg_per_m3(e.kg_per_m3())), 0.8));
    library_agrees(e, about(e), "80-percent-at-77F");
}

/// Published advice for a nominal cylinder, an upper bound: our figure at 130 F for that cylinder stays near it.
void rule_of_thumb(const Example& e, const char* water_lb, const char* tare_lb) {
    const auto density = liquid_density(*e.refrigerant(), Temperature::fahrenheit(130));
    REQUIRE(density.has_value());
    const double ours = Volume::of_water(typed(water_lb, "lb")).filled_with(*density).in_pounds() * 0.8;
    CHECK(e.row.number("expected_net") <= ours);
    CHECK(ours <= e.row.number("expected_net") * 1.1);
    e.gross_is(typed(e.row["expected_net"], "lb") + typed(tare_lb, "lb"));
}

using Check = std::function<void(const Example&)>;

/// By the formula column, up to the value of a reading.
const std::map<std::string, Check> formulas = {
    {"net=0.8*WC*SG; gross=net+TW", by_gravity},
    {"net=0.8*WC; gross=net+TW", [](const Example& e) { e.limit(times(e.water(), 0.8)); }},
    {"remaining=0.8*WC+TW-gross_now", [](const Example& e) { e.remaining(times(e.water(), 0.8)); }},
    {"remaining=0.8*WC*SG+TW-gross_now", [](const Example& e) { e.remaining(times(e.water(), 0.8 * e.gravity())); }},
    {"content=gross_now-TW",
     [](const Example& e) { e.figures(e.gross("gross_now") - e.tare(), e.gross("gross_now")); }},
    {"recovered=gross_after-gross_before",
     [](const Example& e) { e.figures(e.gross("gross_after") - e.gross("gross_before"), e.gross("gross_after")); }},
    {"net=FD/100*WC; gross=net+TW", by_filling_density},
    {"net=0.8*(WC/62.37)*rho_lbft3", by_pounds_per_cubic_foot},
    {"net=0.8*V*rho/1000; gross=net+TW", by_litres},
    {"net_lb=0.8*WC*SG; convert /2.20462262; gross=net+TW/2.20462262", by_gravity},
    {"net=0.8*WC*min(1;SG); gross=net+TW", by_capped_gravity},
    {"net=0.8*WC*min(SG_i); gross=net+TW", by_lightest},
    {"rule of thumb: net<=32", [](const Example& e) { rule_of_thumb(e, "47.6", "27.5"); }},
    {"rule of thumb: net<=21", [](const Example& e) { rule_of_thumb(e, "26.2", "17.1"); }},
};

std::string formula_key(const std::string& formula) {
    for (const char* reading : {"; gross_now=", "; gross_before=", "; rho_lbft3="})
        if (const auto at = formula.find(reading); at != std::string::npos) return formula.substr(0, at);
    return formula;
}

std::optional<Density> published_density(const CsvRow& row) {
    const auto& cell = row["specific_gravity_or_density"];
    if (cell.starts_with("SG=")) return Density::kg_per_m3(std::stod(cell.substr(3)) * water_at_60f().in_kg_per_m3());
    if (cell.starts_with("density=")) return Density::kg_per_m3(std::stod(cell.substr(8)));
    if (cell.ends_with(" lb/ft3")) return Density::kg_per_m3(std::stod(cell) * 16.018463373960142);
    return std::nullopt;
}

}  // namespace

TEST_CASE("every published and computed fill example comes out of its formula, and of the library") {
    const auto rows = read_csv(data + "fill-worked-examples.csv");
    CHECK(rows.size() == 41);
    for (const auto& row : rows) {
        CAPTURE(row["id"]);
        CAPTURE(row["source"]);
        CHECK_FALSE(row["source"].empty());
        const auto check = formulas.find(formula_key(row["formula"]));
        if (check == formulas.end()) {
            FAIL_CHECK("no check for the formula " << row["formula"]);
            continue;
        }
        check->second(Example{row});
    }
}

TEST_CASE("our liquid density is within 1 % of the one each example was published with") {
    std::size_t compared = 0;
    for (const auto& row : read_csv(data + "fill-worked-examples.csv")) {
        CAPTURE(row["id"]);
        const auto published = published_density(row);
        const auto* refrigerant = Catalogue().find(row["refrigerant"]);
        if (!published || !refrigerant) continue;
        const auto ours = liquid_density(*refrigerant, reference_temperature(row));
        REQUIRE(ours.has_value());
        CHECK(ours->in_kg_per_m3() == doctest::Approx(published->in_kg_per_m3()).epsilon(density_agreement));
        ++compared;
    }
    CHECK(compared == 31);
}

TEST_CASE("every US fill example (FL rows) comes out, the filling densities of the library") {
    auto rows = read_csv(data + "us-worked-examples.csv");
    std::erase_if(rows, [](const CsvRow& row) { return !row["id"].starts_with("FL-"); });
    CHECK(rows.size() == 11);
    for (const auto& row : rows) {
        CAPTURE(row["id"]);
        CAPTURE(row["source"]);
        const auto inputs = nlohmann::json::parse(row["inputs"]);
        auto pounds = [&](const char* key) { return times(Mass::pounds(1), inputs.at(key).get<double>()); };
        const Mass water = pounds("water_capacity_lb");
        const auto& topic = row["topic"];
        std::optional<Mass> result;
        if (topic == "cylinder_net_limit_wc80") {
            result = times(water, inputs.at("fill_fraction"));
        } else if (topic == "cylinder_gross_limit_wc80") {
            const Mass net = times(water, inputs.at("fill_fraction"));
            result = stop_weights(net, pounds("tare_lb"), pounds("tare_lb"), Mass::pounds(1)).limit_gross;
        } else if (topic == "cylinder_room_left_wc80") {
            const Mass net = times(water, inputs.at("fill_fraction"));
            const Mass fine = Mass::thousandths_of_a_pound(1);
            result = stop_weights(net, pounds("tare_lb"), pounds("gross_now_lb"), fine).room;
        } else if (topic == "cylinder_net_limit_density") {
            const double gravity =
                inputs.at("liquid_density_lb_ft3").get<double>() / inputs.at("water_density_lb_ft3").get<double>();
            result = times(water, inputs.at("fill_fraction").get<double>() * gravity);
        } else if (topic == "cylinder_net_limit_filling_density") {
            FillQuestion q;
            q.refrigerant = Catalogue().find(inputs.at("refrigerant").get<std::string>());
            q.water_capacity = Volume::of_water(water);
            result = library_limit(q, "filling-density");
        }
        if (!result) {
            FAIL_CHECK("no check for the topic " << topic);
            continue;
        }
        CHECK(std::abs(result->in_pounds() - row.number("expected")) <= row.number("tolerance") + 1e-9);
    }
}
