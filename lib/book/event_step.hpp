// Judges one event on the states that it finds: what it does, and how it leaves its cylinders. The only place that puts
// together what an event is judged on: lots and levels, what other books recorded in the same hours, what a return
// sent, forks. Reads and writes no table.
#pragma once

#include <deque>
#include <functional>
#include <span>

#include "tarebook/ledger/ledger.hpp"

namespace tarebook {

/// An event that was recorded of a cylinder. Its name is looked up only where another event is close to it.
struct NearbyRow {
    NearbyEvent event;
    std::int64_t row = 0;  ///< 0 if it has a name already
    bool read = true;      ///< false: of the event only `order` and `moved` are known
};
using NearbyRows = std::deque<NearbyRow>;
/// Adds one, and removes those that no later event can reach.
void remember_nearby(NearbyRows& rows, NearbyRow nearby);

/// A cylinder while events pass over it.
struct PassedCylinder {
    CylinderState state;
    NearbyRows near;  ///< events of the last hours; where there is one book, those that moved something
};

/// What an event can meet in the file.
struct Surroundings {
    std::function<std::string(const NearbyRow&)> name;         ///< "E12", or digits of a digest
    std::function<std::optional<Fork>(const Event&)> fork_at;  ///< set where the event is the first of a branch
    /// Reads the event of a row that was not read, as it is to a cylinder.
    std::function<NearbyEvent(const NearbyRow&, const std::string& cylinder)> read;
    bool several_books = true;
};

class EventStep {
 public:
    /// `surroundings`: null where an event shall meet no other one.
    EventStep(const Evaluator& evaluator, const Register& reg, const Surroundings* surroundings)
        : evaluator_(evaluator), reg_(reg), surroundings_(surroundings) {}

    /// `cylinders`: those of cylinders_of(event), in its order. Their states are moved into the evaluation; leave()
    /// puts them back as the event left them. `recorded_before`: see ChainClock.
    [[nodiscard]] Outcome judge(const Event& event, std::span<const std::string> codes,
                                std::span<PassedCylinder* const> cylinders, std::optional<Sent> sent,
                                const RecordedBefore& recorded_before = {}) const;
    /// Puts the states of the outcome back into the cylinders. A later event finds this one by `row`, or by its name.
    void leave(const Event& event, Outcome&& outcome, std::span<PassedCylinder* const> cylinders, std::int64_t row,
               const std::string& name) const;

 private:
    void meet(const OrderKey& order, const std::string& cylinder, Mass amount, NearbyRows& near, States& before) const;

    const Evaluator& evaluator_;
    const Register& reg_;
    const Surroundings* surroundings_;
};

/// What a return did, as a statement about it needs it.
Sent sent_by(const Event& event, const kinds::Return& what, std::span<const Posting> postings);

}  // namespace tarebook
