#include "tarebook/units/hours.hpp"

#include <fmt/format.h>

#include "decimal.hpp"

namespace tarebook {
namespace {
constexpr std::int64_t most_minutes = 60 * 1000;
}

Result<std::int64_t> parse_hours(std::string_view typed) {
    const auto refused = [&] {
        return usage("hours", "cannot read how many hours it took", std::string(typed),
                     "hours up to a thousand: 2.5, or 2:30 for two and a half");
    };
    auto rest = typed;
    const auto hours = decimal::take_number(rest);
    if (hours.digits == 0 || hours.digits > 6) return refused();
    std::int64_t minutes = (hours.scaled * 60 * 2 + hours.scale) / (hours.scale * 2);
    if (rest.starts_with(':') && hours.scale == 1) {
        rest.remove_prefix(1);
        const auto size = rest.size();
        const auto more = decimal::take_number(rest);
        if (size != 2 || more.digits != 2 || more.scaled > 59) return refused();
        minutes += more.scaled;
    } else if (const auto word = decimal::take_letters(rest); !word.empty() && word != "h") {
        return refused();
    }
    if (!rest.empty() || minutes < 1 || minutes > most_minutes) return refused();
    return minutes;
}

std::string hours_text(std::int64_t minutes) {
    auto out = fmt::format("{}.{:02}", minutes / 60, (minutes % 60 * 100 + 30) / 60);
    while (out.ends_with('0')) out.pop_back();
    if (out.ends_with('.')) out.pop_back();
    return out + " h";
}

}  // namespace tarebook
