// What a Catalogue holds of a person's own file.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "own_source.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

namespace tarebook {

/// Owns all that the views of one Refrigerant point to.
struct OwnFigures {
    catalogue::OwnSource own;
    std::string method;
    std::vector<Component> composition;
    std::vector<std::string_view> verified;
    std::vector<SaturationRow> rows;
    std::vector<SaturationNode> nodes;
};

struct Catalogue::Own {
    std::deque<OwnFigures> figures;
    std::vector<Refrigerant> refrigerants;
};

}  // namespace tarebook
