#include "charge_by_book.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

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
// The day from which on the flows tell how much is in it: an addition that counts begins anew with the full charge, and
// what the one before it left says how much that addition was too much.
Date tells_from(const LeakRecord& record) {
    std::optional<Date> last;
    for (auto a = record.additions.rbegin(); a != record.additions.rend(); ++a) {
        if (!a->counts()) continue;
        if (last && a->on < *last) return a->on;
        last = a->on;
    }
    return beginning;
}

}  // namespace

std::optional<ChargeByBook> charge_by_book(const Book& book, const LeakRecord& record) {
    const auto& full = record.now.full_charge;
    std::optional<ChargeByBook> out;
    if (full) out = ChargeByBook{*full, {}, {}, true, {}, {}, {}};
    const LeakAddition* current = nullptr;  // of several events: what they did together made the appliance full
    Mass so_far;                            // what is in it by the book, within that addition
    bool before_was_first = false;          // an initial charge out of several cylinders is one
    std::map<std::string, const LeakAddition*> addition_with;  // by event: what had leaked out came back in
    for (const auto& a : record.additions)
        if (a.counts())
            for (const auto& source : a.sources) addition_with.emplace(source, &a);
    for (const auto& flow : book.flows(record.appliance, full ? tells_from(record) : beginning, last_day_of_all)) {
        const auto stored = book.event(flow.event_id);
        if (!stored || makes_up_for_purging(stored->event)) continue;
        const bool first = is_first_charge(stored->event);
        const auto it = !first && full ? addition_with.find(stored->name) : addition_with.end();
        const auto* addition = it == addition_with.end() ? nullptr : it->second;
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
