#include "plain_fold.hpp"

#include <algorithm>
#include <set>

namespace tarebook::plain {
namespace {

using namespace kinds;

Count count(const Weight& weight) {
    return weight.mass.count();
}
Count pounds(std::int64_t thousandths) {
    return Mass::thousandths_of_a_pound(thousandths).count();
}

void put(Holding& holding, const LotKey& lot, Count amount) {
    if ((holding[lot] += amount) == 0) holding.erase(lot);
}
Count sum(const Holding& holding) {
    Count all = 0;
    for (const auto& [lot, amount] : holding) all += amount;
    return all;
}
// What is really there: an overdrawn lot is a debt, not gas.
Holding gas(const Holding& holding) {
    Holding there;
    for (const auto& [lot, amount] : holding)
        if (amount > 0) there[lot] = amount;
    return there;
}

// Largest remainder. The counts that the floors leave over go one by one to the lot whose exact share is furthest above
// what it has been given so far; of equals, to the first in lot order.
Holding split(const Holding& by, Count amount) {
    const Holding there = gas(by);
    const Count whole = sum(there);
    Holding parts;
    Count given = 0;
    for (const auto& [lot, weight] : there) given += parts[lot] = amount * weight / whole;
    for (; given < amount; ++given) {
        const LotKey* next = nullptr;
        Count furthest = 0;
        for (const auto& [lot, weight] : there) {
            const Count short_by = amount * weight - parts[lot] * whole;
            if (!next || short_by > furthest) next = &lot, furthest = short_by;
        }
        ++parts[*next];
    }
    std::erase_if(parts, [](const auto& part) { return part.second == 0; });
    return parts;
}

class Replay {
 public:
    explicit Replay(std::vector<Event> in_order) : events_(std::move(in_order)) {}

    Answer run() {
        Answer answer;
        for (const auto& event : events_) {
            now_ = event.order();
            name_ = hex(digest_of(canonical_body(event)));
            gaps_.clear();
            std::visit([this](const auto& what) { happen(what); }, event.what);
            Passage passage{now_, gaps_, {}};
            for (const auto& code : cylinders_of(event)) passage.after[code] = look_at(code);
            answer.passages.push_back(std::move(passage));
        }
        answer.settled = statements_;
        for (const auto& [account, lots] : ledger_)
            for (const auto& [lot, amount] : lots) answer.balances[{account, lot}] = amount;
        for (const auto& passage : answer.passages)
            for (const auto& [code, cylinder] : passage.after) answer.cylinders[code] = cylinder;
        return answer;
    }

 private:
    // --- the register, asked by reading all entries again each time ---

    // What the register says about a field now: the last word up to now, else the first word ever.
    std::optional<FieldValue> said(EntryKind kind, const std::string& code, const std::string& field) const {
        std::optional<FieldValue> word;
        for (const auto& event : events_) {
            const auto change = register_change(event);
            if (!change || change->entry != kind || change->code != code) continue;
            const auto value = change->values.find(field);
            if (value == change->values.end()) continue;
            if (!word || event.order() <= now_) word = value->second;
        }
        return word;
    }
    std::string text(EntryKind kind, const std::string& code, const std::string& field,
                     const std::string& otherwise) const {
        const auto word = said(kind, code, field);
        return word && !word->text.empty() ? word->text : otherwise;
    }
    bool known(EntryKind kind, const std::string& code) const {
        return std::any_of(events_.begin(), events_.end(), [&](const Event& event) {
            const auto change = register_change(event);
            return change && change->entry == kind && change->code == code && !change->values.empty();
        });
    }
    std::optional<Count> tare(const std::string& cylinder) const {
        const auto word = said(EntryKind::cylinder, cylinder, "tare");
        if (!word || !word->mass) return std::nullopt;
        return word->mass->count();
    }
    bool half_ton(const std::string& cylinder) const {
        const auto word = said(EntryKind::cylinder, cylinder, "wc");
        return word && word->mass && word->mass->count() >= pounds(900'000);
    }
    // Sister companies: the group named last, of all sites whose owner at the end of the book is this one.
    std::string group(const std::string& owner) const {
        std::map<std::string, std::string> owner_of, group_of;
        std::vector<std::string> by_last_group;
        for (const auto& event : events_) {
            const auto* entry = std::get_if<kinds::Entry>(&event.what);
            if (!entry || entry->entry != EntryKind::site) continue;
            if (const auto o = entry->values.find("owner"); o != entry->values.end())
                owner_of[entry->code] = o->second.text;
            if (const auto g = entry->values.find("owner_group"); g != entry->values.end()) {
                group_of[entry->code] = g->second.text;
                std::erase(by_last_group, entry->code);
                by_last_group.push_back(entry->code);
            }
        }
        std::string found = owner;
        for (const auto& site : by_last_group)
            if (owner_of.contains(site) && owner_of[site] == owner && !group_of[site].empty()) found = group_of[site];
        return found;
    }

    // --- lots that an event brings with it ---

    LotKey own_lot(const std::string& cylinder) const {
        const bool supply = text(EntryKind::cylinder, cylinder, "use", "recovery") == "supply";
        return {text(EntryKind::cylinder, cylinder, "refrigerant", "unknown"), "shop",
                supply ? Condition::virgin : Condition::recovered};
    }
    LotKey lot_at(const std::string& place, Condition condition) const {
        const auto first = place.find('/');
        const auto site = place.substr(0, first);
        const auto appliance = first == std::string::npos ? place : place.substr(0, place.find('/', first + 1));
        if (!known(EntryKind::appliance, appliance)) return {"unknown", "unassigned", condition};
        return {text(EntryKind::appliance, appliance, "refrigerant", "unknown"),
                text(EntryKind::site, site, "owner", "unassigned"), condition};
    }

    // --- the one ledger ---

    Holding& in(const std::string& cylinder) { return ledger_[{AccountKind::cylinder, cylinder}]; }

    void carry(const Account& from, const Account& to, const Holding& what) {
        for (const auto& [lot, amount] : what) {
            put(ledger_[from], lot, -amount);
            put(ledger_[to], lot, amount);
        }
    }
    void heavier(const std::string& cylinder, Count by) {
        if (shows_.contains(cylinder)) shows_[cylinder] += by;
    }
    // What `amount` drawn from a cylinder consists of. Beyond what is there, its largest lot owes the rest.
    Holding draught(const std::string& cylinder, Count amount) {
        const Holding& has = in(cylinder);
        const Count there = std::min(sum(gas(has)), amount);
        Holding out;
        if (there > 0) out = split(has, there);
        LotKey debtor = own_lot(cylinder);
        std::optional<Count> largest;
        for (const auto& [lot, mass] : has)
            if (!largest || mass > *largest) largest = mass, debtor = lot;
        if (amount > there) put(out, debtor, amount - there);
        return out;
    }
    void pour_out(const std::string& cylinder, Count amount, const Account& to) {
        carry({AccountKind::cylinder, cylinder}, to, draught(cylinder, amount));
        heavier(cylinder, -amount);
    }
    void pour_in(const std::string& cylinder, const Holding& what, const Account& from) {
        const auto trace = trace_of_the_scale(cylinder);
        carry(from, {AccountKind::cylinder, cylinder}, what);
        heavier(cylinder, sum(what));
        if (trace && !what.empty()) {
            const auto main = std::max_element(what.begin(), what.end(),
                                               [](const auto& a, const auto& b) { return a.second < b.second; });
            const auto& [lot, amount] = *trace;
            const bool named = !text(EntryKind::cylinder, cylinder, "refrigerant", "").empty();
            if (!named || main->first.refrigerant == lot.refrigerant) reword(cylinder, lot, main->first, amount);
        }
        meet(cylinder);
    }
    // A little more or less than the tare in an evacuated recovery cylinder is the scale's, not gas of the shop's: it
    // is all there is, in the cylinder's own words, and no larger than two weighings may differ.
    std::optional<std::pair<LotKey, Count>> trace_of_the_scale(const std::string& cylinder) {
        const Holding& has = in(cylinder);
        if (has.size() != 1 || text(EntryKind::cylinder, cylinder, "use", "recovery") == "supply") return std::nullopt;
        const auto& [lot, amount] = *has.begin();
        const Count size = amount < 0 ? -amount : amount;
        if (lot != own_lot(cylinder) || size > tolerance(cylinder, tare(cylinder).value_or(0))) return std::nullopt;
        return std::pair(lot, amount);
    }
    void reword(const std::string& cylinder, const LotKey& was, const LotKey& is, Count amount) {
        put(in(cylinder), was, -amount);
        put(in(cylinder), is, amount);
        if (was.refrigerant == is.refrigerant) return;
        put(ledger_[{AccountKind::reclassified, {}}], was, amount);
        put(ledger_[{AccountKind::reclassified, {}}], is, -amount);
    }
    // Gas that meets takes the worse condition; two refrigerants are mixed, two owners' gas is for reclaim only.
    void meet(const std::string& cylinder) {
        std::set<std::string> refrigerants, owners;
        Condition worst = Condition::virgin;
        const Holding there = gas(in(cylinder));
        for (const auto& [lot, amount] : there) {
            refrigerants.insert(lot.refrigerant);
            owners.insert(group(lot.owner));
            if (lot.condition > worst) worst = lot.condition;
        }
        const bool mixed = refrigerants.size() > 1 || refrigerants.contains("mixed");
        if (mixed) mixed_.insert(cylinder);
        if (owners.size() > 1) reclaim_only_.insert(cylinder);
        if (mixed || owners.size() > 1) worst = Condition::recovered;
        for (const auto& [lot, amount] : there)
            if (lot.condition != worst) reword(cylinder, lot, {lot.refrigerant, lot.owner, worst}, amount);
    }
    void forget_past_if_empty(const std::string& cylinder) {
        if (!in(cylinder).empty()) return;
        mixed_.erase(cylinder);
        reclaim_only_.erase(cylinder);
    }

    // --- levels ---

    Count tolerance(const std::string& cylinder, Count gross) const {
        if (gross < 0) gross = -gross;
        return std::max({pounds(500), gross / 100, half_ton(cylinder) ? pounds(2000) : Count(0)});
    }
    void gap(const std::string& cylinder, Count amount, Count read) {
        if (amount == 0) return;
        const bool within = (amount < 0 ? -amount : amount) <= tolerance(cylinder, read);
        gaps_.push_back({cylinder, amount, within});
        const Account own{AccountKind::cylinder, cylinder};
        const Account other{within ? AccountKind::scale : AccountKind::unaccounted, {}};
        if (amount < 0) {
            carry(own, other, draught(cylinder, -amount));
            return;
        }
        Holding more;  // debts first, then in proportion to what is there
        const Holding had = in(cylinder);
        for (const auto& [lot, mass] : had)
            if (mass < 0 && amount > 0) {
                const Count paid = std::min(-mass, amount);
                put(more, lot, paid);
                amount -= paid;
            }
        if (gas(had).empty()) {
            put(more, own_lot(cylinder), amount);
        } else {
            for (const auto& [lot, mass] : split(had, amount)) put(more, lot, mass);
        }
        carry(other, own, more);
    }
    void reading(const std::string& cylinder, Count gross) {
        if (const auto t = tare(cylinder))
            gap(cylinder, gross - *t - sum(in(cylinder)), gross);
        else if (shows_.contains(cylinder))
            gap(cylinder, gross - shows_[cylinder], gross);
        shows_[cylinder] = gross;
    }
    // Known to be empty: debts and gas that outweigh each other are no contents either.
    void nothing_left(const std::string& cylinder) {
        const auto t = tare(cylinder);
        const Account other{AccountKind::unaccounted, {}};
        gap(cylinder, -sum(in(cylinder)), t.value_or(0));
        const Holding rest = in(cylinder);
        carry({AccountKind::cylinder, cylinder}, other, rest);
        shows_.erase(cylinder);
        if (t) shows_[cylinder] = *t;
        forget_past_if_empty(cylinder);
    }
    // A jug without a tare that gave a little more than its stamp had that little more in it.
    void stamp_was_only_paper(const std::string& cylinder) {
        const Count over = -sum(in(cylinder));
        if (!tare(cylinder) && over > 0 && over <= tolerance(cylinder, 0)) gap(cylinder, over, 0);
    }

    // --- kinds ---

    void between(const std::string& cylinder, Count gained, const LotKey& lot, const Account& other) {
        if (gained > 0) pour_in(cylinder, {{lot, gained}}, other);
        if (gained < 0) pour_out(cylinder, -gained, other);
    }

    void happen(const Recover& k) {
        if (k.weighing.is_pair()) reading(k.into, count(*k.weighing.before));
        const Count gained = k.weighing.is_pair() ? count(*k.weighing.after) - count(*k.weighing.before)
                                                  : (k.weighing.net ? count(*k.weighing.net) : 0);
        between(k.into, gained, lot_at(k.circuit, Condition::recovered), {AccountKind::circuit, k.circuit});
    }
    void charged(const Put& k) {
        const Account circuit{AccountKind::circuit, k.circuit};
        if (k.from.rfind("outside:", 0) == 0) {
            const Count in_pair = k.weighing.is_pair() ? count(*k.weighing.after) - count(*k.weighing.before) : 0;
            const Count amount = k.weighing.net && !k.weighing.is_pair() ? count(*k.weighing.net) : in_pair;
            carry({AccountKind::outside, k.from.substr(8)}, circuit, {{lot_at(k.circuit, Condition::virgin), amount}});
            return;
        }
        Count gained = k.weighing.net ? -count(*k.weighing.net) : 0;
        if (k.weighing.is_pair()) {
            reading(k.from, count(*k.weighing.before));
            gained = count(*k.weighing.after) - count(*k.weighing.before);
        }
        between(k.from, gained, lot_at(k.circuit, Condition::recovered), circuit);
        stamp_was_only_paper(k.from);
        if (k.emptied) nothing_left(k.from);
    }
    void happen(const Charge& k) { charged(k); }
    void happen(const Reuse& k) { charged(k); }

    void happen(const Transfer& k) {
        if (k.from_weighing.is_pair()) reading(k.from, count(*k.from_weighing.before));
        if (k.into_weighing.is_pair()) reading(k.into, count(*k.into_weighing.before));
        const auto change = [](const Weighing& w) -> std::optional<Count> {
            if (w.is_pair()) return count(*w.after) - count(*w.before);
            return std::nullopt;
        };
        // each side's own word; a side without one believes the other
        std::optional<Count> out, arrived;
        if (const auto c = change(k.from_weighing))
            out = -*c;
        else if (k.from_weighing.net)
            out = count(*k.from_weighing.net);
        if (const auto c = change(k.into_weighing))
            arrived = *c;
        else if (k.into_weighing.net)
            arrived = count(*k.into_weighing.net);
        if (!out) out = arrived.value_or(0);
        if (!arrived) arrived = out;
        std::string giver = k.from, taker = k.into;
        if (*out < 0 && *arrived < 0) {
            giver.swap(taker);
            const Count gave = -*arrived;
            arrived = -*out;
            out = gave;
        }
        const Count gave = std::max<Count>(*out, 0);
        const Count took = std::max<Count>(*arrived, 0);
        const Holding left = draught(giver, gave);
        Holding came;
        if (took > 0 && !gas(left).empty()) came = split(left, took);
        if (took > 0 && gas(left).empty()) came = {{own_lot(giver), took}};
        // The hoses stand between the two: what left and did not arrive is theirs to explain.
        const Count missing = gave - took;
        const bool small = (missing < 0 ? -missing : missing) <= tolerance(giver, 0);
        Account hoses{small ? AccountKind::scale : AccountKind::unaccounted, {}};
        if (k.hose_loss == "atmosphere") hoses = {AccountKind::atmosphere, {}};
        if (k.hose_loss == "lost") hoses = {AccountKind::lost, {}};
        carry({AccountKind::cylinder, giver}, hoses, left);
        heavier(giver, -gave);
        pour_in(taker, came, hoses);
        stamp_was_only_paper(k.from);
        // Whatever the two sides make of each other, both scales' last words are levels.
        if (k.from_weighing.after) reading(k.from, count(*k.from_weighing.after));
        if (k.emptied) nothing_left(k.from);
        if (k.into_weighing.after) reading(k.into, count(*k.into_weighing.after));
    }

    void taken_in(const std::string& cylinder, const Weighing& w, const std::optional<Weight>& gross, const LotKey& lot,
                  const Account& from) {
        if (w.is_pair()) {
            reading(cylinder, count(*w.before));
            between(cylinder, count(*w.after) - count(*w.before), lot, from);
            return;
        }
        if (w.net)
            between(cylinder, count(*w.net), lot, from);
        else if (gross && tare(cylinder))
            between(cylinder, count(*gross) - *tare(cylinder) - sum(in(cylinder)), lot, from);
        if (gross) reading(cylinder, count(*gross));
    }
    void happen(const Opening& k) {
        const LotKey lot{k.refrigerant.value_or(own_lot(k.cylinder).refrigerant),
                         k.owner.empty() ? "unassigned" : k.owner, k.condition};
        Weighing w;
        w.net = k.net;
        taken_in(k.cylinder, w, k.gross, lot, {AccountKind::opening, {}});
    }
    void happen(const Receive& k) {
        gone_.erase(k.cylinder);
        const LotKey lot{k.refrigerant.value_or(own_lot(k.cylinder).refrigerant), "shop", k.condition};
        taken_in(k.cylinder, k.weighing, k.gross, lot, {AccountKind::supplier, k.from});
    }

    void depart(const std::string& cylinder, const std::optional<Weight>& gross, const Account& to) {
        if (gross) reading(cylinder, count(*gross));
        if (sum(in(cylinder)) < 0) {
            nothing_left(cylinder);
        } else {
            const Holding all = in(cylinder);
            carry({AccountKind::cylinder, cylinder}, to, all);
            forget_past_if_empty(cylinder);
        }
        shows_.erase(cylinder);
        gone_.insert(cylinder);
    }
    void sent(const Send& k, AccountKind kind) {
        const Account to{kind, k.to};
        if (!k.weighing.is_pair()) {
            depart(k.cylinder, k.gross, to);
            return;
        }
        reading(k.cylinder, count(*k.weighing.before));
        between(k.cylinder, count(*k.weighing.after) - count(*k.weighing.before), own_lot(k.cylinder), to);
        forget_past_if_empty(k.cylinder);
    }
    void happen(const Return& k) {
        Holding moved;
        const Account reclaimer{AccountKind::reclaimer, k.to};
        for (const auto& [lot, amount] : ledger_[reclaimer]) put(moved, lot, -amount);
        sent(k, AccountKind::reclaimer);
        for (const auto& [lot, amount] : ledger_[reclaimer]) put(moved, lot, amount);
        returned_[name_] = {k.cylinder, k.to, moved};
    }
    // So much of what was sent, as its lots stand to each other; what is owed otherwise, else what the statement names.
    static Holding share_of(const Holding& whole, Count amount, const Settle& k) {
        if (amount > 0 && !gas(whole).empty()) return split(whole, amount);
        LotKey lot{k.gas.value_or("unknown"), "unassigned", Condition::recovered};
        std::optional<Count> largest;
        for (const auto& [key, mass] : whole)
            if (!largest || mass > *largest) largest = mass, lot = key;
        Holding out;
        if (amount != 0) out[lot] = amount;
        return out;
    }
    void happen(const Settle& k) {
        const auto found = returned_.find(k.target);
        if (found == returned_.end()) return;
        const bool first = settled_.insert(k.target).second;
        const auto& [cylinder, to, whole] = found->second;
        if (!first || cylinder != k.cylinder) return;
        ++statements_;
        const auto said = [](const std::optional<Weight>& w) { return w ? count(*w) : Count(0); };
        const Count foreign = said(k.oil) + said(k.water) + said(k.air);
        Count pure = std::max<Count>(sum(whole) - foreign, 0);
        if (k.gross && k.tare) pure = std::max<Count>(count(*k.gross) - count(*k.tare) - foreign, 0);
        if (k.refrigerant) pure = count(*k.refrigerant);
        const Holding stated = share_of(whole, pure, k);
        const Holding dirt = share_of(whole, foreign, k);
        Holding rest = whole;
        for (const auto* part : {&stated, &dirt})
            for (const auto& [lot, amount] : *part) put(rest, lot, -amount);
        const Count weighed = k.gross ? count(*k.gross) : sum(whole);
        const Count allowed = std::max(pounds(500), (weighed < 0 ? -weighed : weighed) / 100);
        const Count off = sum(rest);
        const bool within = (off < 0 ? -off : off) <= allowed;
        const Account reclaimer{AccountKind::reclaimer, to};
        carry(reclaimer, {AccountKind::not_refrigerant, {}}, dirt);
        carry(reclaimer, {within ? AccountKind::scale : AccountKind::unaccounted, {}}, rest);
        if (k.outcome == "destroyed") carry(reclaimer, {AccountKind::destroyer, to}, stated);
    }
    void happen(const Recycle& k) {
        if (k.acid_test == "fail" || k.moisture_test == "fail") return;
        if (mixed_.contains(k.cylinder) || reclaim_only_.contains(k.cylinder)) return;
        for (const auto& [lot, amount] : gas(in(k.cylinder)))
            if (lot.condition == Condition::recovered)
                reword(k.cylinder, lot, {lot.refrigerant, lot.owner, Condition::recycled}, amount);
    }
    void happen(const Destroy& k) { sent(k, AccountKind::destroyer); }
    void happen(const Exchange& k) { depart(k.cylinder, k.gross, {AccountKind::supplier, k.with}); }

    void happen(const Release& k) {
        const Account air{AccountKind::atmosphere, {}};
        if (k.cylinder) {
            Count gained = k.mass ? -count(*k.mass) : 0;
            if (k.weighing.is_pair()) {
                reading(*k.cylinder, count(*k.weighing.before));
                gained = count(*k.weighing.after) - count(*k.weighing.before);
            }
            between(*k.cylinder, gained, own_lot(*k.cylinder), air);
            stamp_was_only_paper(*k.cylinder);
        } else if (k.circuit) {
            carry({AccountKind::circuit, *k.circuit}, air,
                  {{lot_at(*k.circuit, Condition::recovered), k.mass ? count(*k.mass) : 0}});
        }
    }
    void happen(const Pumpdown& k) {
        if (k.to && k.mass)
            carry({AccountKind::circuit, k.circuit}, {AccountKind::circuit, *k.to},
                  {{lot_at(k.circuit, Condition::recovered), count(*k.mass)}});
    }
    void happen(const Weigh& k) { reading(k.cylinder, count(k.gross)); }
    void happen(const StocktakeWeigh& k) { reading(k.cylinder, count(k.gross)); }
    void happen(const Evacuate& k) {
        if (k.cylinder) nothing_left(*k.cylinder);
    }
    void happen(const Reclassify& k) {
        const Holding before = in(k.cylinder);
        for (const auto& [lot, amount] : before) {
            if (k.lot_refrigerant && *k.lot_refrigerant != lot.refrigerant) continue;
            if (k.lot_owner && *k.lot_owner != lot.owner) continue;
            // each lot by the mass it had before: an earlier one may have been reworded into it
            LotKey is = lot;
            is.refrigerant = k.to_refrigerant.value_or(is.refrigerant);
            is.owner = k.to_owner.value_or(is.owner);
            if (k.to_condition) is.condition = condition_from(*k.to_condition).value_or(is.condition);
            if (k.to_refrigerant == "mixed" || k.to_refrigerant == "unknown") is.condition = Condition::recovered;
            if (is != lot) reword(k.cylinder, lot, is, amount);
        }
        std::set<std::string> refrigerants, owners;
        for (const auto& [lot, amount] : gas(in(k.cylinder))) {
            refrigerants.insert(lot.refrigerant);
            owners.insert(group(lot.owner));
        }
        mixed_.erase(k.cylinder);
        reclaim_only_.erase(k.cylinder);
        if (refrigerants.size() > 1 || refrigerants.contains("mixed")) mixed_.insert(k.cylinder);
        if (owners.size() > 1) reclaim_only_.insert(k.cylinder);
    }
    void happen(const Lost& k) {
        const Holding all = in(k.cylinder);
        carry({AccountKind::cylinder, k.cylinder}, {AccountKind::lost, {}}, all);
        heavier(k.cylinder, -sum(all));
        for (const auto& [lot, amount] : all) put(missing_[k.cylinder], lot, amount);
        lost_.insert(k.cylinder);
    }
    void happen(const Found& k) {
        const Holding back = missing_[k.cylinder];
        missing_.erase(k.cylinder);
        pour_in(k.cylinder, back, {AccountKind::lost, {}});
        if (k.gross) reading(k.cylinder, count(*k.gross));
        lost_.erase(k.cylinder);
    }
    void happen(const Move& k) { gone_.erase(k.cylinder); }
    template <class Other>
    void happen(const Other&) {}  // no mass moves

    Cylinder look_at(const std::string& cylinder) {
        Cylinder c{in(cylinder),
                   {},
                   mixed_.contains(cylinder),
                   reclaim_only_.contains(cylinder),
                   gone_.contains(cylinder),
                   lost_.contains(cylinder)};
        if (shows_.contains(cylinder)) c.shows = shows_[cylinder];
        return c;
    }

    std::vector<Event> events_;
    OrderKey now_;
    std::string name_;  // digest of what happens
    struct Returned {
        std::string cylinder, to;
        Holding lots;
    };
    std::map<std::string, Returned> returned_;
    std::set<std::string> settled_;
    std::size_t statements_ = 0;
    std::map<Account, Holding> ledger_;
    std::map<std::string, Count> shows_;
    std::map<std::string, Holding> missing_;
    std::set<std::string> mixed_, reclaim_only_, gone_, lost_;
    std::vector<ReadGap> gaps_;
};

}  // namespace

std::vector<Event> counting(const std::vector<Event>& events) {
    std::set<std::string> taken_out;
    for (const auto& event : events)
        if (const auto* v = std::get_if<Void>(&event.what)) taken_out.insert(v->target);
    std::vector<Event> kept;
    for (const auto& event : events) {
        const bool is_void = std::holds_alternative<Void>(event.what);
        if (is_void || !taken_out.contains(hex(digest_of(canonical_body(event))))) kept.push_back(event);
    }
    std::sort(kept.begin(), kept.end(), [](const Event& a, const Event& b) {
        if (a.when.at != b.when.at) return a.when.at < b.when.at;
        if (a.book != b.book) return a.book < b.book;
        return a.seq < b.seq;
    });
    return kept;
}

Answer fold(const std::vector<Event>& events) {
    return Replay(counting(events)).run();
}

}  // namespace tarebook::plain
