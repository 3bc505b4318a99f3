// Leak rates worked by hand across leap days and year ends (data/leak-rate-by-hand.csv, the working beside each
// figure). The formulas are those of 40 CFR 82.152 and 84.102; the edges of the windows are our reading, said in
// leak_rate.hpp.
#include <doctest/doctest.h>

#include <sstream>

#include "support/csv.hpp"
#include "tarebook/rules/leak_rate.hpp"

using namespace tarebook;
using tarebook::tests::read_csv;

TEST_CASE("leak rates by hand: each figure, and on which side of the threshold it falls") {
    const auto rows = read_csv(TAREBOOK_SOURCE_DIR "/tests/reference/data/leak-rate-by-hand.csv");
    CHECK(rows.size() == 20);
    for (const auto& row : rows) {
        CAPTURE(row["id"]);
        CAPTURE(row["working"]);
        std::vector<LeakAddition> additions;
        std::istringstream list(row["additions"]);
        for (std::string one; std::getline(list, one, '|');) {
            const auto colon = one.find(':');
            auto& a = additions.emplace_back();
            a.on = parse_date(one.substr(0, colon)).value();
            a.mass = parse_weight(one.substr(colon + 1) + "lb", ScaleReads::unknown).value().mass;
        }
        LeakRateOptions options;
        options.method = leak_rate_method_from(row["method"]).value();
        if (!row["follow_up"].empty()) options.repaired = {parse_date(row["follow_up"]).value()};
        const auto full = parse_weight(row["full_charge_lb"] + "lb", ScaleReads::unknown).value().mass;
        const auto rate = leak_rate(additions, additions.size() - 1, {{additions[0].on, full}}, options);
        REQUIRE(rate);
        CHECK(std::abs(rate->rate.in_percent() - row.number("expected_percent")) < 1e-5);
        const auto threshold = Percent::parse(row["threshold_percent"]).value();
        CHECK(reaches(rate->rate, Comparison::over, threshold) == (row["exceeded"] == "yes"));
    }
}
