#include <doctest/doctest.h>

#include "tarebook/scale/scale_reader.hpp"

namespace scale_reader_test {
using namespace tarebook;
using std::chrono::milliseconds;

// Feeds a line each so many milliseconds, and says what came of it: the weight as kept, or the name of the finding.
std::string reads(const std::vector<std::string>& lines, ScaleReads registered = ScaleReads::lb,
                  ScaleShows wanted = ScaleShows::gross, int every = 100) {
    ScaleReader reader({}, registered, wanted);
    int at = 500;
    for (const auto& line : lines) {
        reader.take(line + "\r\n", milliseconds(at));
        at += every;
    }
    const auto result = reader.result();
    if (!result) {
        CHECK(result.error().kind == ErrorKind::refused);
        CHECK_FALSE(result.error().next.empty());
        return (reader.ended() ? "" : "late ") + result.error().name;
    }
    CHECK(reader.ended());
    CHECK(result->from_scale);
    CHECK(parse_weight(result->typed, ScaleReads::unknown)->mass == result->mass);
    return result->typed;
}
std::vector<std::string> times(std::size_t n, const char* line) {
    return std::vector<std::string>(n, line);
}

TEST_CASE("a load stands still by the line's own mark, or by equal lines for a second") {
    CHECK(reads({"ST,GS,+0031.20lb"}) == "31.20lb");
    CHECK(reads({"US,GS,+0031.10lb", "US,GS,+0031.15lb", "ST,GS,+0031.20lb", "ST,GS,+0099.00lb"}) == "31.20lb");
    CHECK(reads(times(50, "US,GS,+0031.20lb")) == "late scale-moving");
    CHECK(reads(times(11, "31.20 lb")) == "31.20lb");
    CHECK(reads(times(10, "31.20 lb")) == "late scale-moving");  // 0.9 s
    CHECK(reads({"31.20 lb", "31.20 lb"}, ScaleReads::lb, ScaleShows::gross, 2000) ==
          "late scale-moving");  // two lines
    CHECK(reads({"31.20 lb", "31.20 lb", "31.20 lb"}, ScaleReads::lb, ScaleShows::gross, 500) == "31.20lb");
    auto changed = times(10, "31.20 lb");
    changed.emplace_back("31.25 lb");
    for (const auto& line : times(10, "31.20 lb")) changed.push_back(line);
    CHECK(reads(changed) == "late scale-moving");
    changed.emplace_back("31.20 lb");
    CHECK(reads(changed) == "31.20lb");
    auto broken = times(8, "31.20 lb");
    broken.emplace_back("\xff\xf0");  // noise in between is no other load
    for (const auto& line : times(3, "31.20 lb")) broken.push_back(line);
    CHECK(reads(broken) == "31.20lb");
}

TEST_CASE("what stands still and is not the weight that is wanted ends the reading") {
    CHECK(reads({"ST,GS,+0014.20kg"}) == "scale-other-unit");
    CHECK(reads({"ST,GS,+0014.20kg"}, ScaleReads::kg) == "14.20kg");
    CHECK(reads({"ST,GS,+14200g"}, ScaleReads::kg) == "scale-other-unit");
    CHECK(reads({"ST,GS,+0031.20"}) == "31.20lb");
    CHECK(reads({"ST 12 lb 3.5 oz"}, ScaleReads::lb_oz) == "12lb 3.5oz");
    CHECK(reads({"ST 12.50 lb"}, ScaleReads::lb_oz) == "scale-other-unit");
    CHECK(reads({"ST 12.50"}, ScaleReads::lb_oz) == "scale-other-unit");
    CHECK(reads({"ST 12.50"}, ScaleReads::unknown) == "scale-other-unit");
    CHECK(reads({"ST 12.50 kg"}, ScaleReads::unknown) == "12.50kg");
    CHECK(reads({"ST,NT,+0003.20lb"}) == "scale-net");
    CHECK(reads({"ST,GS,+0000.00lb"}) == "scale-empty");
    CHECK(reads({"ST,GS,-0000.05lb"}) == "scale-empty");
    CHECK(reads({"ST,NT,+0003.20lb"}, ScaleReads::lb, ScaleShows::net_in) == "3.20lb");
    CHECK(reads({"ST,NT,-0003.20lb"}, ScaleReads::lb, ScaleShows::net_in) == "scale-empty");
    CHECK(reads({"ST,NT,-0000.00lb"}, ScaleReads::lb, ScaleShows::net_in) == "0.00lb");
    CHECK(reads({"ST,NT,-0003.20lb"}, ScaleReads::lb, ScaleShows::net_out) == "3.20lb");
    CHECK(reads(times(11, "OL")) == "scale-overload");
    CHECK(reads(times(2, "OL")) == "late scale-overload");
    CHECK(reads({"OL", "OL", "ST,GS,+0031.20lb"}) == "31.20lb");
    CHECK(reads({"ST 99999999999 lb"}) == "weight-range");
    CHECK(reads({"ST 31.00001 lb"}) == "weight-step");
}

TEST_CASE("why there is no reading: silence, half a line, noise") {
    const auto why = [](std::string_view bytes, int at) {
        ScaleReader reader({}, ScaleReads::lb, ScaleShows::gross);
        reader.take(bytes, milliseconds(at));
        const auto result = reader.result();
        return result ? result->typed : result.error().name + " " + result.error().seen;
    };
    CHECK(why("", 500) == "scale-silent ");
    CHECK(why("ST,GS,+00", 500) == "scale-half-line ST,GS,+00");
    CHECK(why("31.20lb\r\n", 5) == "scale-half-line ");  // its beginning was not seen
    CHECK(why("\xf0\xf8\r\n", 500) == "scale-not-understood \xf0\xf8");
    CHECK(why("READY\r\n", 500) == "scale-not-understood READY");
    CHECK(why("READY\r\nST 31.20lb\r\n", 500) == "31.20lb");
}

}  // namespace scale_reader_test
