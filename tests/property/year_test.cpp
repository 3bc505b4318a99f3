// The balance of a year against the plain fold of everything up to its end: each term is the difference of an account
// between two ends of years, found without postings, terms or lines.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "plain_fold.hpp"
#include "runs.hpp"
#include "tarebook/year/year.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace {

using plain::Count;
using Balances = std::map<std::pair<Account, LotKey>, Count>;
using std::chrono::year;

constexpr year first_year{2025}, last_year{2031};

struct Folded {
    std::vector<Event> order;
    std::vector<std::string> bodies;
    std::vector<std::vector<Posting>> postings;
    RegisterInMemory reg;
};

Folded folded(const std::vector<Event>& events) {
    Folded f;
    f.order = plain::counting(events);
    for (const auto& event : f.order) f.reg.apply(event);
    States states;
    for (const auto& event : f.order) {
        for (const auto& code : cylinders_of(event)) states.try_emplace(code);
        auto outcome = fold_one(event, states, f.reg);
        for (const auto& effect : outcome.effects) states[effect.cylinder] = effect.after;
        f.bodies.push_back(canonical_body(event));
        f.postings.push_back(std::move(outcome.postings));
    }
    return f;
}

YearBalance balance_of(const Folded& f, year y) {
    YearSums sums(y, f.reg);
    std::vector<YearPosting> postings;
    for (std::size_t i = 0; i < f.order.size(); ++i) {
        postings.clear();
        for (const auto& p : f.postings[i]) postings.push_back({&p.account, &p.lot, p.mass});
        const auto& e = f.order[i];
        sums.take({f.bodies[i], e.order(), e.when.date(), e.kind(), postings});
    }
    return sums.balance();
}

// What the plain fold makes of all that had happened by the end of the year; the register is that of the whole history,
// because what is said first of a field holds for all earlier times.
Balances plain_until(const std::vector<Event>& events, year y) {
    std::vector<Event> until;
    for (const auto& event : events)
        if (event.when.date() <= Date(y / 12 / 31) || register_change(event) ||
            std::holds_alternative<kinds::Void>(event.what))
            until.push_back(event);
    return plain::fold(until).balances;
}

using Gas = std::pair<std::string, std::string>;  // refrigerant, owner

std::map<Gas, Count> by_gas(const Balances& balances, AccountKind kind) {
    std::map<Gas, Count> out;
    for (const auto& [key, count] : balances)
        if (key.first.kind == kind) out[{key.second.refrigerant, key.second.owner}] += count;
    return out;
}

std::string differ(const std::string& what, const std::map<Gas, Count>& expected, const std::map<Gas, Count>& seen) {
    std::set<Gas> gases;
    for (const auto& [gas, count] : expected) gases.insert(gas);
    for (const auto& [gas, count] : seen) gases.insert(gas);
    for (const auto& gas : gases) {
        const auto of = [&](const std::map<Gas, Count>& m) { return m.contains(gas) ? m.at(gas) : Count{0}; };
        if (of(expected) != of(seen))
            return fmt::format("{} of {} {}: expected {}, seen {}", what, gas.first, gas.second,
                               static_cast<double>(of(expected)), static_cast<double>(of(seen)));
    }
    return {};
}

std::map<Gas, Count> difference_of(std::map<Gas, Count> later, const std::map<Gas, Count>& earlier) {
    for (const auto& [gas, count] : earlier) later[gas] -= count;
    return later;
}

template <class Figure>
std::map<Gas, Count> stock(const YearBalance& b, Figure figure) {
    std::map<Gas, Count> out;
    for (const auto& [key, line] : b.stock) out[{key.refrigerant, key.owner}] += figure(line.line).count();
    return out;
}

// Equipment by gas and appliance; whoever owned it.
template <class Figure>
std::map<Gas, Count> equipment(const YearBalance& b, Figure figure) {
    std::map<Gas, Count> out;
    for (const auto& [key, line] : b.equipment) out[{key.refrigerant, key.appliance}] += figure(line).count();
    return out;
}
std::map<Gas, Count> plain_equipment(const Balances& balances) {
    std::map<Gas, Count> out;
    for (const auto& [key, count] : balances)
        if (key.first.kind == AccountKind::circuit)
            out[{key.second.refrigerant, appliance_of(key.first.code)}] += count;
    return out;
}

std::string year_agrees(const YearBalance& b, const Balances& before, const Balances& after) {
    const auto closing = [](const YearLine& l) { return l.closing(); };
    const auto opening = [](const YearLine& l) { return l.opening(); };
    if (auto d = differ("closing stock", by_gas(after, AccountKind::cylinder), stock(b, closing)); !d.empty()) return d;
    if (auto d = differ("opening stock", by_gas(before, AccountKind::cylinder), stock(b, opening)); !d.empty())
        return d;
    if (auto d = differ("equipment", plain_equipment(after), equipment(b, closing)); !d.empty()) return d;
    if (auto d = differ("equipment before", plain_equipment(before), equipment(b, opening)); !d.empty()) return d;
    struct OneTerm {
        Term term;
        AccountKind account;
    };
    for (const auto& [term, account] :
         {OneTerm{Term::taken_over, AccountKind::opening}, OneTerm{Term::destroyed, AccountKind::destroyer},
          OneTerm{Term::lost, AccountKind::lost}, OneTerm{Term::unaccounted, AccountKind::unaccounted},
          OneTerm{Term::scale, AccountKind::scale}}) {
        auto expected = difference_of(by_gas(after, account), by_gas(before, account));
        for (auto& [gas, count] : expected) count = -count;
        const auto seen = stock(b, [t = term](const YearLine& l) { return l.sum(t); });
        if (auto d = differ(std::string(text_of(term)), expected, seen); !d.empty()) return d;
    }
    // Bought, less what went back in exchange, and what went to reclaimers.
    auto suppliers = difference_of(by_gas(after, AccountKind::supplier), by_gas(before, AccountKind::supplier));
    for (const auto& [gas, count] :
         difference_of(by_gas(after, AccountKind::reclaimer), by_gas(before, AccountKind::reclaimer)))
        suppliers[gas] += count;
    for (auto& [gas, count] : suppliers) count = -count;
    const auto traded = [](const YearLine& l) { return l.sum(Term::received) + l.sum(Term::returned); };
    if (auto d = differ("received and returned", suppliers, stock(b, traded)); !d.empty()) return d;
    // What the two balances call lost from storage is what no receipt explains.
    for (const auto& [key, line] : b.stock) {
        const auto& l = line.line;
        const Mass gone = -(l.sum(Term::released) + l.sum(Term::lost) + l.sum(Term::unaccounted) + l.sum(Term::scale));
        if (stock_loss(l).material.loss() != gone)
            return "the material balance of storage is not what went unexplained";
    }
    // Gas only changes place: cylinders, equipment and the world outside together sum to nothing.
    std::map<std::string, Count> all;
    for (const auto& [key, line] : b.stock) all[key.refrigerant] += line.line.closing().count();
    for (const auto& [key, line] : b.equipment) all[key.refrigerant] += line.closing().count();
    for (const auto& [key, count] : after)
        if (key.first.kind != AccountKind::cylinder && key.first.kind != AccountKind::circuit)
            all[key.second.refrigerant] += count;
    for (const auto& [gas, sum] : all)
        if (sum != 0) return "I1 over a year's balance: " + gas;
    return {};
}

std::string chained(const YearBalance& earlier, const YearBalance& later) {
    const auto closing = [](const YearLine& l) { return l.closing(); };
    const auto opening = [](const YearLine& l) { return l.opening(); };
    if (auto d = differ("opening of the next year, stock", stock(earlier, closing), stock(later, opening)); !d.empty())
        return d;
    for (const auto& [key, line] : earlier.equipment) {
        const auto it = later.equipment.find(key);
        const Mass opened = it == later.equipment.end() ? Mass() : it->second.opening();
        if (line.closing() != opened) return "opening of the next year, equipment, " + key.appliance;
    }
    return {};
}

std::string years_agree(const std::vector<Event>& events) {
    const auto f = folded(events);
    std::optional<YearBalance> earlier;
    Balances before;
    for (year y = first_year; y <= last_year; ++y) {
        const auto b = balance_of(f, y);
        const auto after = plain_until(events, y);
        if (auto wrong = year_agrees(b, before, after); !wrong.empty())
            return fmt::format("{}: {}", static_cast<int>(y), wrong);
        if (earlier)
            if (auto wrong = chained(*earlier, b); !wrong.empty()) return wrong;
        earlier = b;
        before = after;
    }
    return {};
}

}  // namespace

TEST_CASE("a year's balance is what the plain fold has at its end less what it had at its start, term by term") {
    holds_for_random_histories("year", Moments::distinct, 100, [](const History& history, unsigned) {
        auto events = recorded_in_two_books(history);
        // A statement moves mass between accounts outside the shop, long after it left: stock and equipment stand
        // still, and the accounts that their terms are held against here do not.
        std::erase_if(events, [](const Event& e) { return std::holds_alternative<kinds::Settle>(e.what); });
        return years_agree(events);
    });
}
