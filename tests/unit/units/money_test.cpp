#include "tarebook/units/money.hpp"

#include <doctest/doctest.h>

#include <array>

#include "tarebook/units/refused.hpp"

using namespace tarebook;

namespace {
Money money(const char* typed) {
    const auto read = parse_money(typed);
    CAPTURE(typed);
    REQUIRE(read);
    return *read;
}
Price price(const char* typed) {
    const auto read = parse_price(typed);
    CAPTURE(typed);
    REQUIRE(read);
    return *read;
}
std::string error_of(const char* typed) {
    const auto read = parse_price(typed);
    return read ? "no error" : read.error().name;
}
}  // namespace

TEST_CASE("money: an amount and a code in either order and case, kept in the smallest unit") {
    CHECK(money("41.50 USD").minor == 4150);
    CHECK(money("41.5usd") == money("USD 41.50"));
    CHECK(money(" 1000 JPY ").minor == 1000);
    CHECK(money("0.125 KWD").minor == 125);
    CHECK(money("0 EUR").minor == 0);
    CHECK(money_text(money("41.5 usd")) == "41.50 USD");
    CHECK(money_text(money("1000 JPY")) == "1000 JPY");
    CHECK(amount_text({-5, *Currency::from_code("USD")}) == "-0.05");
    CHECK(money_text({4150, *Currency::from_code("QQQ")}) == "4150 of the smallest unit of QQQ");
}

TEST_CASE("money: what is no amount, names no currency or is finer than the currency is refused") {
    for (const char* typed : {"", "USD", "a lot", "41,50 USD", "1,000.00 USD", "$41.50", "-3 USD", "41.50 USD more",
                              "1234567890123456 USD", "999999999999999 USD", "31.50 for all"})
        CHECK_MESSAGE(error_of(typed) == "money-form", typed);
    for (const char* typed : {"41.50", "41.50 UST", "41.50 dollars", "5 XDR"})
        CHECK_MESSAGE(error_of(typed) == "money-currency", typed);
    for (const char* typed : {"8.125 USD", "1000.5 JPY", "8.125 USD/lb"})
        CHECK_MESSAGE(error_of(typed) == "money-decimals", typed);
    for (const char* typed : {"8.20 USD/pound", "8.20 USD/", "8.20 USD/lb/lb"})
        CHECK_MESSAGE(error_of(typed) == "price-unit", typed);
    CHECK(parse_money("5 USF").error().next == "did you mean USD?");
    CHECK(parse_money("$41.50").error().next.find("CAD") != std::string::npos);
}

TEST_CASE("price: for all that came, or for a pound, a kilogram or an ounce of it") {
    CHECK(price_text(price("412.5 USD")) == "412.50 USD");
    CHECK(price_text(price("8.2 usd/lb")) == "8.20 USD/lb");
    CHECK(price("18 EUR/kg").per == PricePer::kg);
    CHECK(price("8.20 USD/lb").of(Mass::pounds(25)) == money("205 USD"));
    CHECK(price("18.00 EUR/kg").of(Mass::from_kilograms(2.5)) == money("45 EUR"));
    CHECK(price("0.55 USD/oz").of(Mass::pounds(1)) == money("8.80 USD"));
    CHECK_FALSE(price("412.50 USD").of(Mass::pounds(25)));
    CHECK(price("412.50 USD").of(Mass::pounds(10), Mass::pounds(25)) == money("165 USD"));
    CHECK(price("8.20 USD/lb").of(Mass::pounds(10), Mass()) == money("82 USD"));
    CHECK_FALSE(price("412.50 USD").of(Mass::pounds(10), Mass()));
    CHECK_FALSE(price("90000000000000 USD/lb").of(Mass::pounds(2)));
    CHECK(*price("412.50 USD").for_each(PricePer::lb, Mass::pounds(25)) == price("16.50 USD/lb"));
    CHECK(*price("8.20 USD/lb").for_each(PricePer::lb, Mass()) == price("8.20 USD/lb"));
    CHECK(*price("18.08 USD/kg").for_each(PricePer::lb, Mass()) == price("8.20 USD/lb"));  // 18.08 x 0.45359237
    CHECK_FALSE(price("412.50 USD").for_each(PricePer::lb, Mass()));
}

TEST_CASE("price: half a cent is rounded upwards, less than that downwards") {
    const auto each = price("0.01 USD/lb");
    CHECK(each.of(Mass::thousandths_of_a_pound(499))->minor == 0);
    CHECK(each.of(Mass::thousandths_of_a_pound(500))->minor == 1);
    CHECK(each.of(-Mass::thousandths_of_a_pound(500))->minor == 0);
    CHECK(each.of(-Mass::thousandths_of_a_pound(501))->minor == -1);
}

TEST_CASE("money: sums keep currencies apart, and are refused beyond what is taken") {
    MoneyTotal sum;
    CHECK(sum.empty());
    sum += money("41.50 USD");
    sum += money("12 EUR");
    sum += money("0.50 USD");
    CHECK(sum.text() == "12.00 EUR, 42.00 USD");
    MoneyTotal large;
    large += {most_money, *Currency::from_code("USD")};
    CHECK_THROWS_AS(large += money("0.01 USD"), Refused);
}

// Minor units: ISO 4217; int_frac_digits of the locales en_US, de_DE, ja_JP, ko_KR, is_IS, vi_VN, ar_KW, ar_TN, ar_BH
// and ar_JO of the GNU C library say the same of these.
TEST_CASE("currencies: each has the decimals that ISO 4217 gives it") {
    struct Row {
        const char* code;
        int decimals;
    };
    for (const auto& [code, decimals] : {Row{"USD", 2}, Row{"EUR", 2}, Row{"JPY", 0}, Row{"KRW", 0}, Row{"ISK", 0},
                                         Row{"VND", 0}, Row{"KWD", 3}, Row{"TND", 3}, Row{"BHD", 3}, Row{"JOD", 3}}) {
        const auto seen = std::string(code);
        CAPTURE(seen);
        CHECK(Currency::from_code(code)->decimals() == decimals);
    }
    CHECK_FALSE(Currency::from_code("usd"));
    CHECK_FALSE(Currency::from_code("US"));
    CHECK_FALSE(Currency::from_code("QQQ")->decimals());
    CHECK_FALSE(Currency().decimals());
}
