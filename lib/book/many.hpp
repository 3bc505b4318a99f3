// Events that pass the fold in memory, in their total order, and leave their rows behind.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "balances.hpp"
#include "impl.hpp"
#include "scan.hpp"
#include "touches.hpp"
#include "transaction.hpp"

namespace tarebook {

/// Events by number, made one at a time when they are asked for.
class ManySource {
 public:
    ManySource() = default;
    ManySource(const ManySource&) = delete;
    ManySource& operator=(const ManySource&) = delete;
    virtual ~ManySource() = default;
    [[nodiscard]] virtual std::size_t size() const = 0;
    [[nodiscard]] virtual std::int64_t row(std::size_t p) const = 0;
    [[nodiscard]] virtual OrderKey order(std::size_t p) const = 0;
    /// `out` may hold an earlier event, so that its memory is used again.
    virtual void make(std::size_t p, Event& out) const = 0;
};

class ManyFold {
 public:
    /// A cylinder while the events pass.
    struct Slot {
        CylinderState state;
        std::int64_t account = 0;
        bool stood = false;  ///< it has steps in the book
        OrderKey last;       ///< the last of them
        Touches touches;     ///< of the last hours; kept only where the file holds several books
    };
    ManyFold(Book::Impl& book, const ManySource& source, bool has_events);
    Slot& slot_of(const std::string& code);
    /// No event may lie before what the book has of its cylinders, and the register must be as it shall be.
    void run(const Evaluator& evaluator, const Book::Transaction::See& see,
             const std::function<void(double)>& progress = {});

 private:
    struct StepRow {
        std::int64_t account, at, origin, seq, event, moved, gap;
        std::size_t state, state_size;  // in the arena
    };
    void one(std::size_t p, Event& e, const Evaluator& evaluator, const Book::Transaction::See& see);
    std::int64_t account_of(const Posting& posting, const Outcome& outcome);
    void write_postings(std::int64_t id, const Event& e, const Outcome& outcome);
    void write_steps();
    void write_balances();

    Book::Impl& book_;
    const ManySource& source_;
    bool has_events_;
    std::vector<std::uint32_t> order_;  // positions, in total order
    ByCode<std::unique_ptr<Slot>> slots_;
    InsertMany postings_;
    std::vector<Slot*> touched_;  // by the event that passes, in the order of its effects
    std::vector<StepRow> steps_;
    std::string arena_;
    Balances balances_;
};

bool book_has_events(Book::Impl& book);

}  // namespace tarebook
