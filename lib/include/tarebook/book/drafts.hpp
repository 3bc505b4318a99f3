// Many drafts by number, in the order in which they shall stand in the chain. They are made one at a time when they are
// asked for, so that a million of them need no memory of their own.
#pragma once

#include <cstddef>

#include "tarebook/event/event.hpp"

namespace tarebook {

class Drafts {
 public:
    Drafts() = default;
    Drafts(const Drafts&) = default;
    Drafts& operator=(const Drafts&) = default;
    virtual ~Drafts() = default;
    [[nodiscard]] virtual std::size_t size() const = 0;
    /// The instant of the i-th draft: they may come in any order of time.
    [[nodiscard]] virtual Instant at(std::size_t i) const = 0;
    /// Fills in everything but book, seq and previous. Called more than once for the same draft, always with the same
    /// result; `out` may hold an earlier draft, so that its memory is used again.
    virtual void make(std::size_t i, Event& out) const = 0;
};

}  // namespace tarebook
