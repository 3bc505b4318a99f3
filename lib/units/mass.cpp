#include "tarebook/units/mass.hpp"

#include <fmt/format.h>

#include <cmath>

#include "decimal.hpp"
#include "must_hold.hpp"
#include "tarebook/units/refused.hpp"

namespace tarebook {
namespace {

[[noreturn]] void overflow() {
    refuse_too_large("a mass went beyond what the book can hold (about 25 million pounds)");
}

Mass times(std::int64_t n, std::int64_t counts) {
    std::int64_t out = 0;
    if (__builtin_mul_overflow(n, counts, &out)) overflow();
    return Mass::from_count(out);
}

}  // namespace

Mass Mass::from_kilograms(double kilograms) {
    const double counts = std::round(kilograms * 1000.0 * static_cast<double>(counts_per_gram));
    if (!(std::abs(counts) < 9.2e18)) overflow();
    return Mass(static_cast<std::int64_t>(counts));
}

Mass Mass::pounds(std::int64_t pounds) {
    return times(pounds, counts_per_pound);
}
Mass Mass::thousandths_of_a_pound(std::int64_t thousandths) {
    return times(thousandths, counts_per_pound / 1000);
}

double Mass::in_pounds() const {
    return static_cast<double>(count_) / static_cast<double>(counts_per_pound);
}
double Mass::in_kilograms() const {
    return static_cast<double>(count_) / (1000.0 * static_cast<double>(counts_per_gram));
}

Mass operator+(Mass a, Mass b) {
    std::int64_t out = 0;
    if (__builtin_add_overflow(a.count_, b.count_, &out)) overflow();
    return Mass(out);
}
Mass operator-(Mass a, Mass b) {
    std::int64_t out = 0;
    if (__builtin_sub_overflow(a.count_, b.count_, &out)) overflow();
    return Mass(out);
}
Mass operator-(Mass a) {
    return Mass() - a;
}
Mass Mass::magnitude() const {
    return is_negative() ? -*this : *this;
}

Mass Mass::rounded_down_to(Mass step) const {
    must_hold(step.count_ > 0, "a mass is rounded to a positive step");
    std::int64_t steps = count_ / step.count_;
    if (count_ % step.count_ < 0) --steps;
    return times(steps, step.count_);
}

Mass scaled(Mass mass, std::int64_t numerator, std::int64_t denominator) {
    __extension__ using Wide = __int128;
    const Wide product = static_cast<Wide>(mass.count()) * numerator / denominator;
    if (product > INT64_MAX || product < INT64_MIN) overflow();
    return Mass::from_count(static_cast<std::int64_t>(product));
}

Mass MassTotal::value() const {
    if (sum_ > INT64_MAX || sum_ < INT64_MIN) overflow();
    return Mass::from_count(static_cast<std::int64_t>(sum_));
}

namespace {

struct UnitName {
    std::string_view word;
    std::int64_t counts;
    bool pound;
    bool ounce;
};
constexpr UnitName unit_names[] = {
    {"lb", Mass::counts_per_pound, true, false}, {"lbs", Mass::counts_per_pound, true, false},
    {"oz", Mass::counts_per_ounce, false, true}, {"kg", Mass::counts_per_gram * 1000, false, false},
    {"g", Mass::counts_per_gram, false, false},
};

const UnitName* unit_named(std::string_view word) {
    for (const auto& u : unit_names)
        if (u.word == word) return &u;
    return nullptr;
}

// The book keeps a weight as it was typed, with the short form of a unit that was written out: "12.5 pounds" as 12.5
// lb.
std::string with_short_units(std::string_view text) {
    if (text.find_first_of("#oO") == std::string_view::npos) return std::string(text);  // each of them has an o
    constexpr std::pair<std::string_view, std::string_view> written_out[] = {
        {"#", "lb"},     {"pounds", "lb"}, {"pound", "lb"},     {"ounces", "oz"},   {"ounce", "oz"},
        {"kilos", "kg"}, {"kilo", "kg"},   {"kilograms", "kg"}, {"kilogram", "kg"},
    };
    std::string out;
    while (!text.empty()) {
        auto word = text.front() == '#' ? text.substr(0, 1) : decimal::take_letters(text);
        if (word.empty()) {
            out += text.front();
            text.remove_prefix(1);
            continue;
        }
        if (word == "#") text.remove_prefix(1);
        const auto lower = decimal::lower(word);
        for (const auto& [longer, unit] : written_out)
            if (lower == longer) word = unit;
        out += word;
    }
    return out;
}

constexpr const char* weight_forms = "12.5lb, 12 lb 8 oz, 200oz, 5.67kg or 850g";

}  // namespace

Result<Weight> parse_weight(std::string_view text, ScaleReads reads) {
    const auto typed = with_short_units(trimmed(text));
    auto refuse = [&](const char* name, std::string what, std::string next = {}) {
        return usage(name, std::move(what), std::string(trimmed(text)), weight_forms, std::move(next));
    };
    if (typed.empty()) return refuse("weight-empty", "a weight is missing");
    if (typed.size() > 64) return refuse("weight-trailing", "a weight is a number and its unit, nothing more");
    std::string_view rest = typed;
    if (rest[0] == '-' || rest[0] == '+')
        return refuse("weight-sign", "a scale reading has no sign", "type what the scale shows, without + or -");

    __extension__ using Wide = __int128;
    Wide total = 0;
    bool had_pounds = false;
    for (int part = 0;; ++part) {
        const auto number = decimal::take_number(rest);
        if (rest.starts_with(',') || (number.digits == 0 && rest.starts_with(',')))
            return refuse("weight-comma", "a comma is not a decimal point here", "write 12.5, not 12,5");
        if (number.digits == 0) return refuse("weight-number", "a weight starts with a number");
        if (number.digits > 18)
            return refuse("weight-range", "that is more digits than any scale shows", "check the reading");
        rest = trimmed(rest);
        if ((rest.starts_with('e') || rest.starts_with('E')) && rest.size() > 1 &&
            (rest[1] == '+' || rest[1] == '-' || decimal::is_digit(rest[1])))
            return refuse("weight-exponent", "a weight is written out, without an exponent");
        const auto word = decimal::lower(decimal::take_letters(rest));
        const UnitName* unit = nullptr;
        if (word.empty()) {
            if (!rest.empty())
                return refuse("weight-trailing", fmt::format("cannot read \"{}\" after the number", rest));
            if (part > 0) return refuse("weight-unit", "the second number has no unit", "write 12 lb 8 oz");
            if (reads == ScaleReads::lb_oz)
                return refuse("weight-no-unit", "this scale reads pounds and ounces: a bare number is ambiguous",
                              fmt::format("write \"{0}lb\" for decimal pounds, or pounds and ounces apart", typed));
            if (reads == ScaleReads::unknown)
                return refuse(
                    "weight-no-unit", "a weight needs its unit",
                    fmt::format("write \"{0}lb\" or \"{0}kg\", or name a registered scale: --scale ID", typed));
            unit = unit_named(reads == ScaleReads::lb ? "lb" : "kg");
        } else {
            unit = unit_named(word);
            if (!unit) return refuse("weight-unit", fmt::format("\"{}\" is not a unit of weight", word));
        }
        if (part == 1 && !(had_pounds && unit->ounce))
            return refuse("weight-trailing", "two numbers are only taken as pounds and ounces");
        if (part == 1 && number.scaled / 16 >= number.scale)
            return refuse("weight-ounces", "ounces after pounds go from 0 to below 16",
                          "was it decimal pounds? then write, for example, 12.8lb");
        // value x counts must be whole: then the finest step keeps balances exact (I1).
        const Wide product = static_cast<Wide>(number.scaled) * unit->counts;
        if (product % number.scale != 0)
            return refuse("weight-step", "finer than the book can hold exactly",
                          unit->pound   ? "the finest step is 0.001 lb"
                          : unit->ounce ? "the finest step is 0.01 oz"
                                        : "the finest step is 0.1 g (0.0001 kg)");
        total += product / number.scale;
        // No vessel weighs that much, and below this limit sums of what is read cannot overflow.
        if (total > Mass::pounds(10'000'000).count())
            return refuse("weight-range", "heavier than the book takes (ten million pounds)",
                          "check the reading and its unit");
        rest = trimmed(rest);
        if (rest.empty()) break;
        if (part == 1 || !unit->pound)
            return refuse("weight-trailing", fmt::format("cannot read \"{}\" after the weight", rest));
        if (!decimal::is_digit(rest.front()) && rest.front() != '.' && rest.front() != ',')
            return refuse("weight-trailing", fmt::format("cannot read \"{}\" after the weight", rest));
        if (number.scale != 1)
            return refuse("weight-ounces", "pounds before ounces are whole", "write 12 lb 8 oz, or 12.5lb");
        had_pounds = true;
    }
    std::string shown = typed;
    if (reads != ScaleReads::unknown && decimal::is_digit(shown.back())) shown += reads == ScaleReads::lb ? "lb" : "kg";
    return Weight{Mass::from_count(static_cast<std::int64_t>(total)), shown};
}

namespace {

// Takes the digits from the exact count, not from a double, so that no balance is shown as -0.00. The digits are
// written by hand because an export writes millions of masses.
std::string decimal_text(Mass mass, std::int64_t counts_per_unit, int decimals) {
    constexpr std::uint64_t million = 1'000'000;
    const auto per_unit = static_cast<std::uint64_t>(counts_per_unit);
    const auto count = static_cast<std::uint64_t>(mass.count());
    const auto magnitude = mass.is_negative() ? 0 - count : count;
    const auto rest = magnitude % per_unit;  // below 10^12, so that a million times it fits
    const auto millionths = magnitude / per_unit * million + (rest * million + per_unit / 2) / per_unit;
    char text[32];
    char* const end = text + sizeof text;
    char* p = end;
    auto fraction = millionths % million;
    bool shown = false;  // true from the first digit that is not zero
    for (int place = 6; place > 0; --place, fraction /= 10) {
        const auto digit = static_cast<char>('0' + fraction % 10);
        shown = shown || place <= decimals || digit != '0';
        if (shown) *--p = digit;
    }
    if (p != end) *--p = '.';
    auto whole = millionths / million;
    do *--p = static_cast<char>('0' + whole % 10);
    while ((whole /= 10) != 0);
    if (mass.is_negative() && millionths != 0) *--p = '-';
    return {p, end};
}

}  // namespace

std::string pounds_text(Mass mass, int decimals) {
    return decimal_text(mass, Mass::counts_per_pound, decimals);
}
std::string kilograms_text(Mass mass, int decimals) {
    return decimal_text(mass, Mass::counts_per_gram * 1000, decimals);
}

namespace {

Mass unit_of(DisplayUnits units) {
    return Mass::from_count(units == DisplayUnits::lb ? Mass::counts_per_pound : Mass::counts_per_gram * 1000);
}
Mass nearest(Mass mass, Mass step) {
    const Mass half = Mass::from_count(step.count() / 2);
    return mass.is_negative() ? -((half - mass).rounded_down_to(step)) : (mass + half).rounded_down_to(step);
}
std::string unit_text(Mass mass, DisplayUnits units, int decimals) {
    return units == DisplayUnits::lb ? pounds_text(mass, decimals) : kilograms_text(mass, decimals);
}

}  // namespace

int decimals_of(Mass mass, DisplayUnits units) {
    const auto unit = unit_of(units).count();
    return mass.count() % (unit / 1000) == 0 && mass.count() % (unit / 100) != 0 ? 3 : 2;
}
std::string mass_number(Mass mass, DisplayUnits units, int decimals) {
    const Mass step = Mass::from_count(unit_of(units).count() / (decimals == 3 ? 1000 : 100));
    return unit_text(nearest(mass, step), units, decimals);
}
std::string_view text_of(DisplayUnits units) {
    return units == DisplayUnits::lb ? "lb" : "kg";
}

std::string mass_text(Mass mass, DisplayUnits units) {
    return mass_number(mass, units, decimals_of(mass, units)) + " " + std::string(text_of(units));
}
std::string mass_text_to_thousandth(Mass mass, DisplayUnits units) {
    const Mass step = Mass::from_count(unit_of(units).count() / 1000);
    return unit_text(nearest(mass, step), units, 2) + " " + std::string(text_of(units));
}

}  // namespace tarebook
