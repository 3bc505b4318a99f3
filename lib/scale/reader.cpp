// Lines out of bytes, and a weight out of lines: the load stands still by the line's own mark, or where lines are equal
// for a while. What stands still and is no weight that is wanted ends the reading as well.
#include "tarebook/scale/scale_reader.hpp"

#include <fmt/format.h>

#include <utility>

namespace tarebook {
namespace {

constexpr char start_of_text = 0x02, end_of_text = 0x03;
// A line comes in one go: bytes that arrive later than this after the opening are its beginning.
constexpr std::chrono::milliseconds on_their_way{80};

bool same_load(const ScaleLine& a, const ScaleLine& b) {
    return a.number == b.number && a.ounces == b.ounces && a.unit == b.unit && a.minus == b.minus && a.net == b.net &&
           a.over == b.over;
}

bool is_zero(const ScaleLine& line) {
    return (line.number + line.ounces).find_first_not_of("0.") == std::string::npos;
}

tl::unexpected<Error> told(std::string name, std::string what, std::string seen, std::string expected,
                           std::string next = "a typed weight goes at any time") {
    return fail(
        {ErrorKind::refused, std::move(name), std::move(what), std::move(seen), std::move(expected), std::move(next)});
}

std::string_view unit_of(ScaleReads reads) {
    switch (reads) {
        case ScaleReads::lb:
            return "lb";
        case ScaleReads::kg:
            return "kg";
        case ScaleReads::lb_oz:
            return "lb-oz";
        case ScaleReads::unknown:
            break;
    }
    return {};
}

}  // namespace

std::vector<std::string> ScaleLines::take(std::string_view bytes, std::chrono::milliseconds at) {
    std::vector<std::string> out;
    if (bytes.empty()) return out;
    if (!std::exchange(began_, true)) skips_ = at < on_their_way;
    for (const char c : bytes) {
        if (c == start_of_text) {
            line_.clear();
            skips_ = false;
        } else if (c == '\r' || c == '\n' || c == end_of_text) {
            if (!line_.empty() && !skips_) out.push_back(line_);
            line_.clear();
            skips_ = false;
        } else if (line_.size() <= longest_scale_line) {  // a longer one is cut, and fits no shape
            line_ += c;
        }
    }
    return out;
}

ScaleReader::ScaleReader(LineShape shape, ScaleReads reads, ScaleShows wanted)
    : shape_(std::move(shape)), reads_(reads), wanted_(wanted) {}

void ScaleReader::take(std::string_view bytes, std::chrono::milliseconds at) {
    if (ended_) return;
    for (const auto& line : lines_.take(bytes, at))
        if (!ended_) take_line(line, at);
}

void ScaleReader::take_line(const std::string& text, std::chrono::milliseconds at) {
    const auto line = shape_.read(text);
    if (!line) {
        strange_ = text;
        return;
    }
    const bool equal = latest_ && same_load(*latest_, *line) && line->stable.value_or(true);
    if (!equal) equal_ = 0, since_ = at;
    ++equal_;
    if (!first_) first_ = line;
    latest_ = line;
    if (line->stable && !line->over) {
        if (*line->stable) ended_ = weight_of(*line);
    } else if (equal_ >= equal_lines && at - since_ >= equal_for) {
        ended_ = weight_of(*line);
    }
}

Result<Weight> ScaleReader::weight_of(const ScaleLine& line) const {
    if (line.over)
        return told("scale-overload", "the scale shows that the load is over or under its range", text_of(line),
                    "a load that it can weigh",
                    "take the load off and use a larger scale; a typed weight goes at any time");
    const auto registered = unit_of(reads_);
    if (line.unit.empty() && (registered.empty() || registered == "lb-oz"))
        return told("scale-other-unit", "the scale sends no unit with its number", text_of(line),
                    "a line with its unit");
    if (!line.unit.empty() && !registered.empty() && line.unit != registered)
        return told("scale-other-unit", "the scale shows another unit than the one it is registered with",
                    text_of(line), std::string(registered),
                    "press the unit key of the scale; a typed weight goes at any time, with its unit");
    if (wanted_ == ScaleShows::gross && line.net.value_or(false))
        return told("scale-net", "the scale shows a net weight: a tare is set on it", text_of(line),
                    "a gross weight: clear the tare of the scale");
    if (wanted_ == ScaleShows::gross && (line.minus || is_zero(line)))
        return told("scale-empty", "the scale shows nothing on it", text_of(line), "a cylinder on a scale at zero");
    if (wanted_ == ScaleShows::net_in && line.minus && !is_zero(line))
        return told("scale-empty", "the scale shows less than when it was zeroed", text_of(line),
                    "what came in since then, above zero");
    const auto unit = line.unit.empty() ? std::string(registered) : line.unit;
    auto weight = parse_weight(
        unit == "lb-oz" ? fmt::format("{}lb {}oz", line.number, line.ounces) : line.number + unit, ScaleReads::unknown);
    if (!weight) {
        weight.error().kind = ErrorKind::refused;
        return weight;
    }
    weight->from_scale = true;
    return weight;
}

Result<Weight> ScaleReader::result() const {
    if (ended_) return *ended_;
    if (latest_ && latest_->over) return weight_of(*latest_);
    if (latest_) {
        const bool moved = !same_load(*first_, *latest_);
        return told("scale-moving", "the load did not stand still in time",
                    moved ? fmt::format("{}, then {}", text_of(*first_), text_of(*latest_)) : text_of(*latest_),
                    latest_->stable ? "a line that says it stands still" : "several equal lines",
                    "let the cylinder stand free and still, then read again; a typed weight goes at any time");
    }
    if (!strange_.empty())
        return told("scale-not-understood", "lines came, and no weight could be read from them", strange_,
                    "stable or moving, gross or net, sign, number, unit; or a line of the pattern that was set",
                    "`tarebook scale listen ID` shows what comes; a typed weight goes at any time");
    return fail(nothing_whole(lines_.anything(), lines_.unfinished()).error());
}

Result<void> ScaleReader::nothing_whole(bool anything, const std::string& unfinished) {
    if (anything)
        return told("scale-half-line", "only a part of a line came from the scale", unfinished, "a whole line");
    return told("scale-silent", "nothing came from the scale", {},
                "lines as it weighs: look whether it is on, and set to send by itself or by its print key");
}

}  // namespace tarebook
