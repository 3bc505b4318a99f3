// The fold against the plain one, event by event: contents, what the scale should show, gaps, balances, zero sums.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "compare.hpp"
#include "runs.hpp"
#include "tarebook/ledger/register.hpp"

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

// What each return sent, by its digest, for the statements that come after it.
class SentSoFar {
 public:
    std::optional<Sent> of(const Event& event) {
        const auto* statement = std::get_if<kinds::Settle>(&event.what);
        const auto it = statement ? sent_.find(statement->target) : sent_.end();
        if (it == sent_.end()) return std::nullopt;
        auto out = it->second;
        it->second.settled = true;
        return out;
    }
    void take(const Event& event, const Outcome& outcome) {
        const auto* k = std::get_if<kinds::Return>(&event.what);
        if (!k) return;
        std::map<LotKey, Mass> sums;
        for (const auto& p : outcome.postings)
            if (p.account.kind == AccountKind::reclaimer) sums[p.lot] += p.mass;
        Sent sent{event.order(), k->cylinder, k->to, {}, false};
        for (const auto& [lot, mass] : sums)
            if (!mass.is_zero()) sent.lots.push_back({lot, mass});
        sent_[hex(digest_of(canonical_body(event)))] = std::move(sent);
    }

 private:
    std::map<std::string, Sent> sent_;
};

std::string folds_alike(const std::vector<Event>& events) {
    const auto plain = plain::fold(events);
    if (auto wrong = zero_sums(plain.balances); !wrong.empty()) return "plain fold: " + wrong;
    const auto order = plain::counting(events);
    RegisterInMemory reg;
    for (const auto& event : order) reg.apply(event);
    States states;
    Balances balances;
    SentSoFar sent;
    for (std::size_t i = 0; i < order.size(); ++i) {
        states.sent = sent.of(order[i]);
        for (const auto& code : cylinders_of(order[i])) states.try_emplace(code);
        const auto outcome = fold_one(order[i], states, reg);
        sent.take(order[i], outcome);
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

TEST_CASE("the histories reach what they are for: gaps, debts, mixing, voids, late entries, statements") {
    // A generator that never gets there would make every property above hold for nothing.
    std::size_t gaps = 0, small_gaps = 0, debts = 0, mixed = 0, reclaim_only = 0, voided = 0, late = 0, gone = 0;
    std::size_t settled = 0, recycled = 0;
    holds_for_random_histories("reach", Moments::may_coincide, 120, [&](const History& history, unsigned) {
        const auto events = recorded_in_two_books(history);
        const auto answer = plain::fold(events);
        voided += events.size() - answer.passages.size();
        for (std::size_t i = 1; i < events.size(); ++i) late += events[i].when.at < events[i - 1].when.at ? 1U : 0U;
        settled += answer.settled;
        for (const auto& passage : answer.passages) {
            for (const auto& g : passage.gaps) ++(g.within_tolerance ? small_gaps : gaps);
            for (const auto& [code, c] : passage.after) {
                mixed += c.mixed ? 1U : 0U;
                reclaim_only += c.reclaim_only ? 1U : 0U;
                gone += c.gone ? 1U : 0U;
                for (const auto& [lot, amount] : c.lots) recycled += lot.condition == Condition::recycled ? 1U : 0U;
                for (const auto& [lot, amount] : c.lots) debts += amount < 0 ? 1U : 0U;
            }
        }
        return std::string();
    });
    if (!usual_runs()) return;
    for (const auto reached : {gaps, small_gaps, debts, mixed, reclaim_only, voided, late, gone}) {
        CAPTURE(reached);
        CHECK(reached > 10);
    }
    CHECK(settled > 3);
    CHECK(recycled > 3);
}
