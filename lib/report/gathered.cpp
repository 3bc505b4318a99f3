#include "gathered.hpp"

#include <algorithm>
#include <unordered_map>

namespace tarebook::report {

OpenAt open_at(std::vector<Clock> clocks, Date day) {
    OpenAt out;
    for (auto& clock : clocks)
        if (clock.open_on(day)) out.first.push_back({std::move(clock), {}, 1});
    std::stable_sort(out.first.begin(), out.first.end(), [](const DueItem& a, const DueItem& b) {
        return a.clock.due_on.value_or(Date::max()) < b.clock.due_on.value_or(Date::max());
    });
    out.count = std::ssize(out.first);
    return out;
}

namespace {

bool has_a_job_across_years(const std::vector<KnownMovement>& movements) {
    std::unordered_map<std::string_view, std::chrono::year> years;
    return std::any_of(movements.begin(), movements.end(), [&](const KnownMovement& m) {
        if (!m.movement.job) return false;
        const auto year = std::chrono::year_month_day(m.movement.on).year();
        return years.try_emplace(*m.movement.job, year).first->second != year;
    });
}

}  // namespace

void Gathered::keep(const LeakRecord& record, const std::vector<Clock>& of_it, Date today) const {
    const auto& appliance = record.appliance;
    if (movements && !has_a_job_across_years(movements->of(appliance))) {
        auto& years = additions_by_appliance[appliance];
        for (const auto& rated : record.rated) years[std::chrono::year_month_day(rated.addition.on).year()].take(rated);
    }
    auto open = report::open_at(of_it, today);
    if (open.first.size() > clocks_of_a_visit)
        open.first.erase(open.first.begin() + clocks_of_a_visit, open.first.end());
    open.first.shrink_to_fit();
    open_by_appliance.insert_or_assign(appliance, std::move(open));
}

OpenAt Gathered::open_at(const Book& book, const std::string& appliance, Date today) const {
    if (!open_by_appliance.contains(appliance)) {
        const auto record = record_of(book, appliance);
        keep(record, ApplianceClocks(book, record, today).on(today), today);
    }
    return open_by_appliance.at(appliance);
}

}  // namespace tarebook::report
