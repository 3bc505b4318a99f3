// Events that lie in the file already, of whatever book: their place in the projections.
#pragma once

#include <unordered_map>

#include "impl.hpp"

namespace tarebook {

/// Events that somebody has in memory already, by row.
using ReadEvents = std::unordered_map<std::int64_t, Event>;
/// Adds events that count and have no place in the projections yet; whatever they concern is looked at again. What is
/// not among `read` is read from the file.
void project(Book::Impl& book, const Evaluator& evaluator, std::vector<std::int64_t> rows, const ReadEvents& read = {});
/// Writes down which events count, then makes all projections anew from the bodies.
void project_all(Book::Impl& book, const Evaluator& evaluator);

/// By what counts now: the column counted_to, and which events are kept uncounted.
struct Recount {
    std::vector<std::int64_t> rows;  ///< events that count from now on
    bool fewer = false;              ///< some do not count any more: project_all is due
};
Recount recount(Book::Impl& book);

/// Notes which events lie beyond what counts, as the column counted_to says.
/// Only among rows from `first_row` on where it is given.
void keep_uncounted(Book::Impl& book, std::int64_t first_row = 0);

}  // namespace tarebook
