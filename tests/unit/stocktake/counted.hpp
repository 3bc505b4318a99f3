// Cylinders for tests of a count, in few words.
#pragma once

#include "tarebook/stocktake/stocktake_judge.hpp"

namespace counted {

using namespace tarebook;

inline StocktakeWeighing weighing(const char* typed, const char* scale = "S1", const char* division = "0.05lb") {
    return {parse_weight(typed, ScaleReads::lb).value(),  scale,        ScaleReads::lb,
            parse_weight(division, ScaleReads::lb)->mass, std::nullopt, std::nullopt};
}
inline StocktakeCylinder cylinder(const char* was, const char* is, const char* before = "S1",
                                  const char* scale = "S1") {
    StocktakeCylinder c;
    c.code = "RC-1";
    c.reading = weighing(is, scale);
    const auto w = weighing(was, before);
    c.expected = StocktakeExpectation{w.gross.mass, w, {}, {}};
    return c;
}
inline StocktakeVerdict alone(const StocktakeCylinder& c) {
    return judge_stocktake({&c, 1}).cylinders.front();
}
/// n cylinders of 30.00, 31.00 ... lb that were weighed on `before` and weigh so much more on `scale` now.
inline std::vector<StocktakeCylinder> row(int n, int more_thousandths_lb, const char* before, const char* scale) {
    std::vector<StocktakeCylinder> out;
    for (int i = 0; i < n; ++i) {
        const Mass was = Mass::pounds(30 + i);
        const Mass is = was + Mass::thousandths_of_a_pound(more_thousandths_lb);
        auto c = cylinder((pounds_text(was) + "lb").c_str(), (pounds_text(is) + "lb").c_str(), before, scale);
        c.code = "RC-" + std::to_string(i);
        out.push_back(std::move(c));
    }
    return out;
}

}  // namespace counted
