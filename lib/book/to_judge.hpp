// What waits to be judged anew in a book on a server: the queue of a replay, kept in a table (schema/office/0003) so
// that it is worked off in parts (judge_anew.cpp). A file has none.
#pragma once

#include <map>

#include "impl.hpp"
#include "tarebook/book/judged_anew.hpp"

namespace tarebook {

/// Rows of events, by the places of their steps.
using ToJudge = std::map<Place, std::int64_t>;

/// Whether so many events wait, rather than being judged in the open recording: it holds all of a book on a server, and
/// they are more than such a recording judges again.
bool too_many_at_once(Book::Impl& book, std::size_t events);
/// From now on these wait, too.
void put_off(Book::Impl& book, const ToJudge& events);
/// From now on all events of the book wait.
void put_off_all(Book::Impl& book);
/// After all was judged in the open recording.
void nothing_waits(Book::Impl& book);
/// Whether any event waits. False for a file.
bool anything_waits(Book::Impl& book);
std::optional<JudgedAnew> being_judged_anew(Book::Impl& book);
/// One of those that wait is refused by the arithmetic of masses, and those behind it wait for it. A word of trust may
/// take it out: the next one judges all of the book.
void note_stuck(Book::Impl& book);
bool is_stuck(Book::Impl& book);
/// Throws Refused (being-judged-anew) while any event waits.
void refuse_while_judged_anew(Book::Impl& book);

}  // namespace tarebook
