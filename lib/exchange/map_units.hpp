// The unit of a column of weights, as the mapping gives it. The unit of a bare number is never guessed.
#pragma once

#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// as_written: each cell has its own unit.
enum class ColumnUnit { as_written, lb, lb_oz, kg, litre };

/// `lb`, `lb-oz`, `kg`; `L` if the field is a water capacity. Error: map-unit.
Result<ColumnUnit> column_unit_from(const std::string& word, bool is_water_capacity);

/// The cell with its unit: "27.4" as "27.4lb", in lb-oz "27 8" and "27-8" as "27 lb 8 oz". A cell with another unit
/// than its column is refused. Errors: weight-unit, weight-ounces.
Result<std::string> with_unit(std::string_view cell, ColumnUnit unit);

}  // namespace tarebook
