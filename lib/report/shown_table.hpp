// A table as people read it: the unit of a column of masses stands in its heading, its digits align at the point, and
// what adds up has its sum.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "table.hpp"

namespace tarebook::report {

struct ShownColumn {
    std::string heading;
    Side side;
    std::string_view unit;  ///< of every figure in the column, which then has none beside it; else empty
    [[nodiscard]] std::string heading_with_unit() const;  ///< "recovered, lb"
};
struct ShownTable {
    std::vector<ShownColumn> columns;
    std::vector<std::vector<std::string>> rows;
    std::vector<std::string> sums;  ///< empty where nothing is summed or moved, or there is one row alone
};
/// All masses of the table get as many decimals as the finest of them.
ShownTable shown_table(const Table& table);

}  // namespace tarebook::report
