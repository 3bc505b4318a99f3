// Decides what is judged again when an event comes or counts no more, beyond the states that it changes: after a change
// of the register, a statement, a void.
#pragma once

#include <set>

#include "judged_again.hpp"
#include "past.hpp"

namespace tarebook {

class Concerned {
 public:
    Concerned(Book::Impl& book, JudgedAgain& again) : book_(book), again_(again) {}
    /// Precondition: the register has the change already.
    void register_changed(const RegisterChange& change);
    /// What an event set that counts no more. Precondition: the register lacks it already.
    void register_lacks(const RegisterChange& change);
    /// For an event that counted until now.
    void retract(const StoredEvent& target);
    /// For an event that counts from now on and names a return.
    void tie(std::int64_t statement, const Place& place, std::int64_t returned);
    /// For a return that counts no more: all statements about it.
    void untie_all(std::int64_t returned);
    /// Precondition: all changes are known. Searches that read a whole table run once, here.
    void finish();

 private:
    template <class... T>
    void collect(const char* sql, const T&... values);
    void owner_changed(const RegisterChange& change);
    void enqueue_place(const std::string& code);
    void place_changed(const RegisterChange& change);
    [[nodiscard]] bool is_at_a_changed_place(std::string_view body) const;
    void look_through_bodies();
    void enqueue_owners();

    Book::Impl& book_;
    JudgedAgain& again_;
    std::set<std::string, std::less<>> codes_;   // of entries that any event may name
    std::set<std::string, std::less<>> places_;  // sites and appliances that events without postings may name
    std::set<std::string, std::less<>> owners_;  // whose group may have changed
};

/// Whether any event was judged yet. A release or an outside charge touches no cylinder: it has postings and no step.
bool book_has_events(Book::Impl& book);
/// Notes that an event, a void or a statement, names another one by its digest.
void add_naming(Book::Impl& book, const Digest& named, std::int64_t event_id);
/// For a void that names an event: takes the event out of count, unless it is itself a void or does not count by trust.
/// Of several voids the first in order is noted. Returns whether the event counted until now.
bool note_void(Book::Impl& book, std::int64_t target, std::int64_t void_row, const Place& place);
/// Whether the row is a return that counts, so that a statement can be about it.
bool is_return(Book::Impl& book, std::int64_t row);

}  // namespace tarebook
