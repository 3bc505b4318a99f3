// A small shop in memory: a register, the states of its cylinders, and short words for events. Everything that a check
// may miss is on record here, so that a row shows only what it changes.
#pragma once

#include <doctest/doctest.h>

#include <map>
#include <string>
#include <utility>

#include "tarebook/checks/checks.hpp"

namespace shop {

using namespace tarebook;

inline Weight lb(const std::string& typed) {
    const auto weight = parse_weight(typed, ScaleReads::lb);
    REQUIRE_MESSAGE(weight.has_value(), typed);
    return *weight;
}

using Words = std::map<std::string, std::string>;

class Shop {
 public:
    RegisterInMemory reg;
    States states;
    std::map<std::string, Sent> sent;                         ///< by the return's digest
    std::map<std::string, std::vector<NearbyEvent>> touches;  ///< by cylinder
    std::optional<Fork> fork;                                 ///< where the next event begins a branch
    RecordedBefore recorded_before;
    Instant now = std::chrono::sys_days{std::chrono::year{2026} / 3 / 2} + std::chrono::hours(15);
    std::int64_t seq = 0;

    Shop() {
        entry(EntryKind::site, "OAK", {{"owner", "Oak Foods"}, {"owner_group", "Oak"}});
        entry(EntryKind::site, "ASH", {{"owner", "Oak Deli"}, {"owner_group", "Oak"}});
        entry(EntryKind::site, "ELM", {{"owner", "Elm Market"}});
        entry(EntryKind::site, "LYS", {{"owner", "Lys Marked"}, {"rule_packs", "eu-2024-573"}});
        entry(EntryKind::appliance, "LYS/RACK", {{"refrigerant", "R-404A"}});
        entry(EntryKind::appliance, "OAK/RACK-B", {{"refrigerant", "R-404A"}, {"full_charge", "60lb"}});
        entry(EntryKind::appliance, "OAK/LARGE", {{"refrigerant", "R-404A"}, {"full_charge", "200lb"}});
        entry(EntryKind::circuit, "OAK/LARGE/1", {});
        entry(EntryKind::appliance, "ASH/RACK-A", {{"refrigerant", "R-404A"}});
        entry(EntryKind::appliance, "ELM/RACK-A", {{"refrigerant", "R-404A"}});
        entry(EntryKind::appliance, "OAK/OLD", {{"refrigerant", "R-22"}});
        entry(EntryKind::appliance, "OAK/AC", {{"refrigerant", "R-410A"}});
        entry(EntryKind::appliance, "OAK/CASE", {{"refrigerant", "R-290"}});
        entry(EntryKind::appliance, "OAK/BARE", {{"full_charge", "60lb"}});
        entry(EntryKind::technician, "T1", {{"name", "Sam Example"}, {"certificate", "U-1"}});
        entry(EntryKind::technician, "T2", {{"name", "Kim Example"}});
        entry(EntryKind::scale, "S1", {{"reads", "lb"}, {"division", "0.05lb"}});
        cylinder("RC-1", {});
    }

    void entry(EntryKind kind, const std::string& code, const Words& words) {
        kinds::Entry e{kind, code, true, {}};
        for (const auto& [field, text] : words) {
            FieldValue value{text, {}};
            for (const auto& rule : field_rules(kind))
                if (rule.name == field && (rule.type == FieldType::mass || rule.type == FieldType::water_capacity))
                    value.mass = lb(text).mass;
            e.values[field] = value;
        }
        take(event(e));
    }
    /// A recovery cylinder with a whole collar; an empty word takes a field off it.
    void cylinder(const std::string& code, const Words& changes) {
        Words words{{"use", "recovery"},    {"refrigerant", "R-404A"}, {"wc", "47.6lb"},     {"tare", "17lb"},
                    {"spec", "DOT-4BA400"}, {"tested", "2024-06"},     {"flammable", "yes"}, {"place", "shop"}};
        for (const auto& [field, text] : changes) {
            words[field] = text;
            if (text.empty()) words.erase(field);
        }
        entry(EntryKind::cylinder, code, words);
    }
    /// A bought jug: 25 lb over a tare of 5 lb.
    void jug(const std::string& code, const Words& changes = {}) {
        Words words{{"use", "supply"}, {"tare", "5lb"}, {"wc", ""}, {"spec", "DOT-39"}, {"tested", ""}};
        for (const auto& [field, text] : changes) words[field] = text;
        cylinder(code, words);
        kinds::Receive r;
        r.cylinder = code;
        r.from = "Example Supply";
        r.refrigerant = words.contains("refrigerant") ? words["refrigerant"] : "R-404A";
        if (words["tare"].empty())
            r.weighing.net = lb("25lb");
        else
            r.gross = lb("30lb");
        take(event(r));
    }

    Event event(What what) {
        Event e;
        e.book[0] = 1;
        e.seq = ++seq;
        now += std::chrono::minutes(1);
        e.when = {now, std::chrono::hours(-6), "America/Chicago"};
        e.recorded = now;
        e.by = "T1";
        e.scale = "S1";
        e.what = std::move(what);
        return e;
    }
    /// As another book would have recorded it.
    static Event of_other_book(Event e) {
        e.book[0] = 2;
        return e;
    }
    Event recover(const std::string& circuit, const std::string& into, const std::string& before,
                  const std::string& after) {
        kinds::Recover k;
        k.circuit = circuit;
        k.into = into;
        k.weighing = {lb(before), lb(after), {}};
        k.vacuum = "10inHg";
        k.drier = "yes";
        return event(k);
    }
    template <class Kind>
    Event put(const std::string& from, const std::string& circuit, const std::string& before,
              const std::string& after) {
        Kind k;
        k.from = from;
        k.circuit = circuit;
        k.weighing = {lb(before), lb(after), {}};
        return event(k);
    }
    Event reuse(const std::string& from, const std::string& circuit, const std::string& before,
                const std::string& after) {
        return put<kinds::Reuse>(from, circuit, before, after);
    }
    Event charge(const std::string& from, const std::string& circuit, const std::string& before,
                 const std::string& after) {
        return put<kinds::Charge>(from, circuit, before, after);
    }
    Event charge_net(const std::string& from, const std::string& circuit, const std::string& net) {
        kinds::Charge k;
        k.from = from;
        k.circuit = circuit;
        k.weighing.net = lb(net);
        return event(k);
    }
    Event transfer(const std::string& from, const std::string& into, Weighing from_weighing, Weighing into_weighing) {
        kinds::Transfer k;
        k.from = from;
        k.into = into;
        k.from_weighing = std::move(from_weighing);
        k.into_weighing = std::move(into_weighing);
        return event(k);
    }
    Event weigh(const std::string& cylinder, const std::string& gross, bool leaking = false) {
        return event(kinds::Weigh{cylinder, lb(gross), leaking});
    }
    Event opening(const std::string& cylinder, const std::string& owner, const std::string& gross) {
        kinds::Opening k;
        k.cylinder = cylinder;
        k.owner = owner;
        k.refrigerant = "R-404A";
        k.gross = lb(gross);
        return event(k);
    }

    [[nodiscard]] States states_of(const Event& e) const {
        States out;
        for (const auto& code : cylinders_of(e)) {
            const auto it = states.find(code);
            out[code] = it == states.end() ? CylinderState{} : it->second;
        }
        if (const auto* k = std::get_if<kinds::Settle>(&e.what))
            if (const auto it = sent.find(k->target); it != sent.end()) out.sent = it->second;
        for (const auto& code : cylinders_of(e))
            if (const auto it = touches.find(code); it != touches.end())
                for (const auto& touch : it->second)
                    if (e.when.at - touch.when.at <= nearby_reach &&
                        (touch.order.book != e.book || may_be_one_amount(touch.moved, weighed_amount(e, code))))
                        out.nearby[code].push_back(touch);
        out.fork = fork;
        out.recorded_before = recorded_before;
        return out;
    }
    /// Recorded without being judged.
    void take(const Event& e) {
        reg.apply(e);
        const auto out = fold_one(e, states_of(e), reg);
        for (const auto& effect : out.effects) {
            states[effect.cylinder] = effect.after;
            touches[effect.cylinder].push_back(
                nearby_event(e, effect.cylinder, effect.moved, effect.gap, effect.after.contents(),
                             e.book[0] == 1 ? "E" + std::to_string(e.seq) : "0a1b2c3d4e5f"));
        }
        if (const auto* k = std::get_if<kinds::Return>(&e.what)) {
            auto& s = sent[hex(digest_of(canonical_body(e)))];
            s = {e.order(), k->cylinder, k->to, {}, false};
            for (const auto& p : out.postings)
                if (p.account.kind == AccountKind::reclaimer) s.lots.push_back({p.lot, p.mass});
        }
        if (const auto* k = std::get_if<kinds::Settle>(&e.what)) sent[k->target].settled = true;
    }
    [[nodiscard]] Outcome judge(const Event& e) const { return Judge({}).evaluate(e, states_of(e), reg); }
};

inline Weighing pair(const std::string& before, const std::string& after) {
    return {lb(before), lb(after), {}};
}

/// One row: what was recorded before and the event that is judged; then all that must be found, nothing else.
struct Row {
    std::string title;
    Event (*act)(Shop&);
    std::vector<std::string> found;  ///< "refusal fill-limit"
};
const std::vector<Row>& rows();

}  // namespace shop
