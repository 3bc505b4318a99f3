// Whatever refrigerant and temperature: there and back, monotone, bubble never below dew. And the same for tables that
// no gas has, as a person's own file may carry.
#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "runs.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace {

// A share of a range, with both ends drawn often.
double drawn_share() {
    const int n = *rc::gen::resize(100, rc::gen::inRange(-2'000, 102'001));
    return std::clamp(n, 0, 100'000) / 100'000.0;
}

const Refrigerant& drawn_refrigerant() {
    static const auto with_table = [] {
        std::vector<const Refrigerant*> all;
        for (const auto& r : Catalogue::compiled())
            if (r.saturation.has_table()) all.push_back(&r);
        return all;
    }();
    return *with_table[*rc::gen::resize(100, rc::gen::inRange<std::size_t>(0, with_table.size()))];
}

Temperature at_share(const Saturation& s, double share) {
    return Temperature::celsius(
        std::min(s.low().in_celsius() + share * (s.high() - s.low()).in_kelvin(), s.high().in_celsius()));
}

// Rows that rise and fall as a table must, and are rough otherwise.
std::vector<SaturationRow> drawn_rows() {
    const auto step = [](double least, double most) { return least + drawn_share() * (most - least); };
    std::vector<SaturationRow> rows;
    double celsius = -60, dew = 10, liquid = 1500, vapor = 1, bubble = 10;
    const int n = *rc::gen::resize(100, rc::gen::inRange(3, 12));
    for (int i = 0; i < n; ++i) {
        celsius += step(0.01, 9);
        dew *= step(1.000001, 3);
        bubble = std::max(bubble * step(1.000001, 1.5), *rc::gen::arbitrary<bool>() ? dew : dew * step(1, 2));
        liquid -= step(0.0001, 90);
        vapor *= step(1.000001, 3);
        rows.push_back({Temperature::celsius(celsius), AbsolutePressure::kilopascals(bubble),
                        AbsolutePressure::kilopascals(dew), Density::kg_per_m3(liquid), Density::kg_per_m3(vapor)});
    }
    return rows;
}

void in_order(const Refrigerant& r, Temperature cold, Temperature hot) {
    const auto a = saturation_at(r, cold);
    const auto b = saturation_at(r, hot);
    RC_ASSERT(a.has_value());
    RC_ASSERT(b.has_value());
    RC_ASSERT(a->bubble >= a->dew);
    RC_ASSERT(b->bubble >= b->dew);
    // The last digit of exp is allowed to differ.
    constexpr double same = 1e-13;
    RC_ASSERT(b->bubble.in_kilopascals() >= a->bubble.in_kilopascals() * (1 - same));
    RC_ASSERT(b->dew.in_kilopascals() >= a->dew.in_kilopascals() * (1 - same));
    RC_ASSERT(b->vapor.in_kg_per_m3() >= a->vapor.in_kg_per_m3() * (1 - same));
    RC_ASSERT(b->liquid.in_kg_per_m3() <= a->liquid.in_kg_per_m3() * (1 + same));
}

}  // namespace

TEST_CASE("from temperature to pressure or density and back is the same temperature within 0.01 K") {
    holds("saturation there and back", 3000, [] {
        const auto& r = drawn_refrigerant();
        const auto at = at_share(r.saturation, drawn_share());
        const auto point = saturation_at(r, at);
        RC_ASSERT(point.has_value());
        const auto boils = bubble_temperature(r, point->bubble);
        const auto condenses = dew_temperature(r, point->dew);
        const auto full = liquid_temperature(r, point->liquid);
        RC_ASSERT(boils.has_value() && condenses.has_value() && full.has_value());
        for (const auto back : {*boils, *condenses, *full}) RC_ASSERT(std::abs((back - at).in_kelvin()) < 1e-6);
    });
}

TEST_CASE("hotter means more pressure, lighter liquid, heavier vapour; bubble is never below dew") {
    holds("saturation in order", 3000, [] {
        const auto& r = drawn_refrigerant();
        const double a = drawn_share();
        const double b = *rc::gen::arbitrary<bool>() ? drawn_share() : std::min(1.0, a + 1e-6);
        in_order(r, at_share(r.saturation, std::min(a, b)), at_share(r.saturation, std::max(a, b)));
    });
}

TEST_CASE("the same order holds for rough tables, and no temperature of theirs is lost on the way back") {
    holds("saturation of rough tables", 2000, [] {
        const auto rows = drawn_rows();
        const auto critical = rows.back().temperature + TemperatureDifference::kelvin(0.1 + 50 * drawn_share());
        const auto nodes = saturation_nodes(rows, critical);
        Refrigerant rough = *Catalogue().find("R-22");
        rough.saturation = {critical, rows, nodes, {}};
        const double a = drawn_share();
        const double b = drawn_share();
        in_order(rough, at_share(rough.saturation, std::min(a, b)), at_share(rough.saturation, std::max(a, b)));
        const auto point = saturation_at(rough, at_share(rough.saturation, a));
        const auto boils = bubble_temperature(rough, point->bubble);
        RC_ASSERT(boils.has_value());
        const auto again = saturation_at(rough, *boils);
        RC_ASSERT(again.has_value());
        RC_ASSERT(std::abs(again->bubble.in_kilopascals() / point->bubble.in_kilopascals() - 1) < 1e-9);
    });
}
