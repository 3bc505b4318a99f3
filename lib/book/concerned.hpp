// What has to be looked at again where an event comes, or does not count any more, beyond the states that it changes: a
// word about the register, a statement, a void.
#pragma once

#include <set>

#include "replay.hpp"

namespace tarebook {

class Concerned {
 public:
    Concerned(Book::Impl& book, Replay& replay) : book_(book), replay_(replay) {}
    /// The register is as it shall be already.
    void register_changed(const RegisterChange& change);
    /// An event that counted until now.
    void retract(const StoredEvent& target);
    /// An event that counts from now on names a return.
    void tie(std::int64_t statement, const Place& place, std::int64_t returned);
    /// A return that does not count any more: whatever said something about it.
    void untie_all(std::int64_t returned);
    /// What looks through a whole table does so once, at the end.
    void finish();

 private:
    template <class... T>
    void collect(const char* sql, const T&... values);
    void owner_changed(const RegisterChange& change);
    void look_at_place(const std::string& code);
    void look_through_bodies();
    void look_at_owners();

    Book::Impl& book_;
    Replay& replay_;
    std::set<std::string, std::less<>> codes_;   // of what any event may name
    std::set<std::string, std::less<>> owners_;  // whose group may be another
};

/// Whether anything was judged yet: a release or an outside charge touches no cylinder, it has postings and no step.
bool book_has_events(Book::Impl& book);
/// Notes that an event, a void or a statement, names another one by its digest.
void add_naming(Book::Impl& book, const Digest& named, std::int64_t event_id);
/// A void names an event: it takes the event out of count, unless that is a void itself or lies in no trusted part. Of
/// several voids the first in order is the one that is noted. Returns whether the event counted until now.
bool note_void(Book::Impl& book, std::int64_t target, std::int64_t void_row, const Place& place);
/// Whether the row is a return that may be settled.
bool is_return(Book::Impl& book, std::int64_t row);

}  // namespace tarebook
