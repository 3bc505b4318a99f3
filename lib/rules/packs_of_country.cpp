// Which packs apply in a country.
#include <algorithm>
#include <array>
#include <map>
#include <mutex>

#include "tarebook/rules/rules.hpp"

namespace tarebook {
namespace {

// Codes beside US where the acts of the United States hold: the territories that the definitions of "State" in 42 USC
// 7602(d) and 49 CFR 171.8 name (from memory, to be confirmed).
constexpr auto us = std::to_array<std::string_view>({"US", "AS", "GU", "MP", "PR", "VI"});

// The member states of the European Union, and territories with a code of their own that belong to it (Treaty on the
// Functioning of the European Union, Art. 355(1) and (4), from memory, to be confirmed). Iceland, Liechtenstein and
// Norway apply many of its acts by another treaty: which of them, and from when, was not read, so no pack applies
// there.
constexpr auto eu = std::to_array<std::string_view>(
    {"AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT",
     "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK", "AX", "GF", "GP", "MF", "MQ", "RE", "YT"});

template <std::size_t N>
bool among(const std::array<std::string_view, N>& codes, std::string_view country) {
    return std::find(codes.begin(), codes.end(), country) != codes.end();
}

// The name that packs have for the country.
std::string_view jurisdiction_of(std::string_view country) {
    if (country.empty() || among(us, country)) return "US";
    if (among(eu, country)) return "EU";
    return country;
}

bool is_compiled(const RulePack* pack) {
    const auto& compiled = compiled_rule_packs();
    return std::find(compiled.begin(), compiled.end(), pack) != compiled.end();
}

}  // namespace

bool law_of_the_us(std::string_view country) {
    return jurisdiction_of(country) == "US";
}

bool speaks_in(const RulePack& pack, std::string_view country) {
    if (!is_compiled(&pack)) return true;  // a person chose the file
    const auto law = jurisdiction_of(country);
    const std::string_view of_pack = pack.jurisdiction;
    return of_pack.starts_with(law) && (of_pack.size() == law.size() || of_pack[law.size()] == '-');
}

RulePacks packs_of_country(std::string_view country) {
    const auto law = jurisdiction_of(country);
    if (law == "US") return default_rule_packs();
    static std::mutex one_at_a_time;
    static std::map<std::string, std::vector<const RulePack*>, std::less<>> known;
    const std::lock_guard lock(one_at_a_time);
    auto it = known.find(law);
    if (it == known.end()) {
        std::vector<const RulePack*> packs;
        for (const auto* pack : compiled_rule_packs())
            if (pack->jurisdiction == law) packs.push_back(pack);
        for (const auto* pack : default_rule_packs())
            if (!is_compiled(pack)) packs.push_back(pack);
        it = known.emplace(law, std::move(packs)).first;
    }
    return it->second;
}

}  // namespace tarebook
