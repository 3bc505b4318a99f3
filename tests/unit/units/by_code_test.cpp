#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "tarebook/units/by_code.hpp"

using namespace tarebook;

TEST_CASE("numbers inside codes are ordered by their value, and all else by its bytes") {
    const std::vector<std::string> ordered = {"",       "A",     "A/",   "A/1",    "A/02",    "A/2",     "A/2/1",
                                              "A/2/10", "A/2B",  "A/10", "A/10/9", "A/99999", "A/a",     "B-3",
                                              "B-03C",  "B-20C", "RC-9", "RC-9A",  "RC-10",   "RC-010A", "RC-10B"};
    for (std::size_t i = 0; i < ordered.size(); ++i)
        for (std::size_t j = 0; j < ordered.size(); ++j) {
            CAPTURE(ordered[i]);
            CAPTURE(ordered[j]);
            CHECK(CodeOrder()(ordered[i], ordered[j]) == (i < j));
        }
    CHECK(CodeOrder()("A/99999999999999999999999999", "A/100000000000000000000000000"));
}
