// What the record has or lacks.
#include <fmt/format.h>

#include "all_checks.hpp"
#include "tarebook/checks/draft_form.hpp"

namespace tarebook::checks {
namespace {

// How far the clocks of two devices may differ, or one clock before and after it is set right (common practice, no
// source).
constexpr std::chrono::minutes clock_tolerance{15};

Finding quiet(const std::string& subject, std::string text, std::string next) {
    return {.check = {},
            .subject = subject,
            .text = std::move(text),
            .seen = {},
            .expected = {},
            .next = std::move(next),
            .question = {},
            .accepted = {}};
}

std::string local(const Context& c, Instant at) {
    return moment_text({at, c.event.when.offset, c.event.when.zone});
}

// The circuit that the shop's own people opened; empty if none was opened, or if others did the work.
std::string circuit_opened(const Context& c) {
    if (const auto* k = c.as<kinds::Recover>()) return k->circuit;
    if (const auto* k = put_of(c.event); k && !k->from.starts_with("outside:")) return k->circuit;
    return {};
}

}  // namespace

// A recording refuses an event without the form of its kind, so only one from a bundle can lack it.
Findings malformed(const Context& c) {
    Findings out;
    for (auto& error : form_problems_on_every_machine(c.event))
        out.push_back(about(std::string(c.event.kind()), std::move(error.what),
                            error.seen.empty() ? "nothing" : std::move(error.seen), std::move(error.expected),
                            "in the book that recorded it: void it, and record what it should have said"));
    return out;
}

// A late entry is no such case: it tells of an earlier time, and is recorded now.
Findings clock_went_back(const Context& c) {
    const auto& before = c.before.recorded_before.on_chain;
    if (!before || *before - c.event.recorded <= clock_tolerance) return {};
    const auto now = local(c, c.event.recorded), then = local(c, *before);
    return {
        about(std::string(c.event.kind()),
              fmt::format("recorded at {}, after an event that was recorded at {}: the clock had run ahead, or was "
                          "set back",
                          now, then),
              now, "a clock that goes on from " + then,
              "find out which of the two times is right; void what has the wrong time, and record it again with --at")};
}

// The bundle was recorded later than it was received: one of the two devices has a wrong clock.
Findings clock_ahead(const Context& c) {
    const auto& received = c.before.recorded_before.received;
    if (!received || received->recorded - c.event.recorded <= clock_tolerance) return {};
    const auto book = hex(received->book).substr(0, 12);
    const auto now = local(c, c.event.recorded), then = local(c, received->recorded);
    return {about(book,
                  fmt::format("received at {} from book {}, which recorded it at {}: its clock runs ahead, or this "
                              "device's is slow",
                              now, book, then),
                  then, "a time up to 15 minutes after " + now,
                  "set the clock that is wrong; void what that device dated wrongly, and record it again with --at")};
}

Findings future_time(const Context& c) {
    const auto ahead = c.event.when.at - c.event.recorded;
    if (ahead <= clock_tolerance) return {};
    const Moment now{c.event.recorded, c.event.when.offset, c.event.when.zone};
    return {{.check = {},
             .subject = std::string(c.event.kind()),
             .text = fmt::format("{} is in the future: it is {} now", moment_text(c.event.when), moment_text(now)),
             .seen = moment_text(c.event.when),
             .expected = "a time up to 15 minutes from now",
             .next = "check the date and the time zone that were given, and this device's clock",
             .question = fmt::format("{} is in the future: is that the right time?", moment_text(c.event.when)),
             .accepted = {}}};
}

namespace {
Mass moved_out_of(const Context& c, const std::string& cylinder) {
    const auto* e = c.effect(cylinder);
    return e ? e->moved : Mass();
}
}  // namespace

Findings full_charge_exceeded(const Context& c) {
    const auto* k = c.as<kinds::Recover>();
    if (!k) return {};
    const auto& place = c.place(k->circuit);
    const Mass gained = k->weighing.gained();
    if (!place || !place->full_charge || gained <= *place->full_charge) return {};
    return {{.check = {},
             .subject = place->appliance,
             .text = fmt::format("{} came out of {}, more than its full charge of {}", c.mass(gained), place->appliance,
                                 c.mass(*place->full_charge)),
             .seen = fmt::format("{} recovered", c.mass(gained)),
             .expected = fmt::format("at most {}", c.mass(*place->full_charge)),
             .next = "read the weights again; where they are right, correct the full charge with "
                     "`tarebook appliance correct`",
             .question = "correct the full charge basis?",
             .accepted = {}}};
}

Findings charge_exceeds_full_charge(const Context& c) {
    const auto* k = put_of(c.event);
    if (!k) return {};
    const auto& place = c.place(k->circuit);
    const Mass put_in = k->from.starts_with("outside:") ? k->weighing.gained().magnitude() : -moved_out_of(c, k->from);
    if (!place || !place->full_charge || put_in <= *place->full_charge) return {};
    return {
        about(place->appliance,
              fmt::format("{} went into {}, more than its full charge of {}", c.mass(put_in), place->appliance,
                          c.mass(*place->full_charge)),
              fmt::format("{} put in", c.mass(put_in)), fmt::format("at most {}", c.mass(*place->full_charge)),
              "read the weights again; where they are right, an overcharged system can break or burst: recover what "
              "is too much, or correct the full charge with `tarebook appliance correct`")};
}

Findings technician_not_on_record(const Context& c) {
    const auto circuit = circuit_opened(c);
    if (circuit.empty()) return {};
    if (!c.event.by)
        return {quiet(circuit, fmt::format("the technician who worked on {} is not on record", circuit),
                      "give it with --by")};
    if (c.reg.find(EntryKind::technician, *c.event.by)) return {};
    return {quiet(*c.event.by, fmt::format("technician {} is not on record", *c.event.by),
                  "add them with `tarebook technician add`")};
}

Findings certificate_not_on_record(const Context& c) {
    if (circuit_opened(c).empty() || !c.event.by) return {};
    const auto* technician = c.reg.find(EntryKind::technician, *c.event.by);
    if (!technician || technician->text("certificate", c.order)) return {};
    return {quiet(*c.event.by, fmt::format("the certificate of {} is not on record", *c.event.by),
                  "add it with `tarebook technician correct`")};
}

Findings drier_not_on_record(const Context& c) {
    const auto* k = c.as<kinds::Recover>();
    if (!k || k->drier) return {};
    return {quiet(k->circuit, "the drier on the recovery line is not on record", "give it with --drier")};
}

Findings vacuum_not_on_record(const Context& c) {
    const auto* k = c.as<kinds::Recover>();
    if (!k || k->vacuum) return {};
    return {quiet(k->circuit, fmt::format("the vacuum reached on {} is not on record", k->circuit),
                  "give it with --vacuum")};
}

}  // namespace tarebook::checks
