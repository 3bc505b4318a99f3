#include "lots.hpp"

#include <algorithm>
#include <numeric>
#include <stdexcept>

#include "units/must_hold.hpp"

namespace tarebook {

Mass total(const Lots& lots) {
    MassTotal sum;
    for (const auto& lot : lots) sum += lot.mass;
    return sum.value();
}

void add_to(Lots& lots, const LotKey& key, Mass mass) {
    if (mass.is_zero()) return;
    auto it = std::lower_bound(lots.begin(), lots.end(), key, [](const Lot& l, const LotKey& k) { return l.key < k; });
    if (it == lots.end() || it->key != key) {
        lots.insert(it, {key, mass});
        return;
    }
    it->mass += mass;
    if (it->mass.is_zero()) lots.erase(it);
}

Lots pro_rata(const Lots& lots, Mass amount) {
    __extension__ using Wide = __int128;
    Wide sum = 0;
    for (const auto& lot : lots)
        if (!lot.mass.is_negative()) sum += lot.mass.count();
    must_hold(!amount.is_negative() && (sum > 0 || amount.is_zero()), "there is a lot to share an amount by");
    struct Part {
        std::size_t lot;
        std::int64_t count;
        Wide remainder;
    };
    std::vector<Part> parts;
    Wide given = 0;
    for (std::size_t i = 0; i < lots.size(); ++i) {
        if (lots[i].mass.is_negative()) continue;
        const Wide product = static_cast<Wide>(amount.count()) * lots[i].mass.count();
        parts.push_back({i, static_cast<std::int64_t>(sum == 0 ? 0 : product / sum), sum == 0 ? 0 : product % sum});
        given += parts.back().count;
    }
    auto left = static_cast<std::int64_t>(amount.count() - given);
    std::vector<std::size_t> order(parts.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return parts[a].remainder > parts[b].remainder; });
    for (const auto i : order) {
        if (left == 0) break;
        ++parts[i].count;
        --left;
    }
    Lots out;
    for (const auto& p : parts)
        if (p.count != 0) out.push_back({lots[p.lot].key, Mass::from_count(p.count)});
    must_hold(total(out) == amount, "the shares of an amount sum to it");
    return out;
}

Lots draw(Lots& lots, Mass amount, const LotKey& fallback) {
    MassTotal positive;
    for (const auto& lot : lots)
        if (!lot.mass.is_negative()) positive += lot.mass;
    const Mass from_lots = std::min(positive.value(), amount);
    const LotKey rest = main_lot(lots, fallback);
    Lots out = pro_rata(lots, from_lots);
    add_to(out, rest, amount - from_lots);
    for (const auto& part : out) add_to(lots, part.key, -part.mass);
    must_hold(total(out) == amount, "what is drawn from lots sums to what was asked for");
    return out;
}

LotKey main_lot(const Lots& lots, const LotKey& fallback) {
    const Lot* best = nullptr;
    for (const auto& lot : lots)
        if (!best || lot.mass > best->mass) best = &lot;
    return best ? best->key : fallback;
}

}  // namespace tarebook
