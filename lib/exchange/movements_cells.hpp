// Single cells of the CSV files: kinds of rows, weights in pounds, and the errors about them.
#pragma once

#include <optional>

#include "movements_rows.hpp"

namespace tarebook {

/// `purchase`, `charge`, `recover`, `return`, `loss`, in any case; also `receive` and `release`, the book's words.
std::optional<RowKind> row_kind_from(std::string_view typed);
Error unknown_row_kind(std::string_view typed);

/// `43.25` as thousandths of a pound; empty if the text is not of this form.
std::optional<std::int32_t> plain_pounds(std::string_view typed);
/// The same, also with `lb` behind it. Errors: as parse_weight; weight-unit for another unit, weight-range,
/// weight-step.
Result<std::int32_t> pounds_cell(std::string_view typed);
/// The inverse: "43.25lb", as parse_weight reads it.
void write_pounds(std::int32_t thousandths, std::string& out);

Error missing(std::string what, std::string expected);
Error no_code(std::string_view column, std::string_view typed);

}  // namespace tarebook
