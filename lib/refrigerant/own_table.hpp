// Checks whether a person's own table can be the table of a gas, and reaches as far as the limits that are computed
// from it. The shipped tables pass with room to spare (tests/unit/refrigerant/own_refrigerants_test.cpp).
#pragma once

#include <cstddef>
#include <functional>

#include "own_source.hpp"

namespace tarebook::catalogue {

struct TableFaults {
    /// Reports a fault at a row, in the table as a whole, or at another key. Precondition: none of them returns.
    std::function<void(std::size_t row, const std::string& why)> row;
    std::function<void(const std::string& why)> table;
    std::function<void(const char* key, const std::string& why)> key;
};

/// Precondition: `own` has at least three rows, each in order with the one before it (check_row).
void check_own_table(const OwnSource& own, const TableFaults& bad);

/// No liquid at 131 F: the only case in which a table may end below it.
bool gas_alone_at_55c(const OwnSource& own);

}  // namespace tarebook::catalogue
