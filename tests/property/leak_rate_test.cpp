// Random histories of an appliance: rates by both methods against the plain model, and the margin against the rate.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <random>

#include "plain_leak_rate.hpp"
#include "runs.hpp"
#include "tarebook/rules/rules.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace {

const std::vector<Reason> excluded = {Reason::initial, Reason::conversion, Reason::seasonal, Reason::purged};

struct Drawn {
    std::vector<PlainMovement> movements;
    std::vector<int> repaired;
    int full_charge = 100;
    Date day_zero{};
};

// Dense enough that jobs, leaks, windows and same days meet. A day belongs to one leak, as the plain model wants it.
Drawn drawn() {
    std::mt19937 dice(*rc::gen::resize(100, rc::gen::inRange(0U, 1'000'000'000U)));
    const auto roll = [&](int from, int to) { return std::uniform_int_distribution<int>(from, to)(dice); };
    Drawn out;
    out.full_charge = roll(1, 900);
    out.day_zero = std::chrono::sys_days(std::chrono::year(2023) / 1 / 1) + std::chrono::days(roll(0, 1500));
    const int span = roll(3, 1200);
    const int count = *rc::gen::inRange(1, 40);
    static constexpr Reason reasons[] = {Reason::leak,     Reason::leak,     Reason::leak,
                                         Reason::open,     Reason::initial,  Reason::conversion,
                                         Reason::seasonal, Reason::put_back, Reason::purged};
    int job = 0;
    for (int i = 0; i < count; ++i) {
        PlainMovement m{roll(0, span), 0, 0, reasons[roll(0, 8)], 0};
        if (m.reason == Reason::open && roll(0, 4) == 0) m.reason = Reason::overcharge;
        const bool out_of = m.reason == Reason::open || m.reason == Reason::overcharge ||
                            ((m.reason == Reason::seasonal) && roll(0, 1) == 0);
        m.pounds = roll(1, 30) * (out_of ? -1 : 1);
        if (roll(0, 2) == 0) m.job = job = job + 1;
        if (m.reason == Reason::open) m.job = job = job + 1;
        m.leak = m.day % 5 == 0 ? 1 + m.day % 3 : 0;
        out.movements.push_back(m);
        // The same job goes on, on that day.
        if (m.job != 0 && roll(0, 1) == 0) {
            m.reason = Reason::put_back;
            m.pounds = roll(1, 40);
            out.movements.push_back(m);
        }
    }
    for (int i = roll(0, 3); i > 0; --i) out.repaired.push_back(roll(0, span));
    return out;
}

std::vector<LeakAddition> library_additions(const Drawn& d) {
    std::vector<ApplianceMovement> movements;
    for (const auto& m : d.movements)
        movements.push_back({d.day_zero + std::chrono::days(m.day),
                             m.job ? std::optional(fmt::format("J{}", m.job)) : std::nullopt,
                             m.pounds < 0 ? -Mass::pounds(-m.pounds) : Mass::pounds(m.pounds), m.reason,
                             m.leak ? fmt::format("L-{}", m.leak) : "", ""});
    return sorted(movements, excluded).additions;
}
LeakRateOptions options_of(const Drawn& d, LeakRateMethod method) {
    LeakRateOptions out;
    out.method = method;
    for (const int day : d.repaired) out.repaired.push_back(d.day_zero + std::chrono::days(day));
    return out;
}

}  // namespace

TEST_CASE("leak rate: both methods agree with the plain model on random histories") {
    std::size_t compared = 0;
    holds("leak rate against the plain model", 2000, [&] {
        const auto d = drawn();
        const auto additions = library_additions(d);
        for (const auto method : {LeakRateMethod::annualizing, LeakRateMethod::rolling}) {
            const auto plain = plain_rates(d.movements, d.day_zero, d.full_charge, method, d.repaired);
            std::size_t at = 0;
            for (std::size_t i = 0; i < additions.size(); ++i) {
                const auto rate =
                    leak_rate(additions, i, {{d.day_zero, Mass::pounds(d.full_charge)}}, options_of(d, method));
                RC_ASSERT(rate.has_value() == additions[i].counts());
                if (!rate) continue;
                while (at < plain.size() && d.day_zero + std::chrono::days(plain[at].day) < additions[i].on) ++at;
                RC_ASSERT(at < plain.size());
                RC_ASSERT(d.day_zero + std::chrono::days(plain[at].day) == additions[i].on);
                RC_ASSERT(std::abs(rate->rate.in_percent() - plain[at].percent) <=
                          1e-9 * std::max(1.0, plain[at].percent));
                ++compared;
            }
        }
    });
    CHECK(compared > 0);
}

TEST_CASE("margin: adding just the margin never exceeds, one count more always does") {
    holds("margin against the rate", 1000, [&] {
        const auto d = drawn();
        auto additions = library_additions(d);
        const terms::LeakRateThreshold threshold{Percent::whole(20), Comparison::over};
        const std::vector<FullChargeRevision> full = {{d.day_zero, Mass::pounds(d.full_charge)}};
        const Date day = (additions.empty() ? d.day_zero : additions.back().on) +
                         std::chrono::days(*rc::gen::resize(100, rc::gen::inRange(0, 500)));
        for (const auto method : {LeakRateMethod::annualizing, LeakRateMethod::rolling}) {
            const auto options = options_of(d, method);
            const auto margin = margin_on(additions, day, full, options, threshold);
            RC_ASSERT(margin.has_value());
            auto tried = additions;
            auto& last = tried.emplace_back();
            last.on = day;
            last.mass = margin->mass + Mass::from_count(1);
            const auto over = leak_rate(tried, tried.size() - 1, full, options);
            RC_ASSERT(reaches(over->rate, threshold.compare, threshold.threshold));
            if (margin->already_over || margin->mass.is_zero()) continue;
            last.mass = margin->mass;
            const auto within = leak_rate(tried, tried.size() - 1, full, options);
            RC_ASSERT(!reaches(within->rate, threshold.compare, threshold.threshold));
        }
    });
}
