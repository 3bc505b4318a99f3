// Evaluates events again, in total order, as far as their states differ from what the projections say.
#pragma once

#include <map>
#include <set>
#include <stdexcept>

#include "impl.hpp"
#include "scan.hpp"

namespace tarebook {

class Refold {
 public:
    Refold(Book::Impl& book, const Evaluator& evaluator);
    /// Rows that have no place yet and get one by other means.
    void leave_out(const std::set<std::int64_t>& rows) { left_out_ = &rows; }
    void look_again(std::int64_t event_id);                      ///< one that the book has
    void look_again(std::int64_t event_id, const Event& event);  ///< a draft; it must outlive run()
    void register_changed(const RegisterChange& change);
    void take_out(const StoredEvent& target);
    /// What is known of a return changed: the statements about it are looked at again.
    void statements_changed(std::int64_t return_id);
    void run();
    Outcome outcome_of(std::int64_t draft_id) { return std::move(fresh_outcomes_[draft_id]); }

 private:
    void evaluate(std::int64_t event_id);
    CylinderState state_before(const std::string& cylinder, const OrderKey& order);
    void enqueue_next(const std::string& cylinder, const OrderKey& order);
    /// Whether they are others than before.
    bool replace_postings(std::int64_t event_id, const Event& event, const std::vector<Posting>& postings);
    void untie_statement(std::int64_t statement_id);
    std::optional<WithoutEntry> without_entry(const kinds::Void& what, const OrderKey& order);
    /// The state of a cylinder changed, or its entry: voids of its entry are looked at again.
    void voids_changed(const std::string& cylinder);
    std::optional<Sent> sent_to(std::int64_t statement_id, const OrderKey& order);

    Book::Impl& book_;
    const Evaluator& evaluator_;
    const std::set<std::int64_t>* left_out_ = nullptr;
    std::map<OrderKey, std::int64_t> queue_;
    std::map<std::int64_t, const Event*> fresh_;
    std::map<std::int64_t, Outcome> fresh_outcomes_;
    std::optional<std::multimap<std::string, std::int64_t, std::less<>>> voided_entries_;  // voids, by cylinder
    std::set<std::int64_t> moved_on_;  // cylinders whose steps changed
};

/// What the evaluation throws of a mass that no book can hold names the event, where it is another book's.
template <class F>
auto naming_event(Book::Impl& book, std::int64_t event_id, const Event& event, F&& evaluation) {
    try {
        return evaluation();
    } catch (const std::overflow_error& e) {
        if (event.book == book.info.id) throw;
        throw std::overflow_error("event " + book.name_of_row(event_id) + " of book " + hex(event.book).substr(0, 12) +
                                  ": " + e.what());
    }
}
/// Notes that an event, a void or a statement, names another one by its digest.
void add_naming(Book::Impl& book, const Digest& named, std::int64_t event_id);
/// Notes that a statement is about a return.
void tie_statement(Book::Impl& book, std::int64_t statement_id, const OrderKey& order, std::int64_t return_id);

/// Rows of events whose place in the chain is set.
class EventWriter {
 public:
    enum class Rows { few, many };
    explicit EventWriter(Book::Impl& book, Rows rows = Rows::few);
    Digest write(std::int64_t id, const Event& event);
    void flush();  ///< many rows are in the table once it has returned

 private:
    Book::Impl& book_;
    std::optional<Insert> few_;
    std::optional<InsertMany> many_;
};
void write_findings(Book::Impl& book, std::int64_t event_id, const std::vector<Finding>& findings);
void sign_head(Book::Impl& book, std::int64_t seq, const Digest& digest);

}  // namespace tarebook
