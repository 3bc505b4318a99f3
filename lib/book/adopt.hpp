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

/// What counts now by trust and signed heads, against the column effective_to, which is set.
struct TrustChange {
    std::vector<std::int64_t> rows;  ///< events that count from now on
    std::vector<std::int64_t> gone;  ///< events that counted until now
};
TrustChange trust_change(Book::Impl& book);
/// Events that came to count, and events that do not any more, and whatever they concern. `came`: all that came in.
void project(Book::Impl& book, const Evaluator& evaluator, TrustChange counted, const ReadEvents& read = {},
             const IdBlock& came = {});
/// After events of the own chain said which books and branches count: what they make count comes out of quarantine.
void apply_trust_change(Book::Impl& book, const Evaluator& evaluator, const std::vector<Event>& said);

/// Notes which events lie beyond what counts, as the column effective_to says.
/// Only among those of the block where one is given.
void keep_ineffective(Book::Impl& book, const IdBlock& among = {INT64_MIN, INT64_MAX});

}  // namespace tarebook
