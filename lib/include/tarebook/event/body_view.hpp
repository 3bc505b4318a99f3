// An event as views of its canonical bytes: nothing is copied. For a walk over all events that shows each one once;
// event_from_body makes an Event of the same bytes, by the same reader.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/event/event.hpp"

namespace tarebook {

/// What every event has around the parts of its kind. A field that the event does not have is an empty view, as is one
/// that was written empty.
struct BodyView {
    std::int64_t seq = 0;
    std::string_view book, previous;  ///< in hex, as an Event has them in bytes
    Instant at{}, recorded{};
    std::chrono::minutes offset{};
    std::string_view date, zone, kind, by, job, scale, note, own_id, anyway;
    std::array<char, 5> time{};  ///< 14:30, the local clock
    std::vector<Accepted> accepted;
};

/// The masses of a Weighing, without the words that were typed.
struct WeighingMasses {
    std::optional<Mass> before, after, net;
};

/// Takes the parts of a kind, in the order of its list of fields; `key` is the name there. A function that is not
/// overridden does nothing. The values of a register entry are not handed over.
class BodyParts {
 public:
    BodyParts() = default;
    BodyParts(const BodyParts&) = delete;
    BodyParts& operator=(const BodyParts&) = delete;
    virtual ~BodyParts() = default;
    /// A text, or a word of an enumeration as it is written: "put-back".
    virtual void words(std::string_view /*key*/, std::string_view /*words*/) {}
    /// A weight: its exact mass.
    virtual void mass(std::string_view /*key*/, Mass /*mass*/) {}
    /// A weighing: at least one of its masses is there.
    virtual void weighing(std::string_view /*key*/, const WeighingMasses& /*masses*/) {}
    /// A whole number.
    virtual void number(std::string_view /*key*/, std::int64_t /*number*/) {}
    /// An amount of money: of a price, or one that is for all of it.
    virtual void money(std::string_view /*key*/, const Price& /*price*/) {}
    /// A flag that is set; one that is not set is not in the bytes.
    virtual void yes(std::string_view /*key*/) {}
};

/// Reads bodies one after another. Views are good until the next one is read, and no longer than the bytes of the body.
class BodyReader {
 public:
    /// Fills `e`, and hands the parts to `parts`. False where event_from_body would refuse the bytes: then what was
    /// handed over is to be dropped. An event of an unknown kind or version has no parts.
    bool read(std::string_view body, BodyView& e, BodyParts& parts);

 private:
    std::string decoded_;
};

}  // namespace tarebook
