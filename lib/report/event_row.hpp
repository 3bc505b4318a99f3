// One event as a row of a table: what it says, by column.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/event/body_view.hpp"

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
    /// Of bytes that are no event a row without a kind.
    EventRow read(std::string_view body);

 private:
    BodyReader reader_;
    BodyView event_;
};

}  // namespace tarebook::report
