#include "fields.hpp"
#include "tarebook/units/word_list.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace tarebook::rules {

void Fields::bad(std::string_view key, const std::string& why) const {
    const auto it = cells_.find(std::string(key));
    const int line = it == cells_.end() ? line_ : it->second.front()->line;
    throw BadPack(
        fmt::format("{}:{}: {}{}{}: {}", file_, line, path_, path_.empty() || key.empty() ? "" : ".", key, why));
}
void Fields::nothing_else() const {
    for (const auto& [key, cells] : cells_)
        if (!taken_.contains(key)) bad(key, "unknown key");
}

const std::vector<const Cell*>& Fields::cells(std::string_view key) {
    const auto it = cells_.find(std::string(key));
    if (it == cells_.end()) bad(key, "missing required key");
    taken_.insert(it->first);
    return it->second;
}
std::string Fields::text(std::string_view key) {
    const auto& found = cells(key);
    if (found.size() != 1 || !found.front()->name.empty()) bad(key, "expected one text");
    return found.front()->value;
}
std::vector<std::string> Fields::list(std::string_view key) {
    std::vector<std::string> out;
    for (const auto* cell : cells(key)) {
        if (!cell->name.empty()) bad(key, "expected a list");
        out.push_back(cell->value);
    }
    return out;
}
std::vector<std::pair<std::string, std::string>> Fields::map(std::string_view key) {
    std::vector<std::pair<std::string, std::string>> out;
    for (const auto* cell : cells(key)) {
        if (cell->name.empty()) bad(key, "expected a map");
        out.emplace_back(cell->name, cell->value);
    }
    return out;
}

double Fields::to_number(std::string_view key, const std::string& text) const {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stop, failed] = std::from_chars(text.data(), end, value, std::chars_format::fixed);
    if (failed != std::errc() || stop != end || !std::isfinite(value) || value < 0)
        bad(key, fmt::format("\"{}\" is not a number", text));
    return value;
}
int Fields::integer(std::string_view key) {
    const double value = number(key);
    if (value > 1'000'000 || value != std::floor(value)) bad(key, "expected a whole number");
    return static_cast<int>(value);
}
Percent Fields::percent(std::string_view key) {
    const auto typed = text(key);
    const auto value = Percent::parse(typed);
    if (!value) bad(key, fmt::format("\"{}\" is not a percentage", typed));
    return *value;
}
Mass Fields::mass(std::string_view key) {
    const auto value = parse_weight(text(key), ScaleReads::unknown);
    if (!value) bad(key, value.error().what);
    return value->mass;
}
Date Fields::date(std::string_view key) {
    const auto value = parse_date(text(key));
    if (!value) bad(key, value.error().what);
    return *value;
}
Period Fields::period(std::string_view key) {
    const auto typed = text(key);
    const auto space = typed.find(' ');
    int count = 0;
    const char* end = typed.data() + std::min(space, typed.size());
    const auto [stop, failed] = std::from_chars(typed.data(), end, count);
    auto unit = space == std::string::npos ? std::string() : typed.substr(space + 1);
    if (!unit.empty() && unit.back() == 's') unit.pop_back();
    if (failed != std::errc() || stop != end || count < 1 || count > 1000 ||
        (unit != "day" && unit != "month" && unit != "year"))
        bad(key, fmt::format("\"{}\" is not a period: expected \"30 days\", \"1 month\" or \"3 years\"", typed));
    return {count, unit == "day" ? Period::Unit::day : unit == "month" ? Period::Unit::month : Period::Unit::year};
}
std::chrono::month_day Fields::month_day(std::string_view key) {
    const auto typed = text(key);
    const auto date = typed.size() == 5 ? parse_date("2000-" + typed) : parse_date("");
    if (!date) bad(key, fmt::format("\"{}\" is not a day of the year: expected \"03-01\"", typed));
    const std::chrono::year_month_day ymd(*date);
    return ymd.month() / ymd.day();
}
Temperature Fields::temperature(std::string_view key) {
    const auto value = parse_temperature(text(key));
    if (!value) bad(key, value.error().what);
    return *value;
}
PressureLevel Fields::level(std::string_view key) {
    auto typed = text(key);
    // Only the low-pressure row has this unit: millimetres of mercury, absolute.
    if (const auto at = typed.find(" mmHg absolute"); at != std::string::npos) {
        typed.resize(at);
        return AbsolutePressure::microns(to_number(key, typed) * 1000);
    }
    const auto value = parse_pressure(typed);
    if (!value) bad(key, value.error().what);
    return value->value;
}
GaugePressure Fields::gauge(std::string_view key) {
    const auto value = level(key);
    if (const auto* gauge = std::get_if<GaugePressure>(&value)) return *gauge;
    bad(key, "expected a gauge pressure");
}
AbsolutePressure Fields::absolute(std::string_view key) {
    const auto value = level(key);
    if (const auto* absolute = std::get_if<AbsolutePressure>(&value)) return *absolute;
    bad(key, "expected an absolute pressure");
}
std::size_t Fields::word_in(std::string_view key, const std::string& text,
                            const std::vector<std::string_view>& words) const {
    const auto it = std::find(words.begin(), words.end(), text);
    if (it == words.end()) bad(key, fmt::format("\"{}\" is not one of {}", text, joined(words)));
    return static_cast<std::size_t>(it - words.begin());
}
std::size_t Fields::word(std::string_view key, const std::vector<std::string_view>& words) {
    return word_in(key, text(key), words);
}

}  // namespace tarebook::rules
