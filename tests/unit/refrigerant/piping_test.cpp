#include "tarebook/refrigerant/piping.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

using namespace tarebook;

TEST_CASE("a pipe is what runs in it, a size, a wall and a length with its unit") {
    const auto pipe = parse_pipe("  suction 1 3/8  soft 36.5m ");
    REQUIRE(pipe.has_value());
    CHECK(pipe->role == PipeRole::suction);
    CHECK(pipe->size->name == "1 3/8");
    CHECK(pipe->size->kind == TubeWall::soft);
    CHECK(pipe->length.in_metres() == doctest::Approx(36.5));
    CHECK(parse_pipe("hot-gas 7/8in hard 80ft")->role == PipeRole::hot_gas);

    struct Bad {
        const char* typed;
        const char* name;
    };
    for (const auto& bad : {Bad{"", "pipe-words"}, Bad{"liquid 5/8 120ft", "pipe-words"},
                            Bad{"liquid 5/8 hard 120 ft long", "pipe-words"}, Bad{"liqiud 5/8 hard 120ft", "pipe-role"},
                            Bad{"liquid 5/8 copper 120ft", "pipe-wall"}, Bad{"liquid 9/16 hard 120ft", "tube-size"},
                            Bad{"liquid 5/8 hard 120", "length-unit"}, Bad{"liquid 5/8 hard 120in", "length-unit"},
                            Bad{"liquid 5/8 hard -3ft", "length-unit"}, Bad{"liquid 5/8 hard 0ft", "length-range"},
                            Bad{"liquid 5/8 hard 5001ft", "length-range"}}) {
        CAPTURE(bad.typed);
        const auto refused = parse_pipe(bad.typed);
        REQUIRE_FALSE(refused.has_value());
        CHECK(refused.error().name == bad.name);
    }
    CHECK(parse_pipe("liqiud 5/8 hard 120ft").error().next == "did you mean liquid?");
}

TEST_CASE("a component is a name, an inside volume with its unit and its share of liquid, also where that is none") {
    const auto coil = parse_vessel("case coil left 0.42ft3 30% liquid");
    REQUIRE(coil.has_value());
    CHECK(coil->name == "case coil left");
    CHECK(coil->volume.in_cubic_feet() == doctest::Approx(0.42));
    CHECK(coil->liquid_percent == 30);
    CHECK(parse_vessel("tank 1728in3 0% liquid")->volume.in_cubic_feet() == doctest::Approx(1));
    CHECK(parse_vessel("tank 12L 100% liquid")->volume.in_litres() == doctest::Approx(12));

    struct Bad {
        const char* typed;
        const char* name;
    };
    for (const auto& bad :
         {Bad{"coil 0.42ft3", "vessel-words"}, Bad{"0.42ft3 30% liquid", "vessel-words"},
          Bad{"coil 0.42ft3 30 liquid", "vessel-share"}, Bad{"coil 0.42ft3 101% liquid", "vessel-share"},
          Bad{"coil 0.42 30% liquid", "volume-unit"}, Bad{"coil 0.42gal 30% liquid", "volume-unit"},
          Bad{"coil 0ft3 30% liquid", "volume-range"}, Bad{"coil 4000ft3 30% liquid", "volume-range"}}) {
        CAPTURE(bad.typed);
        const auto refused = parse_vessel(bad.typed);
        REQUIRE_FALSE(refused.has_value());
        CHECK(refused.error().name == bad.name);
    }
}

TEST_CASE("a circuit at one pressure is vapour alone; a liquid line is full only where the circuit was working") {
    const auto& gas = *Catalogue().find("R-448A");
    const auto piping = *parse_piping("liquid 5/8 hard 120ft\nsuction 1-3/8 hard 120ft\nhot-gas 7/8 hard 10ft",
                                      "coil 0.42ft3 30% liquid");
    CircuitConditions down;
    down.vapor_pressure = absolute(GaugePressure::psig(36), standard_atmosphere());
    down.vapor = Temperature::fahrenheit(60);
    const auto pumped = expected_charge(gas, piping, down);
    REQUIRE(pumped.has_value());
    CHECK(pumped->liquid.is_zero());
    CHECK_FALSE(pumped->vapor_unknown);
    const auto left = *vapor_left(gas, piping, *down.vapor_pressure, down.vapor);
    CHECK((pumped->total() - left).magnitude() <= Mass::from_count(4));  // each of the four parts is rounded

    CircuitConditions working;
    working.liquid = Temperature::fahrenheit(80);
    working.vapor = Temperature::fahrenheit(60);
    const auto unknown = expected_charge(gas, piping, working);
    REQUIRE(unknown.has_value());
    CHECK(unknown->vapor_unknown);
    CHECK_FALSE(unknown->parts[1].vapor.has_value());
    CHECK(unknown->parts[0].vapor == Mass());    // full of liquid
    CHECK(unknown->parts[2].vapor.has_value());  // hot gas is saturated at the liquid's temperature
    CHECK(Mass::pounds(20) < unknown->liquid);

    down.vapor_pressure = absolute(GaugePressure::psig(300), standard_atmosphere());
    CHECK(expected_charge(gas, piping, down).error().name == "liquid-present");
}
