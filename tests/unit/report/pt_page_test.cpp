#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/report/pt_page.hpp"

using namespace tarebook;

namespace pt_page_test {

namespace {

const PageOptions text{Format::text, DisplayUnits::lb, Instant{}};
const PageOptions metric{Format::text, DisplayUnits::kg, Instant{}};
const PageOptions json{Format::json, DisplayUnits::lb, Instant{}};
const PageOptions csv{Format::csv, DisplayUnits::lb, Instant{}};

PtQuestion ask(const char* gas, const char* at = nullptr) {
    PtQuestion q{Catalogue().find(gas)};
    if (at) q.at = parse_pt_at(at).value();
    return q;
}
bool has(const std::string& page, std::string_view words) {
    return page.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("pt: what is asked for is a temperature or a pressure by its unit") {
    CHECK(std::holds_alternative<Temperature>(*parse_pt_at("70F")));
    CHECK(std::holds_alternative<Temperature>(*parse_pt_at("21 c")));
    CHECK(std::holds_alternative<PressureReading>(*parse_pt_at("118psig")));
    CHECK(std::holds_alternative<PressureReading>(*parse_pt_at("8 bar")));
    CHECK(parse_pt_at("70").error().name == "pt-no-unit");
    CHECK(parse_pt_at("").error().name == "pt-no-unit");
    CHECK(parse_pt_at("70K").error().name == "pressure-unit");
    CHECK(parse_pt_at("7..0F").error().name == "temperature-number");
    CHECK(parse_pt_at("70psi").error().name == "pressure-gauge-or-absolute");
}

TEST_CASE("pt: a blend has two pressures at a temperature and two temperatures at a pressure") {
    const auto at_70f = pt_page(ask("R-448A", "70F"), text)->body;
    CHECK(has(at_70f, "bubble  153.8 psig"));
    CHECK(has(at_70f, "dew     129.1 psig"));
    CHECK(has(at_70f, "tarebook pt R-448A --about"));
    const auto at_pressure = nlohmann::json::parse(pt_page(ask("R-448A", "8bar"), json)->body);
    CHECK(at_pressure["t_c"].is_null());
    CHECK(at_pressure["t_bubble_c"].get<double>() < at_pressure["t_dew_c"].get<double>());
    CHECK(at_pressure["p_bubble_kpa"] == 800.0);
    const auto pure = nlohmann::json::parse(pt_page(ask("R-134a", "8bar"), json)->body);
    CHECK(pure["t_c"] == pure["t_bubble_c"]);
    CHECK(pure["t_c"] == pure["t_dew_c"]);
}

TEST_CASE("pt: JSON has the keys that programs rely on, in SI, whatever the units of the page") {
    for (const auto units : {DisplayUnits::lb, DisplayUnits::kg}) {
        const auto page = nlohmann::json::parse(pt_page(ask("R-448A", "25C"), {Format::json, units, {}})->body);
        CHECK(page["refrigerant"] == "R-448A");
        CHECK(page["t_c"] == 25);
        for (const char* key : {"p_bubble_kpa", "p_dew_kpa", "rho_liquid_kg_m3", "rho_vapor_kg_m3"})
            CHECK(page[key].get<double>() > 0);
        CHECK(page["p_uncertainty_percent"] == 1);
        CHECK(page["estimated_pairs"] == false);
    }
    const auto table = nlohmann::json::parse(pt_page(ask("R-448A"), json)->body);
    CHECK(table["points"].size() == 49);  // -75 to 165 F by 5 F
}

TEST_CASE("pt: a gauge below the barometer reads inches of mercury, and the barometer of the place decides") {
    auto q = ask("R-134a", "-40F");
    CHECK(has(pt_page(q, text)->body, "bubble  14.8 inHg vacuum"));
    CHECK(has(pt_page(q, metric)->body, "bubble  -0.50 barg"));
    q.barometer = Barometer::at(Altitude::feet(5000));
    // 51.2 kPa under 84.3 kPa: 33.1 kPa of vacuum is 9.8 inHg.
    CHECK(has(pt_page(q, text)->body, "bubble  9.8 inHg vacuum"));
    CHECK(has(pt_page(q, text)->body, "5000 ft (1524 m) in the standard atmosphere"));
    CHECK(has(pt_page(q, metric)->body, "bubble  -0.33 barg"));
    CHECK(has(pt_page(q, metric)->body, "barometer 0.843 bar"));
    q.unit = PressureUnit::kilopascals;
    CHECK(has(pt_page(q, metric)->body, "bubble  51.2 kPa absolute"));
    CHECK_FALSE(has(pt_page(q, metric)->body, "barometer"));
    q.unit = PressureUnit::bar;
    CHECK(has(pt_page(q, text)->body, "bubble  0.512 bar absolute"));
    // The same gauge reading is another temperature up there.
    auto here = ask("R-134a", "50psig");
    auto there = here;
    there.barometer = Barometer::read(AbsolutePressure::kilopascals(84));
    const auto t = [&](const PtQuestion& question) {
        return nlohmann::json::parse(pt_page(question, json)->body)["t_c"].get<double>();
    };
    CHECK(t(here) - t(there) == doctest::Approx(1.17).epsilon(0.05));
}

TEST_CASE("pt: one side outside the table is told, both sides are an error that names the range") {
    const auto page = pt_page(ask("R-448A", "40kPa"), text)->body;
    CHECK(has(page, "bubble  below -76.0 F"));
    CHECK(has(page, "dew     -70.6 F"));
    CHECK(nlohmann::json::parse(pt_page(ask("R-448A", "40kPa"), json)->body)["t_bubble_c"].is_null());
    CHECK(pt_page(ask("R-448A", "1kPa"), text).error().name == "saturation-range");
    CHECK(pt_page(ask("R-448A", "80C"), text).error().name == "saturation-range");
    CHECK(pt_page(ask("R-401B", "25C"), text).error().name == "saturation-no-table");
    CHECK(pt_page(ask("R-401B"), csv).error().name == "saturation-no-table");
}

TEST_CASE("pt --about: estimated pairs say so, and without a table the rule that stands in is named") {
    const auto& r402a = *Catalogue().find("R-402A");
    const auto page = pt_about_page(r402a, text).body;
    CHECK(has(page, "R-125 with R-22: ESTIMATED"));
    CHECK(has(page, "uncertainty: 5 % in pressure"));
    const auto object = nlohmann::json::parse(pt_about_page(r402a, json).body);
    std::size_t estimated = 0;
    for (const auto& pair : object["mixture_pairs"]) estimated += pair["estimated"] == true ? 1 : 0;
    CHECK(estimated == 1);
    CHECK(object["equations"].size() == 3);
    CHECK_FALSE(has(pt_about_page(*Catalogue().find("R-410A"), text).body, "ESTIMATED"));
    const auto& none = *Catalogue().find("R-401B");
    CHECK(has(pt_about_page(none, text).body, "rule for unknown"));
    CHECK(nlohmann::json::parse(pt_about_page(none, json).body)["table_low_c"].is_null());
    CHECK(has(pt_about_page(none, csv).body, "schema_version,refrigerant"));
}

}  // namespace pt_page_test
