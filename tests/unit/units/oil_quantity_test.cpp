// Quantities of oil as people type them. NIST Handbook 44, appendix C: a gallon is 3.785 412 l, 4 quarts, 128 fluid
// ounces; a fluid ounce is 29.573 53 ml.
#include "tarebook/units/oil_quantity.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("a quantity of oil is a volume or a mass, by its unit") {
    for (const auto& [typed, litres] : {std::pair("16oz", 0.4731765),
                                        {"16 floz", 0.4731765},
                                        {"475ml", 0.475},
                                        {"475 cc", 0.475},
                                        {"1.5L", 1.5},
                                        {"2qt", 1.892706},
                                        {"1gal", 3.785412}}) {
        const auto seen = std::string(typed);
        CAPTURE(seen);
        const auto quantity = parse_oil_quantity(typed);
        REQUIRE(quantity);
        CHECK(std::get<Volume>(*quantity).in_litres() == doctest::Approx(litres).epsilon(1e-6));
    }
    CHECK(std::get<Mass>(*parse_oil_quantity("2lb")) == Mass::pounds(2));
    CHECK(std::get<Mass>(*parse_oil_quantity("850g")) == parse_weight("0.85kg", ScaleReads::unknown)->mass);
}

TEST_CASE("a quantity of oil without its unit, of nothing, or too large is refused with the forms") {
    for (const char* typed : {"", "16", "16psi", "0oz", "-1oz", "oz", "16oz 2", "300gal", "1001kg", "1001l"}) {
        CAPTURE(typed);
        const auto quantity = parse_oil_quantity(typed);
        REQUIRE_FALSE(quantity);
        CHECK(quantity.error().name == "oil-quantity");
        CHECK_FALSE(quantity.error().expected.empty());
    }
}
