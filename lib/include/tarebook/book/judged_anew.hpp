// A book on a server in which much counts, or counts no more, at once: a word of trust, a withdrawal, a change of an
// owner. What counts is written in one transaction; the events that this concerns are judged anew in parts, so that
// desks do not stand still. Until that is done, pages show those events as they were judged before.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// How far that is.
struct JudgedAnew {
    std::int64_t waiting = 0;   ///< events that still wait
    std::int64_t at_first = 0;  ///< so many there were
    /// "being judged anew: 812 of 9 000 events wait; until then pages show them as they were before"
    [[nodiscard]] std::string text() const;
};
/// Nothing where no event waits, as in each file.
[[nodiscard]] std::optional<JudgedAnew> being_judged_anew(const Book& book);
/// The refusal of what needs all events judged; nothing where no event waits.
[[nodiscard]] std::optional<Error> not_while_judged_anew(const Book& book);
/// Whether a recording of this Book made events wait.
[[nodiscard]] bool has_put_off(const Book& book);

/// What to do where other programs have all the cylinders that a part needs.
enum class WhenHeld { wait, leave };
/// Judges what waits, in parts of a transaction each, until nothing waits or `go_on` says no. A part holds the
/// cylinders of its events alone. Precondition: opened to record.
void judge_anew(Book& book, const Evaluator& evaluator, const std::function<bool(const JudgedAnew&)>& go_on,
                WhenHeld held = WhenHeld::wait);

}  // namespace tarebook
