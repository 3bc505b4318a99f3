// Gives events that are in the file already, of any book, their place in the projections.
#pragma once

#include <functional>
#include <unordered_map>

#include "impl.hpp"

namespace tarebook {

/// Events that are in memory already, by row.
using ReadEvents = std::unordered_map<std::int64_t, Event>;
/// Adds events that count and have no place in the projections yet, and judges again all that they concern. Events that
/// are not among `read` are read from the file.
void project(Book::Impl& book, const Evaluator& evaluator, std::vector<std::int64_t> rows, const ReadEvents& read = {});
/// Whether events are judged in the open recording, or wait until they are judged in parts (to_judge.hpp).
enum class Much { at_once, put_off };
/// Writes down which events count, then makes all projections anew from the bodies.
void project_all(Book::Impl& book, const Evaluator& evaluator, Much much = Much::at_once);

/// What trust and signed heads make count now, compared with the column effective_to, which is set.
struct TrustChange {
    std::vector<std::int64_t> rows;  ///< events that count from now on
    std::vector<std::int64_t> gone;  ///< events that counted until now
};
TrustChange trust_change(Book::Impl& book);
/// Adds events that came to count, takes out those that count no more, and judges again all that both concern. `came`:
/// all events that came in.
void project(Book::Impl& book, const Evaluator& evaluator, TrustChange counted, const ReadEvents& read = {},
             const IdBlock& came = {});
/// As project, but that the events which come to count, or count no more, wait. `sort_out` gets the rows that have no
/// projections yet, and may give events of other books another place; true: all of the book is to be judged anew.
void project_later(Book::Impl& book, const Evaluator& evaluator, TrustChange counted, const IdBlock& came,
                   const std::function<bool(const std::vector<std::int64_t>&)>& sort_out);
/// After events of other books got another place: moves their steps along. Returns the events beside which such a step
/// stands at one instant.
std::vector<std::int64_t> move_steps(Book::Impl& book);
/// For events of the own chain that say which books and branches count: takes what they make count out of quarantine.
void apply_trust_change(Book::Impl& book, const Evaluator& evaluator, const std::vector<Event>& said);

/// Writes the table `ineffective` from the column effective_to: events beyond it do not count. Only among those of the
/// block if one is given.
void keep_ineffective(Book::Impl& book, const IdBlock& among = {INT64_MIN, INT64_MAX});

}  // namespace tarebook
