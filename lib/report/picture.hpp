// Pictures of a page: small charts as inline SVG. The page's style colours their classes; they have no style of their
// own, because the page's content policy allows none. Each has a text with the same facts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/event/moment.hpp"
#include "tarebook/units/mass.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook::report {

struct Picture {
    std::string title;
    std::string told;  ///< the same facts in words
    std::string svg;   ///< the content of the element svg
    int height = 0;
    int width = 360;            ///< narrow enough for a phone, whole
    std::string of_class = {};  ///< a class of the figure, for the page's style
};

/// A cylinder seen from the side, its whole inside, with the liquid as it stands.
struct LiquidLevel {
    double share = 0;   ///< of the inside volume, 0 to 1
    std::string words;  ///< beside it
    enum class Kind { now, hot, stop } kind = Kind::now;
};
/// Of the levels one at most is `now`: the liquid that is drawn. `over`: it stands above the weight to stop at.
Picture cylinder_picture(std::string title, std::string told, const std::vector<LiquidLevel>& levels, bool over,
                         std::string whole);

struct WeightAt {
    Moment at;
    Mass gross;
};
/// A weight that does not change: the tare, the weight to stop at.
struct WeightLine {
    Mass gross;
    std::string words;
};
/// Gross weights over time as steps: each weight is valid until the next one. Empty for fewer than two.
std::optional<Picture> weight_history(std::string title, std::string told, const std::vector<WeightAt>& weights,
                                      const std::vector<WeightLine>& lines, DisplayUnits units);

struct RateAt {
    Date on{};
    Ratio rate;
    bool over = false;
    std::optional<Percent> threshold;
};
/// Leak rates over time, with the threshold of each day that has one.
std::optional<Picture> rate_history(std::string title, std::string told, const std::vector<RateAt>& rates);

struct InOut {
    std::string name;
    Mass out, in;
};
/// One row each: gas out to the left, gas in to the right. `most`: the mass of a whole bar, where several pictures have
/// one scale; else the largest of the rows.
std::optional<Picture> in_and_out(std::string title, std::string told, const std::vector<InOut>& rows,
                                  DisplayUnits units, const std::optional<Mass>& most = {});

}  // namespace tarebook::report
