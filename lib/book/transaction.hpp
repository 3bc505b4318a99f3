// How events are judged and committed. Inside the library only: `record` stands before it, so that nothing is committed
// that the checks have not judged.
#pragma once

#include "tarebook/book/book.hpp"

namespace tarebook {

/// One command is one transaction (I6): judge the drafts on the state as it would be, then commit all or leave all.
class Book::Transaction {
 public:
    /// Takes the book's write lock, waiting for it: what is asked of the book from now on, until this goes, is what
    /// the drafts are judged and committed on.
    static Transaction begin(Book& book);
    Transaction(Transaction&&) noexcept;
    Transaction& operator=(Transaction&&) = delete;
    ~Transaction();  ///< leaves the book as it was unless committed

    /// Gives the drafts their book and sequence, and evaluates them and whatever they touch downstream.
    /// The outcomes are those of the drafts, in their order.
    std::vector<Outcome> judge(std::vector<Event>& drafts, const Evaluator& evaluator);
    /// Writes bodies, chain, signed head and the findings as they now stand in `outcomes`; then commits.
    /// Where a draft changes which events count (trust, withdraw, a branch that is dropped), all is judged anew.
    std::vector<StoredEvent> commit(std::vector<Event>& drafts, const std::vector<Outcome>& outcomes,
                                    const Evaluator& evaluator);

    /// Sees a draft's event and its outcome; what it takes on (`accepted`, `anyway`) goes into the body.
    using See = std::function<void(std::size_t position, Event& event, Outcome& outcome)>;
    /// As judge, for many drafts, wherever in time they lie: they are made when they are asked for, and `see` is told
    /// of each in total order. `which` are the drafts to take, in the order of the chain; the drafts must live until
    /// commit_many.
    void judge_many(const Drafts& drafts, std::vector<std::uint32_t> which, const Evaluator& evaluator, const See& see,
                    const std::function<void(double)>& progress = {});
    /// Writes what judge_many judged; then commits.
    Head commit_many(const std::function<void(double)>& progress = {});

 private:
    friend class Book;
    friend class Merging;
    struct Work;
    explicit Transaction(std::unique_ptr<Work> work);
    std::unique_ptr<Work> work_;
};

}  // namespace tarebook
