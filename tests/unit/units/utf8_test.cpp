#include "tarebook/units/utf8.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("utf8: well-formed bytes after table 3-7 of Unicode 15, and nothing else") {
    for (const auto* good : {"", "a", "\x7f", "\xc2\x80", "\xdf\xbf", "\xe0\xa0\x80", "\xed\x9f\xbf", "\xee\x80\x80",
                             "\xef\xbf\xbf", "\xf0\x90\x80\x80", "\xf4\x8f\xbf\xbf", "Z\xc3\xbcrich"}) {
        CAPTURE(good);
        CHECK(is_utf8(good));
    }
    for (const auto* bad : {"\x80", "\xc0\x80", "\xc1\xbf", "\xc2",
                            "\xc2"
                            "a",
                            "\xe0\x9f\xbf", "\xed\xa0\x80", "\xe2\x82", "\xf0\x8f\xbf\xbf", "\xf4\x90\x80\x80",
                            "\xf5\x80\x80\x80", "\xff",
                            "a\xe2\x82"
                            "a"}) {
        CAPTURE(bad);
        CHECK_FALSE(is_utf8(bad));
    }
}

TEST_CASE("utf8: a text is cut between letters") {
    const std::string text = "a\xc3\xa4\xe2\x82\xac\xf0\x9f\x98\x80z";  // 1, 2, 3, 4 and 1 bytes
    const std::size_t whole[] = {0, 1, 1, 3, 3, 3, 6, 6, 6, 6, 10, 11};
    for (std::size_t most = 0; most < std::size(whole); ++most) {
        CAPTURE(most);
        CHECK(cut_to_bytes(text, most).size() == whole[most]);
        CHECK(is_utf8(cut_to_bytes(text, most)));
    }
    CHECK(cut_to_bytes(text, 99) == text);
    CHECK(cut_to_bytes("\x80\x80\x80\x80\x80\x80", 5).size() == 5);  // no UTF-8: what is cut must grow shorter
    CHECK(letters_in(text) == 5);
    CHECK(cut_to_letters(text, 2) == "a\xc3\xa4");
    CHECK(cut_to_letters(text, 0).empty());
    CHECK(cut_to_letters(text, 5) == text);
    CHECK(cut_to_letters(text, 9) == text);
    CHECK(shortened(text, 4) == "a\xc3\xa4...");
    CHECK(shortened(text, 11) == text);
}

TEST_CASE("utf8: a mark of byte order is no part of the text") {
    CHECK(without_utf8_mark("\xef\xbb\xbf"
                            "a") == "a");
    CHECK(without_utf8_mark("a\xef\xbb\xbf") == "a\xef\xbb\xbf");
    CHECK(without_utf8_mark("\xef\xbb") == "\xef\xbb");
}
