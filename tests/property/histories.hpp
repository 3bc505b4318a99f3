// Random histories of an invented shop: two owners, three sites, four appliances, eight cylinders, and everything that
// moves mass between them, in the units people type, at moments that do not follow the order of recording.
//
// A history is a list of steps, each a handful of small numbers that are turned into an event by a fixed recipe; so
// RapidCheck can drop steps and lower numbers until the smallest history that fails is left.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/event/event.hpp"

namespace tarebook::property {

using Step = std::vector<int>;  ///< dice from 0 to 999; those that are missing count as 0

enum class Moments {
    may_coincide,  ///< few instants, so that book and sequence decide the order
    distinct       ///< no two events at one instant, so that the order of recording must not matter at all
};

/// An event as it is before a book takes it: without book, sequence and predecessor. A void or a statement names its
/// target by place in the history, because the target's digest is not known before it is recorded.
struct Draft {
    Event event;
    std::optional<std::size_t> target;
    std::string text;  ///< for the report of a failing history
};
using History = std::vector<Draft>;

/// The register of the shop as entry events, then one event a step.
History history_from(const std::vector<Step>& steps, Moments moments);
std::vector<std::string> cylinder_codes();

/// Makes a complete event of the draft: `recorded` are the digests of the drafts recorded so far, by place in the
/// history. A void or statement whose target is not recorded yet has no sense; callers record targets first.
Event with_target(const Draft& draft, const std::vector<std::string>& recorded);

/// The history as two books would have recorded it, with chained digests.
std::vector<Event> recorded_in_two_books(const History& history);

/// The order of recording, shuffled by the dice, with every void and statement after its target.
std::vector<std::size_t> shuffled(const History& history, unsigned dice);

std::string description(const History& history);

}  // namespace tarebook::property
