#include "tarebook/units/country.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

// Codes and names: ISO 3166-1, as the file iso3166.tab of the time zone database has them.
TEST_CASE("a country is a code of two letters in either case, and a name is told its code") {
    CHECK(parse_country("DE").value() == "DE");
    CHECK(parse_country("de").value() == "DE");
    CHECK(country_text("JP") == "JP (Japan)");
    CHECK(country_text("QQ") == "QQ");
    for (const char* wrong : {"", "D", "DEU", "QQ", "D E", "EU"}) {
        CAPTURE(wrong);
        const auto read = parse_country(wrong);
        REQUIRE_FALSE(read);
        CHECK(read.error().name == "country-unknown");
    }
    CHECK(parse_country("Germany").error().next == "did you mean DE (Germany)?");
    CHECK(parse_country("UK").error().next.find("GB") != std::string::npos);
    CHECK(parse_country("US-CA").error().next.find("--rule-packs us-ca") != std::string::npos);
    CHECK(parse_country("United").error().next.find("did you mean") == std::string::npos);  // three begin so
}

TEST_CASE("a time zone proposes the country in which it lies, where it lies in one") {
    CHECK(country_of_zone("Europe/Berlin") == "DE");
    CHECK(country_of_zone("America/Chicago") == "US");
    CHECK(country_of_zone("Asia/Tokyo") == "JP");
    CHECK_FALSE(country_of_zone("UTC"));
    CHECK_FALSE(country_of_zone("Europe/Berl"));
    CHECK_FALSE(country_of_zone(""));
}
