// Whether a cylinder is here and fit to be used at all.
#include <fmt/format.h>

#include "all_checks.hpp"

namespace tarebook::checks {
namespace {

// Events that bring a cylinder back, or that may be about a cylinder elsewhere.
bool needs_no_cylinder_here(const Context& c) {
    return c.as<kinds::Receive>() || c.as<kinds::Found>() || c.as<kinds::Move>() || c.as<kinds::Entry>() ||
           c.as<kinds::Requalify>() || c.as<kinds::Condemn>() || c.as<kinds::Reclassify>() || c.as<kinds::Settle>();
}

}  // namespace

Findings leaking_cylinder(const Context& c) {
    Findings out;
    for (const auto* e : c.filled)
        if (e->before.leaking)
            out.push_back(
                about(e->cylinder, fmt::format("{} is recorded as leaking, and gas would go in", e->cylinder),
                      fmt::format("{} put in", c.mass(e->moved)), "a tight cylinder",
                      "stop; ventilate: the gas displaces air. Move what is in it to a tight cylinder outdoors"));
    if (const auto* move = c.as<kinds::Move>())
        if (const auto* e = c.effect(move->cylinder); e && e->before.leaking)
            out.push_back(about(e->cylinder, fmt::format("{} is recorded as leaking, and would be moved", e->cylinder),
                                fmt::format("to {}", move->place), "a tight cylinder",
                                "do not put it in a vehicle or a closed room: the gas displaces air. Empty it where it "
                                "is, outdoors, into a tight cylinder"));
    return out;
}

Findings condemned_cylinder(const Context& c) {
    Findings out;
    for (const auto* e : c.filled)
        if (e->before.condemned)
            out.push_back(about(e->cylinder, fmt::format("{} is condemned, and gas would go in", e->cylinder),
                                fmt::format("{} put in", c.mass(e->moved)), "a cylinder in service",
                                "stop; use another cylinder; if gas is in it already, move it out now"));
    return out;
}

namespace {
// A true scale reading is never refused: a cylinder that was weighed is here.
bool is_a_weight(const Context& c) {
    return c.as<kinds::Weigh>() || c.as<kinds::StocktakeWeigh>();
}
Findings away(const Context& c) {
    Findings out;
    if (needs_no_cylinder_here(c)) return out;
    for (const auto& e : c.folded.effects) {
        if (!e.before.gone && !e.before.lost) continue;
        const auto where =
            e.before.lost ? std::string("is recorded as lost")
                          : fmt::format("left the shop{}", e.before.place.empty() ? "" : " (" + e.before.place + ")");
        out.push_back(about(
            e.cylinder, fmt::format("{} {}, and is {} here", e.cylinder, where, is_a_weight(c) ? "weighed" : "used"),
            std::string(c.event.kind()), "a cylinder that is here",
            e.before.lost ? "read its code again; if it was found, record that first with "
                            "`tarebook found`"
                          : "read its code again; if it came back, record that first with "
                            "`tarebook receive` or `tarebook move`"));
    }
    return out;
}
}  // namespace

Findings cylinder_gone(const Context& c) {
    return is_a_weight(c) ? Findings{} : away(c);
}

Findings weighed_though_gone(const Context& c) {
    return is_a_weight(c) ? away(c) : Findings{};
}

}  // namespace tarebook::checks
