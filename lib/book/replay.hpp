// Judges events in total order on the states of their cylinders: fresh events, and stored events that another event
// changes, until the states are equal to the stored ones (I5). The state of a cylinder is read once, at the first event
// that touches it; behind its last step nothing is read.
#pragma once

#include <array>
#include <map>

#include "chain_clock.hpp"
#include "judged_again.hpp"
#include "past.hpp"
#include "sink.hpp"
#include "to_judge.hpp"
#include "transaction.hpp"

namespace tarebook {

/// Events that have no place in the projections yet, by position; each is made when it is asked for.
class FreshEvents {
 public:
    FreshEvents() = default;
    FreshEvents(const FreshEvents&) = delete;
    FreshEvents& operator=(const FreshEvents&) = delete;
    virtual ~FreshEvents() = default;
    [[nodiscard]] virtual std::size_t size() const = 0;
    [[nodiscard]] virtual std::int64_t row(std::size_t p) const = 0;
    [[nodiscard]] virtual Place place(std::size_t p) const = 0;
    /// `out` may hold an earlier event, so that its memory is used again.
    virtual void make(std::size_t p, Event& out) const = 0;
    /// When the event with this number on the own chain is recorded, if it has no row yet.
    [[nodiscard]] virtual std::optional<Instant> recorded(std::int64_t /*seq*/) const { return std::nullopt; }
};

class Replay : public JudgedAgain {
 public:
    enum class From { past, nothing };  ///< nothing: no cylinder has a step yet
    Replay(Book::Impl& book, const Evaluator& evaluator, const Register& reg, const Ties& ties, Sink& sink, From from);

    /// Enqueues a stored event: it is judged anew, or taken out if it counts no more.
    void enqueue(std::int64_t row) override;
    void enqueue_statements(std::int64_t returned) override;
    using See = Book::Transaction::See;
    /// Precondition: the register, what counts and the ties have all changes already.
    void run(const FreshEvents& fresh, const See& see = {}, const std::function<void(double)>& progress = {});

    void enqueue(const ToJudge& rows) { queue_.insert(rows.begin(), rows.end()); }
    [[nodiscard]] std::size_t enqueued() const { return queue_.size(); }
    /// What is enqueued, so that it is judged by another replay.
    ToJudge take_enqueued() { return std::exchange(queue_, {}); }
    /// Judges what is enqueued, until `most` events were or one touches a cylinder that is not held. Those that are
    /// left wait (to_judge.hpp).
    void run_part(std::size_t most);

    /// Judges one event. Precondition: calls come in total order, and nothing was judged before. `name`: what events of
    /// other books call it.
    void pass(std::int64_t row, Event& event, const std::string& name = {});
    void finish();

 private:
    struct Cursor : PassedCylinder {
        std::int64_t account = 0;
        Place at{INT64_MIN, 0, 0};          // the place of the last step that is in the state
        bool read = false, at_end = false;  // at_end: there is no stored step behind `at`
        bool stands = false;                // there is a step at or before `at`
        bool changed = false;
        bool differs = false;  // the next stored step was judged on another state
        std::int64_t chunk = 2;
        std::deque<StoredStep> ahead;  // the next stored steps
    };
    struct Passing {
        std::int64_t row = 0;
        Place place;
        const Event& event;
        Rows before = Rows::fresh;
    };
    void pass(std::size_t position, std::int64_t row, Event& event, const std::string& name, const See& see);
    void again(std::int64_t row, const Place& place, const Event& event);
    void end();
    void touch(const Event& event, const Place& place);
    void move_to(Cursor& cursor, const std::string& code, const Place& place);
    bool fill(Cursor& cursor);
    std::optional<StoredStep> stored_at(Cursor& cursor, const Place& place);
    void follow(Cursor& cursor, const Place& place);
    void enqueue_alike(const Cursor& cursor, const Place& place, std::array<Mass, 2> amounts);
    [[nodiscard]] NearbyEvent read(const NearbyRow& kept, const std::string& cylinder) const;
    void write_step(const Passing& passing, std::size_t n, const Effect& effect, const StoredStep* stored);
    bool write_postings(const Passing& passing, const Outcome& outcome);
    void keep_sent(const Passing& passing, const Outcome* outcome, bool changed);
    std::optional<Sent> sent_to(std::int64_t statement, const Place& place);

    Book::Impl& book_;
    const Past past_;
    const Ties& ties_;
    Sink& sink_;
    const From from_;
    const Surroundings surroundings_;
    const EventStep step_;
    ChainClock clock_;
    std::optional<bool> any_ties_;  // asked once, at the first return
    ByCode<std::unique_ptr<Cursor>> cursors_;
    ToJudge queue_;
    Place last_{INT64_MIN, 0, 0};                          // place of the event that passes, or that passed last
    std::map<std::int64_t, std::optional<Sent>> returns_;  // returns with statements that passed
    // Of the event that passes:
    std::vector<std::string> codes_;
    std::vector<PassedCylinder*> touched_;
    std::vector<PostingRow> rows_;
};

}  // namespace tarebook
