#include <doctest/doctest.h>

#include "tarebook/scale/scale_line.hpp"
#include "tarebook/scale/scale_reader.hpp"

namespace scale_line_test {
using namespace tarebook;

// Words for a line, by which the tables below are read; "-" where it was not understood.
std::string read(std::string_view line) {
    const auto said = LineShape().read(line);
    return said ? text_of(*said) : "-";
}

TEST_CASE("the usual line: stable or moving, gross or net, sign, number, unit, in what order they come") {
    struct Row {
        const char *line, *said;
    };
    for (const auto& [line, said] : {
             Row{"ST,GS,+0031.20lb", "31.20 lb, gross, stands still"},
             Row{"US,GS,+0031.20lb", "31.20 lb, gross, moving"},
             Row{"ST,NT,-0003.45 kg", "-3.45 kg, net, stands still"},
             Row{"  31.20 LB G ", "31.20 lb, gross"},
             Row{"GROSS 31.20 lbs", "31.20 lb, gross"},
             Row{"g 850 g", "850 g, gross"},
             Row{"N +  0.50lb M", "0.50 lb, net, moving"},
             Row{"31", "31, no unit"},
             Row{"- .50 kg", "-0.50 kg"},
             Row{"00000.00 lb", "0.00 lb"},
             Row{"12 lb 03.5 oz", "12 lb 3.5 oz"},
             Row{"ST 12lb 0oz", "12 lb 0 oz, stands still"},
             Row{"OL", "over or under the range of the scale"},
             Row{"OL,GS,+9999999lb", "over or under the range of the scale"},
             Row{"US,UL,     lb", "over or under the range of the scale"},
         }) {
        const auto seen = std::string(line);
        CAPTURE(seen);
        CHECK(read(line) == said);
    }
}

TEST_CASE("a line with another number, word or mark is not guessed at") {
    for (const char* line : {"",
                             "   ",
                             "ST,GS",
                             "ST,GS,+lb",
                             "+",
                             "S1 31.20 lb",
                             "1,31.20 lb",
                             "31,20 kg",
                             "31.20 lb 14.15 kg",
                             "31.20 lb lb",
                             "31.2.0 lb",
                             "31. lb",
                             "ST US 31.20 lb",
                             "G N 31.20 lb",
                             "+-31.20 lb",
                             "31.20- lb",
                             "31.20 stone",
                             "TARE 17.00 lb",
                             "12.5 lb 3 oz",
                             "12 kg 3 oz",
                             "1234567890123 lb",
                             "31.20 lb\x7f",
                             "31.20\x01lb",
                             "\xff\xfe 31.20 lb",
                             "31.20 lb =",
                             "12:30 31.20 lb"}) {
        CAPTURE(line);
        CHECK(read(line) == "-");
    }
    CHECK(read("31.20 lb" + std::string(200, ' ')) == "31.20 lb");
    CHECK(read("31.20 lb" + std::string(longest_scale_line, ',')) == "-");
}

TEST_CASE("lines out of bytes: any end, a begun one that is left out, a long one that is cut") {
    const auto lines = [](std::vector<std::string> pieces, int first_at) {
        ScaleLines l;
        std::string out;
        for (const auto& piece : pieces) {
            for (const auto& line : l.take(piece, std::chrono::milliseconds(first_at))) out += line + "|";
            first_at += 20;
        }
        return out + l.unfinished();
    };
    CHECK(lines({"31.20 lb\r\n31.25 lb\r\n"}, 500) == "31.20 lb|31.25 lb|");
    CHECK(lines({"31.", "20 l", "b\r", "\n31.2"}, 500) == "31.20 lb|31.2");
    // Bytes that were on their way when the port was opened may be the end of a line: 1.20 of 31.20.
    CHECK(lines({"1.20 lb\r\n", "31.20 lb\r\n"}, 5) == "31.20 lb|");
    CHECK(lines({"1.20 lb",
                 "\x02"
                 "31.20 lb\x03"},
                5) == "31.20 lb|");
    CHECK(lines({"\x02"
                 "31.20 lb\x03"},
                5) == "31.20 lb|");
    CHECK(lines({"\r\n\r\n"}, 500).empty());
    CHECK(lines({std::string(100000, 'x') + "\n"}, 500).size() == longest_scale_line + 2);
}

}  // namespace scale_line_test
