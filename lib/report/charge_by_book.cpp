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
// The addition that counts and that the event is part of: what had leaked out came back in. Null for none.
const LeakAddition* addition_with(const LeakRecord& record, const std::string& event) {
    for (const auto& a : record.additions)
        if (a.counts() && std::find(a.sources.begin(), a.sources.end(), event) != a.sources.end()) return &a;
    return nullptr;
}

}  // namespace

std::optional<ChargeByBook> charge_by_book(const Book& book, const LeakRecord& record) {
    const auto& full = record.now.full_charge;
    std::optional<ChargeByBook> out;
    if (full) out = ChargeByBook{*full, {}, {}, true, {}, {}, {}};
    const LeakAddition* current = nullptr;  // of several events: what they did together made the appliance full
    Mass so_far;                            // what is in it by the book, within that addition
    bool before_was_first = false;          // an initial charge out of several cylinders is one
    for (const auto& flow : book.flows(record.appliance, beginning, Date(std::chrono::days(2'900'000)))) {
        const auto stored = book.event(flow.event_id);
        if (!stored || makes_up_for_purging(stored->event)) continue;
        const bool first = is_first_charge(stored->event);
        const auto* addition = !first && full ? addition_with(record, stored->name) : nullptr;
        if (first && !before_was_first) out = ChargeByBook{{}, stored->name, flow.date, false, {}, {}, {}};
        if (addition) {
            if (addition != current) so_far = out ? out->mass : *full;
            so_far += flow.mass;
            out = ChargeByBook{*full, stored->name, flow.date, true, std::max(Mass(), so_far - *full), {}, {}};
        }
        current = addition;
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
