// What was recorded before another event, on its chain and by what its book had received: by that a clock is seen that
// went back, or ran ahead. A function of the chain and of the rows before it alone, whatever counts.
#pragma once

#include <functional>
#include <unordered_map>

#include "impl.hpp"

namespace tarebook {

class ChainClock {
 public:
    /// What is being recorded and lies in no row yet, by its number on the own chain.
    using Unstored = std::function<std::optional<Instant>(std::int64_t seq)>;
    explicit ChainClock(Book::Impl& book) : book_(book) {}
    void look_in(Unstored unstored) { unstored_ = std::move(unstored); }
    /// Nothing where that one is not here. Events mostly come in the order of their chains: then nothing is read.
    RecordedBefore before(const Event& event);

 private:
    std::optional<Instant> on_chain(std::int64_t origin, const Event& event);
    std::optional<Instant> recorded(std::int64_t origin, std::int64_t seq);
    std::optional<RecordedBefore::Received> received(const kinds::Merge& merge);
    struct Last {
        std::int64_t seq = 0;
        Instant recorded{};
    };
    Book::Impl& book_;
    Unstored unstored_;
    std::unordered_map<std::int64_t, Last> last_;  // that passed, by origin
};

}  // namespace tarebook
