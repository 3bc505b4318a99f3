#include "tarebook/units/money.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "decimal.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/refused.hpp"

namespace tarebook {
namespace {

struct KnownCurrency {
    std::string_view code;
    int decimals;
};
// ISO 4217, codes of money in circulation with the digits behind the point: from memory, to be confirmed.
// tests/unit/units/money_test.cpp holds those of the larger economies to the locales of the C library.
constexpr auto currencies = std::to_array<KnownCurrency>({
    {"AED", 2}, {"AFN", 2}, {"ALL", 2}, {"AMD", 2}, {"AOA", 2}, {"ARS", 2}, {"AUD", 2}, {"AWG", 2}, {"AZN", 2},
    {"BAM", 2}, {"BBD", 2}, {"BDT", 2}, {"BGN", 2}, {"BHD", 3}, {"BIF", 0}, {"BMD", 2}, {"BND", 2}, {"BOB", 2},
    {"BRL", 2}, {"BSD", 2}, {"BTN", 2}, {"BWP", 2}, {"BYN", 2}, {"BZD", 2}, {"CAD", 2}, {"CDF", 2}, {"CHF", 2},
    {"CLP", 0}, {"CNY", 2}, {"COP", 2}, {"CRC", 2}, {"CUP", 2}, {"CVE", 2}, {"CZK", 2}, {"DJF", 0}, {"DKK", 2},
    {"DOP", 2}, {"DZD", 2}, {"EGP", 2}, {"ERN", 2}, {"ETB", 2}, {"EUR", 2}, {"FJD", 2}, {"FKP", 2}, {"GBP", 2},
    {"GEL", 2}, {"GHS", 2}, {"GIP", 2}, {"GMD", 2}, {"GNF", 0}, {"GTQ", 2}, {"GYD", 2}, {"HKD", 2}, {"HNL", 2},
    {"HTG", 2}, {"HUF", 2}, {"IDR", 2}, {"ILS", 2}, {"INR", 2}, {"IQD", 3}, {"IRR", 2}, {"ISK", 0}, {"JMD", 2},
    {"JOD", 3}, {"JPY", 0}, {"KES", 2}, {"KGS", 2}, {"KHR", 2}, {"KMF", 0}, {"KPW", 2}, {"KRW", 0}, {"KWD", 3},
    {"KYD", 2}, {"KZT", 2}, {"LAK", 2}, {"LBP", 2}, {"LKR", 2}, {"LRD", 2}, {"LSL", 2}, {"LYD", 3}, {"MAD", 2},
    {"MDL", 2}, {"MGA", 2}, {"MKD", 2}, {"MMK", 2}, {"MNT", 2}, {"MOP", 2}, {"MRU", 2}, {"MUR", 2}, {"MVR", 2},
    {"MWK", 2}, {"MXN", 2}, {"MYR", 2}, {"MZN", 2}, {"NAD", 2}, {"NGN", 2}, {"NIO", 2}, {"NOK", 2}, {"NPR", 2},
    {"NZD", 2}, {"OMR", 3}, {"PAB", 2}, {"PEN", 2}, {"PGK", 2}, {"PHP", 2}, {"PKR", 2}, {"PLN", 2}, {"PYG", 0},
    {"QAR", 2}, {"RON", 2}, {"RSD", 2}, {"RUB", 2}, {"RWF", 0}, {"SAR", 2}, {"SBD", 2}, {"SCR", 2}, {"SDG", 2},
    {"SEK", 2}, {"SGD", 2}, {"SHP", 2}, {"SLE", 2}, {"SOS", 2}, {"SRD", 2}, {"SSP", 2}, {"STN", 2}, {"SYP", 2},
    {"SZL", 2}, {"THB", 2}, {"TJS", 2}, {"TMT", 2}, {"TND", 3}, {"TOP", 2}, {"TRY", 2}, {"TTD", 2}, {"TWD", 2},
    {"TZS", 2}, {"UAH", 2}, {"UGX", 0}, {"USD", 2}, {"UYU", 2}, {"UZS", 2}, {"VES", 2}, {"VND", 0}, {"VUV", 0},
    {"WST", 2}, {"XAF", 0}, {"XCD", 2}, {"XOF", 0}, {"XPF", 0}, {"YER", 2}, {"ZAR", 2}, {"ZMW", 2},
});
static_assert(std::is_sorted(currencies.begin(), currencies.end(),
                             [](const KnownCurrency& a, const KnownCurrency& b) { return a.code < b.code; }));

constexpr const char* form = "an amount and the code of its currency, such as 41.50 USD";
constexpr const char* price_form = "8.20 USD/lb, 18 EUR/kg, 0.55 USD/oz; or for all of it, 412.50 USD";

std::int64_t power_of_ten(int exponent) {
    std::int64_t out = 1;
    while (exponent-- > 0) out *= 10;
    return out;
}
std::string in_capitals(std::string_view text) {
    std::string out(text);
    for (auto& c : out)
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    return out;
}
std::string_view without_blanks(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return text;
}
tl::unexpected<Error> no_money(std::string_view typed, std::string next = {}) {
    return usage("money-form", "that is not an amount of money", std::string(typed), form, std::move(next));
}
std::string nearest_code(const std::string& typed) {
    std::vector<std::string> codes;
    for (const auto& c : currencies) codes.emplace_back(c.code);
    return did_you_mean(typed, codes);
}

Mass one_of(PricePer per) {
    switch (per) {
        case PricePer::kg:
            return Mass::from_count(1000 * Mass::counts_per_gram);
        case PricePer::oz:
            return Mass::from_count(Mass::counts_per_ounce);
        case PricePer::lb:
        case PricePer::all:
            break;
    }
    return Mass::pounds(1);
}

// minor x numerator / denominator to the nearest whole, half upwards; nothing beyond most_money.
std::optional<std::int64_t> scaled_minor(std::int64_t minor, std::int64_t numerator, std::int64_t denominator) {
    __extension__ using Wide = __int128;
    const Wide twice = Wide(minor) * numerator * 2 + denominator;
    const Wide below = Wide(denominator) * 2;
    const Wide out = twice / below - (twice < 0 && twice % below != 0 ? 1 : 0);
    if (out > most_money || out < -most_money) return std::nullopt;
    return static_cast<std::int64_t>(out);
}

}  // namespace

std::optional<Currency> Currency::from_code(std::string_view code) {
    if (code.size() != 3) return std::nullopt;
    Currency out;
    for (std::size_t i = 0; i < 3; ++i) {
        if (code[i] < 'A' || code[i] > 'Z') return std::nullopt;
        out.code_[i] = code[i];
    }
    return out;
}
std::optional<int> Currency::decimals() const {
    const auto it = std::lower_bound(currencies.begin(), currencies.end(), code(),
                                     [](const KnownCurrency& c, std::string_view wanted) { return c.code < wanted; });
    if (it == currencies.end() || it->code != code()) return std::nullopt;
    return it->decimals;
}

std::string_view text_of(PricePer per) {
    constexpr std::array<std::string_view, 4> words{"", "lb", "kg", "oz"};
    return words[static_cast<std::size_t>(per)];
}
std::optional<PricePer> price_per_from(std::string_view text) {
    for (const auto per : {PricePer::lb, PricePer::kg, PricePer::oz})
        if (text == text_of(per)) return per;
    return std::nullopt;
}

std::optional<Money> Price::of(Mass mass) const {
    if (per == PricePer::all) return std::nullopt;
    const auto minor = scaled_minor(amount.minor, mass.count(), one_of(per).count());
    return minor ? std::optional(Money{*minor, amount.currency}) : std::nullopt;
}
std::optional<Money> Price::of(Mass part, Mass whole) const {
    if (per != PricePer::all) return of(part);
    if (!(Mass() < whole)) return std::nullopt;
    const auto minor = scaled_minor(amount.minor, part.count(), whole.count());
    return minor ? std::optional(Money{*minor, amount.currency}) : std::nullopt;
}
std::optional<Price> Price::for_each(PricePer unit, Mass mass) const {
    if (per == PricePer::all && !(Mass() < mass)) return std::nullopt;
    const Mass whole = per == PricePer::all ? mass : one_of(per);
    const auto minor = scaled_minor(amount.minor, one_of(unit).count(), whole.count());
    return minor ? std::optional(Price{{*minor, amount.currency}, unit}) : std::nullopt;
}

Result<Money> parse_money(std::string_view typed) {
    auto rest = without_blanks(typed);
    auto letters = decimal::take_letters(rest);
    rest = without_blanks(rest);
    const auto digits = rest;
    const auto number = decimal::take_number(rest);
    const auto amount = digits.substr(0, digits.size() - rest.size());
    rest = without_blanks(rest);
    if (letters.empty()) letters = decimal::take_letters(rest);
    if (number.digits == 0 || number.digits > 15 || !rest.empty())
        return no_money(typed, rest.starts_with(',') ? "a point stands before the cents, and nothing between thousands"
                               : digits.starts_with('$') ? "$ is the sign of many currencies: USD, CAD, MXN ..."
                                                         : "");
    if (letters.empty()) return usage("money-currency", "the currency is missing", std::string(typed), form);
    const auto code = in_capitals(letters);
    const auto currency = Currency::from_code(code);
    const auto decimals = currency ? currency->decimals() : std::nullopt;
    if (!decimals)
        return usage("money-currency", fmt::format("{} is not the code of a currency", letters), std::string(typed),
                     "three letters of ISO 4217: USD, EUR, JPY", nearest_code(code));
    const auto point = amount.find('.');
    const auto behind = point == std::string_view::npos ? 0 : static_cast<int>(amount.size() - point - 1);
    if (behind > *decimals)
        return usage("money-decimals",
                     fmt::format("{} has {} decimals", code, *decimals == 0 ? "no" : fmt::to_string(*decimals)),
                     std::string(typed), fmt::format("at most {} digits behind the point", *decimals),
                     "a finer price of a unit: say what it cost in all");
    __extension__ using Wide = __int128;
    const Wide minor = Wide(number.scaled) * power_of_ten(*decimals) / number.scale;
    if (minor > most_money) return no_money(typed, "it is more than is taken");
    return Money{static_cast<std::int64_t>(minor), *currency};
}

Result<Price> parse_price(std::string_view typed) {
    const auto slash = typed.find('/');
    auto amount = parse_money(typed.substr(0, slash));
    if (!amount) {
        amount.error().seen = typed;
        if (amount.error().expected == form) amount.error().expected = price_form;
        return fail(std::move(amount.error()));
    }
    if (slash == std::string_view::npos) return Price{*amount, PricePer::all};
    const auto unit = without_blanks(typed.substr(slash + 1));
    const auto per = price_per_from(unit);
    if (!per)
        return usage("price-unit", fmt::format("a price is not for a \"{}\"", unit), std::string(typed), price_form);
    return Price{*amount, *per};
}

std::string amount_text(const Money& money) {
    const auto decimals = money.currency.decimals().value_or(0);
    const auto scale = power_of_ten(decimals);
    const auto magnitude = money.minor < 0 ? -money.minor : money.minor;
    auto out = fmt::format("{}{}", money.minor < 0 ? "-" : "", magnitude / scale);
    if (decimals > 0) out += fmt::format(".{:0{}}", magnitude % scale, decimals);
    return out;
}
std::string money_text(const Money& money) {
    return fmt::format("{} {}{}", amount_text(money), money.currency.decimals() ? "" : "of the smallest unit of ",
                       money.currency.code());
}
std::string price_text(const Price& price) {
    auto out = money_text(price.amount);
    if (price.per != PricePer::all) out.append("/").append(text_of(price.per));
    return out;
}

MoneyTotal& MoneyTotal::operator+=(const Money& money) {
    auto& sum = sums_.try_emplace(money.currency, Money{0, money.currency}).first->second;
    // Both are at most most_money, far below what the type holds.
    const auto added = sum.minor + money.minor;
    if (added > most_money || added < -most_money)
        refuse_too_large("a sum of money is more than a book can hold", "amounts that add up to less");
    sum.minor = added;
    return *this;
}
std::string MoneyTotal::text() const {
    std::string out;
    for (const auto& [currency, sum] : sums_) out.append(out.empty() ? "" : ", ").append(money_text(sum));
    return out;
}

}  // namespace tarebook
