// Takes events of other books into the file, inside an open transaction. Events that a key covers which this book
// trusts for them get their places; the others go into quarantine, which takes no place.
#pragma once

#include <set>

#include "adopt.hpp"
#include "event_writer.hpp"
#include "quarantine.hpp"
#include "tarebook/book/merge.hpp"

namespace tarebook {

class TakeIn {
 public:
    /// `now`: the moment of what is being recorded.
    TakeIn(Book::Impl& book, Instant now);

    /// Begins a run of events, which its head ends. Error: books-look-alike, if another book in the file has an id that
    /// begins with the same 47 bits.
    Result<void> segment(const BookId& id, const std::string& key);
    /// Errors: own-id-twice, too-many-branches.
    Result<void> event(const Event& event, std::string_view body, const Digest& digest);
    void head(const Head& head, std::string_view signature);
    void snapshot(const BookId& id, const std::string& key, std::int64_t seq, std::string_view body,
                  std::string_view signature);
    void person(const PersonName& person);
    /// Keeps the names that came whose codes are in events that are here. Precondition: what came was evaluated.
    void keep_names();

    /// Takes in what quarantine has of a book, as far as it may come in now. What the book refuses stays in quarantine.
    void admit(const BookId& id);
    /// Takes in of withdrawn books what the events that came in vouch for.
    void admit_what_follows();
    /// Writes down what counts now, and judges what that concerns; with `anew` all of the book. Returns how many events
    /// count from now on.
    std::int64_t evaluate(const Evaluator& evaluator, bool anew = false, Much much = Much::at_once);

    [[nodiscard]] std::int64_t added() const;
    [[nodiscard]] const IdBlock& came() const { return came_; }
    std::vector<MergedBook> books;
    bool quarantine_changed = false;
    bool names_came = false;     ///< of people
    bool register_came = false;  ///< a register came that is in force
    bool register_quarantined = false, register_not_kept = false;

 private:
    /// What comes in of a run under a key: all of it, none, or what the last event that counts vouches for.
    enum class Covered { all, none, up_to_withdrawal };
    struct Held {
        Waiting run;
        bool too_large = false;
        bool here_already = true;
    };

    [[nodiscard]] Covered covered(const BookId& id, const std::string& key) const;
    std::optional<Digest> digest_at(std::int64_t origin, std::int64_t seq);
    Digest previous_of(std::int64_t origin, std::int64_t seq);
    std::int64_t last_of(std::int64_t origin);
    struct Branches {
        BookId book{};
        std::vector<std::int64_t> chain, apart;
    };
    const Branches& branches_of(const BookId& id);
    /// The origin that has the event already; 0 if none has.
    std::int64_t where_is(const Event& e, const Digest& digest);
    bool fits(std::int64_t origin, const Event& e, const Digest& digest);
    bool may_grow(std::int64_t origin) const {
        return origin != book_.own_origin && !book_.origins.at(origin).is_apart();
    }
    /// Sets apart what no trusted key covers any more, and puts back what one covers again. True if all projections
    /// have to be made anew.
    bool sort_out(const std::vector<std::int64_t>& without_projections = {});
    Result<std::int64_t> place_of(const Event& e, const Digest& digest);
    Result<void> refuse_look_alike(const BookId& id) const;
    Result<void> put(const Event& e, std::string_view body, const Digest& digest);
    void put_head(const Head& head, std::string_view signature);
    void hold(const Event& e, std::string_view body, const Digest& digest);
    /// Takes in the part of the run that may come in, all of it or nothing; the rest stays in `run`.
    bool admit(Waiting& run, Covered covered);
    bool put_up_to(const Waiting& run, std::int64_t until);
    [[nodiscard]] std::int64_t vouched_for(const Waiting& run);
    MergedBook& now() { return books.back(); }
    std::map<std::string, PersonName> names_;  // by code

    Book::Impl& book_;
    const Instant time_;
    const std::map<BookId, Trusted> trusted_;
    EventWriter events_;
    IdBlock came_;
    std::int64_t origin_ = 0;  // of the last event that came
    std::int64_t first_of_run_ = 0;
    std::optional<Branches> branches_;
    std::map<std::int64_t, std::int64_t> last_;
    Covered now_covered_ = Covered::none;
    std::optional<Held> held_;
    std::set<BookId> grown_;
    ReadEvents read_;  // of new events, as many as memory shall hold
};

}  // namespace tarebook
