#include "tarebook/rules/identified.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

constexpr std::size_t most_parts = 12;

// "R-22 98.5" or "R-22 98.5 %": what stands before the last blank, and the figure.
std::pair<std::string_view, std::string_view> halves(std::string_view part) {
    part = trimmed(part);
    if (part.ends_with('%')) part = trimmed(part.substr(0, part.size() - 1));
    const auto blank = part.find_last_of(" \t:");
    if (blank == std::string_view::npos) return {part, {}};
    auto name = trimmed(part.substr(0, blank));
    if (name.ends_with(':')) name = trimmed(name.substr(0, name.size() - 1));
    return {name, part.substr(blank + 1)};
}

}  // namespace

Result<std::string> parse_identified(const Catalogue& catalogue, std::string_view text) {
    constexpr const char* form = "each part with its percent: R-22 98.5, R-134a 1.5 (also HC, other)";
    const auto refuse = [&](std::string why) {
        return usage("identified-part", std::move(why), std::string(text), form);
    };
    std::string out;
    std::int64_t sum = 0;
    const auto list = split(text, ',');
    if (list.size() > most_parts) return refuse("no instrument shows so many parts");
    for (const auto part : list) {
        const auto [name, figure] = halves(part);
        const auto percent = Percent::parse(figure);
        if (name.empty() || !percent || Percent::whole(100) < *percent) return refuse("cannot read a part of the gas");
        std::string substance(name);
        if (name != "HC" && name != "other") {
            const auto gas = catalogue.parse(name);
            if (!gas) return refuse(fmt::format("{} is not a refrigerant of the catalogue", name));
            substance = (*gas)->designation;
        }
        sum += percent->in_thousandths();
        out += fmt::format("{}{} {}", out.empty() ? "" : ", ", substance, percent->text());
    }
    if (out.empty()) return refuse("cannot read a part of the gas");
    if (Percent::thousandths(100'500) < Percent::thousandths(sum))
        return refuse(fmt::format("the parts are {} % together", Percent::thousandths(sum).text()));
    return out;
}

std::vector<IdentifiedPart> identified_parts(std::string_view text) {
    std::vector<IdentifiedPart> out;
    for (const auto part : split(text, ',')) {
        const auto [name, figure] = halves(part);
        const auto percent = Percent::parse(figure);
        if (name.empty() || !percent) return {};
        out.push_back({std::string(name), *percent});
    }
    return out;
}

Percent foreign_to(const Refrigerant& gas, const std::vector<IdentifiedPart>& parts) {
    std::int64_t sum = 0;
    for (const auto& part : parts) {
        const bool own = part.substance == gas.designation ||
                         std::any_of(gas.composition.begin(), gas.composition.end(),
                                     [&](const Component& c) { return c.designation == part.substance; });
        if (!own) sum += part.percent.in_thousandths();
    }
    return Percent::thousandths(sum);
}

}  // namespace tarebook
