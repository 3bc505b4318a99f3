#include "plain_leak_rate.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace tarebook::property {
namespace {

struct Job {
    int last_day = 0;
    int leak = 0;
    int net = 0;
    bool first_charge = false;
};

bool within_a_year(Date earlier, Date later) {
    std::chrono::year_month_day end(earlier);
    end += std::chrono::years(1);
    if (!end.ok()) end = end.year() / std::chrono::February / 28;
    return later <= Date(std::chrono::sys_days(end));
}

}  // namespace

std::vector<PlainRate> plain_rates(const std::vector<PlainMovement>& movements, Date day_zero, int full_charge,
                                   LeakRateMethod method, const std::vector<int>& repaired_days) {
    int last_day = 0;
    for (const auto& m : movements) last_day = std::max(last_day, m.day);

    // Jobs by number; a day without a job is a job of its own.
    std::map<std::pair<int, int>, Job> jobs;
    std::vector<int> seasonal_pounds_out;  // the day of each pound that waits to come back
    std::vector<Job*> repair_pounds_out;   // the job of each pound that waits to be put back
    for (int day = 0; day <= last_day; ++day)
        for (const auto& m : movements) {
            if (m.day != day) continue;
            auto& job = jobs[{m.job, m.job == 0 ? day : -1}];
            job.last_day = day;
            if (job.leak == 0) job.leak = m.leak;
            if (m.reason == Reason::initial || m.reason == Reason::conversion) {
                if (m.pounds > 0) job.first_charge = true;
                if (m.pounds > 0 || m.reason == Reason::conversion) repair_pounds_out.clear();
            } else if (m.reason == Reason::purged) {
                // 40 CFR 82.157(k), from memory: what replaces purged and destroyed gas is no addition
            } else if (m.reason == Reason::seasonal) {
                for (int i = 0; i < -m.pounds; ++i) seasonal_pounds_out.push_back(day);
                for (int i = 0; i < m.pounds; ++i) {
                    const auto it = std::find_if(seasonal_pounds_out.begin(), seasonal_pounds_out.end(), [&](int out) {
                        return within_a_year(day_zero + std::chrono::days(out), day_zero + std::chrono::days(day));
                    });
                    if (it == seasonal_pounds_out.end()) {
                        ++job.net;
                    } else {
                        seasonal_pounds_out.erase(it);
                    }
                }
            } else {
                for (int i = 0; i < -m.pounds; ++i) {
                    --job.net;
                    if (m.reason != Reason::overcharge) repair_pounds_out.push_back(&job);
                }
                for (int i = 0; i < m.pounds; ++i) {
                    auto it = std::find(repair_pounds_out.begin(), repair_pounds_out.end(), &job);
                    if (it == repair_pounds_out.end() && m.reason == Reason::put_back) it = repair_pounds_out.begin();
                    if (it == repair_pounds_out.end()) {
                        ++job.net;
                    } else {
                        ++(*it)->net;
                        repair_pounds_out.erase(it);
                    }
                }
            }
        }

    std::map<int, std::map<int, int>> counted;  // day, leak: pounds
    std::set<int> gas_added, first_charge;
    for (const auto& [key, job] : jobs) {
        if (job.net > 0) counted[job.last_day][job.leak] += job.net;
        if (job.net > 0 || job.first_charge) gas_added.insert(job.last_day);
        if (job.first_charge) first_charge.insert(job.last_day);
    }

    std::vector<PlainRate> out;
    for (const auto& [day, by_leak] : counted) {
        int pounds = 0;
        if (method == LeakRateMethod::rolling) {
            for (int d = day; d > day - 365; --d) {
                if (d != day && std::count(repaired_days.begin(), repaired_days.end(), d) > 0) break;
                if (const auto it = counted.find(d); it != counted.end())
                    for (const auto& [leak, lb] : it->second) pounds += lb;
            }
            out.push_back({day, 100.0 * pounds / full_charge});
            continue;
        }
        // The histories give a day one leak at most.
        const int leak = by_leak.rbegin()->first;
        int first = day;
        for (const auto& [d, leaks] : counted)
            if (d < day && leak != 0 && leaks.contains(leak)) first = std::min(first, d);
        for (int d = day; d > day - 365; --d) {
            if (!counted.contains(d)) continue;
            for (const auto& [l, lb] : counted.at(d))
                if (d == day || (leak != 0 && l == leak)) pounds += lb;
        }
        int before = first - 1;
        while (before >= 0 && !gas_added.contains(before)) --before;
        int days = before >= 0 ? day - before : 365;
        if (before < 0 && first_charge.contains(first)) days = std::max(1, day - first);
        out.push_back({day, 100.0 * pounds / full_charge * 365.0 / std::min(days, 365)});
    }
    return out;
}

}  // namespace tarebook::property
