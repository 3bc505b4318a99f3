#include "units/hex.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("hex: bytes have one spelling, and come back from it alone") {
    // RFC 4648, section 10: the base 16 of "foobar", in lower case
    CHECK(hex_of_bytes("foobar") == "666f6f626172");
    CHECK(hex_of_bytes(std::string("\0\xff", 2)) == "00ff");
    CHECK(hex_of_bytes(std::array<unsigned char, 2>{0x0a, 0xb0}) == "0ab0");
    CHECK(bytes_from_hex("666f6f626172", 6) == "foobar");
    std::string all;
    for (int c = 0; c < 256; ++c) all += static_cast<char>(c);
    CHECK(bytes_from_hex(hex_of_bytes(all), 256) == all);
    CHECK(bytes_from_hex("", 0) == "");
    for (const auto* bad :
         {"666F6f626172", "666f6f62617", "666f6f6261720", "666f6f62617g", "666f6f6261 2", "0x6f6f626172"}) {
        CAPTURE(bad);
        CHECK_FALSE(bytes_from_hex(bad, 6));
    }
}

TEST_CASE("hex: a digit is 0 to 9 or a to f") {
    int digits = 0;
    for (int c = 0; c < 256; ++c) {
        const char letter = static_cast<char>(c);
        const bool is = is_hex({&letter, 1});
        CHECK(is == (hex_digits.find(letter) != std::string_view::npos));
        digits += is ? 1 : 0;
    }
    CHECK(digits == 16);
    CHECK(is_hex(""));
    CHECK_FALSE(is_hex("0123456789abcdefg"));
}
