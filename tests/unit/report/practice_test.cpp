// The heading of a practice book, whatever the pieces in which a page comes.
#include "tarebook/report/practice.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

namespace {

std::string headed(Format format, std::string_view page, std::size_t piece) {
    PracticeHeading head(format);
    std::string out;
    for (; !page.empty(); page.remove_prefix(std::min(piece, page.size()))) out += head(page.substr(0, piece));
    return out;
}

}  // namespace

TEST_CASE("each row of a table says PRACTICE, and a line end inside quotes begins no row") {
    const std::string_view page = "id,note\r\nRC-1,\"two\r\nlines, \"\"quoted\"\"\"\r\nRC-2,\r\n";
    for (std::size_t piece = 1; piece <= page.size(); ++piece)
        CHECK(headed(Format::csv, page, piece) ==
              "practice,id,note\r\nPRACTICE,RC-1,\"two\r\nlines, \"\"quoted\"\"\"\r\nPRACTICE,RC-2,\r\n");
    CHECK(headed(Format::csv, "", 1).empty());
}

TEST_CASE("an object has practice as its first key, and a page of text the words as its first line") {
    const std::string_view object = "{\n  \"schema_version\": 1,\n  \"inner\": {}\n}\n";
    const std::string_view text = "RC-02  7.75 lb\n";
    for (std::size_t piece = 1; piece <= object.size(); ++piece) {
        CHECK(headed(Format::json, object, piece) ==
              "{\n  \"practice\": true,\n  \"schema_version\": 1,\n  \"inner\": {}\n}\n");
        CHECK(headed(Format::text, text, piece) == std::string(practice_words) + "\n" + std::string(text));
    }
}
