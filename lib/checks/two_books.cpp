// Contradictions between an event and another one of its cylinder: one act that was entered twice, and what only two
// books together show. Each finding names both sides; a person decides which is right, with a void, a correction or a
// resolution.
#include <fmt/format.h>

#include <algorithm>

#include "all_checks.hpp"
#include "tarebook/event/person_code.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::checks {
namespace {

// A cylinder cannot get from one site to another in less time, and devices' clocks may be that far apart (common
// practice, no source).
constexpr std::chrono::minutes one_moment{15};

std::string told(const NearbyEvent& t) {
    return fmt::format("{} ({}, {}{})", t.event, t.kind, moment_text(t.when),
                       t.circuit.empty() ? "" : ", " + t.circuit);
}

NearbyEvent own_side(const Context& c, const Effect& e) {
    return nearby_event(c.event, e.cylinder, e.moved, e.gap, e.after.contents(), {});
}

const std::vector<NearbyEvent>& others(const Context& c, std::string_view cylinder) {
    static const std::vector<NearbyEvent> none;
    const auto it = c.before.nearby.find(cylinder);
    return it == c.before.nearby.end() ? none : it->second;
}

bool about_equal(Mass a, Mass b, Mass tolerance) {
    return (a - b).magnitude() <= tolerance;
}

// `step`: what one reading of a scale may differ from the other. Between two books nothing: the copies were written
// from one sheet, and two trucks do move equal round amounts on one day.
bool same_act(const NearbyEvent& a, const NearbyEvent& b, Mass step) {
    if (a.moved == Mass() || a.kind != b.kind || a.circuit != b.circuit || !about_equal(a.moved, b.moved, step))
        return false;
    if (a.before && b.before && !about_equal(*a.before, *b.before, step)) return false;
    return a.when.date() == b.when.date();
}

// Whether the other book drew what this event only now fills in. In the other order neither event would have a finding.
bool other_way_round(const NearbyEvent& drew, const NearbyEvent& fills, Mass tolerance) {
    if (!drew.moved.is_negative() || fills.moved <= Mass()) return false;
    if (drew.gap > tolerance)
        return about_equal(drew.gap, fills.moved, tolerance) &&
               about_equal(fills.gap + drew.gap + drew.moved, Mass(), tolerance + tolerance);
    return drew.contents.is_negative() && drew.contents.magnitude() > tolerance && fills.gap == Mass();
}

}  // namespace

namespace {

bool of_this_book(const Context& c, const NearbyEvent& t) {
    return t.order.book == c.order.book;
}

// The event of this book that did to each of the cylinders what this one does; null if there is none.
const NearbyEvent* done_before(const Context& c) {
    const auto step = division_of_scale(c);
    const auto alike = [&](const Effect& e, const OrderKey* which) -> const NearbyEvent* {
        const auto mine = own_side(c, e);
        for (const auto& t : others(c, e.cylinder))
            if (of_this_book(c, t) && (!which || t.order == *which) && same_act(t, mine, step)) return &t;
        return nullptr;
    };
    const NearbyEvent* first = nullptr;
    for (const auto& e : c.folded.effects) {
        const auto* t = alike(e, first ? &first->order : nullptr);
        if (!t) return nullptr;
        if (!first) first = t;
    }
    return first;
}

}  // namespace

Findings entered_twice(const Context& c) {
    Findings out;
    if (c.before.nearby.empty()) return out;
    for (const auto& e : c.folded.effects) {
        const auto mine = own_side(c, e);
        const auto& list = others(c, e.cylinder);
        const auto it = std::find_if(list.begin(), list.end(), [&](const NearbyEvent& t) {
            return !of_this_book(c, t) && same_act(t, mine, Mass());
        });
        if (it == list.end()) continue;
        out.push_back(about(
            e.cylinder,
            fmt::format("the same {} of {} is in two books: {}, and this one, {}", mine.kind, e.cylinder, told(*it),
                        moment_text(mine.when)),
            fmt::format("{} moved in both", c.mass(mine.moved.magnitude())), "one act, entered once",
            fmt::format("where it was one act, void one of the two: tarebook void {} --why TEXT; where it was two, "
                        "resolve this",
                        it->event)));
    }
    if (const auto* t = done_before(c); t && out.empty()) {
        const auto& e = c.folded.effects.front();
        auto f = about(e.cylinder,
                       fmt::format("the same {} of {} stands in this book twice: {}, and this one, {}", c.event.kind(),
                                   e.cylinder, told(*t), moment_text(c.event.when)),
                       fmt::format("{} moved in both", c.mass(e.moved.magnitude())), "one act, entered once",
                       fmt::format("where it was one act, void one of the two: tarebook void {} --why TEXT; where it "
                                   "was two, resolve this",
                                   t->event));
        f.question = fmt::format("{} says the same: {}, {}, {}. Was it done twice?", t->event, t->kind, e.cylinder,
                                 c.mass(t->moved.magnitude()));
        out.push_back(std::move(f));
    }
    return out;
}

Findings two_places(const Context& c) {
    Findings out;
    for (const auto& e : c.folded.effects) {
        const auto mine = own_side(c, e);
        if (mine.circuit.empty()) continue;
        const auto& list = others(c, e.cylinder);
        const auto it = std::find_if(list.rbegin(), list.rend(), [&](const NearbyEvent& t) {
            return !of_this_book(c, t) && !t.circuit.empty() && site_of(t.circuit) != site_of(mine.circuit) &&
                   mine.when.at - t.when.at <= one_moment;
        });
        if (it == list.rend()) continue;
        out.push_back(about(e.cylinder,
                            fmt::format("{} was at {} and at {} within {} minutes: {}, and this one, {}", e.cylinder,
                                        site_of(it->circuit), site_of(mine.circuit),
                                        std::chrono::ceil<std::chrono::minutes>(mine.when.at - it->when.at).count(),
                                        told(*it), moment_text(mine.when)),
                            fmt::format("{} and {}", it->circuit, mine.circuit), "one place at a time",
                            "see which of the two cylinders it was, and whether a device's clock was off; then correct "
                            "the one that is wrong"));
    }
    return out;
}

Findings drawn_before_filled(const Context& c) {
    Findings out;
    for (const auto& e : c.folded.effects) {
        const auto mine = own_side(c, e);
        const auto& list = others(c, e.cylinder);
        const auto tolerance = level_tolerance(mine.after.value_or(Mass()), c.facts(e.cylinder));
        const auto it = std::find_if(list.rbegin(), list.rend(), [&](const NearbyEvent& t) {
            return !of_this_book(c, t) && other_way_round(t, mine, tolerance);
        });
        if (it == list.rend()) continue;
        out.push_back(
            about(e.cylinder,
                  fmt::format("{} gave {} by {} before this filled it with {}, {}", e.cylinder,
                              c.mass(it->moved.magnitude()), told(*it), c.mass(mine.moved), moment_text(mine.when)),
                  fmt::format("drawn {}, filled {}", moment_text(it->when), moment_text(mine.when)),
                  "gas that is drawn after it came in",
                  "a device's clock was probably off: correct the time of one of the two"));
    }
    return out;
}

Findings not_in_register(const Context& c) {
    Findings out;
    if (c.as<kinds::Entry>()) return out;
    for (const auto& e : c.folded.effects)
        if (!c.reg.find(EntryKind::cylinder, e.cylinder))
            out.push_back(
                about(e.cylinder, fmt::format("{} is in no register here", e.cylinder), e.cylinder,
                      "a cylinder of the register",
                      fmt::format("wait for the book that knows it, or add it: tarebook cylinder add {}", e.cylinder)));
    return out;
}

Findings register_differs(const Context& c) {
    const auto* k = c.as<kinds::Entry>();
    if (!k || !k->adds) return {};
    const auto* entry = c.reg.find(k->entry, k->code);
    if (!entry) return {};
    std::string differ, by;
    for (const auto& [name, list] : entry->fields()) {
        const auto mine = k->values.find(name);
        if (mine == k->values.end()) continue;
        const DatedValue* other = nullptr;
        for (const auto& value : list)
            if (value.from < c.order && value.from.book != c.order.book) other = &value;
        if (!other || other->value == mine->second) continue;
        // Each book has a code of its own for the same name.
        if (is_person_code(other->value.text) || is_person_code(mine->second.text)) continue;
        add_word(differ, fmt::format("{} {} and {}", name, other->value.text, mine->second.text), "; ");
    }
    if (differ.empty()) return {};
    return {about(
        k->code,
        fmt::format("{} {} was registered by two books, in different words: {}", text_of(k->entry), k->code, differ),
        differ, "one entry for one thing",
        fmt::format(
            "the book uses the later entry. If that one is wrong: tarebook {} correct {}. If they are two things, "
            "give one of them another code",
            text_of(k->entry), k->code))};
}

Findings two_branches(const Context& c) {
    if (!c.before.fork) return {};
    const auto& fork = *c.before.fork;
    const auto book = hex(fork.book).substr(0, 12);
    return {about(
        book,
        fork.after > 0 ? fmt::format("book {} has two branches after its event {}: it was copied, and both went on",
                                     book, fork.after)
                       : fmt::format("book {} has two branches: it was copied, and both went on", book),
        fork.other == Digest{} ? fmt::format("one goes on with {}", hex(fork.first).substr(0, 12))
                               : fmt::format("one goes on with {}, the other with {}", hex(fork.first).substr(0, 12),
                                             hex(fork.other).substr(0, 12)),
        "one chain for one book",
        fmt::format("both count until one is dropped, and all that follows on it: look at both with `tarebook export "
                    "events`, then tarebook resolve branch/{}{} --why TEXT; to go on with the copy: tarebook restore",
                    hex(fork.first), fork.other == Digest{} ? "" : fmt::format(" or branch/{}", hex(fork.other))))};
}

}  // namespace tarebook::checks
