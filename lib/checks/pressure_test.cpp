// What a circuit was tested with.
#include <algorithm>
#include <cctype>

#include "all_checks.hpp"

namespace tarebook::checks {
namespace {

// The words of a text in small letters, without what stands between them.
std::vector<std::string> words_in(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char c : text) {
        if (std::isalnum(static_cast<unsigned char>(c)) != 0)
            out.back() += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        else if (!out.back().empty())
            out.emplace_back();
    }
    return out;
}

}  // namespace

// Oxygen, or the oxygen of air, and oil under pressure explode (the usual caution of the trade, no source).
Findings test_gas(const Context& c) {
    const auto* k = c.as<kinds::PressureTest>();
    if (!k || !k->gas) return {};
    const auto words = words_in(*k->gas);
    const bool burns_oil = std::any_of(words.begin(), words.end(), [](const std::string& word) {
        return word == "oxygen" || word == "o2" || word == "air" || word == "acetylene";
    });
    if (!burns_oil) return {};
    auto f = about(
        k->circuit, fmt::format("{} was tested with {}: with oil under pressure that can explode", k->circuit, *k->gas),
        *k->gas, "dry nitrogen, through a regulator with a relief valve",
        "stop, let the pressure off from a distance, and ask a licensed person before anything else is done");
    f.question = fmt::format("{} and oil can explode: was it tested with {}?", *k->gas, *k->gas);
    return {f};
}

}  // namespace tarebook::checks
