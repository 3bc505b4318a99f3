#include "clock_summary.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "clock_cards.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
namespace {

bool comes_first(const DueItem& a, const DueItem& b) {
    return due_rank(a.clock) < due_rank(b.clock);
}

void keep_first(std::optional<DueItem>& first, const DueItem& item) {
    if (!first || comes_first(item, *first)) first = item;
}

class Summer : public ClockSink {
 public:
    Summer(const ClocksAsked& asked, ClockSummary& out) : asked_(asked), out_(out) {}

    void open(DueItem&& item) override {
        const auto& clock = item.clock;
        count_for_the_day(item);
        if (clock.what == ClockKind::put_back) out_.not_put_back.insert(clock.subject);
        if (clock.due_on && asked_.until && *clock.due_on > *asked_.until) return;
        if (const auto days = days_late(clock, asked_.on)) {
            out_.late += {1, *days};
            out_.late_by_subject[clock.subject] += {1, *days};
        } else {
            ++(clock.due_on ? out_.on_a_day : out_.without_day);
        }
        out_.first.push_back(std::move(item));
        if (out_.first.size() > 2 * asked_.most + 64) cut();
    }
    // Those have no day, and come after all that have one.
    bool counts_put_back(std::string_view appliance) override {
        if (!cut_off_ || std::get<0>(*cut_off_) != Date::max() || appliance <= std::get<1>(*cut_off_)) return false;
        if (out_.not_put_back.empty() || last_ != appliance) last_ = *out_.not_put_back.emplace(appliance).first;
        ++out_.without_day;
        return true;
    }
    void finish() { cut(); }

 private:
    void count_for_the_day(const DueItem& item) {
        constexpr std::chrono::days soon{7};
        const auto& clock = item.clock;
        if (clock.what == ClockKind::repair) ++out_.repairs, keep_first(out_.first_repair, item);
        if (clock.what == ClockKind::statement) {
            out_.statements_awaited += item.count;
            if (!out_.first_sent || clock.opened_on < out_.first_sent->clock.opened_on ||
                (clock.opened_on == out_.first_sent->clock.opened_on && comes_first(item, *out_.first_sent)))
                out_.first_sent = item;
        }
        if (clock.late_on(asked_.on))
            keep_first(out_.oldest_late, item);
        else if (clock.due_on && *clock.due_on <= asked_.on + soon)
            ++out_.soon;
    }
    void cut() {
        std::stable_sort(out_.first.begin(), out_.first.end(), comes_first);
        const auto most = std::max<std::size_t>(asked_.most, 1);
        if (out_.first.size() <= most) return;
        out_.first.erase(out_.first.begin() + static_cast<std::ptrdiff_t>(most), out_.first.end());
        last_kept_ = out_.first.back().clock;
        cut_off_ = due_rank(last_kept_);
    }

    const ClocksAsked& asked_;
    ClockSummary& out_;
    Clock last_kept_;                 // what comes after it is not kept
    std::optional<DueRank> cut_off_;  // its rank, with views of its texts
    std::string last_;
};

}  // namespace

std::string LateCount::text() const {
    return late == 0 ? std::string() : fmt::format("{} LATE, oldest {}", late, counted(oldest_days, "day"));
}

ClockSummary clock_summary(const Book& book, const ClocksAsked& asked) {
    ClockSummary out;
    out.on = asked.on;
    Summer summer(asked, out);
    static_cast<DueFooting&>(out) = each_open_clock(book, asked.on, asked.kept, summer, asked.movements);
    summer.finish();
    return out;
}

}  // namespace tarebook::report
