// A reclaimer's statement against its return, and against itself.
#include <fmt/format.h>

#include "all_checks.hpp"

namespace tarebook::checks {
namespace {

Finding about(const kinds::Settle& k, std::string text, std::string seen, std::string expected, std::string next) {
    return checks::about(k.cylinder, std::move(text), std::move(seen), std::move(expected), std::move(next));
}

}  // namespace

Findings statement_without_return(const Context& c) {
    const auto* k = c.as<kinds::Settle>();
    const auto& sent = c.before.sent;
    if (!k || settles(*k, sent)) return {};
    const auto why = !sent           ? "the return that it names does not count, is not in the book, or comes after it"
                     : sent->settled ? "an earlier statement has settled that return"
                                     : "the return that it names was of another cylinder";
    return {about(*k, fmt::format("a statement about {} settles nothing: {}", k->cylinder, why),
                  fmt::format("return {}", k->target.substr(0, 12)), "one statement for each return that counts",
                  "void it, and settle the return that it belongs to")};
}

Findings statement_differs(const Context& c) {
    const auto* k = c.as<kinds::Settle>();
    const auto& sent = c.before.sent;
    if (!k || !settles(*k, sent)) return {};
    const auto split = settlement_of(*k, sent->lots);
    if (split.within_tolerance()) return {};
    const Mass rest = total(split.rest);
    return {about(*k,
                  fmt::format("{} of what went to {} in {}: {}", c.mass(rest.magnitude()), sent->to, k->cylinder,
                              rest.is_negative() ? "stated, and never sent by the book" : "not on its statement"),
                  fmt::format("stated {}, and {} of oil, water and air", c.mass(total(split.stated)),
                              c.mass(total(split.contaminants))),
                  fmt::format("{} as the book sent it, within {}", c.mass(total(split.sent)), c.mass(split.tolerance)),
                  "compare the weights at both ends; a wrong weight of the return is corrected with tarebook correct")};
}

Findings statement_sum(const Context& c) {
    const auto* k = c.as<kinds::Settle>();
    if (!k || !k->refrigerant || !k->received()) return {};
    const Mass parts = k->refrigerant->mass + k->contaminants();
    const Mass received = *k->received();
    const Mass tolerance = level_tolerance(k->gross->mass, {});
    if (!(tolerance < (received - parts).magnitude())) return {};
    return {about(*k, fmt::format("the statement about {} does not add up", k->cylinder),
                  fmt::format("gross less tare {}, its parts {}", c.mass(received), c.mass(parts)),
                  fmt::format("the same, within {}", c.mass(tolerance)), "ask the reclaimer")};
}

Findings statement_gas(const Context& c) {
    const auto* k = c.as<kinds::Settle>();
    const auto& sent = c.before.sent;
    if (!k || !k->gas || !settles(*k, sent)) return {};
    const auto gases = known_gases(sent->lots);
    const bool same = *k->gas == "mixed" ? gases.size() > 1 : gases.size() == 1 && gases.contains(*k->gas);
    if (gases.empty() || same) return {};
    return {
        about(*k, fmt::format("{} went to {} as {}, and came in as {}", k->cylinder, sent->to, listed(gases), *k->gas),
              *k->gas, listed(gases), "find out where it met other gas: tarebook report cylinder lists what went in")};
}

}  // namespace tarebook::checks
