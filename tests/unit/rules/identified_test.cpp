// What an identifier shows, as a person types it.
#include "tarebook/rules/identified.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

namespace {
std::string read(const std::string& typed) {
    const auto parts = parse_identified({}, typed);
    return parts ? *parts : "refused: " + parts.error().name;
}
}  // namespace

TEST_CASE("parts of a gas are kept with designations, in their order") {
    CHECK(read("R-22 98.5, R-134a 1.5") == "R-22 98.5, R-134a 1.5");
    CHECK(read("r22 98.50 %,134a: 1") == "R-22 98.5, R-134a 1");
    CHECK(read("HC 30, other 70") == "HC 30, other 70");
    CHECK(read("R-125 44, R-143a 52, R-134a 4.5") == "R-125 44, R-143a 52, R-134a 4.5");
}

TEST_CASE("a part without its percent, of no known gas, or over the whole is refused") {
    for (const char* typed :
         {"", "R-22", "98", "R-22 x", "R-9999 4", "R-22 101", "R-22 60, R-134a 41", "R-22 -1", ","}) {
        CAPTURE(typed);
        CHECK(read(typed) == "refused: identified-part");
    }
}

TEST_CASE("what is foreign to a gas is neither the gas nor a component of it") {
    const Catalogue catalogue;
    const auto foreign = [&](const char* gas, const char* parts) {
        return foreign_to(*catalogue.find(gas), identified_parts(parts)).text();
    };
    CHECK(foreign("R-404A", "R-125 44, R-143a 52, R-134a 4") == "0");
    CHECK(foreign("R-404A", "R-404A 95, R-22 3.5, HC 1.5") == "5");
    CHECK(foreign("R-22", "R-22 98, R-134a 2") == "2");
    CHECK(identified_parts("no parts").empty());
}
