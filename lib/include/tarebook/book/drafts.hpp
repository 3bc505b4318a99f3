// Many drafts by number, in the order in which they shall stand in the chain. They are made one at a time when they are
// asked for, so that a million of them need no memory of their own.
#pragma once

#include <cstddef>

#include "tarebook/event/event.hpp"

namespace tarebook {

/// A list of drafts that are made when they are asked for.
class Drafts {
 public:
    Drafts() = default;
    Drafts(const Drafts&) = default;
    Drafts& operator=(const Drafts&) = default;
    virtual ~Drafts() = default;
    /// How many there are.
    [[nodiscard]] virtual std::size_t size() const = 0;
    /// When the i-th draft happened; drafts may come in any order of time.
    [[nodiscard]] virtual Instant at(std::size_t i) const = 0;
    /// Fills in the i-th draft, all but book, seq and previous. It is called more than once for the same draft, and
    /// always has the same result; `out` may hold an earlier draft, so that its memory is used again.
    virtual void make(std::size_t i, Event& out) const = 0;
};

}  // namespace tarebook
