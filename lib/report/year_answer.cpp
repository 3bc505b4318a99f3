#include "year_answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "columns.hpp"
#include "leak_rates.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
AdditionCount additions_of_year(const Book& book, const YearView& view, const EquipmentMovements& movements,
                                const LeakLog& log, const Gathered* gathered) {
    std::set<std::string> charged;
    for (const auto& [key, line] : view.balance.equipment)
        if (!line.sum(Term::charged).is_zero() || !line.sum(Term::reused).is_zero() ||
            !line.sum(Term::by_others).is_zero())
            charged.insert(key.appliance);
    AdditionCount out;
    const auto year = view.balance.year;
    const Date last(year / std::chrono::December / 31);
    for (const auto& appliance : charged) {
        if (!book.entries().find(EntryKind::appliance, appliance)) continue;
        if (gathered)
            if (const auto it = gathered->additions_by_appliance.find(appliance);
                it != gathered->additions_by_appliance.end()) {
                if (const auto known = it->second.find(year); known != it->second.end())
                    out.all += known->second.all, out.over += known->second.over;
                continue;
            }
        for (const auto& rated : leak_record(book, appliance, movements.of(appliance, last), log).rated)
            if (std::chrono::year_month_day(rated.addition.on).year() == year) out.take(rated);
    }
    return out;
}

YearAnswer year_answer(const YearView& view, const GwpSets& sets, const AdditionCount& additions) {
    YearAnswer out;
    const auto* set = sets.sets().empty() ? nullptr : &sets.sets().front();
    if (set) out.gwp_set = set->set;
    std::map<std::string, LostOfOwner> by_owner;
    for (const auto& line : view.losses) {
        const Mass loss = line.loss.material.loss();
        if (loss.is_zero()) continue;
        auto& sum = by_owner[line.owner];
        sum.owner = line.owner;
        sum.mass += loss;
        const auto tonnes = set ? sets.tonnes(line.refrigerant, loss, *set) : std::nullopt;
        sum.tonnes.value += tonnes ? tonnes->value : 0;
        sum.tonnes.at_least = sum.tonnes.at_least || !tonnes || tonnes->at_least;
    }
    for (auto& [owner, sum] : by_owner)
        if (!sum.mass.is_zero()) out.lost.push_back(std::move(sum));
    std::stable_sort(out.lost.begin(), out.lost.end(),
                     [](const LostOfOwner& a, const LostOfOwner& b) { return b.mass < a.mass; });
    out.additions = additions;
    return out;
}

std::string year_answer_text(const YearAnswer& answer, DisplayUnits units) {
    constexpr std::size_t shown = 3;
    std::vector<std::string> parts;
    for (const auto& one : answer.lost) {
        if (parts.size() == shown) break;
        const auto owner = one.owner == shop_owner         ? std::string("of the shop")
                           : one.owner == owner_unassigned ? std::string("whose is not on record")
                                                           : "of " + one.owner;
        auto words = mass_text(one.mass, units) + " " + owner;
        if (!answer.gwp_set.empty())
            words += fmt::format(" ({}{:.1f} t CO2e)", one.tonnes.at_least ? "at least " : "", one.tonnes.value);
        parts.push_back(std::move(words));
    }
    if (answer.lost.size() > shown) parts.push_back(fmt::format("{} more", answer.lost.size() - shown));
    auto out = parts.empty() ? std::string("no loss by these balances") : "lost " + joined(parts, ", ");
    if (!parts.empty() && !answer.gwp_set.empty()) out += fmt::format("; t CO2e by {}", answer.gwp_set);
    const auto& additions = answer.additions;
    return out + (additions.over > 0
                      ? fmt::format("; {} OVER its threshold", counted(additions.over, "addition"))
                      : fmt::format("; {}, none known to be OVER a threshold", counted(additions.all, "addition")));
}

Json lost_json(const YearAnswer& answer) {
    static const Columns<LostOfOwner> columns{
        {"owner", "", &LostOfOwner::owner},
        {"material_loss", "", &LostOfOwner::mass},
        {"t_co2e", "", [](const LostOfOwner& l) { return Field::decimal(l.tonnes.value, 6); }},
        {"at_least", "", [](const LostOfOwner& l) { return l.tonnes.at_least; }}};
    return columns.json(answer.lost);
}

}  // namespace tarebook::report
