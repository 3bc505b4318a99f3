// The shop's own gas, by what was paid for it, and the levels that the shop has set.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "columns.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/units/money.hpp"

namespace tarebook::report {

/// What was paid for a cylinder's gas, and how much came for it.
struct Paid {
    Price price;
    Mass whole;
    /// What so much of it cost.
    [[nodiscard]] std::optional<Money> of(Mass mass) const { return price.of(mass, whole); }
};
/// The price of the last receipt into the cylinder before a place in time; nothing where that receipt has none.
std::optional<Paid> paid_for(const Book& book, std::string_view cylinder, const OrderKey& before);

/// What the shop asks for a unit of a gas, as on record then.
std::optional<Price> asked_for(const Register& entries, std::string_view refrigerant, const OrderKey& when);

/// The shop's gas of one kind, at one place and price.
struct PricedStock {
    std::string refrigerant, condition, place;  ///< place: empty where none is on record
    std::vector<std::string> flags;             ///< why it is not to be charged: leaking, mixed ...
    std::optional<Price> price;                 ///< paid, for a unit
    std::int64_t cylinders = 0;
    Mass mass;
    std::optional<Money> value;  ///< at what was paid; nothing where that is not on record
};

/// How much of a gas the shop wants at a place, and how much is there.
struct StockLevel {
    std::string code, refrigerant, place;  ///< place: empty for the whole shop
    Mass at_least;
    Mass there;  ///< virgin and reclaimed gas of the shop in cylinders without a flag
    [[nodiscard]] bool under() const { return there < at_least; }
    [[nodiscard]] Mass missing() const { return under() ? at_least - there : Mass(); }
};

struct StockView {
    std::vector<PricedStock> lines;  ///< by gas, place, condition and price
    std::vector<StockLevel> levels;  ///< by gas and place
};
StockView stock_view(const Book& book, DisplayUnits units);
/// The levels alone that are not met; quick where none is set.
std::vector<StockLevel> levels_not_met(const Book& book);

const Columns<StockLevel>& level_columns();
/// "R-448A at truck-2: 6.00 lb, at least 20.00 lb"
std::string level_text(const StockLevel& level, DisplayUnits units);

}  // namespace tarebook::report
