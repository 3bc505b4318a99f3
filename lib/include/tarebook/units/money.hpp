// Money: a whole number of the currency's smallest unit, and the currency's code of ISO 4217. There is no exchange: two
// currencies are never added.
//
//     Price price = parse_price("8.20 USD/lb").value();
//     Money all = price.of(Mass::pounds(25)).value();  // 205.00 USD
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook {

/// A code of three capital letters. One that this program does not know has no number of decimals here.
class Currency {
 public:
    /// The code of ISO 4217 for "no currency", so that a default-constructed one is a code, too.
    constexpr Currency() = default;
    /// Takes "USD", known or not; nothing for a text that is not three capital letters.
    static std::optional<Currency> from_code(std::string_view code);
    /// As constructed: "USD".
    [[nodiscard]] std::string_view code() const { return {code_.data(), code_.size()}; }
    /// How many decimals its amounts have: 2 for USD, 0 for JPY. Nothing where the code is not known.
    [[nodiscard]] std::optional<int> decimals() const;
    friend auto operator<=>(const Currency&, const Currency&) = default;

 private:
    std::array<char, 3> code_{'X', 'X', 'X'};
};

/// An amount in the smallest unit of its currency: 4150 of USD is 41.50 USD.
struct Money {
    std::int64_t minor = 0;
    Currency currency;
    friend bool operator==(const Money&, const Money&) = default;
};
/// The largest amount that is taken: each reader of JSON keeps it exactly.
inline constexpr std::int64_t most_money = 9'007'199'254'740'991;

/// What a price is for: all of what came, or so much of it.
enum class PricePer { all, lb, kg, oz };
/// "", "lb", "kg", "oz".
std::string_view text_of(PricePer per);
/// The value of such a word; nothing for any other text, and for the empty one.
std::optional<PricePer> price_per_from(std::string_view text);

/// What was paid, for all that came or for a unit of its mass.
struct Price {
    Money amount;
    PricePer per = PricePer::all;
    /// What so much of it costs, to the nearest smallest unit, half upwards. Nothing where the price is for all that
    /// came, and where the sum is beyond most_money.
    [[nodiscard]] std::optional<Money> of(Mass mass) const;
    /// What a part costs of what came in all for this price; nothing where no mass came, or beyond most_money.
    [[nodiscard]] std::optional<Money> of(Mass part, Mass whole) const;
    /// The price of a unit of mass where `mass` came in all, to the nearest smallest unit; nothing where no mass came.
    [[nodiscard]] std::optional<Price> for_each(PricePer unit, Mass mass) const;
    friend bool operator==(const Price&, const Price&) = default;
};

/// Takes `41.50 USD` or `USD 41.50`, in either case of letters. Errors (usage): money-form, money-currency,
/// money-decimals (more decimals than the currency has).
Result<Money> parse_money(std::string_view typed);
/// Takes what parse_money takes, alone or with `/lb`, `/kg` or `/oz` behind it. Errors (usage): those of parse_money,
/// price-unit.
Result<Price> parse_price(std::string_view typed);

/// "41.50 USD"; "4150 of the smallest unit of ABC" where the code is not known.
std::string money_text(const Money& money);
/// The amount alone, for programs: "41.50".
std::string amount_text(const Money& money);
/// "8.20 USD/lb", "412.50 USD".
std::string price_text(const Price& price);

/// Sums of money, one for each currency.
class MoneyTotal {
 public:
    /// Adds it. Throws Refused (too-large) beyond most_money.
    MoneyTotal& operator+=(const Money& money);
    /// Whether nothing was added.
    [[nodiscard]] bool empty() const { return sums_.empty(); }
    /// "12.00 EUR, 41.50 USD"; empty where nothing was added.
    [[nodiscard]] std::string text() const;
    /// The sum of each currency, in order of their codes.
    [[nodiscard]] const std::map<Currency, Money>& sums() const { return sums_; }

 private:
    std::map<Currency, Money> sums_;
};

}  // namespace tarebook
