// The usual line of a scale: words for stable or moving and gross or net, a sign, one number and its unit. What has a
// second number or another word is not guessed at.
#include "tarebook/scale/scale_line.hpp"

#include <algorithm>
#include <array>

#include "marks.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/decimal.hpp"

namespace tarebook {
namespace scale {

std::string known_unit(std::string_view word) {
    const auto lower = decimal::lower(word);
    if (lower == "lbs") return "lb";
    return is_among(lower, "lb|kg|g|oz") ? lower : std::string();
}

std::string shown_number(std::string_view digits) {
    const auto point = digits.find('.');
    const auto whole = digits.substr(0, point);
    const auto first = whole.find_first_not_of('0');
    auto out = first == std::string_view::npos ? "0" : std::string(whole.substr(first));
    return point == std::string_view::npos ? out : out + std::string(digits.substr(point));
}

}  // namespace scale

namespace {

using scale::known_unit;

// Digits with a point between or before them. Empty where none begin here, or where a comma follows that may stand for
// a point.
std::string_view take_digits(std::string_view& rest) {
    constexpr std::size_t most = 12;
    std::size_t end = 0;
    bool point = false;
    while (end < rest.size()) {
        const bool next_is_digit = end + 1 < rest.size() && decimal::is_digit(rest[end + 1]);
        if (rest[end] == '.' && !point && next_is_digit)
            point = true;
        else if (!decimal::is_digit(rest[end]))
            break;
        ++end;
    }
    const auto digits = rest.substr(0, end);
    rest.remove_prefix(end);
    const bool goes_on = !rest.empty() && (rest.front() == '.' ||
                                           (rest.front() == ',' && rest.size() > 1 && decimal::is_digit(rest[1])));
    return goes_on || end > most ? std::string_view() : digits;
}

class UsualLine {
 public:
    std::optional<ScaleLine> read(std::string_view rest) {
        while (!rest.empty()) {
            const char c = rest.front();
            bool fits = true;
            if (c == ' ' || c == '\t' || c == ',' || c == ';' || c == ':')
                rest.remove_prefix(1);
            else if (c == '+' || c == '-')
                fits = sign(c), rest.remove_prefix(1);
            else if (c == '.' || decimal::is_digit(c))
                fits = number(rest);
            else if (decimal::is_letter(c))
                fits = word(decimal::take_letters(rest));
            else
                return std::nullopt;
            if (!fits) return std::nullopt;
        }
        if (line_.over) return over();
        return line_.number.empty() ? std::nullopt : std::optional(line_);
    }

 private:
    bool sign(char c) {
        if (has_sign_ || !line_.number.empty()) return false;
        has_sign_ = true;
        line_.minus = c == '-';
        return true;
    }
    bool number(std::string_view& rest) {
        const auto digits = take_digits(rest);
        if (digits.empty()) return false;
        auto behind = trimmed(rest);
        const auto unit = known_unit(decimal::take_letters(behind));
        if (!unit.empty()) rest = behind;
        if (line_.number.empty()) {
            line_.number = scale::shown_number(digits);
            return unit.empty() || set_unit(unit);
        }
        if (line_.unit != "lb" || unit != "oz" || line_.number.find('.') != std::string::npos) return false;
        line_.ounces = scale::shown_number(digits);
        line_.unit = "lb-oz";
        return true;
    }
    bool word(std::string_view typed) {
        const auto lower = decimal::lower(typed);
        for (const auto& mark : scale::marks)
            if (is_among(lower, mark.words)) return set(mark.says);
        const auto unit = known_unit(lower);
        return !unit.empty() && set_unit(unit);
    }
    bool set_unit(const std::string& unit) {
        if (!line_.unit.empty()) return false;
        line_.unit = unit;
        return true;
    }
    bool set(scale::Says says) {
        const auto once = [](std::optional<bool>& fact, bool value) {
            if (fact) return false;
            fact = value;
            return true;
        };
        switch (says) {
            case scale::Says::stable:
            case scale::Says::moving:
                return once(line_.stable, says == scale::Says::stable);
            case scale::Says::gross:
            case scale::Says::net:
                return once(line_.net, says == scale::Says::net);
            case scale::Says::over:
                line_.over = true;
        }
        return true;
    }
    [[nodiscard]] ScaleLine over() const {
        ScaleLine out;
        out.over = true;
        out.net = line_.net;
        return out;
    }

    ScaleLine line_;
    bool has_sign_ = false;
};

}  // namespace

std::optional<ScaleLine> scale::usual_line(std::string_view line) {
    return UsualLine().read(line);
}

std::string text_of(const ScaleLine& line) {
    if (line.over) return "over or under the range of the scale";
    std::string out = (line.minus ? "-" : "") + line.number;
    if (line.unit == "lb-oz")
        out += " lb " + line.ounces + " oz";
    else
        out += line.unit.empty() ? ", no unit" : " " + line.unit;
    if (line.net) out += *line.net ? ", net" : ", gross";
    if (line.stable) out += *line.stable ? ", stands still" : ", moving";
    return out;
}

}  // namespace tarebook
