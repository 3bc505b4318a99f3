#include "charge_by_book.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "additions.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
namespace {

bool is_first_charge(const Event& event) {
    const auto* charge = std::get_if<kinds::Charge>(&event.what);
    return charge && (charge->reason == Reason::initial || charge->reason == Reason::conversion);
}
// What takes the place of purged gas: what went out with it is on no record of the circuit.
bool makes_up_for_purging(const Event& event) {
    const auto* charge = std::get_if<kinds::Charge>(&event.what);
    const auto* reuse = std::get_if<kinds::Reuse>(&event.what);
    return (charge && charge->reason == Reason::purged) || (reuse && reuse->reason == Reason::purged);
}
// Whether the event is part of an addition that counts: what had leaked out came back in.
bool makes_up_for_a_leak(const LeakRecord& record, const std::string& event) {
    return std::any_of(record.additions.begin(), record.additions.end(), [&](const LeakAddition& a) {
        return a.counts() && std::find(a.sources.begin(), a.sources.end(), event) != a.sources.end();
    });
}

}  // namespace

std::optional<ChargeByBook> charge_by_book(const Book& book, const LeakRecord& record) {
    const auto& full = record.now.full_charge;
    std::optional<ChargeByBook> out;
    if (full) out = ChargeByBook{*full, {}, {}, true, {}, {}, {}};
    bool same_addition = false;
    bool before_was_first = false;  // an initial charge out of several cylinders is one
    for (const auto& flow : book.flows(record.appliance, beginning, Date(std::chrono::days(2'900'000)))) {
        const auto stored = book.event(flow.event_id);
        if (!stored || makes_up_for_purging(stored->event)) continue;
        const bool first = is_first_charge(stored->event);
        if (first && !before_was_first)
            out = ChargeByBook{{}, stored->name, flow.date, false, {}, {}, {}};
        else if (!first && full && makes_up_for_a_leak(record, stored->name)) {
            // several events of one addition: what the first of them filled up is full for the next
            const Mass before = out ? out->mass : *full;
            const Mass beyond = std::max(Mass(), before + flow.mass - *full) + (same_addition ? out->beyond : Mass());
            out = ChargeByBook{*full, stored->name, flow.date, true, beyond, {}, {}};
            same_addition = true;
        }
        if (!out || out->since != stored->name) same_addition = false;
        before_was_first = first;
        if (!out || (out->begins_full && out->since == stored->name)) continue;
        out->mass += flow.mass;
        (flow.mass.is_negative() ? out->taken_out : out->put_in) += flow.mass.magnitude();
    }
    return out;
}

std::string charge_by_book_text(const ChargeByBook& expected, const std::optional<Mass>& full, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    auto from = !expected.begins_full
                    ? fmt::format("since the initial charge {} of {}", expected.since, date_text(*expected.on))
                : expected.since.empty()
                    ? "if it was full at first"
                    : fmt::format("if the addition {} of {} made it full", expected.since, date_text(*expected.on));
    if (!expected.put_in.is_zero() || !expected.taken_out.is_zero())
        from += fmt::format(": put in {}, taken out {}{}", m(expected.put_in), m(expected.taken_out),
                            expected.begins_full && !expected.since.empty() ? " since" : "");
    std::string out = fmt::format("by the book it holds {}", m(expected.mass));
    if (full) out += fmt::format(" of a full charge of {}", m(*full));
    if (full && *full < expected.mass) out += fmt::format(", {} MORE than it takes", m(expected.mass - *full));
    if (Mass() < expected.beyond)
        from += fmt::format("; it was {} more than the book missed: that had leaked out before, or it is too much",
                            m(expected.beyond));
    return out + fmt::format(" ({})", from);
}

}  // namespace tarebook::report
