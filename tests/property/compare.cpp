#include "compare.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tarebook::property {

using plain::Count;

std::string text(Count count) {
    if (count < 0) return "-" + text(-count);
    const auto digit = static_cast<char>('0' + static_cast<int>(count % 10));
    return (count > 9 ? text(count / 10) : "") + digit;
}
std::string text(const plain::Cylinder& c) {
    std::string out;
    for (const auto& [lot, amount] : c.lots)
        out += fmt::format("[{} {} {}: {}] ", lot.refrigerant, lot.owner, text_of(lot.condition), text(amount));
    return fmt::format("{}shows {}{}{}{}{}", out, c.shows ? text(*c.shows) : "?", c.mixed ? " mixed" : "",
                       c.reclaim_only ? " reclaim-only" : "", c.gone ? " gone" : "", c.lost ? " lost" : "");
}
std::string text(const std::vector<plain::ReadGap>& gaps) {
    std::string out = "gaps:";
    for (const auto& g : gaps) out += fmt::format(" {} {}{}", g.cylinder, text(g.gap), g.within_tolerance ? " ok" : "");
    return out;
}

plain::Cylinder as_plain(const CylinderState& state) {
    plain::Cylinder c;
    for (const auto& lot : state.lots) c.lots[lot.key] = lot.mass.count();
    if (state.gross) c.shows = state.gross->count();
    c.mixed = state.mixed;
    c.reclaim_only = state.reclaim_only;
    c.gone = state.gone;
    c.lost = state.lost;
    return c;
}
plain::ReadGap as_plain(const Gap& gap) {
    return {gap.cylinder, gap.gap.count(), gap.within_tolerance()};
}

std::string difference(const plain::Passage& plain, const Event& event, const Outcome& outcome) {
    const auto where = fmt::format("{} at {}", event.kind(), instant_text(event.when.at));
    std::vector<plain::ReadGap> gaps;
    for (const auto& g : outcome.gaps) gaps.push_back(as_plain(g));
    if (gaps != plain.gaps) return fmt::format("{}:\n  plain {}\n  fold  {}", where, text(plain.gaps), text(gaps));
    if (outcome.effects.size() != plain.after.size()) return where + ": effects are not one a cylinder";
    for (const auto& effect : outcome.effects) {
        const auto it = plain.after.find(effect.cylinder);
        if (it == plain.after.end()) return where + ": an effect on " + effect.cylinder;
        const auto after = as_plain(effect.after);
        if (after != it->second)
            return fmt::format("{}, {} after it:\n  plain {}\n  fold  {}", where, effect.cylinder, text(it->second),
                               text(after));
    }
    return {};
}

std::string difference(const std::map<std::pair<Account, LotKey>, Count>& plain,
                       const std::map<std::pair<Account, LotKey>, Count>& other) {
    const auto at = [](const auto& map, const auto& key) {
        const auto it = map.find(key);
        return it == map.end() ? Count(0) : it->second;
    };
    std::string out;
    const auto look = [&](const auto& map) {
        for (const auto& [key, ignored] : map) {
            const auto& [account, lot] = key;
            if (at(plain, key) == at(other, key)) continue;
            out += fmt::format("balance of {} {} [{} {} {}]: plain {}, other {}\n", text_of(account.kind), account.code,
                               lot.refrigerant, lot.owner, text_of(lot.condition), text(at(plain, key)),
                               text(at(other, key)));
        }
    };
    look(plain);
    if (out.empty()) look(other);
    return out;
}

}  // namespace tarebook::property
