// One event as a row of a table, by column.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/event/body_view.hpp"

namespace tarebook::report {

// The fields of a row; those that the event does not have are empty.
struct EventRow {
    std::int64_t seq = 0;
    Instant recorded{};
    std::string_view date, time, zone, kind, by, job, scale, note, own_id, anyway;
    std::string_view circuit, cylinder, other_cylinder, party, refrigerant, condition, reason;
    std::optional<Mass> before, after, net, gross, other_before, other_after;
};

/// Reads bodies one after another. The views of a row are valid until the next read, and as long as the body.
class EventRowReader {
 public:
    /// A row without a kind for bytes that are no event.
    EventRow read(std::string_view body);

 private:
    BodyReader reader_;
    BodyView event_;
    std::string service_;  // what row.note views, of service work
};

}  // namespace tarebook::report
