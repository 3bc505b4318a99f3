// An event as it lies in its canonical bytes: views, nothing copied. For a walk over all events that shows each one
// once; event_from_body makes an Event of the same bytes, by the same reader.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/event/event.hpp"

namespace tarebook {

/// The envelope. Absent words are empty, and so are those that were written empty.
struct BodyView {
    std::int64_t seq = 0;
    std::string_view book, previous;  ///< in hex, as an Event has them in bytes
    Instant at{}, recorded{};
    std::chrono::minutes offset{};
    std::string_view date, zone, kind, by, job, scale, note, own_id, anyway;
    std::array<char, 5> time{};  ///< 14:30, the local clock
    std::vector<Accepted> accepted;
};

struct WeighingMasses {
    std::optional<Mass> before, after, net;
};

/// Takes the parts of a kind, in the order of its list of fields. What is not overridden is let go.
class BodyParts {
 public:
    BodyParts() = default;
    BodyParts(const BodyParts&) = delete;
    BodyParts& operator=(const BodyParts&) = delete;
    virtual ~BodyParts() = default;
    virtual void words(std::string_view /*key*/, std::string_view /*words*/) {}  ///< the fixed ones, too
    virtual void mass(std::string_view /*key*/, Mass /*mass*/) {}
    virtual void weighing(std::string_view /*key*/, const WeighingMasses& /*masses*/) {}
    virtual void yes(std::string_view /*key*/) {}
};

/// Reads bodies one after another. Views live until the next one is read, or as long as the body does.
class BodyReader {
 public:
    /// False where event_from_body refuses the bytes; what was handed over until then means nothing. A kind or version
    /// that this program does not know has an envelope and no parts.
    bool read(std::string_view body, BodyView& e, BodyParts& parts);

 private:
    std::string decoded_;
};

}  // namespace tarebook
