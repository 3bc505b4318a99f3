#include "tarebook/report/offers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "cylinder_contents.hpp"
#include "fill.hpp"
#include "tarebook/checks/mixing.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace report {
namespace {

// What the gas of the other side is: of the circuit, or of the other cylinder of a transfer.
struct OtherSide {
    std::string name;         // "OAK/RACK-B", "RC-01"
    std::string refrigerant;  // empty where not known
    std::string owner;        // empty where not known
};

OtherSide other_side(const Book& book, const CylinderQuestion& q) {
    const auto last = order_at(Instant::max());
    if (!q.circuit.empty()) {
        const auto place = place_facts(book.entries(), q.circuit, last);
        if (!place) return {q.circuit, {}, {}};
        // the appliance of a circuit may have been entered by mistake, and voided
        return {place->appliance.empty() ? q.circuit : place->appliance, place->refrigerant, place->owner};
    }
    if (!q.cylinder.empty())
        if (const auto now = book.cylinder_now(q.cylinder)) {
            const auto content = content_of(now->state, now->facts);
            return {q.cylinder, content.refrigerant.value_or(""), content.owner.value_or("")};
        }
    return {};
}

// The gas in it, or that it is kept for, against that of the other side. `filling`: gas of the other side comes into
// it. A side without a name was not asked for yet.
std::string against_gas(const RoomQuestion& c, const OtherSide& side, bool filling) {
    const auto& s = c.state;
    if (s.mixed) return "holds mixed gas";
    if (const auto shown = shown_otherwise(c.data.catalogue, s))
        return fmt::format("holds gas of which an identifier showed: {}", shown->text);
    if (!s.spoiled.empty()) return fmt::format("holds {} gas", s.spoiled);
    // a cylinder that is below zero of one gas may hold another one
    std::vector<std::string> gases;
    for (const auto& lot : s.lots) gases.push_back(lot.key.refrigerant);
    const auto in_it = gases.size();
    // what it is kept for binds as well once a weighing shows it empty
    if ((filling || gases.empty()) && c.facts.refrigerant) gases.push_back(*c.facts.refrigerant);
    for (std::size_t i = 0; i < gases.size(); ++i) {
        const auto& gas = gases[i];
        if (gas == gas_unknown) return "holds gas that is not known";
        if (gas == gas_mixed && side.refrigerant != gas) return "holds mixed gas";
        if (filling && !side.name.empty() && side.refrigerant.empty() && !s.lots.empty())
            return fmt::format("holds {}, and the gas of {} is not known", gas, side.name);
        if (gas.empty() || side.refrigerant.empty() || gas == side.refrigerant) continue;
        return fmt::format("{} {}, and {} has {}", i < in_it ? "holds" : "is kept for", gas, side.name,
                           side.refrigerant);
    }
    return {};
}

bool is_used(const Lot& lot) {
    return lot.key.condition >= Condition::recycled;
}

// `used_alone`: gas that is virgin or reclaimed may go to any owner.
std::string against_owner(const CylinderNow& c, const OtherSide& side, bool used_alone) {
    if (side.owner.empty() || (!used_alone && c.facts.use == "consolidation")) return {};
    for (const auto& lot : c.state.lots)
        if (!lot.key.owner.empty() && lot.key.owner != side.owner && (!used_alone || is_used(lot)))
            return fmt::format("holds gas of {}, and this is of {}", lot.key.owner, side.owner);
    return {};
}

// What goes into an empty cylinder decides over its limit, its rating and its test.
RoomQuestion to_be_filled(const RoomQuestion& c, const OtherSide& side) {
    auto out = c;
    const auto* gas = c.state.lots.empty() ? c.data.catalogue.find(side.refrigerant) : nullptr;
    if (!gas) return out;
    out.contents = {gas};
    out.mixed = out.unnamed = out.hydrocarbon_or_ammonia_suspected = false;
    return out;
}
std::string against_filling(const RoomQuestion& c, const OtherSide& side, const PageOptions& options) {
    if (const auto bars = fill_bars(c, options.now, options.units); !bars.empty())
        return "DO NOT FILL: " + bars.front().text;
    if (auto why = against_gas(c, side, true); !why.empty()) return why;
    if (c.facts.use == "supply") return "is kept for supply";
    if (auto why = against_owner(c, side, false); !why.empty()) return why;
    const auto fill = fill_view(c, options.units);
    // what hoses alone hold is more (common practice, no source)
    const Mass useful = Mass::thousandths_of_a_pound(250);
    return fill && fill->weights.room < useful ? "is full: nothing more fits" : "";
}

std::string against_drawing(const RoomQuestion& c, const OtherSide& side, CylinderTask task) {
    const auto& lots = c.state.lots;
    if (lots.empty() || c.state.contents() <= Mass()) return "is empty by the book";
    if (c.state.leaking) return "is leaking";
    if (auto why = against_gas(c, side, false); !why.empty()) return why;
    const bool into_equipment = task == CylinderTask::charge || task == CylinderTask::reuse;
    if (into_equipment && c.state.reclaim_only) return "holds gas of two owners together: for reclaim only";
    const bool all_used = std::all_of(lots.begin(), lots.end(), is_used);
    if (task == CylinderTask::charge && all_used) return "holds used gas: that is a reuse, tarebook reuse";
    if (task == CylinderTask::reuse && std::none_of(lots.begin(), lots.end(), is_used))
        return "holds gas that was never used: that is a charge, tarebook charge";
    return into_equipment ? against_owner(c, side, true) : std::string();
}

std::string against_sending(const RoomQuestion& c) {
    if (c.facts.use == "supply") return "is kept for supply";
    return c.state.contents() <= Mass() ? "is empty by the book" : "";
}

std::string against(const RoomQuestion& c, const CylinderQuestion& q, const OtherSide& side,
                    const PageOptions& options) {
    const auto& s = c.state;
    if (s.gone) return "left the shop, by the book";
    if (s.lost) return "is recorded as lost";
    if (c.code == q.cylinder && !c.code.empty()) return "is the other cylinder of the transfer";
    if (q.task == CylinderTask::look) return {};
    if (!s.held_for.empty() && s.held_for != q.job) return "is held for " + s.held_for;
    if (q.task == CylinderTask::send) return against_sending(c);
    if (q.task == CylinderTask::fill) return against_filling(to_be_filled(c, side), side, options);
    return against_drawing(c, side, q.task);
}

std::string place_of(const CylinderNow& c) {
    return place_of(c.facts, c.state);
}

std::string holds_words(const CylinderNow& c, DisplayUnits units) {
    const auto place = place_of(c);
    auto holds = c.state.lots.empty()
                     ? fmt::format("empty{}", c.facts.refrigerant ? ", kept for " + *c.facts.refrigerant : "")
                     : held(c.state.contents(), content_of(c.state, c.facts), c.facts, units);
    return holds + (place.empty() ? "" : "; " + place);
}

struct FittingCylinder {
    OfferedCylinder offer;
    std::string place;
    OrderKey used{Instant::min(), {}, 0};
    std::string missing;
};

}  // namespace
}  // namespace report

std::vector<OfferedCylinder> offered_cylinders(const Book& book, const CylinderQuestion& question,
                                               const PageOptions& options) {
    using namespace report;
    const auto side = other_side(book, question);
    std::vector<FittingCylinder> fits;
    std::string here;
    OrderKey newest{Instant::min(), {}, 0};
    book.each_cylinder([&](CylinderNow&& cylinder) {
        const auto c = room_question_of(book.reference_data(), std::move(cylinder), {});
        FittingCylinder fit;
        fit.place = place_of(c);
        if (const auto step = book.last_step(c.code)) fit.used = step->order;
        if (newest < fit.used) {
            newest = fit.used;
            here = fit.place;
        }
        if (!against(c, question, side, options).empty()) return;
        if (question.task == CylinderTask::fill) fit.missing = joined(marks_not_on_record(to_be_filled(c, side)));
        fit.offer = {c.code, holds_words(c, options.units) +
                                 (fit.missing.empty() ? "" : "; not on record: " + fit.missing + ", read the collar")};
        fits.push_back(std::move(fit));
    });
    if (question.place) here = *question.place;
    std::stable_sort(fits.begin(), fits.end(), [&](const FittingCylinder& a, const FittingCylinder& b) {
        if (a.missing.empty() != b.missing.empty()) return a.missing.empty();
        const bool a_here = a.place == here, b_here = b.place == here;
        return a_here != b_here ? a_here : b.used < a.used;
    });
    std::vector<OfferedCylinder> out;
    for (auto& fit : fits) out.push_back(std::move(fit.offer));
    return out;
}

std::string holds_text(const Book& book, std::string_view cylinder, const PageOptions& options) {
    const auto now = book.cylinder_now(cylinder);
    return now ? report::holds_words(*now, options.units) : std::string();
}

std::string why_not_offered(const Book& book, std::string_view cylinder, const CylinderQuestion& question,
                            const PageOptions& options) {
    const auto c = room_question_for(book, cylinder);
    return c ? report::against(*c, question, report::other_side(book, question), options) : std::string();
}

std::string gas_that_would_mix(const Book& book, std::string_view cylinder, const CylinderQuestion& question) {
    const auto c = room_question_for(book, cylinder);
    if (!c) return {};
    const auto& catalogue = book.reference_data().catalogue;
    const auto side = report::other_side(book, question);
    const auto held = gases_in(catalogue, c->state);
    std::set<std::string> arriving{side.refrigerant.empty() ? std::string(gas_unknown) : side.refrigerant};
    if (const auto other = question.cylinder.empty() ? std::nullopt : book.cylinder_now(question.cylinder))
        arriving = gases_in(catalogue, other->state);
    const bool differ = !side.refrigerant.empty() && !held.empty() && !held.contains(side.refrigerant);
    if (!becomes_mixed(held, arriving) && !(differ && becomes_mixed(held, {std::string(gas_mixed)}))) return {};
    return fmt::format("holds {}, and {} has {}", gases_text(held), side.name, gases_text(arriving));
}

std::optional<StoredEvent> isolated_before(const Book& book, std::string_view circuit, const OrderKey& when) {
    constexpr std::size_t looked_at = 2000;
    std::optional<StoredEvent> last;
    book.each_event_back(when.at, looked_at, kinds::Isolate::name, [&](const StoredEvent& stored) {
        if (std::get<kinds::Isolate>(stored.event.what).circuit != circuit || stored.voided_by || stored.quarantined ||
            !(stored.event.order() < when))
            return Walk::on;
        last = stored;
        return Walk::stop;
    });
    if (last && std::get<kinds::Isolate>(last->event.what).reopened) last.reset();
    return last;
}

std::string weights_to_watch(const Book& book, std::string_view cylinder, const CylinderQuestion& question,
                             const PageOptions& options, const std::optional<std::string>& scale) {
    const auto known = room_question_for(book, cylinder, scale);
    if (!known) return {};
    const auto side = report::other_side(book, question);
    const auto c = report::to_be_filled(*known, side);
    if (const auto bars = report::fill_bars(c, options.now, options.units); !bars.empty())
        return fitted_text(fmt::format("{}: DO NOT FILL: {}\n", cylinder, bars.front().text), options.width);
    if (const auto why = report::against_gas(c, side, true); !why.empty())
        return fitted_text(
            fmt::format("WRONG GAS: {} {}. Take another{}\n", cylinder, why,
                        side.refrigerant.empty() ? "" : ": tarebook room --for W --refrigerant " + side.refrigerant),
            options.width);
    const auto fill = report::fill_view(c, options.units);
    if (!fill) return {};
    const auto watched = [&](Mass m) { return report::watched_text(m, *fill, options.units); };
    return fitted_text(
        fmt::format("{}: STOP AT {}, slow down at {}; room {}\n", cylinder, watched(fill->weights.stop_gross),
                    watched(fill->weights.slow_gross), watched(std::max(fill->weights.room, Mass()))),
        options.width);
}

}  // namespace tarebook
