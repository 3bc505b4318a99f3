// How much oil: a can is sold by volume in some places and by weight in others, and neither says the other without the
// oil's density.
#pragma once

#include <string_view>
#include <variant>

#include "tarebook/units/error.hpp"
#include "tarebook/units/mass.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

/// A volume or a mass of oil, as it was measured.
using OilQuantity = std::variant<Volume, Mass>;

/// Takes `32oz` (fluid ounces of the United States, as oil is poured), `950ml`, `1.5l`, `2qt`, `1gal`, `2lb`, `0.9kg`,
/// `850g`, above nothing and up to 1000 litres or kilograms. Error (usage): oil-quantity.
Result<OilQuantity> parse_oil_quantity(std::string_view text);

}  // namespace tarebook
