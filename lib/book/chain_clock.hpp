// When the event before another one on its chain was recorded (a `typist` between them is passed over), and what its
// book had received by then: this shows a clock that went back, or that ran ahead. A function of the chain and of the
// rows before it alone, independent of which events count.
#pragma once

#include <functional>
#include <unordered_map>

#include "impl.hpp"

namespace tarebook {

class ChainClock {
 public:
    /// When an event that is being recorded, and has no row yet, was recorded; by its number on the own chain.
    using Unstored = std::function<std::optional<Instant>(std::int64_t seq)>;
    explicit ChainClock(Book::Impl& book) : book_(book) {}
    void look_in(Unstored unstored) { unstored_ = std::move(unstored); }
    /// Empty where the event before it is not here. Events mostly come in the order of their chains: then nothing is
    /// read.
    RecordedBefore before(const Event& event);

 private:
    std::optional<Instant> on_chain(std::int64_t origin, const Event& event);
    std::optional<Instant> recorded_up_to(std::int64_t origin, std::int64_t seq);
    std::optional<RecordedBefore::Received> received(const kinds::Merge& merge);
    struct Last {
        std::int64_t seq = 0;
        std::optional<Instant> recorded;  ///< of a `typist` that of the event before it
    };
    Book::Impl& book_;
    Unstored unstored_;
    std::unordered_map<std::int64_t, Last> last_;  // the last event that passed, by origin
};

}  // namespace tarebook
