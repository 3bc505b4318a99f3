// Money on pages: the amount as a number with the decimals of its currency, and the currency's code beside it, so that
// a spreadsheet can add what is in one currency.
#pragma once

#include <optional>

#include "columns.hpp"
#include "tarebook/units/money.hpp"

namespace tarebook::report {

/// 14.30, of 14.30 USD.
inline Field amount_field(const std::optional<Money>& money) {
    if (!money) return {};
    const int decimals = money->currency.decimals().value_or(0);
    double amount = static_cast<double>(money->minor);
    for (int i = 0; i < decimals; ++i) amount /= 10;
    return Field::decimal(amount, decimals);
}
/// USD, of 14.30 USD.
inline Field currency_field(const std::optional<Money>& money) {
    return money ? Field(money->currency.code()) : Field();
}
/// "14.30 USD"; what was said in words where an event has no amount.
inline std::optional<std::string> money_or_words(const std::optional<Money>& money,
                                                 const std::optional<std::string>& words) {
    return money ? std::optional(money_text(*money)) : words;
}

}  // namespace tarebook::report
