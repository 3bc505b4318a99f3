// Pictures of a page: small charts as inline SVG, drawn with classes that the page's style colours, never with a style
// of their own (the page's content policy takes none). Each tells in words what it shows.
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
    std::string told;  ///< the same in words, for who does not see it
    std::string svg;   ///< what lies inside <svg>
    int height = 0;
    int width = 640;
    std::string of_class = {};  ///< of the figure, where the page's style treats it apart
};

/// A mark on a gauge.
struct GaugeMark {
    Mass at;
    std::string words;
};
/// How full a cylinder is: its net beside its limits.
Picture fill_gauge(std::string title, std::string told, Mass net, Mass limit, const std::vector<GaugeMark>& marks);

struct WeightAt {
    Instant at;
    Mass gross;
};
/// Gross weights over time as steps: a weight holds until the next one. Needs two at least.
std::optional<Picture> weight_history(std::string title, std::string told, const std::vector<WeightAt>& weights,
                                      DisplayUnits units);

struct RateAt {
    Date on{};
    Ratio rate;
    bool over = false;
    std::optional<Percent> threshold;
};
/// Leak rates over time, with the threshold of the day where a rule has one.
std::optional<Picture> rate_history(std::string title, std::string told, const std::vector<RateAt>& rates);

struct InOut {
    std::string name;
    Mass out, in;
};
/// Out to the left, in to the right, one row each.
std::optional<Picture> in_and_out(std::string title, std::string told, const std::vector<InOut>& rows,
                                  DisplayUnits units);

}  // namespace tarebook::report
