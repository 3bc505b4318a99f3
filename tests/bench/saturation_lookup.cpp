// What one saturation look-up costs: nanoseconds for each direction, over all refrigerants with a table and random
// places in it. The best of several rounds, because other programs only ever add. Fails above 100 ns (issue 4).
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <random>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

namespace {

struct Place {
    const Refrigerant* refrigerant;
    SaturationPoint point;
};

template <class LookUp>
double nanoseconds(const std::vector<Place>& places, LookUp look_up) {
    double best = 1e9;
    double sum = 0;
    for (int round = 0; round < 15; ++round) {
        const auto start = std::chrono::steady_clock::now();
        for (const auto& place : places) sum += look_up(place);
        const std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - start;
        best = std::min(best, took.count() / static_cast<double>(places.size()));
    }
    if (sum == 0.123) fmt::print("\n");  // so that nothing is optimised away
    return best;
}

}  // namespace

int main() {
    std::mt19937 dice(7);
    std::vector<const Refrigerant*> gases;
    for (const auto& r : Catalogue::compiled())
        if (r.saturation.has_table()) gases.push_back(&r);
    std::vector<Place> places;
    for (int i = 0; i < 100'000; ++i) {
        const auto* r = gases[dice() % gases.size()];
        const double share = std::uniform_real_distribution<double>(0, 0.999999)(dice);
        const auto& s = r->saturation;
        const auto at = s.low() + TemperatureDifference::kelvin(share * (s.high() - s.low()).in_kelvin());
        places.push_back({r, *saturation_at(*r, at)});
    }
    const struct {
        const char* what;
        double ns;
    } rows[] = {
        {"point at a temperature",
         nanoseconds(places,
                     [](const Place& p) {
                         return saturation_at(*p.refrigerant, p.point.temperature)->bubble.in_kilopascals();
                     })},
        {"temperature at a bubble pressure",
         nanoseconds(places,
                     [](const Place& p) { return bubble_temperature(*p.refrigerant, p.point.bubble)->in_celsius(); })},
        {"temperature at a dew pressure",
         nanoseconds(places,
                     [](const Place& p) { return dew_temperature(*p.refrigerant, p.point.dew)->in_celsius(); })},
        {"temperature at a liquid density",
         nanoseconds(places,
                     [](const Place& p) { return liquid_temperature(*p.refrigerant, p.point.liquid)->in_celsius(); })},
    };
    bool held = true;
    for (const auto& row : rows) {
        fmt::print("{:<34} {:6.1f} ns\n", row.what, row.ns);
        held = held && row.ns < 100;
    }
    return held ? 0 : 1;
}
