#include "tarebook/rules/purged.hpp"

#include <string>

namespace tarebook {

Result<Percent> parse_destroyed(std::string_view text) {
    const auto colon = text.find(':');
    if (colon != std::string_view::npos && text.find_first_not_of(" \t", colon + 1) != std::string_view::npos) {
        const auto share = Percent::parse(text.substr(0, colon));
        if (share && *share <= Percent::whole(100)) return *share;
    }
    return usage("purged-destroyed",
                 "gas that replaces purged gas says how much of that was destroyed, and how this is known",
                 std::string(text), "\"PERCENT: HOW\", such as \"99.5: log of the oxidizer, page 14\"",
                 "the flow and the hours of the purge, and the efficiency of what destroys it (40 CFR 82.157(k), from "
                 "memory)");
}

}  // namespace tarebook
