#include <fmt/format.h>

#include <algorithm>

#include "all_checks.hpp"
#include "slip.hpp"
#include "tarebook/checks/fill_now.hpp"

namespace tarebook::checks {
namespace {

// A cylinder that gave more than its own first weight and its tare allow. The level tolerance is how far a tare may be
// off; two divisions are how far a pair may be off.
struct Overdraw {
    CylinderWeighing of;
    Mass drawn, available, tare;
};
std::optional<Overdraw> overdraw(const Context& c, const CylinderWeighing& w) {
    if (w.way != Way::lighter && !w.weighing.is_pair()) return std::nullopt;
    const auto& facts = c.facts(w.cylinder);
    if (!w.weighing.before || !facts.tare) return std::nullopt;
    const Mass before = w.weighing.before->mass;
    if (!w.weighing.is_pair() && !w.weighing.net) return std::nullopt;
    const Mass drawn = w.weighing.is_pair() ? before - w.weighing.after->mass : w.weighing.net->mass;
    const Mass available = before - *facts.tare;
    if (drawn <= Mass()) return std::nullopt;
    if (drawn - available <= pair_tolerance(c) + level_tolerance(before, facts)) return std::nullopt;
    return Overdraw{w, drawn, available, *facts.tare};
}
bool draws_too_much(const Context& c, std::string_view cylinder) {
    const auto all = c.weighings;
    return std::any_of(all.begin(), all.end(),
                       [&](const auto& w) { return w.cylinder == cylinder && overdraw(c, w).has_value(); });
}

// The lower of the two contents, before and after, that an event shows.
Mass lowest_contents(const Effect& e) {
    return std::min(e.levelled.contents(), e.after.contents());
}

// The weights that were read on the event's scale, each with its cylinder.
std::vector<std::pair<std::string, Weight>> read_weights(const Context& c) {
    std::vector<std::pair<std::string, Weight>> out;
    if (c.as<kinds::Settle>()) return out;  // read on a reclaimer's scale
    for (const auto& w : c.weighings)
        for (const auto* weight : {&w.weighing.before, &w.weighing.after, &w.weighing.net})
            if (*weight) out.emplace_back(w.cylinder, **weight);
    const auto codes = cylinders_of(c.event);
    std::visit(
        [&](const auto& k) {
            if constexpr (requires { std::optional<Weight>(k.gross); })
                if (const std::optional<Weight> gross = k.gross; gross && !codes.empty())
                    out.emplace_back(codes.front(), *gross);
        },
        c.event.what);
    return out;
}

// Whether it is said already that a weight of the cylinder does not meet the book, with what may have been meant.
bool told_as_gap(const Context& c, std::string_view cylinder) {
    const auto& gaps = c.folded.gaps;
    return std::any_of(gaps.begin(), gaps.end(),
                       [&](const Gap& g) { return g.cylinder == cylinder && !g.within_tolerance(); });
}

bool below_tare_beyond_tolerance(const Context& c, const Effect& e) {
    const auto& facts = c.facts(e.cylinder);
    if (!facts.tare || !reads_gross(c, e.cylinder)) return false;
    const Mass lowest = lowest_contents(e);
    return lowest.is_negative() && level_tolerance(*facts.tare + lowest, facts) < lowest.magnitude();
}

}  // namespace

Findings draw_exceeds_reading(const Context& c) {
    Findings out;
    for (const auto& w : c.weighings) {
        const auto over = overdraw(c, w);
        if (!over) continue;
        out.push_back({.check = {},
                       .subject = w.cylinder,
                       .text = fmt::format("{} would give {}, but its first weight leaves {} above its tare",
                                           w.cylinder, c.mass(over->drawn), c.mass(over->available)),
                       .seen = fmt::format("{} gross before, {} {}", c.mass(w.weighing.before->mass),
                                           w.weighing.is_pair() ? c.mass(w.weighing.after->mass) : c.mass(over->drawn),
                                           w.weighing.is_pair() ? "gross after" : "net"),
                       .expected = fmt::format("at most {} out, tare {}", c.mass(over->available), c.mass(over->tare)),
                       .next = "read both weights again, and the tare on the collar; a tare that changed is corrected "
                               "with `tarebook cylinder correct`",
                       .question = {},
                       .accepted = {}});
    }
    return out;
}

Findings weight_off_scale(const Context& c) {
    const auto* scale = c.event.scale ? c.reg.find(EntryKind::scale, *c.event.scale) : nullptr;
    const auto division = scale ? scale->mass("division", c.order) : std::nullopt;
    if (!division || *division <= Mass()) return {};
    const auto step = scale->text("division", c.order).value_or(c.mass(*division));
    Findings out;
    for (const auto& read : read_weights(c)) {
        const auto& cylinder = read.first;
        const auto& weight = read.second;
        if (told_as_gap(c, cylinder) || weight.mass.count() % division->count() == 0) continue;
        auto f = about(cylinder,
                       fmt::format("scale {1} cannot show {0}: its steps are {2}", weight.typed, *c.event.scale, step),
                       weight.typed, fmt::format("a multiple of {}", step),
                       "read the scale again, and see which scale it was; where its division on record is wrong: "
                       "tarebook scale correct " +
                           *c.event.scale);
        f.question = fmt::format("{} on a scale with steps of {}: is that what it showed?", weight.typed, step);
        out.push_back(std::move(f));
        break;  // a person who reads one wrong reads the scale again
    }
    return out;
}

Findings weight_beyond_cylinder(const Context& c) {
    Findings out;
    for (const auto& [cylinder, weight] : read_weights(c)) {
        const auto& facts = c.facts(cylinder);
        const auto* e = c.effect(cylinder);
        if (!e || !facts.tare || !facts.water_capacity || told_as_gap(c, cylinder)) continue;
        const auto& limit =
            c.memo.limit(fill_question(c.data.rules, facts, fill_contents(c.data.catalogue, facts, e->after)));
        if (!limit) continue;
        const Mass full = *facts.tare + limit->net;
        if (weight.mass <= full + full) continue;
        const auto shown_full = c.mass(full.rounded_down_to(shown_step(c)));
        auto f = about(
            cylinder,
            fmt::format("{} is more than twice what {} weighs when it is full, {}", weight.typed, cylinder, shown_full),
            weight.typed, fmt::format("about {} at most", shown_full),
            "read the scale again: a point may be in the wrong place, or the unit another one. If the weight is "
            "right, compare tare and water capacity with the collar: tarebook cylinder correct " +
                cylinder);
        f.question = fmt::format("{}: {} weighs about {} when it is full: is the weight right?", weight.typed, cylinder,
                                 shown_full);
        out.push_back(std::move(f));
        break;  // a person who reads one wrong reads the scale again
    }
    return out;
}

// A gap that the tolerance of two weighings would explain, and swapped digits explain to the step of the scale.
Findings digits_swapped(const Context& c) {
    Findings out;
    const auto division = division_of_scale(c);
    for (const auto& g : c.folded.gaps) {
        if (!g.within_tolerance() || g.gap.magnitude() <= pair_tolerance(c)) continue;
        const auto meant = meant_by_swapped_digits(g, c, division);
        if (!meant) continue;
        auto f = about(g.cylinder,
                       fmt::format("{} should weigh {} and weighs {}: with two digits swapped it would be {}",
                                   g.cylinder, c.mass(g.expected_gross), g.read_typed, c.mass(*meant)),
                       g.read_typed, fmt::format("{} gross", c.mass(g.expected_gross)),
                       "read the scale again; where two digits were swapped: tarebook correct, with what it showed");
        f.question = fmt::format("book {}, scale {}: are two digits swapped? Is {} what it showed?",
                                 c.mass(g.expected_gross), g.read_typed, g.read_typed);
        out.push_back(std::move(f));
    }
    return out;
}

Findings wrong_way(const Context& c) {
    Findings out;
    const Mass tolerance = pair_tolerance(c);
    for (const auto& w : c.weighings) {
        if (!w.weighing.is_pair()) continue;
        const Mass gained = w.weighing.gained();
        const Mass wrong = w.way == Way::heavier ? -gained : gained;
        if (wrong <= tolerance) continue;
        const auto* became = w.way == Way::heavier ? "lighter" : "heavier";
        out.push_back(
            {.check = {},
             .subject = w.cylinder,
             .text = fmt::format("{} got {} by {} where it should have got {}", w.cylinder, became, c.mass(wrong),
                                 w.way == Way::heavier ? "heavier" : "lighter"),
             .seen = fmt::format("{} gross before, {} gross after", c.mass(w.weighing.before->mass),
                                 c.mass(w.weighing.after->mass)),
             .expected = fmt::format("a weight that moves the other way, or stays within {}", c.mass(tolerance)),
             .next = "see whether before and after were exchanged; if the gas ran backwards, look at hoses "
                     "and valves",
             .question = fmt::format("{} got {} by {}: are before and after the right way round?", w.cylinder, became,
                                     c.mass(wrong)),
             .accepted = {}});
    }
    return out;
}

Findings below_tare(const Context& c) {
    Findings out;
    for (const auto& e : c.folded.effects) {
        if (!below_tare_beyond_tolerance(c, e) || draws_too_much(c, e.cylinder)) continue;
        const auto& facts = c.facts(e.cylinder);
        const Mass below = lowest_contents(e).magnitude();
        const Mass gross = *facts.tare - below;
        out.push_back({.check = {},
                       .subject = e.cylinder,
                       .text = fmt::format("{} weighs {} less than its tare", e.cylinder, c.mass(below)),
                       .seen = fmt::format("{} gross", c.mass(gross)),
                       .expected = fmt::format("at least the tare, {}, less {}", c.mass(*facts.tare),
                                               c.mass(level_tolerance(gross, facts))),
                       .next = "check the scale and the tare on the collar; set a measured tare with "
                               "`tarebook cylinder correct`",
                       .question = fmt::format("{}: scale {}, tare {}: is the tare right?", e.cylinder, c.mass(gross),
                                               c.mass(*facts.tare)),
                       .accepted = {}});
    }
    return out;
}

Findings tare_looks_high(const Context& c) {
    Findings out;
    for (const auto& e : c.folded.effects) {
        const auto& facts = c.facts(e.cylinder);
        const Mass lowest = lowest_contents(e);
        if (!facts.tare || !lowest.is_negative() || !reads_gross(c, e.cylinder)) continue;
        if (below_tare_beyond_tolerance(c, e)) continue;
        out.push_back({.check = {},
                       .subject = e.cylinder,
                       .text = fmt::format("{} weighs {} less than its tare of {}: set a measured tare?", e.cylinder,
                                           c.mass(lowest.magnitude()), c.mass(*facts.tare)),
                       .seen = fmt::format("{} gross", c.mass(*facts.tare + lowest)),
                       .expected = fmt::format("{} or more", c.mass(*facts.tare)),
                       .next = "weigh it when it is evacuated, and set that as its tare",
                       .question = {},
                       .accepted = {}});
    }
    return out;
}

Findings overdrawn(const Context& c) {
    Findings out;
    for (const auto& e : c.folded.effects) {
        const Mass after = e.after.contents();
        // against a tare the weight itself tells; a jug without one is weighed before and after, and still has a bottom
        const bool weighed_against_tare = c.facts(e.cylinder).tare && reads_gross(c, e.cylinder);
        if (!e.moved.is_negative() || !after.is_negative() || weighed_against_tare) continue;
        if (after.magnitude() <= level_tolerance(Mass(), c.facts(e.cylinder))) continue;
        const Mass had = after - e.moved;
        out.push_back({.check = {},
                       .subject = e.cylinder,
                       .text = fmt::format("more went out of {} than the book had: {} of {}", e.cylinder,
                                           c.mass(-e.moved), c.mass(had)),
                       .seen = fmt::format("{} out", c.mass(-e.moved)),
                       .expected = fmt::format("at most {}", c.mass(std::max(had, Mass()))),
                       .next = "weigh the cylinder; an earlier filling may not be recorded yet",
                       .question = fmt::format("{} had {} in the book and gave {}: is the weight right?", e.cylinder,
                                               c.mass(had), c.mass(-e.moved)),
                       .accepted = {}});
    }
    return out;
}

Findings transfer_sides_differ(const Context& c) {
    const auto* k = c.as<kinds::Transfer>();
    if (!k || k->hose_loss) return {};
    const auto& f = k->from_weighing;
    const auto& i = k->into_weighing;
    if (!(f.is_pair() || f.net) || !(i.is_pair() || i.net)) return {};
    const Mass went = f.is_pair() ? -f.gained() : f.gained();
    const Mass came = i.gained();
    const Mass difference = went - came;
    // The bound is the one by which the fold tells "scale" from "unaccounted".
    if (difference.magnitude() <= level_tolerance(Mass(), c.facts(k->from))) return {};
    return {{.check = {},
             .subject = k->from,
             .text = fmt::format("{} gave {} and {} took {}: {} is unaccounted for", k->from, c.mass(went), k->into,
                                 c.mass(came), c.mass(difference.magnitude())),
             .seen = fmt::format("{} out, {} in", c.mass(went), c.mass(came)),
             .expected = "the same on both sides, but for what the hoses hold",
             .next = "read both scales again; say where a loss went with --hose-loss",
             .question = fmt::format("{} out, {} in: are all four weights right?", c.mass(went), c.mass(came)),
             .accepted = {}}};
}

namespace {

Finding gap_by_words(const Gap& g, std::string_view state, const Context& c) {
    const Mass tare = c.facts(g.cylinder).tare.value_or(Mass());
    const Mass had = g.expected_gross - tare;
    return {
        .check = {},
        .subject = g.cylinder,
        .text = fmt::format("{} is recorded as {}, and the book still had {} in it", g.cylinder, state, c.mass(had)),
        .seen = std::string(state),
        .expected = fmt::format("{} in it, within {}", c.mass(had), c.mass(g.tolerance)),
        .next = "weigh it; a draw may not be recorded yet",
        .question = fmt::format("book {} in {}: is it really {}?", c.mass(had), g.cylinder, state),
        .accepted = {}};
}

Finding gap_by_weight(const Gap& g, const Context& c) {
    auto text =
        fmt::format("{} should weigh {} and weighs {}: {} {}", g.cylinder, c.mass(g.expected_gross),
                    c.mass(g.read_gross), c.mass(g.gap.magnitude()), g.gap.is_negative() ? "is missing" : "too much");
    if (const auto slip = slip_that_explains(g, c); !slip.empty()) text += " (" + slip + ")";
    std::string next = "weigh it again; a late entry that explains the difference ends this by itself";
    if (const auto* e = c.effect(g.cylinder);
        e && e->before == CylinderState() && !g.gap.is_negative() && c.facts(g.cylinder).use == "supply")
        next = fmt::format(
            "no receipt of it is on record: tarebook receive {} --from NAME --gross WEIGHT --at WHEN ends this by "
            "itself",
            g.cylinder);
    return {.check = {},
            .subject = g.cylinder,
            .text = text,
            .seen = fmt::format("{} gross", c.mass(g.read_gross)),
            .expected = fmt::format("{} gross, within {}", c.mass(g.expected_gross), c.mass(g.tolerance)),
            .next = std::move(next),
            .question =
                fmt::format("book {}, scale {}: is the scale right?", c.mass(g.expected_gross), c.mass(g.read_gross)),
            .accepted = {}};
}

}  // namespace

Findings gap(const Context& c) {
    Findings out;
    for (const auto& g : c.folded.gaps) {
        if (g.within_tolerance()) continue;
        if (g.read_typed == "empty" || g.read_typed == "evacuated") {
            out.push_back(gap_by_words(g, g.read_typed, c));
        } else if (g.read_typed == "below tare") {
            // If a weight showed it, that weight has its own finding; without a weight it is the book alone that is
            // below zero.
            if (!reads_gross(c, g.cylinder)) out.push_back(gap_by_words(g, "gone", c));
        } else {
            out.push_back(gap_by_weight(g, c));
        }
    }
    return out;
}

Findings nothing_recovered(const Context& c) {
    const auto* k = c.as<kinds::Recover>();
    if (!k || !(k->weighing.is_pair() || k->weighing.net)) return {};
    if (pair_tolerance(c) < k->weighing.gained().magnitude()) return {};
    return {{.check = {},
             .subject = k->circuit,
             .text = fmt::format("nothing recovered from {} (the scale moved by {}): the attempt is on record",
                                 k->circuit, c.mass(k->weighing.gained().magnitude())),
             .seen = {},
             .expected = {},
             .next = {},
             .question = {},
             .accepted = {}}};
}

Findings sent_without_weight(const Context& c) {
    const auto* ret = c.as<kinds::Return>();
    const kinds::Send* k = ret ? static_cast<const kinds::Send*>(ret) : c.as<kinds::Destroy>();
    if (!k || k->gross || k->weighing.is_pair()) return {};
    const auto* e = c.effect(k->cylinder);
    return {{.check = {},
             .subject = k->cylinder,
             .text = fmt::format("{} was sent without a weight: the book takes its {} as sent", k->cylinder,
                                 c.mass(e ? -e->moved : Mass())),
             .seen = {},
             .expected = "a gross weight at leaving",
             .next = "ask for the weight on the receiver's statement",
             .question = {},
             .accepted = {}}};
}

}  // namespace tarebook::checks
