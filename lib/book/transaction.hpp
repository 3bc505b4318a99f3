// Judges and commits events. Inside the library only: commands call `record`, so that nothing is committed that the
// checks have not judged.
#pragma once

#include "engine.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook {

/// One command is one transaction (I6): it judges the drafts on the state with them, then commits all or none.
class Book::Transaction {
 public:
    /// Waits for the book's write lock and takes it. Until the destructor, nothing changes that the drafts are judged
    /// and committed on.
    static Transaction begin(Book& book, const Hold& hold = {});
    /// Whether recordings of this book may hold a part of it: on a server.
    static bool holds_parts(const Book& book);
    /// What a recording of these drafts has to hold. A draft that names another event names it by its whole digest.
    static Hold hold_for(const Book& book, const std::vector<Event>& drafts);
    /// Thrown by all that follows: another recording came in between, or this one reaches further than what it holds.
    /// Nothing was written, and the same again, with `hold`, may go through.
    struct Again : StorageError {
        Again(const std::filesystem::path& book, Hold wanted, const std::string& why);
        Hold hold;
    };
    Transaction(Transaction&&) noexcept;
    Transaction& operator=(Transaction&&) = delete;
    ~Transaction();  ///< rolls back unless committed

    /// Gives the drafts their book and number, and evaluates them and the events that they change. Returns the outcomes
    /// of the drafts, in their order.
    std::vector<Outcome> judge(std::vector<Event>& drafts, const Evaluator& evaluator);
    /// Writes bodies, chain, signed head and the findings in `outcomes`; then commits. If a draft changes which events
    /// count (trust, withdraw, a dropped branch), all is judged anew.
    std::vector<StoredEvent> commit(std::vector<Event>& drafts, const std::vector<Outcome>& outcomes,
                                    const Evaluator& evaluator);

    /// Gets a draft's event and its outcome. What it accepts (`accepted`, `anyway`) goes into the body.
    using See = std::function<void(std::size_t position, Event& event, Outcome& outcome)>;
    /// As judge, for many drafts in any order of time. They are made when they are asked for, and `see` gets each in
    /// total order. `which`: the drafts to take, in the order of the chain. Precondition: the drafts live until
    /// commit_many.
    void judge_many(const Drafts& drafts, std::vector<std::uint32_t> which, const Evaluator& evaluator, const See& see,
                    const std::function<void(double)>& progress = {});
    /// Writes what judge_many judged; then commits.
    Head commit_many(const std::function<void(double)>& progress = {});

    static Impl& impl_of(const Book& book) { return *book.impl_; }

    struct Work;  ///< what is open: defined in work.hpp

 private:
    friend class Book;
    friend class Merging;
    explicit Transaction(std::unique_ptr<Work> work);
    std::unique_ptr<Work> work_;
};

}  // namespace tarebook
