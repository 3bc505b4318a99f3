// A weight out of what a scale sends. Bytes go in as they come; a reading comes out once the load stands still, or a
// finding that says why there is none. Pure: it reads no port and no clock.
//
//     ScaleReader reader({}, ScaleReads::lb, ScaleShows::gross);
//     reader.take("ST,GS,+0031.20lb\r\n", std::chrono::milliseconds(400));
//     if (reader.ended()) use(reader.result());
#pragma once

#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/scale/scale_line.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook {

/// Which weight is wanted: a gross weight; what came into a cylinder with which the scale was zeroed; what went out of
/// it, which such a scale shows with a minus.
enum class ScaleShows { gross, net_in, net_out };

/// Puts bytes together into lines. A line ends with CR, LF or ETX, and begins anew with STX.
class ScaleLines {
 public:
    /// `at`: since the port was opened. The first line is left out where its bytes were on their way by then: what is
    /// seen of it may be its end.
    std::vector<std::string> take(std::string_view bytes, std::chrono::milliseconds at);
    /// The bytes of a line that has no end yet.
    [[nodiscard]] const std::string& unfinished() const { return line_; }
    /// Whether anything came at all.
    [[nodiscard]] bool anything() const { return began_; }

 private:
    std::string line_;
    bool began_ = false, skips_ = false;
};

/// Reads until the load stands still: by the line's own mark, or by equal lines.
class ScaleReader {
 public:
    /// Lines without a mark stand still when so many in a row are equal, over so long a time.
    static constexpr std::size_t equal_lines = 3;
    static constexpr std::chrono::milliseconds equal_for{1000};

    /// `reads`: the unit that the scale is registered with.
    ScaleReader(LineShape shape, ScaleReads reads, ScaleShows wanted);
    /// What came, and when, since the port was opened. Does nothing once it ended.
    void take(std::string_view bytes, std::chrono::milliseconds at);
    /// Whether there is a reading, or what stands still is none.
    [[nodiscard]] bool ended() const { return ended_.has_value(); }
    /// The reading. Errors (ErrorKind::refused): scale-other-unit, scale-net, scale-empty and scale-overload, of what
    /// stands still; where it has not ended, why not: scale-silent, scale-half-line, scale-moving or
    /// scale-not-understood.
    [[nodiscard]] Result<Weight> result() const;
    /// scale-half-line where something came, else scale-silent.
    static Result<void> nothing_whole(bool anything, const std::string& unfinished);
    /// The latest line that was understood.
    [[nodiscard]] const std::optional<ScaleLine>& latest() const { return latest_; }

 private:
    void take_line(const std::string& text, std::chrono::milliseconds at);
    [[nodiscard]] Result<Weight> weight_of(const ScaleLine& line) const;

    LineShape shape_;
    ScaleReads reads_;
    ScaleShows wanted_;
    ScaleLines lines_;
    std::optional<ScaleLine> latest_, first_;
    std::string strange_;  // a line that was not understood
    std::size_t equal_ = 0;
    std::chrono::milliseconds since_{};
    std::optional<Result<Weight>> ended_;
};

/// A pattern for lines that the usual shape does not fit, made of what they have in common; it reads at least half of
/// them. Empty where none was found.
std::string proposed_pattern(const std::vector<std::string>& lines);

}  // namespace tarebook
