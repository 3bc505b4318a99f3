// What may go into a cylinder. An overfilled cylinder can burst, so each of these findings shows its figure, its limit
// and what to do now. None of them says that a cylinder is fit.
#include <fmt/format.h>

#include <algorithm>

#include "all_checks.hpp"
#include "tarebook/checks/fill_now.hpp"
#include "tarebook/rules/requalification.hpp"

namespace tarebook::checks {
namespace {

Finding about(const Effect& e, std::string text, std::string seen, std::string expected, std::string next) {
    return checks::about(e.cylinder, std::move(text), std::move(seen), std::move(expected), std::move(next));
}

// A note about a mark on the collar that the book does not have.
Finding read_the_collar(const Effect& e, std::string_view what, std::string_view mark) {
    return about(e, fmt::format("{}: {} not on record; read the collar: {}", e.cylinder, what, mark), {}, {},
                 "add it with `tarebook cylinder correct`");
}

bool filled_under_us_law(const Context& c, const Effect& e) {
    return law_of_the_us(c.facts(e.cylinder).country.value_or(""));
}

// All gases in the cylinder after the event, and all that were put in: the strictest limit decides.
std::set<std::string> gases_after(const Context& c, const Effect& e) {
    auto gases = known_gases(e.after.lots);
    gases.merge(arriving_gases(c, e));
    return gases;
}

const std::optional<SmallestLimit>& limit_of(const Context& c, const Effect& e) {
    static const std::optional<SmallestLimit> none;
    const auto& facts = c.facts(e.cylinder);
    if (!facts.water_capacity) return none;
    return c.memo.limit(fill_question(c.data.rules, facts, fill_contents(c.data.catalogue, facts, e.after)));
}

// What the cylinder holds, its limit, and down to which weight it must be drawn.
struct Overfill {
    Mass holds, limit, draw;
    std::string seen, target, rule;
};
std::optional<Overfill> overfill(const Context& c, const Effect& e) {
    const auto& limit = limit_of(c, e);
    const Mass holds = e.after.contents();
    if (!limit || holds <= limit->net) return std::nullopt;
    const auto& tare = c.facts(e.cylinder).tare;
    const Mass gross = e.after.gross.value_or(holds + tare.value_or(Mass()));
    // Rounded to the division of this scale, as the stop weight of `room`: never above the limit by a fraction of a
    // division.
    const auto division = division_of_scale(c, c.reg.units);
    const auto down = stop_weights(limit->net, tare.value_or(Mass()), gross, division);
    return Overfill{holds,
                    // a computed limit has endless digits: it is shown rounded down
                    limit->net.rounded_down_to(shown_step(c)), -down.room.rounded_down_to(division),
                    tare ? fmt::format("{} gross after, tare {}", c.mass(gross), c.mass(*tare))
                         : fmt::format("{} net after", c.mass(holds)),
                    fmt::format("{} {}", c.mass(down.stop_gross), tare ? "gross" : "net"),
                    limit_name(limit->rule, c.reg.units)};
}

}  // namespace

Findings fill_limit(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto over = overfill(c, *e);
        if (!over) continue;
        out.push_back(about(*e,
                            fmt::format("{} would hold {}, over its limit of {} ({})", e->cylinder, c.mass(over->holds),
                                        c.mass(over->limit), over->rule),
                            over->seen, "at most " + over->target,
                            fmt::format("stop; if it is in there already, keep the cylinder cool and draw {} into "
                                        "another cylinder now, down to {}; `tarebook report inventory` lists them",
                                        c.mass(over->draw), over->target)));
    }
    return out;
}

// A weight that shows an overfull cylinder is true and is not refused, but it is listed as an exception: once, at the
// event that shows it, not at each later weight.
Findings over_limit(const Context& c) {
    Findings out;
    if (c.as<kinds::Receive>()) return out;  // the supplier's limit holds for a factory fill
    for (const auto& e : c.folded.effects) {
        if (e.after.contents() <= e.before.contents() || c.facts(e.cylinder).use == "supply") continue;
        if (std::find(c.filled.begin(), c.filled.end(), &e) != c.filled.end()) continue;
        const auto over = overfill(c, e);
        if (!over || over->limit < e.before.contents()) continue;
        out.push_back(about(e,
                            fmt::format("{} holds {}, over its limit of {} ({})", e.cylinder, c.mass(over->holds),
                                        c.mass(over->limit), over->rule),
                            over->seen, "at most " + over->target,
                            fmt::format("keep it cool and do not transport it; draw {} into another cylinder now, down "
                                        "to {}; `tarebook report inventory` lists them",
                                        c.mass(over->draw), over->target)));
    }
    return out;
}

Findings fill_limit_not_on_record(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        if (limit_of(c, *e)) continue;
        out.push_back(c.facts(e->cylinder).water_capacity
                          ? about(*e,
                                  fmt::format("{}: no fill limit can be computed for {}; read the limit stamped for it",
                                              e->cylinder, listed(known_gases(e->after.lots))),
                                  {}, {}, "ask the supplier of the gas for the filling density")
                          : read_the_collar(*e, "fill limit", "WC"));
    }
    return out;
}

Findings service_pressure(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto& spec = c.facts(e->cylinder).spec;
        if (!spec) continue;
        const auto names = gases_after(c, *e);
        const auto& verdict = c.memo.rating(catalogued(c, names), *spec, filled_under_us_law(c, *e), c.reg.units);
        if (verdict.rating != Rating::too_low) continue;
        out.push_back(about(*e, fmt::format("{} is not built for {}: {}", e->cylinder, listed(names), verdict.why),
                            fmt::format("specification {}", *spec), fmt::format("a mark that suits {}", listed(names)),
                            "stop; use a cylinder of a higher service pressure; if gas is in this one already, keep it "
                            "cool and move the gas out now"));
    }
    return out;
}

namespace {
std::set<std::string> not_catalogued(const Context& c, const std::set<std::string>& names) {
    std::set<std::string> out;
    for (const auto& name : names)
        if (!c.data.catalogue.find(name)) out.insert(name);
    return out;
}
}  // namespace

Findings service_pressure_unknown(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto& spec = c.facts(e->cylinder).spec;
        if (!spec) continue;
        if (const auto mark = parse_spec_mark(*spec); mark && !mark->refillable) continue;  // refused by another check
        const auto names = gases_after(c, *e);
        if (const auto strange = not_catalogued(c, names); !strange.empty()) {
            out.push_back(about(*e,
                                fmt::format("{}: service pressure and flammability not judged: {} not in the catalogue",
                                            e->cylinder, listed(strange) + (strange.size() > 1 ? " are" : " is")),
                                {}, {}, "give the file that has it, --refrigerants; compare the collar with the gas"));
            continue;
        }
        const auto& verdict = c.memo.rating(catalogued(c, names), *spec, filled_under_us_law(c, *e), c.reg.units);
        if (verdict.rating != Rating::unknown) continue;
        out.push_back(about(*e, fmt::format("{}: service pressure not judged: {}", e->cylinder, verdict.why), {}, {},
                            "compare the collar with the gas before filling"));
    }
    return out;
}

namespace {
std::set<std::string> flammable_of(const Context& c, const std::set<std::string>& names) {
    std::set<std::string> out;
    for (const auto* r : catalogued(c, names))
        if (r->flammable()) out.insert(std::string(r->designation));
    return out;
}
}  // namespace

Findings flammable_rating(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto flammable = flammable_of(c, gases_after(c, *e));
        if (flammable.empty() || c.facts(e->cylinder).flammable_rated.value_or(true)) continue;
        out.push_back(about(
            *e, fmt::format("{} is not rated for flammable gas, and {} is flammable", e->cylinder, listed(flammable)),
            "flammable no", "a cylinder rated for flammable gas",
            "stop; keep flames and sparks away, ventilate, and use a cylinder rated for it"));
    }
    return out;
}

Findings flammable_rating_not_on_record(const Context& c) {
    Findings out;
    for (const auto* e : c.filled)
        if (!flammable_of(c, gases_after(c, *e)).empty() && !c.facts(e->cylinder).flammable_rated)
            out.push_back(read_the_collar(*e, "flammable rating", "rated for flammable gas or not"));
    return out;
}

Findings non_refillable(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto& spec = c.facts(e->cylinder).spec;
        const auto mark = spec ? parse_spec_mark(*spec) : std::nullopt;
        if (!mark || mark->refillable) continue;
        out.push_back(about(*e, fmt::format("{} is marked {}: a non-refillable cylinder", e->cylinder, *spec),
                            fmt::format("{} put in", c.mass(e->moved)), "a refillable recovery cylinder",
                            "stop; never refill it: it may burst. Use a recovery cylinder"));
    }
    return out;
}

Findings spec_not_on_record(const Context& c) {
    Findings out;
    for (const auto* e : c.filled)
        if (!c.facts(e->cylinder).spec)
            out.push_back(
                read_the_collar(*e, "specification", filled_under_us_law(c, *e) ? "DOT-..." : "mark and pressure"));
    return out;
}

namespace {

bool never_retested(const CylinderFacts& facts) {
    const auto mark = facts.spec ? parse_spec_mark(*facts.spec) : std::nullopt;
    return mark && !mark->refillable;
}

}  // namespace

Findings out_of_test(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto& facts = c.facts(e->cylinder);
        if (never_retested(facts)) continue;
        const auto on = c.event.when.date();
        const auto due = requalification_on_record(c.data.rules, facts.spec, facts.tested, facts.test_basis, on,
                                                   facts.country.value_or(""), facts.refrigerant.value_or(""));
        if (!due.due_on || on <= *due.due_on) continue;
        out.push_back(
            about(*e,
                  fmt::format("{} was tested {}; its {} ended {} ({}{})", e->cylinder, *facts.tested, due.period,
                              date_text(*due.due_on), due.clause,
                              !filled_under_us_law(c, *e) ? ", " + std::string(tarebook::text_of(due.match->status()))
                              : facts.test_basis          ? ""
                                                          : "; no basis of a longer time is on record"),
                  fmt::format("filled on {}", date_text(on)), "a cylinder in test when it is filled",
                  filled_under_us_law(c, *e)
                      ? "stop; use another cylinder. This one goes to the test house; what was in it before "
                        "that day may be used until it is empty, 49 CFR 180.205(c)"
                      : "stop; use another cylinder. This one goes to the test house"));
    }
    return out;
}

Findings test_date_not_on_record(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto& facts = c.facts(e->cylinder);
        if (never_retested(facts)) continue;
        if (!facts.tested || !parse_month(*facts.tested))
            out.push_back(read_the_collar(*e, "test date", "month and year"));
    }
    return out;
}

Findings tare_not_on_record(const Context& c) {
    Findings out;
    for (const auto* e : c.filled)
        if (!c.facts(e->cylinder).tare) out.push_back(read_the_collar(*e, "tare", "TW"));
    return out;
}

}  // namespace tarebook::checks
