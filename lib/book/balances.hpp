// Sums of postings by account and lot, for a pass over many events. Account numbers are dense and an account has few
// lots, so that a search through its lots costs less than a hash over all.
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <memory>
#include <utility>
#include <vector>

#include "tarebook/units/mass.hpp"

namespace tarebook {

class Balances {
 public:
    struct Sum {
        MassTotal mass;
        std::int64_t postings = 0;  ///< how many postings were summed
        [[nodiscard]] bool is_nothing() const { return mass.is_zero() && postings == 0; }
    };
    void add(std::int64_t account, std::int64_t lot, Mass posted) {
        auto& sum = at(account, lot);
        sum.mass += posted;
        ++sum.postings;
    }
    void take(std::int64_t account, std::int64_t lot, Mass posted) {
        auto& sum = at(account, lot);
        sum.mass -= posted;
        --sum.postings;
    }
    Sum& at(std::int64_t account, std::int64_t lot) {
        // -1: an account that the book does not have.
        const auto place = static_cast<std::size_t>(std::max<std::int64_t>(account, 0));
        if (blocks_.size() <= place / per_block) blocks_.resize(place / per_block + 1);
        auto& block = blocks_[place / per_block];
        if (!block) block = std::make_unique<Block>();
        auto& lots = (*block)[place % per_block];
        for (auto& [known, sum] : lots)
            if (known == lot) return sum;
        return lots.emplace_back(lot, Sum()).second;
    }
    /// Calls `visit(account, lot, sum)` in the order of accounts, then lots.
    template <class Visit>
    void each(Visit visit) {
        for (std::size_t b = 0; b < blocks_.size(); ++b)
            for (std::size_t i = 0; blocks_[b] && i < per_block; ++i) {
                auto& lots = (*blocks_[b])[i];
                std::sort(lots.begin(), lots.end(), [](const auto& x, const auto& y) { return x.first < y.first; });
                for (const auto& [lot, sum] : lots) visit(static_cast<std::int64_t>(b * per_block + i), lot, sum);
            }
    }
    void clear() { blocks_.clear(); }

 private:
    static constexpr std::size_t per_block = 64;  // an event of a large book names only a few
    using Block = std::array<std::vector<std::pair<std::int64_t, Sum>>, per_block>;
    std::vector<std::unique_ptr<Block>> blocks_;
};

}  // namespace tarebook
