// A line read by a person's own pattern. The pattern has to match the whole line, which is short; pattern_size.cpp
// bounds the pattern, and the polynomial engine of libstdc++ tries no way twice: a line costs at most length x steps.
#include <algorithm>
#include <regex>
#include <vector>

#include "marks.hpp"
#include "pattern_size.hpp"
#include "tarebook/scale/scale_line.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/decimal.hpp"

namespace tarebook {

class LineShape::Pattern {
 public:
    Pattern(const scale::PlainPattern& plain)  // NOLINT(google-explicit-constructor)
        : regex_(plain.text, std::regex::ECMAScript
#ifdef __GLIBCXX__
                                 | std::regex_constants::__polynomial
#endif
                 ),
          groups_(plain.groups) {
        const bool named = !joined(groups_, "").empty();
        if (!named && !groups_.empty()) groups_[0] = "number";
        if (!named && groups_.size() > 1) groups_[1] = "unit";
    }
    [[nodiscard]] bool has_number() const {
        return std::find(groups_.begin(), groups_.end(), "number") != groups_.end();
    }
    [[nodiscard]] std::optional<ScaleLine> read(std::string_view line) const {
        std::match_results<std::string_view::const_iterator> found;
        if (!std::regex_match(line.begin(), line.end(), found, regex_)) return std::nullopt;
        ScaleLine out;
        std::string number;
        for (std::size_t i = 0; i < groups_.size() && i + 1 < found.size(); ++i)
            if (found[i + 1].length() > 0) take(groups_[i], found[i + 1].str(), out, number);
        if (out.over) {
            ScaleLine over;
            over.over = true;
            return over;
        }
        return set_number(number, out) ? std::optional(out) : std::nullopt;
    }

 private:
    static void take(const std::string& group, const std::string& text, ScaleLine& out, std::string& number) {
        if (group == "number") number = text;
        if (group == "unit") {
            const auto unit = scale::known_unit(trimmed(text));
            out.unit = unit.empty() ? std::string(trimmed(text)) : unit;
        }
        if (group == "sign") out.minus = out.minus || text.find('-') != std::string::npos;
        if (group == "stable") out.stable = true;
        if (group == "moving") out.stable = false;  // both in one line: it is moving
        if (group == "gross") out.net = false;
        if (group == "net") out.net = true;
        if (group == "over") out.over = true;
    }
    // A sign, and digits with one point, or one comma in its place; blanks may stand between them.
    static bool set_number(const std::string& text, ScaleLine& out) {
        std::string digits;
        for (const char c : text) {
            if (c == ' ') continue;
            if ((c == '-' || c == '+') && digits.empty())
                out.minus = out.minus || c == '-';
            else if (c == ',' || c == '.')
                digits += '.';
            else if (decimal::is_digit(c))
                digits += c;
            else
                return false;
        }
        const auto points = std::count(digits.begin(), digits.end(), '.');
        const auto many = digits.size() - static_cast<std::size_t>(points);
        if (points > 1 || many == 0 || many > 12 || digits.back() == '.') return false;
        out.number = scale::shown_number(digits);
        return true;
    }

    std::regex regex_;
    std::vector<std::string> groups_;
};

namespace {

std::string_view words_of(std::regex_constants::error_type code) {
    using namespace std::regex_constants;
    if (code == error_badrepeat) return "a repeat has nothing before it";
    if (code == error_range) return "a range of letters runs backwards";
    if (code == error_escape) return "a backslash stands before a letter that has no such meaning";
    if (code == error_ctype || code == error_collate) return "a class of letters is not known";
    if (code == error_brace || code == error_badbrace) return "braces repeat from a small number to a larger one";
    if (code == error_paren || code == error_brack) return "a bracket is not closed";
    return "it is not a regular expression, or too large";
}

}  // namespace

LineShape::LineShape() = default;

Result<LineShape> LineShape::of_pattern(std::string_view pattern) {
    auto plain = scale::plain_pattern(pattern);
    if (!plain) return fail(std::move(plain.error()));
    LineShape out;
    try {
        const auto compiled = std::make_shared<const Pattern>(*plain);
        if (!compiled->has_number()) return fail(scale::bad_pattern(pattern, "it has no group around the number"));
        out.pattern_ = compiled;
    } catch (const std::regex_error& e) {
        return fail(scale::bad_pattern(pattern, std::string(words_of(e.code()))));
    }
    return out;
}

std::optional<ScaleLine> LineShape::read(std::string_view line) const {
    line = trimmed(line);
    if (line.empty() || line.size() > longest_scale_line) return std::nullopt;
    for (const char c : line)
        if ((c < 0x20 && c != '\t') || c == 0x7f) return std::nullopt;  // bytes over 0x7f are below zero here
    return pattern_ ? pattern_->read(line) : scale::usual_line(line);
}

}  // namespace tarebook
