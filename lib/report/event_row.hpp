// One event as a row of a table: what it says, by column. Skimmed from the bytes where that is possible.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/event_skim.hpp"

namespace tarebook::report {

// What a row shows; whatever an event does not have stays empty.
struct EventRow {
    std::int64_t seq = 0;
    std::string_view date, time, zone, kind, by, job, scale, note, own_id, anyway;
    std::string_view circuit, cylinder, other_cylinder, party, refrigerant, condition, reason;
    std::optional<Mass> before, after, net, gross, other_before, other_after;
};

/// Reads bodies one after another. The views of a row live until the next one is read, or as long as the body does.
class EventRowReader {
 public:
    /// Whole events (with entries of the register among them) are read by event_from_body; `whole` then has it.
    EventRow read(std::string_view body);
    [[nodiscard]] const std::optional<Event>& whole() const { return whole_; }

 private:
    Skimmer skimmer_;
    SkimmedEvent skimmed_;
    std::optional<Event> whole_;
    std::string clock_;
};

}  // namespace tarebook::report
