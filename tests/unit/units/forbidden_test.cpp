// What must not compile: mixing kinds of quantities. Asserted with concepts, next to what must compile, so that a
// conversion added by accident stops the build.
#include <doctest/doctest.h>

#include <concepts>

#include "tarebook/units/mass.hpp"
#include "tarebook/units/quantity.hpp"

using namespace tarebook;

namespace {

template <class A, class B>
concept addable = requires(A a, B b) {
    a + b;
};
template <class A, class B>
concept subtractable = requires(A a, B b) {
    a - b;
};
template <class A, class B>
concept ordered_with = requires(A a, B b) {
    a < b;
};
template <class A, class B>
concept equal_with = requires(A a, B b) {
    a == b;
};
template <class A, class B>
concept multiplied = requires(A a, B b) {
    a* b;
};

// A reading and a difference
static_assert(!addable<Temperature, Temperature>);
static_assert(addable<Temperature, TemperatureDifference>);
static_assert(!addable<TemperatureDifference, Temperature>);
static_assert(addable<TemperatureDifference, TemperatureDifference>);
static_assert(std::same_as<decltype(Temperature::celsius(1) - Temperature::celsius(0)), TemperatureDifference>);
static_assert(!subtractable<TemperatureDifference, Temperature>);
static_assert(!ordered_with<Temperature, TemperatureDifference>);
static_assert(!std::convertible_to<TemperatureDifference, Temperature>);
static_assert(!std::convertible_to<double, Temperature>);
static_assert(!std::constructible_from<Temperature, double>);

// Gauge and absolute
static_assert(!addable<GaugePressure, AbsolutePressure>);
static_assert(!addable<AbsolutePressure, GaugePressure>);
static_assert(!addable<AbsolutePressure, AbsolutePressure>);
static_assert(!subtractable<AbsolutePressure, GaugePressure>);
static_assert(!ordered_with<AbsolutePressure, GaugePressure>);
static_assert(!equal_with<AbsolutePressure, GaugePressure>);
static_assert(ordered_with<AbsolutePressure, AbsolutePressure>);
static_assert(ordered_with<GaugePressure, GaugePressure>);
static_assert(!std::convertible_to<GaugePressure, AbsolutePressure>);
static_assert(!std::convertible_to<AbsolutePressure, GaugePressure>);

// Mass and the rest
static_assert(addable<Mass, Mass>);
static_assert(!addable<Mass, Density>);
static_assert(!addable<Mass, Volume>);
static_assert(!addable<Mass, double>);
static_assert(!addable<Mass, int>);
static_assert(!multiplied<Mass, Mass>);
static_assert(!multiplied<Mass, double>);
static_assert(!ordered_with<Mass, int>);
static_assert(!equal_with<Mass, int>);
static_assert(!std::convertible_to<int, Mass>);
static_assert(!std::convertible_to<double, Mass>);
static_assert(!std::constructible_from<Mass, double>);
static_assert(!std::constructible_from<Mass, std::int64_t>);
static_assert(!std::convertible_to<Mass, double>);

static_assert(!addable<Density, Density>);
static_assert(!addable<Volume, Density>);
static_assert(!ordered_with<Volume, Mass>);
static_assert(!std::convertible_to<double, Density>);
static_assert(!std::convertible_to<double, Volume>);

}  // namespace

TEST_CASE("a rise of 20 K is no temperature of 20 C, and the one way between them is named") {
    const auto rise = Temperature::celsius(30) - Temperature::celsius(10);
    CHECK(rise.in_kelvin() == 20.0);
    CHECK((Temperature::celsius(0) + rise).in_celsius() == 20.0);
    CHECK(absolute(GaugePressure::psig(0), standard_atmosphere()) == standard_atmosphere());
}
