// How events of other books come into the file, inside an open transaction: those that a key covers which this book
// trusts for them, each at its place; the others go into quarantine, where they take none.
#pragma once

#include <set>

#include "adopt.hpp"
#include "event_writer.hpp"
#include "quarantine.hpp"
#include "tarebook/book/merge.hpp"

namespace tarebook {

class TakeIn {
 public:
    /// `now`: of what is being recorded.
    TakeIn(Book::Impl& book, Instant now);

    /// A run of events up to its head. Error: books-look-alike, where another book that is here has an id that begins
    /// with the same 47 bits.
    Result<void> segment(const BookId& id, const std::string& key);
    /// Errors: own-id-twice, too-many-branches.
    Result<void> event(const Event& event, std::string_view body, const Digest& digest);
    void head(const Head& head, std::string_view signature);
    void snapshot(const BookId& id, const std::string& key, std::int64_t seq, std::string_view body);

    /// What lies in quarantine of a book, as far as it may come in now. What the book refuses stays there.
    void admit(const BookId& id);
    /// Of withdrawn books what came in may vouch for what lies in quarantine.
    void admit_what_follows();
    /// Says what counts now and judges what that concerns. `anew`: all of it; otherwise as little as can be.
    /// Events that count from now on.
    std::int64_t evaluate(const Evaluator& evaluator, bool anew = false);

    [[nodiscard]] std::int64_t added() const;
    [[nodiscard]] const IdBlock& came() const { return came_; }
    std::vector<MergedBook> books;
    bool quarantine_changed = false;
    bool register_came = false;  ///< one that is in force
    bool register_quarantined = false, register_not_kept = false;

 private:
    /// Whether what a key covers comes in: all of it, none, or what the last event that counts vouches for.
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
    /// Where the event lies already; 0 where it does not.
    std::int64_t where_is(const Event& e, const Digest& digest);
    bool fits(std::int64_t origin, const Event& e, const Digest& digest);
    bool may_grow(std::int64_t origin) const {
        return origin != book_.own_origin && !book_.origins.at(origin).is_apart();
    }
    /// Sets apart what no trusted key covers any more, and puts back what one covers again. True where all projections
    /// have to be made anew.
    bool sort_out();
    Result<std::int64_t> place_of(const Event& e, const Digest& digest);
    Result<void> refuse_look_alike(const BookId& id) const;
    Result<void> put(const Event& e, std::string_view body, const Digest& digest);
    void put_head(const Head& head, std::string_view signature);
    void hold(const Event& e, std::string_view body, const Digest& digest);
    /// Puts what of the run may come in, all of that or nothing; the run is left with the rest.
    bool admit(Waiting& run, Covered covered);
    bool put_up_to(const Waiting& run, std::int64_t until);
    [[nodiscard]] std::int64_t vouched_for(const Waiting& run);
    MergedBook& now() { return books.back(); }

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
    ReadEvents read_;  // of the new ones, as many as memory shall hold
};

}  // namespace tarebook
