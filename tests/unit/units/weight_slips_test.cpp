#include "tarebook/units/weight_slips.hpp"

#include <doctest/doctest.h>

#include "tarebook/units/accuracy.hpp"

using namespace tarebook;

namespace {
bool may_mean(const char* typed, const char* meant, Slip slip, ScaleReads reads = ScaleReads::unknown) {
    const Mass mass = parse_weight(meant, ScaleReads::unknown).value().mass;
    for (const auto& m : weights_that_may_be_meant(parse_weight(typed, reads).value(), reads))
        if (m.slip == slip && m.mass == mass) return true;
    return false;
}
}  // namespace

TEST_CASE("slips: what else a typed weight may have been meant to be") {
    CHECK(may_mean("34.25lb", "43.25lb", Slip::digits_swapped));
    CHECK(may_mean("42.35lb", "43.25lb", Slip::digits_swapped));  // over the point
    CHECK(may_mean("34.25", "43.25lb", Slip::digits_swapped, ScaleReads::lb));
    CHECK_FALSE(may_mean("33.25lb", "33.25lb", Slip::digits_swapped));
    CHECK(may_mean("20lb", "20kg", Slip::kg_as_lb));
    CHECK(may_mean("20", "20lb", Slip::lb_as_kg, ScaleReads::kg));
    CHECK_FALSE(may_mean("20kg", "20kg", Slip::kg_as_lb));
    CHECK(may_mean("12.8lb", "12 lb 8 oz", Slip::ounces_as_tenths));
    CHECK(may_mean("12.80", "12 lb 8 oz", Slip::ounces_as_tenths, ScaleReads::lb));
    CHECK(may_mean("12.11lb", "12 lb 11 oz", Slip::ounces_as_tenths));
    CHECK(may_mean("12 lb 8 oz", "12.8lb", Slip::tenths_as_ounces));
    CHECK_FALSE(may_mean("12.8kg", "12 lb 8 oz", Slip::ounces_as_tenths));
    CHECK(weights_that_may_be_meant(parse_weight("12.17lb", ScaleReads::lb).value(), ScaleReads::lb).size() == 4);
}

TEST_CASE("how far a scale may be off: a mass or a share of the load") {
    const Mass load = Mass::pounds(200);
    CHECK(parse_scale_accuracy("0.1lb").value().at(load) == Mass::thousandths_of_a_pound(100));
    CHECK(parse_scale_accuracy("0.5%").value().at(load) == Mass::pounds(1));
    CHECK(parse_scale_accuracy("0.25 %").value().at(load) == Mass::thousandths_of_a_pound(500));
    for (const char* bad : {"", "%", "0.5", "half", "11%", "-1%", "0.5%x", "200lb"}) {
        CAPTURE(bad);
        const auto accuracy = parse_scale_accuracy(bad);
        REQUIRE_FALSE(accuracy);
        CHECK(accuracy.error().name == "scale-accuracy");
    }
}
