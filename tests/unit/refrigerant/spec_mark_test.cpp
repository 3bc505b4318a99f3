#include "tarebook/refrigerant/spec_mark.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("specification marks are taken as they are stamped and as people type them") {
    struct Row {
        const char* mark;
        const char* type;
        std::optional<int> psig;
        bool refillable;
    };
    const Row rows[] = {{"DOT-4BA400", "4BA", 400, true},
                        {"DOT-4BA-400", "4BA", 400, true},
                        {"dot 4ba400", "4BA", 400, true},
                        {"DOT4BW260", "4BW", 260, true},
                        {"4BW260", "4BW", 260, true},
                        {"ICC-4B240", "4B", 240, true},
                        {"4B240ET", "4BET", 240, true},
                        {"3AA1800", "3AA", 1800, true},
                        {"3AAX2400", "3AAX", 2400, true},
                        {"3A480X", "3AX", 480, true},
                        {"3AL1800", "3AL", 1800, true},
                        {"3HT2000", "3HT", 2000, true},
                        {"3E1800", "3E", 1800, true},
                        {"4AA480", "4AA", 480, true},
                        {"DOT-39", "39", std::nullopt, false},
                        {"DOT 39 NRC", "39", std::nullopt, false},
                        {"39", "39", std::nullopt, false},
                        {"3", "3", std::nullopt, true},
                        {"4BA", "4BA", std::nullopt, true},
                        // A ton container's figure is its test pressure, so it is no service pressure.
                        {"110A500W", "110AW", std::nullopt, true},
                        {"106A500X", "106AX", std::nullopt, true}};
    for (const auto& row : rows) {
        CAPTURE(row.mark);
        const auto mark = parse_spec_mark(row.mark);
        REQUIRE(mark.has_value());
        CHECK(mark->type == row.type);
        CHECK(mark->service_psig == row.psig);
        CHECK(mark->refillable == row.refillable);
    }
}

TEST_CASE("marks of other rules, and what is no mark, are nothing") {
    for (const char* mark : {"", "DOT", "400", "UN ISO 9809-1", "ISO 4706", "EN 13322-1", "4BA40", "4BA40000", "4BX400",
                             "4BA400 rusty", "9ZZ100", "39 400 psi", "4BA4OO", "recovery cylinder"}) {
        CAPTURE(mark);
        CHECK_FALSE(parse_spec_mark(mark).has_value());
    }
}
