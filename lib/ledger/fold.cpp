#include <algorithm>
#include <set>
#include <stdexcept>

#include "lots.hpp"
#include "tarebook/ledger/ledger.hpp"
#include "units/must_hold.hpp"

namespace tarebook {

Mass level_tolerance(Mass gross, const CylinderFacts& cylinder) {
    const Mass half_pound = Mass::thousandths_of_a_pound(500);
    const Mass two_pounds = Mass::pounds(2);
    const Mass half_ton_water = Mass::pounds(900);
    Mass tolerance = std::max(half_pound, scaled(gross.magnitude(), 1, 100));
    if (cylinder.water_capacity && *cylinder.water_capacity >= Volume::of_water(half_ton_water))
        tolerance = std::max(tolerance, two_pounds);
    return tolerance;
}

namespace {

using namespace kinds;

std::string owner_or_unassigned(const std::string& owner) {
    return owner.empty() ? std::string(owner_unassigned) : owner;
}

// One cylinder while an event passes over it. Every change of its lots is a posting in `out` against the account that
// the mass came from or went to, so that zero sums (I1) hold by construction.
class CylinderCursor {
 public:
    CylinderCursor(const Event& event, const States& before, const Register& reg, Outcome& out, const std::string& code)
        : reg_(reg), out_(out), code_(code), state_(before.at(code)) {
        static const CylinderFacts nothing_on_record;
        const auto* known = cylinder_facts(reg, code, event.order());
        facts_ = known ? known : &nothing_on_record;
        fallback_ = {facts_->refrigerant.value_or(std::string(gas_unknown)), std::string(shop_owner),
                     facts_->use == "supply" ? Condition::virgin : Condition::recovered};
        effect_.cylinder = code;
        effect_.before = state_;
    }

    CylinderState& state() { return state_; }
    [[nodiscard]] const CylinderFacts& facts() const { return *facts_; }
    [[nodiscard]] const LotKey& fallback() const { return fallback_; }
    [[nodiscard]] Mass contents() const { return state_.contents(); }

    // A gross weight: contents are gross - tare. Without a tare on record only the change since the last gross weight
    // is known.
    void level(const Weight& gross) {
        Mass expected = gross.mass;
        if (facts_->tare)
            expected = contents() + *facts_->tare;
        else if (state_.gross)
            expected = *state_.gross;
        close_gap(gross.mass - expected, expected, gross.mass, gross.typed);
        state_.gross = gross.mass;
    }
    void mark_levelled() {
        effect_.levelled = state_;
        levelled_ = true;
    }

    // The cylinder is empty now; the difference to the book is a gap.
    void level_empty(const std::string& words) {
        const Mass had = contents();
        const Mass tare = facts_->tare.value_or(Mass());
        close_gap(-had, tare + had, tare, words);
        // Lots that cancel each other in the sum (one overdrawn, another not) go too, each by a posting.
        post(state_.lots, -1);
        for (const auto& rest : state_.lots)
            out_.postings.push_back({{AccountKind::unaccounted, {}}, rest.key, rest.mass});
        state_.lots.clear();
        state_.gross = facts_->tare;
        reset_if_empty();
    }

    // A stamped net weight is exact only on paper: where a jug without a tare gave more, the difference was in it from
    // the start.
    void close_overdrawn_jug() {
        const Mass had = contents();
        if (facts_->tare || !had.is_negative()) return;
        if (had.magnitude() > level_tolerance(Mass(), *facts_)) return;
        close_gap(-had, had, Mass(), "empty");
    }

    // Takes lots out or puts them in, on this cylinder's side only; the caller posts the other side.
    Lots remove(Mass amount) {
        Lots parts = draw(state_.lots, amount, fallback_);
        post(parts, -1);
        shift(-amount);
        return parts;
    }
    Lots remove_all() {
        Lots parts = std::move(state_.lots);
        state_.lots.clear();
        post(parts, -1);
        shift(-total(parts));
        return parts;
    }
    void add(const Lots& parts) {
        const Lots noise = only_scale_noise() ? state_.lots : Lots{};
        for (const auto& part : parts) add_to(state_.lots, part.key, part.mass);
        post(parts, 1);
        shift(total(parts));
        for (const auto& lot : noise) {
            const LotKey to = main_lot(parts, lot.key);
            const bool other_gas = facts_->refrigerant && lot.key.refrigerant != to.refrigerant;
            if (to != lot.key && !other_gas) reclassify(lot, to);
        }
        mix_lots();
    }
    void reclassify(const Lot& lot, const LotKey& to) {
        add_to(state_.lots, lot.key, -lot.mass);
        add_to(state_.lots, to, lot.mass);
        const Account own{AccountKind::cylinder, code_};
        out_.postings.push_back({own, lot.key, -lot.mass});
        out_.postings.push_back({own, to, lot.mass});
        if (lot.key.refrigerant == to.refrigerant) return;
        const Account counter{AccountKind::reclassified, {}};
        out_.postings.push_back({counter, lot.key, lot.mass});
        out_.postings.push_back({counter, to, -lot.mass});
    }
    // A scale that shows 0.2 lb over the tare of an evacuated recovery cylinder has not found gas of the shop's. Such a
    // remainder, within the tolerance of a level and in the default lot of the cylinder, takes the words of the gas
    // that comes in: else the first recovery into a clean cylinder would make it mixed, with two owners.
    [[nodiscard]] bool only_scale_noise() const {
        return facts_->use != "supply" && state_.lots.size() == 1 && state_.lots.front().key == fallback_ &&
               !(level_tolerance(facts_->tare.value_or(Mass()), *facts_) < state_.lots.front().mass.magnitude());
    }
    // A true reading can end a mark: the cylinder holds one refrigerant, or one owner's gas, again.
    void judge_after_evidence() {
        std::set<std::string> refrigerants;
        std::set<std::string> groups;
        for (const auto& lot : state_.lots) {
            if (lot.mass.is_negative()) continue;  // an overdrawn lot is a debt; no gas met it
            refrigerants.insert(lot.key.refrigerant);
            groups.insert(reg_.group_of(lot.key.owner));
        }
        state_.mixed = refrigerants.size() > 1 || refrigerants.contains(std::string(gas_mixed));
        state_.reclaim_only = groups.size() > 1;
    }
    void reset_if_empty() {
        if (!state_.lots.empty()) return;
        state_.mixed = false;
        state_.reclaim_only = false;
        state_.spoiled.clear();
        state_.identified.reset();
    }
    // Nothing is kept where an identifier named the one gas that the book has, and said no more.
    void identified(const Identify& k, const Event& event) {
        state_.identified.reset();
        const bool named_alone = k.refrigerant && !k.composition && !k.air && k.result != "fail";
        const bool agrees = std::all_of(state_.lots.begin(), state_.lots.end(),
                                        [&](const Lot& lot) { return lot.key.refrigerant == k.refrigerant; });
        if (state_.lots.empty() || (named_alone && agrees)) return;
        state_.identified = IdentifiedGas{event.book,    event.seq, event.when.date(), code_, k.refrigerant,
                                          k.composition, k.air,     k.result};
    }
    void finish() {
        if (!levelled_) effect_.levelled = effect_.before;
        effect_.after = std::move(state_);
        out_.effects.push_back(std::move(effect_));
    }

 private:
    void shift(Mass by) {
        if (state_.gross) *state_.gross += by;
        effect_.moved += by;
    }
    void post(const Lots& parts, int sign) {
        for (const auto& part : parts)
            out_.postings.push_back({{AccountKind::cylinder, code_}, part.key, sign < 0 ? -part.mass : part.mass});
    }
    void close_gap(Mass gap, Mass expected, Mass read, const std::string& typed) {
        if (gap.is_zero()) return;
        Gap g{code_, expected, read, typed, gap, level_tolerance(read, *facts_)};
        const Account counter{g.within_tolerance() ? AccountKind::scale : AccountKind::unaccounted, {}};
        if (gap.is_negative()) {
            const Lots missing = draw(state_.lots, -gap, fallback_);
            post(missing, -1);
            for (const auto& part : missing) out_.postings.push_back({counter, part.key, part.mass});
        } else {
            Lots found;
            Mass rest = gap;
            for (const auto& lot : state_.lots) {  // overdrawn lots are covered first
                if (!lot.mass.is_negative()) continue;
                const Mass cover = std::min(rest, -lot.mass);
                add_to(found, lot.key, cover);
                rest -= cover;
            }
            const bool any =
                std::any_of(state_.lots.begin(), state_.lots.end(), [](const Lot& l) { return Mass() < l.mass; });
            if (any)
                for (const auto& part : pro_rata(state_.lots, rest)) add_to(found, part.key, part.mass);
            else
                add_to(found, fallback_, rest);
            for (const auto& part : found) {
                add_to(state_.lots, part.key, part.mass);
                out_.postings.push_back({counter, part.key, -part.mass});
            }
            post(found, 1);
        }
        effect_.gap += gap;
        out_.gaps.push_back(std::move(g));
    }
    // Mixed gas takes the worst condition of its lots; two owners make it reclaim-only, two refrigerants make it mixed.
    void mix_lots() {
        Condition worst = Condition::virgin;
        std::set<std::string> refrigerants;
        std::set<std::string> groups;
        for (const auto& lot : state_.lots) {
            if (lot.mass.is_negative()) continue;
            worst = std::max(worst, lot.key.condition);
            refrigerants.insert(lot.key.refrigerant);
            groups.insert(reg_.group_of(lot.key.owner));
        }
        if (refrigerants.size() > 1 || refrigerants.contains(std::string(gas_mixed))) {
            state_.mixed = true;
            worst = Condition::recovered;
        }
        if (groups.size() > 1) {
            state_.reclaim_only = true;
            worst = std::max(worst, Condition::recovered);
        }
        const Lots lots = state_.lots;
        for (const auto& lot : lots)
            if (!lot.mass.is_negative() && lot.key.condition < worst)
                reclassify(lot, {lot.key.refrigerant, lot.key.owner, worst});
    }

    const Register& reg_;
    Outcome& out_;
    std::string code_;
    CylinderState state_;
    const CylinderFacts* facts_;
    LotKey fallback_;
    Effect effect_;
    bool levelled_ = false;
};

struct Folder {
    const Event& event;
    const States& before;
    const Register& reg;
    Outcome out;

    CylinderCursor cursor(const std::string& code) { return {event, before, reg, out, code}; }

    [[nodiscard]] LotKey lot_of_place(const std::string& circuit, Condition condition) const {
        const auto place = place_facts(reg, circuit, event.order());
        return {place && !place->refrigerant.empty() ? place->refrigerant : std::string(gas_unknown),
                owner_or_unassigned(place ? place->owner : ""), condition};
    }

    void post(const Account& account, const Lots& parts, int sign) {
        for (const auto& part : parts) out.postings.push_back({account, part.key, sign < 0 ? -part.mass : part.mass});
    }
    // Moves mass from an account into the cylinder, or back.
    void move_in(CylinderCursor& b, const Account& from, const Lots& parts) {
        b.add(parts);
        post(from, parts, -1);
    }
    void move_out(CylinderCursor& b, Mass amount, const Account& to) { post(to, b.remove(amount), 1); }
    void move_all_out(CylinderCursor& b, const Account& to) {
        post(to, b.remove_all(), 1);
        b.reset_if_empty();
    }

    void operator()(const Recover& k) {
        auto b = cursor(k.into);
        if (k.weighing.is_pair()) b.level(*k.weighing.before);
        b.mark_levelled();
        const Account circuit{AccountKind::circuit, k.circuit};
        const Mass gained = k.weighing.gained();
        if (gained.is_negative())  // the cylinder got lighter: what the scale showed is booked
            move_out(b, -gained, circuit);
        else if (!gained.is_zero())
            move_in(b, circuit, {{lot_of_place(k.circuit, Condition::recovered), gained}});
        if (k.gas && *k.gas != "clean") b.state().spoiled = *k.gas;
        b.finish();
    }

    void put_into_circuit(const Put& k) {
        const Account circuit{AccountKind::circuit, k.circuit};
        if (k.from.starts_with("outside:")) {
            const Lots parts{{lot_of_place(k.circuit, Condition::virgin), k.weighing.gained()}};
            post(circuit, parts, 1);
            post({AccountKind::outside, k.from.substr(8)}, parts, -1);
            return;
        }
        auto b = cursor(k.from);
        if (k.weighing.is_pair()) b.level(*k.weighing.before);
        b.mark_levelled();
        // the gain of a pair is negative where gas went out; a net is typed as the mass that went out
        const Mass went = k.weighing.is_pair() ? -k.weighing.gained() : k.weighing.gained();
        if (went.is_negative())
            move_in(b, circuit, {{lot_of_place(k.circuit, Condition::recovered), -went}});
        else if (!went.is_zero())
            move_out(b, went, circuit);
        b.close_overdrawn_jug();
        if (k.emptied) b.level_empty("empty");
        b.finish();
    }
    void operator()(const Charge& k) { put_into_circuit(k); }
    void operator()(const Reuse& k) { put_into_circuit(k); }

    void operator()(const Transfer& k) {
        if (k.from == k.into) {  // recording refuses this; another book's body may still have it, and it moves nothing
            auto b = cursor(k.from);
            b.finish();
            return;
        }
        auto from = cursor(k.from);
        auto into = cursor(k.into);
        const auto& f = k.from_weighing;
        const auto& i = k.into_weighing;
        if (f.is_pair()) from.level(*f.before);
        if (i.is_pair()) into.level(*i.before);
        from.mark_levelled();
        into.mark_levelled();
        // A pair on one side suffices; a single weight on the other side is a level after the transfer.
        std::optional<Mass> given;
        std::optional<Mass> taken;
        if (f.is_pair()) given = -f.gained();
        if (f.net) given = f.net->mass;
        if (i.is_pair() || i.net) taken = i.gained();
        Mass went = given ? *given : taken.value_or(Mass());
        Mass came = taken ? *taken : went;
        CylinderCursor* source = &from;
        CylinderCursor* target = &into;
        if (went.is_negative() && came.is_negative()) {  // gas went the other way: what the scales showed is booked
            std::swap(source, target);
            std::swap(went, came);
            went = -went;
            came = -came;
        }
        const Lots left = source->remove(std::max(went, Mass()));
        const Mass arrived_mass = std::max(came, Mass());
        Lots arrived;
        const bool any = std::any_of(left.begin(), left.end(), [](const Lot& l) { return Mass() < l.mass; });
        if (any)
            arrived = pro_rata(left, arrived_mass);
        else
            add_to(arrived, source->fallback(), arrived_mass);
        target->add(arrived);
        if (!arrived.empty() && source->state().identified && !target->state().identified)
            target->state().identified = source->state().identified;
        Lots hoses = left;
        for (const auto& part : arrived) add_to(hoses, part.key, -part.mass);
        post(hose_account(k, total(hoses), *source), hoses, 1);
        from.close_overdrawn_jug();
        // The last weight of each scale is a level. After a pair it makes no gap, unless the two sides contradict each
        // other (both got lighter): then what did not fit the movement is a gap, because a true reading is never lost.
        if (f.after) from.level(*f.after);
        if (k.emptied) from.level_empty("empty");
        if (i.after) into.level(*i.after);
        from.finish();
        into.finish();
    }
    static Account hose_account(const Transfer& k, Mass loss, CylinderCursor& source) {
        if (k.hose_loss)
            if (const auto kind = account_kind_from(*k.hose_loss)) return {*kind, {}};
        const bool explained = loss.magnitude() <= level_tolerance(Mass(), source.facts());
        return {explained ? AccountKind::scale : AccountKind::unaccounted, {}};
    }

    // Contents that a cylinder had when the book took it over, or that came with it from a supplier.
    void take_in(CylinderCursor& b, const Account& from, const LotKey& lot, const Weighing& w,
                 const std::optional<Weight>& gross) {
        if (w.is_pair()) {
            b.level(*w.before);
            b.mark_levelled();
            const Mass gained = w.gained();
            if (gained.is_negative())
                move_out(b, -gained, from);
            else if (!gained.is_zero())
                move_in(b, from, {{lot, gained}});
            return;
        }
        b.mark_levelled();
        if (w.net) {
            if (!w.net->mass.is_zero()) move_in(b, from, {{lot, w.net->mass}});
        } else if (gross && b.facts().tare) {
            // The book did not have the contents above the tare: they came in now.
            const Mass gained = gross->mass - *b.facts().tare - b.contents();
            if (gained.is_negative())
                move_out(b, -gained, from);
            else if (!gained.is_zero())
                move_in(b, from, {{lot, gained}});
        }
        if (gross) b.level(*gross);
    }
    void operator()(const Opening& k) {
        auto b = cursor(k.cylinder);
        const LotKey lot{k.refrigerant.value_or(b.fallback().refrigerant), owner_or_unassigned(k.owner), k.condition};
        take_in(b, {AccountKind::opening, {}}, lot, {{}, {}, k.net}, k.gross);
        b.finish();
    }
    void operator()(const Receive& k) {
        auto b = cursor(k.cylinder);
        auto& s = b.state();
        s.gone = false;  // a cylinder that comes back full is ours again
        const LotKey lot{k.refrigerant.value_or(b.fallback().refrigerant), std::string(shop_owner), k.condition};
        take_in(b, {AccountKind::supplier, k.from}, lot, k.weighing, k.gross);
        b.finish();
    }

    void send(const Send& k, AccountKind kind) {
        auto b = cursor(k.cylinder);
        const Account to{kind, k.to};
        if (k.weighing.is_pair()) {
            b.level(*k.weighing.before);
            b.mark_levelled();
            const Mass went = -k.weighing.gained();
            if (went.is_negative())
                move_in(b, to, {{b.fallback(), -went}});
            else if (!went.is_zero())
                move_out(b, went, to);
            b.reset_if_empty();
            b.finish();
            return;
        }
        leave(b, k.gross, to, k.to);
    }
    // The cylinder leaves with its contents.
    void leave(CylinderCursor& b, const std::optional<Weight>& gross, const Account& to, const std::string& place) {
        if (gross) b.level(*gross);
        b.mark_levelled();
        if (b.contents().is_negative())
            b.level_empty("below tare");
        else
            move_all_out(b, to);
        auto& s = b.state();
        s.gone = true;
        s.place = place;
        s.held_for.clear();
        s.gross.reset();  // others handle it now: the next weight is not compared with this one
        b.finish();
    }
    void operator()(const Return& k) { send(k, AccountKind::reclaimer); }
    void operator()(const Destroy& k) { send(k, AccountKind::destroyer); }
    void operator()(const Exchange& k) {
        auto b = cursor(k.cylinder);
        leave(b, k.gross, {AccountKind::supplier, k.with}, k.with);
    }

    void operator()(const Release& k) {
        const Account air{AccountKind::atmosphere, {}};
        if (k.cylinder) {
            auto b = cursor(*k.cylinder);
            if (k.weighing.is_pair()) b.level(*k.weighing.before);
            b.mark_levelled();
            const Mass went = k.released();
            if (went.is_negative())  // the cylinder got lighter: what the scale showed is booked
                move_in(b, air, {{b.fallback(), -went}});
            else if (!went.is_zero())
                move_out(b, went, air);
            b.close_overdrawn_jug();
            b.finish();
        } else if (k.circuit) {
            const Lots parts{{lot_of_place(*k.circuit, Condition::recovered), k.released()}};
            post({AccountKind::circuit, *k.circuit}, parts, -1);
            post(air, parts, 1);
        }
    }

    // Within one appliance nothing moves in the book. Into another appliance the estimate moves. Pumped gas stays what
    // it was, so both sides carry the words of its source.
    void operator()(const Pumpdown& k) {
        if (!k.to || !k.mass || k.mass->mass.is_zero()) return;
        const Lots parts{{lot_of_place(k.circuit, Condition::recovered), k.mass->mass}};
        post({AccountKind::circuit, k.circuit}, parts, -1);
        post({AccountKind::circuit, *k.to}, parts, 1);
    }

    void operator()(const Weigh& k) {
        auto b = cursor(k.cylinder);
        b.level(k.gross);
        b.mark_levelled();
        if (k.leaking) b.state().leaking = true;
        b.finish();
    }
    void operator()(const StocktakeWeigh& k) {
        auto b = cursor(k.cylinder);
        b.level(k.gross);
        b.mark_levelled();
        b.finish();
    }
    // It counts as lost only by an event `lost`.
    void operator()(const StocktakeMissing& k) { cursor(k.cylinder).finish(); }
    void operator()(const Evacuate& k) {
        if (!k.cylinder) return;
        auto b = cursor(*k.cylinder);
        b.level_empty("evacuated");
        b.mark_levelled();
        b.finish();
    }
    void operator()(const Move& k) {
        auto b = cursor(k.cylinder);
        b.state().gone = false;  // an empty cylinder that comes back is moved in
        b.state().place = k.place;
        b.state().held_for = k.held_for.value_or("");
        b.finish();
    }
    // Oil, water and air were never refrigerant: they leave the reclaimer's account for one of their own. A rest that
    // is neither those nor the stated refrigerant is a difference of two scales, or unaccounted.
    void operator()(const Settle& k) {
        cursor(k.cylinder).finish();
        if (!settles(k, before.sent)) return;
        const auto split = settlement_of(k, before.sent->lots);
        const Account reclaimer{AccountKind::reclaimer, before.sent->to};
        const auto carry = [&](const Account& to, const Lots& parts) {
            post(reclaimer, parts, -1);
            post(to, parts, 1);
        };
        carry({AccountKind::not_refrigerant, {}}, split.contaminants);
        carry({split.within_tolerance() ? AccountKind::scale : AccountKind::unaccounted, {}}, split.rest);
        if (k.outcome == "destroyed") carry({AccountKind::destroyer, before.sent->to}, split.stated);
    }
    // Cleaning makes used gas of one owner recycled. It does not part a mixture, and does not give two owners' gas back
    // to either: only a reclaimer helps there.
    void operator()(const Recycle& k) {
        auto b = cursor(k.cylinder);
        const bool failed = k.acid_test == "fail" || k.moisture_test == "fail";
        auto& state = b.state();
        if (!failed && !state.mixed && !state.reclaim_only) {
            const Lots lots = state.lots;
            for (const auto& lot : lots)
                if (Mass() < lot.mass && lot.key.condition == Condition::recovered)
                    b.reclassify(lot, {lot.key.refrigerant, lot.key.owner, Condition::recycled});
        }
        if (!failed && k.acid_test && state.spoiled == "acid") state.spoiled.clear();
        b.finish();
    }
    void operator()(const kinds::AirCheck& k) { cursor(k.cylinder).finish(); }  // moves nothing
    void operator()(const Identify& k) {
        if (!k.cylinder) return;
        auto b = cursor(*k.cylinder);
        b.identified(k, event);
        b.finish();
    }
    void operator()(const Condemn& k) {
        auto b = cursor(k.cylinder);
        b.state().condemned = true;
        b.finish();
    }
    void operator()(const Requalify& k) {
        auto b = cursor(k.cylinder);
        b.state().leaking = false;  // it passed a requalification
        b.finish();
    }
    void operator()(const kinds::Entry& k) {
        if (k.entry != EntryKind::cylinder) return;
        auto b = cursor(k.code);
        if (const auto place = k.values.find("place"); place != k.values.end()) b.state().place = place->second.text;
        if (const auto held = k.values.find("held_for"); held != k.values.end()) b.state().held_for = held->second.text;
        b.finish();
    }
    void operator()(const Reclassify& k) {
        auto b = cursor(k.cylinder);
        const Lots lots = b.state().lots;
        for (const auto& lot : lots) {
            if (k.lot_refrigerant && lot.key.refrigerant != *k.lot_refrigerant) continue;
            if (k.lot_owner && lot.key.owner != *k.lot_owner) continue;
            LotKey to = lot.key;
            if (k.to_refrigerant) to.refrigerant = *k.to_refrigerant;
            if (k.to_owner) to.owner = *k.to_owner;
            if (k.to_condition) to.condition = condition_from(*k.to_condition).value_or(to.condition);
            // gas that is mixed, or not known, cannot be called better than recovered
            if (k.to_refrigerant == gas_mixed || k.to_refrigerant == gas_unknown) to.condition = Condition::recovered;
            if (to != lot.key) b.reclassify(lot, to);
        }
        if (k.to_refrigerant) b.state().identified.reset();  // evidence that is later than the identifier
        b.judge_after_evidence();
        b.finish();
    }
    void operator()(const Lost& k) {
        auto b = cursor(k.cylinder);
        b.mark_levelled();
        auto& s = b.state();
        for (const auto& lot : s.lots) add_to(s.lots_when_lost, lot.key, lot.mass);  // it may be reported lost twice
        post({AccountKind::lost, {}}, b.remove_all(), 1);
        s.lost = true;
        b.finish();
    }
    void operator()(const Found& k) {
        auto b = cursor(k.cylinder);
        auto& s = b.state();
        const Lots parts = std::move(s.lots_when_lost);
        s.lots_when_lost.clear();
        move_in(b, {AccountKind::lost, {}}, parts);
        if (k.gross) b.level(*k.gross);
        b.mark_levelled();
        if (k.place) s.place = *k.place;
        s.lost = false;
        b.finish();
    }
    void operator()(const Start&) {}
    void operator()(const Convert&) {}  // the register has it; past postings keep the gas they moved
    // Facts about an appliance's leaks move no mass: the rules read them.
    void operator()(const Leak&) {}
    void operator()(const Inspect&) {}
    void operator()(const Isolate&) {}
    void operator()(const Fit&) {}
    void operator()(const PressureTest&) {}
    void operator()(const Oil&) {}
    void operator()(const FilterDrier&) {}  // of a machine: the register has it
    void operator()(const Compressor&) {}
    void operator()(const kinds::Note&) {}
    void operator()(const Repair&) {}
    void operator()(const LeakTest&) {}
    void operator()(const Plan&) {}
    void operator()(const Mothball&) {}
    void operator()(const Extension&) {}
    void operator()(const Seal&) {}
    void operator()(const Trust&) {}
    void operator()(const Withdraw&) {}
    void operator()(const Merge&) {}
    void operator()(const Typist&) {}
    void operator()(const RemoveName&) {}
    void operator()(const Void&) {}
    void operator()(const Resolve&) {}
    // Of a stocktake only the weights move mass.
    void operator()(const StocktakeBegin&) {}
    void operator()(const StocktakeUnknown&) {}
    void operator()(const StocktakeReason&) {}
    void operator()(const StocktakeClose&) {}
    void operator()(const Unknown&) {}
};

// Promises that hold after every kind of event.
void check_promises(const Outcome& out, const std::vector<std::string>& cylinders) {
    std::map<std::string, MassTotal> sums;
    for (const auto& p : out.postings) sums[p.lot.refrigerant] += p.mass;
    for (const auto& [refrigerant, sum] : sums)
        must_hold(sum.is_zero(), "I1: the postings of an event sum to zero for each refrigerant");
    must_hold(out.effects.size() == cylinders.size(), "an event has one effect for each of its cylinders");
    for (std::size_t n = 0; n < cylinders.size(); ++n) {
        const auto& effect = out.effects[n];
        must_hold(effect.cylinder == cylinders[n], "effects come in the order of the event's cylinders");
        MassTotal change, posted, gaps;
        for (const auto& lot : effect.after.lots) change += lot.mass;
        for (const auto& lot : effect.before.lots) change -= lot.mass;
        for (const auto& p : out.postings)
            if (p.account.kind == AccountKind::cylinder && p.account.code == effect.cylinder) posted += p.mass;
        for (const auto& gap : out.gaps)
            if (gap.cylinder == effect.cylinder) gaps += gap.gap;
        must_hold(change == posted, "a cylinder's contents change by its postings");
        gaps += effect.moved;
        must_hold(change == gaps, "a cylinder's contents change by what moved and by its gaps");
        must_hold(std::is_sorted(effect.after.lots.begin(), effect.after.lots.end(),
                                 [](const Lot& a, const Lot& b) { return a.key < b.key; }),
                  "a cylinder's lots come in the order of their keys");
        must_hold(std::none_of(effect.after.lots.begin(), effect.after.lots.end(),
                               [](const Lot& lot) { return lot.mass.is_zero(); }),
                  "a cylinder has no lot of nothing");
    }
}

}  // namespace

Outcome fold_one(const Event& event, const States& before, const Register& reg) {
    Folder folder{event, before, reg, {}};
    std::visit([&](const auto& kind) { folder(kind); }, event.what);
    check_promises(folder.out, cylinders_of(event));
    return std::move(folder.out);
}

}  // namespace tarebook
