// The fold against the plain one, event by event: contents, what the scale should show, gaps, balances, zero sums.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "compare.hpp"
#include "runs.hpp"
#include "tarebook/register.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace {

using Balances = std::map<std::pair<Account, LotKey>, plain::Count>;

std::string zero_sums(const Balances& balances) {
    std::map<std::string, plain::Count> sums;
    for (const auto& [key, amount] : balances) sums[key.second.refrigerant] += amount;
    for (const auto& [refrigerant, sum] : sums)
        if (sum != 0) return fmt::format("I1: {} sums to {}", refrigerant, text(sum));
    return {};
}

// What a cylinder's account says must be what its state says, lot by lot.
std::string account_is_state(const Balances& balances, const std::string& code, const CylinderState& state) {
    plain::Holding account;
    for (const auto& [key, amount] : balances)
        if (key.first == Account{AccountKind::cylinder, code} && amount != 0) account[key.second] = amount;
    const auto lots = as_plain(state).lots;
    if (account == lots) return {};
    plain::Cylinder a;
    a.lots = account;
    return fmt::format("account of {} is {}, its state {}", code, text(a), text(as_plain(state)));
}

std::string folds_alike(const std::vector<Event>& events) {
    const auto plain = plain::fold(events);
    if (auto wrong = zero_sums(plain.balances); !wrong.empty()) return "plain fold: " + wrong;
    const auto order = plain::counting(events);
    RegisterInMemory reg;
    for (const auto& event : order) reg.apply(event);
    States states;
    Balances balances;
    for (std::size_t i = 0; i < order.size(); ++i) {
        for (const auto& code : cylinders_of(order[i])) states.try_emplace(code);
        const auto outcome = fold_one(order[i], states, reg);
        for (const auto& p : outcome.postings) balances[{p.account, p.lot}] += p.mass.count();
        if (auto wrong = zero_sums(balances); !wrong.empty()) return wrong;
        if (auto wrong = difference(plain.passages[i], order[i], outcome); !wrong.empty()) return wrong;
        for (const auto& effect : outcome.effects) {
            if (effect.before != states[effect.cylinder]) return "an effect does not begin with the state before it";
            if (effect.after.contents() - effect.before.contents() != effect.moved + effect.gap)
                return fmt::format("{} of {}: moved and gap are not the change", order[i].kind(), effect.cylinder);
            if (auto wrong = account_is_state(balances, effect.cylinder, effect.after); !wrong.empty())
                return fmt::format("{} at {}: {}", order[i].kind(), instant_text(order[i].when.at), wrong);
            if (unpacked(packed(effect.after)) != effect.after) return "a packed state comes back different";
            states[effect.cylinder] = effect.after;
        }
    }
    return difference(plain.balances, balances);
}

}  // namespace

TEST_CASE("the fold agrees with the plain fold to the last count, and every refrigerant sums to zero (I1)") {
    holds_for_random_histories("fold", Moments::may_coincide, 200, [](const History& history, unsigned) {
        return folds_alike(recorded_in_two_books(history));
    });
}

TEST_CASE("the plain fold itself does not depend on the order in which it is given the set (I5)") {
    holds_for_random_histories("plain order", Moments::may_coincide, 30, [](const History& history, unsigned dice) {
        const auto events = recorded_in_two_books(history);
        std::vector<Event> other;
        for (const auto i : shuffled(history, dice)) other.push_back(events[i]);
        const auto one = plain::fold(events);
        const auto two = plain::fold(other);
        return one.balances == two.balances && one.cylinders == two.cylinders ? "" : "the order of the set mattered";
    });
}

TEST_CASE("the histories reach what they are for: gaps, debts, mixing, voids, late entries") {
    // A generator that never gets there would make every property above hold for nothing.
    std::size_t gaps = 0, small_gaps = 0, debts = 0, mixed = 0, reclaim_only = 0, voided = 0, late = 0, gone = 0;
    holds_for_random_histories("reach", Moments::may_coincide, 60, [&](const History& history, unsigned) {
        const auto events = recorded_in_two_books(history);
        const auto answer = plain::fold(events);
        voided += events.size() - answer.passages.size();
        for (std::size_t i = 1; i < events.size(); ++i) late += events[i].when.at < events[i - 1].when.at ? 1U : 0U;
        for (const auto& passage : answer.passages) {
            for (const auto& g : passage.gaps) ++(g.within_tolerance ? small_gaps : gaps);
            for (const auto& [code, c] : passage.after) {
                mixed += c.mixed ? 1U : 0U;
                reclaim_only += c.reclaim_only ? 1U : 0U;
                gone += c.gone ? 1U : 0U;
                for (const auto& [lot, amount] : c.lots) debts += amount < 0 ? 1U : 0U;
            }
        }
        return std::string();
    });
    for (const auto reached : {gaps, small_gaps, debts, mixed, reclaim_only, voided, late, gone}) CHECK(reached > 10);
}
