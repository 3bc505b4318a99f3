// Sums by account and lot, for a pass over many events. Accounts are numbered densely and have few lots, so a look
// through the lots of one costs less than a hash over all.
#pragma once

#include <algorithm>
#include <cstdint>
#include <utility>
#include <vector>

#include "tarebook/mass.hpp"

namespace tarebook {

class Balances {
 public:
    MassTotal& at(std::int64_t account, std::int64_t lot) {
        const auto place = static_cast<std::size_t>(std::max<std::int64_t>(account, 0));  // -1: not in the book
        if (accounts_.size() <= place) accounts_.resize(place + 1);
        for (auto& [known, sum] : accounts_[place])
            if (known == lot) return sum;
        return accounts_[place].emplace_back(lot, MassTotal()).second;
    }
    /// In the order of accounts, then lots; `visit(account, lot, sum)`.
    template <class Visit>
    void each(Visit visit) {
        for (std::size_t account = 0; account < accounts_.size(); ++account) {
            auto& lots = accounts_[account];
            std::sort(lots.begin(), lots.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
            for (const auto& [lot, sum] : lots) visit(static_cast<std::int64_t>(account), lot, sum);
        }
    }

 private:
    std::vector<std::vector<std::pair<std::int64_t, MassTotal>>> accounts_;
};

}  // namespace tarebook
