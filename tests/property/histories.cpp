#include "histories.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <numeric>
#include <random>
#include <stdexcept>

namespace tarebook::property {
namespace {

using namespace kinds;

constexpr std::array<const char*, 8> cylinders = {"RC-001", "RC-002", "RC-003", "RC-004",
                                                  "SP-101", "SP-102", "CO-201", "HT-301"};
// Few, so that one is reported lost twice, or filled between, before it is found.
constexpr std::array<const char*, 2> often_lost = {"RC-001", "RC-003"};
constexpr std::array<const char*, 8> places = {"OAK/RACK-A/1", "OAK/RACK-A/2", "OAK/RACK-B/1", "ELM/UNIT-1/1",
                                               "ASH/COLD-1/1", "ASH/COLD-1/2", "OAK/RACK-A",   "ELM/NOT-ON-RECORD/1"};
constexpr std::array<const char*, 3> gases = {"R-448A", "R-22", "R-134a"};
constexpr std::array<const char*, 3> outcomes = {"reclaimed", "destroyed", "rejected"};
constexpr std::array<const char*, 3> owners = {"Fernhill Stores", "Bluebird Dairy", "shop"};

// 2026-03-02, a Monday, at 06:00 UTC; every moment is counted from here.
const Instant first_day = std::chrono::sys_days(std::chrono::year(2026) / 3 / 2) + std::chrono::hours(6);

class Dice {
 public:
    explicit Dice(const Step& step) : step_(step) {}
    int roll(int sides) {
        const int value = next_ < step_.size() ? step_[next_] : 0;
        ++next_;
        return value % sides;
    }
    template <std::size_t N>
    std::string one_of(const std::array<const char*, N>& list) {
        return list[static_cast<std::size_t>(roll(static_cast<int>(N)))];
    }
    bool one_in(int n) { return roll(n) == n - 1; }

 private:
    const Step& step_;
    std::size_t next_ = 0;
};

// Words for about so many thousandths of a pound, in one of the ways people type a weight.
Weight typed(int thousandths_lb, int way) {
    thousandths_lb = std::max(thousandths_lb, 0);
    const double lb = thousandths_lb / 1000.0;
    std::string words;
    switch (way % 6) {
        case 0:
            words = fmt::format("{:.2f}lb", lb);
            break;
        case 1: {
            const int tenths_oz = thousandths_lb % 1000 * 159 / 999;
            words = fmt::format("{} lb {}.{} oz", thousandths_lb / 1000, tenths_oz / 10, tenths_oz % 10);
            break;
        }
        case 2:
            words = fmt::format("{:.1f}oz", lb * 16);
            break;
        case 3:
            words = fmt::format("{:.3f}kg", lb * 0.45359237);
            break;
        case 4:
            words = fmt::format("{:.1f}g", lb * 453.59237);
            break;
        default:
            words = fmt::format("{:.3f}lb", lb);
            break;
    }
    auto weight = parse_weight(words, ScaleReads::unknown);
    if (!weight) throw std::logic_error("the generator typed what is no weight: " + words);
    return *weight;
}

// Turns steps into drafts. It keeps a rough idea of what each cylinder weighs, so that most readings nearly agree with
// each other and the interesting small gaps come up as often as the wild ones.
class Author {
 public:
    explicit Author(Moments moments) : moments_(moments) {
        site("OAK", owners[0]);
        site("ELM", owners[1]);
        site("ASH", owners[0]);
        appliance("OAK/RACK-A", gases[0]);
        appliance("OAK/RACK-B", gases[0]);
        appliance("ELM/UNIT-1", gases[1]);
        appliance("ASH/COLD-1", gases[2]);
        for (std::size_t i = 0; i < 6; ++i) entry(EntryKind::circuit, places[i], {{"serves", {"a case", {}}}});
        cylinder("RC-001", "recovery", gases[0], "17lb", "47.6lb");
        cylinder("RC-002", "recovery", "", "7.8kg", "47.6lb");
        cylinder("RC-003", "recovery", gases[1], "16 lb 12 oz", "");
        cylinder("RC-004", "recovery", gases[0], "", "47.6lb");
        cylinder("SP-101", "supply", gases[0], "", "");
        cylinder("SP-102", "supply", gases[2], "5.4lb", "");
        cylinder("CO-201", "consolidation", "", "28lb", "123lb");
        cylinder("HT-301", "recovery", gases[2], "310lb", "1000lb");
    }

    void act(const Step& step) {
        Dice dice(step);
        constexpr int kinds_of_step = 30;
        const int kind = dice.roll(kinds_of_step);
        const int day = dice.roll(12);
        const int minute = dice.roll(24) * 37;
        const bool clock_is_off = dice.one_in(15);
        const int days_off = clock_is_off ? dice.roll(9) - 4 : (dice.roll(9), 0);
        // mostly the days go on with the recording, but a good part of the entries are late
        const int steps_done = static_cast<int>(history_.size()) / 4;
        minutes_ = ((day < 4 ? day : steps_done) + days_off) * 1440 + minute;
        what(kind, dice);
    }

    History take() { return std::move(history_); }

 private:
    void add(What what, std::string text, std::optional<std::size_t> target = {}) {
        Draft draft;
        const auto place = static_cast<int>(history_.size());
        if (moments_ == Moments::may_coincide)
            draft.event.when.at = first_day + std::chrono::minutes(minutes_ / 370 * 370);
        else
            draft.event.when.at = first_day + std::chrono::minutes(minutes_) * 100 + std::chrono::seconds(place);
        draft.event.when.offset = std::chrono::minutes(-360);
        draft.event.when.zone = "America/Chicago";
        draft.event.recorded = first_day + std::chrono::days(400) + std::chrono::seconds(place);
        if (place % 3 == 0) draft.event.job = fmt::format("{}", 2200 + place % 7);
        if (place % 5 == 0) draft.event.by = "J. Ferrow";
        draft.event.what = std::move(what);
        draft.target = target;
        draft.text = std::move(text);
        history_.push_back(std::move(draft));
    }

    // --- register ---
    void entry(EntryKind kind, std::string code, FieldValues values, bool adds = true) {
        std::string text = fmt::format("{} {}", text_of(kind), code);
        for (const auto& [name, value] : values) text += fmt::format(" {}={}", name, value.text);
        add(kinds::Entry{kind, std::move(code), adds, std::move(values)}, text);
    }
    void site(const char* code, const char* owner) { entry(EntryKind::site, code, {{"owner", {owner, {}}}}); }
    void appliance(const char* code, const char* gas) {
        entry(EntryKind::appliance, code, {{"refrigerant", {gas, {}}}});
    }
    static FieldValue weight_field(const Weight& w) { return {w.typed, w.mass}; }
    void cylinder(const char* code, const char* use, const std::string& gas, const char* tare, const char* wc) {
        FieldValues values{{"use", {use, {}}}};
        const auto weight = [](const char* words) { return parse_weight(words, ScaleReads::unknown).value(); };
        if (!gas.empty()) values["refrigerant"] = {gas, {}};
        if (*tare != 0) values["tare"] = weight_field(weight(tare));
        if (*wc != 0) values["wc"] = weight_field(weight(wc));
        shown_[code] = *tare != 0 ? static_cast<int>(weight(tare).mass.in_pounds() * 1000) : 18'000;
        entry(EntryKind::cylinder, code, values);
    }

    // --- weighings ---
    static int wobble(Dice& dice) {
        switch (dice.roll(8)) {
            case 4:
                return dice.roll(400) - 200;
            case 5:
                return dice.roll(3000) - 1500;
            case 6:
                return dice.roll(1000) * 9 - 4500;
            case 7:
                return -100'000;  // an empty pan
            default:
                return dice.roll(1), 0;
        }
    }
    Weight gross(const std::string& code, Dice& dice) {
        shown_[code] = std::max(shown_[code] + wobble(dice), 0);
        return typed(shown_[code], dice.roll(6));
    }
    static int amount(Dice& dice) {
        const int thousandths = dice.roll(1000) * 23 + dice.roll(10);
        return dice.one_in(12) ? 0 : thousandths;
    }
    Weight net(Dice& dice) { return typed(amount(dice), dice.roll(6)); }
    Weighing pair(const std::string& code, int sign, Dice& dice) {
        Weighing w;
        w.before = gross(code, dice);
        const int moved = amount(dice);
        const bool wrong_way = dice.one_in(14);
        shown_[code] = std::max(shown_[code] + (wrong_way ? -sign : sign) * moved, 0);
        w.after = typed(shown_[code], dice.roll(6));
        return w;
    }
    Weighing weighing(const std::string& code, int sign, Dice& dice) {
        if (!dice.one_in(4)) return pair(code, sign, dice);
        Weighing w;
        w.net = net(dice);
        shown_[code] += sign * static_cast<int>(w.net->mass.in_pounds() * 1000);
        return w;
    }
    static std::string text(const Weighing& w) {
        std::string s;
        if (w.before) s += " before " + w.before->typed;
        if (w.after) s += " after " + w.after->typed;
        if (w.net) s += " net " + w.net->typed;
        return s;
    }
    static std::string text(const std::optional<Weight>& gross) { return gross ? " gross " + gross->typed : ""; }

    // --- acts ---
    template <class P>
    void put(Dice& dice) {
        P k;
        k.circuit = dice.one_of(places);
        k.from = dice.one_of(cylinders);
        if (dice.one_in(8)) {
            k.from = "outside:Northline Mechanical";
            k.weighing.net = net(dice);
        } else {
            k.weighing = weighing(k.from, -1, dice);
            k.emptied = dice.one_in(6);
        }
        if (dice.one_in(6)) k.leak = leak_code(1 + dice.roll(3));
        if (dice.one_in(9)) k.ownership_exception = "sister-company: one group";
        const std::string words =
            fmt::format("{} {} from {}{}{}", P::name, k.circuit, k.from, text(k.weighing), k.emptied ? " emptied" : "");
        add(k, words);
    }
    void transfer(Dice& dice) {
        Transfer k;
        const auto from = static_cast<std::size_t>(dice.roll(8));
        const auto into = (from + 1 + static_cast<std::size_t>(dice.roll(7))) % 8;
        k.from = cylinders[from];
        k.into = cylinders[into];
        switch (dice.roll(6)) {
            case 0:
                k.from_weighing = pair(k.from, -1, dice);
                break;
            case 1:
                k.into_weighing = pair(k.into, 1, dice);
                break;
            case 2:
                k.from_weighing = pair(k.from, -1, dice);
                k.into_weighing = pair(k.into, 1, dice);
                break;
            case 3:  // three of the four weights
                k.from_weighing = pair(k.from, -1, dice);
                k.into_weighing.after = gross(k.into, dice);
                break;
            case 4:
                k.from_weighing.net = net(dice);
                break;
            default: {  // four that nearly agree
                k.from_weighing.before = gross(k.from, dice);
                k.into_weighing.before = gross(k.into, dice);
                const int moved = amount(dice);
                shown_[k.from] -= moved;
                shown_[k.into] += moved - dice.roll(300);
                k.from_weighing.after = typed(shown_[k.from], dice.roll(6));
                k.into_weighing.after = typed(shown_[k.into], dice.roll(6));
            }
        }
        const int hoses = dice.roll(5);
        if (hoses == 3) k.hose_loss = "atmosphere";
        if (hoses == 4) k.hose_loss = "lost";
        k.emptied = dice.one_in(6);
        const std::string words =
            fmt::format("transfer {}{} into {}{}{}{}", k.from, text(k.from_weighing), k.into, text(k.into_weighing),
                        k.hose_loss ? " hoses " + *k.hose_loss : "", k.emptied ? " emptied" : "");
        add(k, words);
    }
    void receive(Dice& dice) {
        Receive k;
        k.cylinder = dice.one_of(cylinders);
        k.from = "Gable Supply";
        if (dice.one_in(3)) k.refrigerant = dice.one_of(gases);
        k.condition = dice.one_in(4) ? Condition::reclaimed : Condition::virgin;
        const int way = dice.roll(4);
        if (way == 0 || way == 3) {
            shown_[k.cylinder] += amount(dice);
            k.gross = gross(k.cylinder, dice);
        }
        if (way == 1 || way == 3) {
            k.weighing.net = net(dice);
            k.stamped = true;
        }
        if (way == 2) k.weighing = pair(k.cylinder, 1, dice);
        const std::string words =
            fmt::format("receive {} {}{}{}", k.cylinder, k.refrigerant.value_or(""), text(k.weighing), text(k.gross));
        add(k, words);
    }
    void opening(Dice& dice) {
        Opening k;
        k.cylinder = dice.one_of(cylinders);
        k.owner = dice.one_in(5) ? "" : dice.one_of(owners);
        if (dice.one_in(3)) k.refrigerant = dice.one_of(gases);
        if (dice.one_in(9)) k.refrigerant = "mixed";
        k.condition = static_cast<Condition>(dice.roll(4));
        if (dice.one_in(3)) {
            k.net = net(dice);
        } else {
            shown_[k.cylinder] += amount(dice);
            k.gross = gross(k.cylinder, dice);
        }
        const std::string words = fmt::format("opening {} {} of {}{}{}", k.cylinder, k.refrigerant.value_or(""),
                                              k.owner, text(k.gross), k.net ? " net " + k.net->typed : "");
        add(k, words);
    }
    template <class S>
    void send(Dice& dice) {
        S k;
        k.cylinder = dice.one_of(cylinders);
        k.to = "Westmark Reclaim";
        const int way = dice.roll(3);
        if (way == 1) k.gross = gross(k.cylinder, dice);
        if (way == 2) k.weighing = pair(k.cylinder, -1, dice);
        const std::string words = fmt::format("{} {}{}{}", S::name, k.cylinder, text(k.weighing), text(k.gross));
        add(k, words);
    }
    void reclassify(Dice& dice) {
        Reclassify k;
        k.cylinder = dice.one_of(cylinders);
        k.evidence = "sample 14";
        const int which = dice.roll(7);
        if (which % 2 == 0) k.to_refrigerant = dice.one_of(gases);
        if (k.to_refrigerant && dice.one_in(6)) k.to_refrigerant = dice.one_in(2) ? "mixed" : "unknown";
        if (which % 3 == 1) k.to_owner = dice.one_of(owners);
        if (which > 3) k.to_condition = std::string(text_of(static_cast<Condition>(dice.roll(4))));
        if (dice.one_in(3)) k.lot_refrigerant = dice.one_of(gases);
        if (dice.one_in(4)) k.lot_owner = dice.one_of(owners);
        const std::string words =
            fmt::format("reclassify {} lots [{} {}] to [{} {} {}]", k.cylinder, k.lot_refrigerant.value_or("any"),
                        k.lot_owner.value_or("any"), k.to_refrigerant.value_or("-"), k.to_owner.value_or("-"),
                        k.to_condition.value_or("-"));
        add(k, words);
    }
    void correct(Dice& dice) {
        const auto code = dice.one_of(cylinders);
        switch (dice.roll(5)) {
            case 0:
            case 1: {
                const auto tare = typed(15'000 + dice.roll(1000) * 4, dice.roll(6));
                entry(EntryKind::cylinder, code, {{"tare", weight_field(tare)}}, false);
                break;
            }
            case 2:
                entry(EntryKind::cylinder, code, {{"refrigerant", {dice.one_of(gases), {}}}}, false);
                break;
            case 3:
                entry(EntryKind::site, "ELM", {{"owner", {dice.one_of(owners), {}}}}, false);
                break;
            default: {
                const char* group = dice.one_in(3) ? "" : "Hollow Group";
                entry(EntryKind::site, dice.one_in(2) ? "ELM" : "ASH", {{"owner_group", {group, {}}}}, false);
            }
        }
    }
    void void_one(Dice& dice) {
        const auto target = static_cast<std::size_t>(dice.roll(1000)) % history_.size();
        add(Void{"", "recorded by mistake"}, fmt::format("void #{}", target), target);
    }
    // A statement about some return, most often of its own cylinder; where there is none yet, one is made, or the
    // statement is about anything at all.
    void settle(Dice& dice) {
        std::vector<std::size_t> returns;
        for (std::size_t i = 0; i < history_.size(); ++i)
            if (std::holds_alternative<Return>(history_[i].event.what)) returns.push_back(i);
        if (returns.empty() && !dice.one_in(5)) return send<Return>(dice);
        const auto which = static_cast<std::size_t>(dice.roll(1000));
        const auto target = returns.empty() ? which % history_.size() : returns[which % returns.size()];
        const auto* sent = std::get_if<Return>(&history_[target].event.what);
        Settle k;
        k.cylinder = sent && !dice.one_in(9) ? sent->cylinder : dice.one_of(cylinders);
        const int said = dice.roll(4);
        if (said < 2) k.refrigerant = net(dice);
        if (said > 0 && said < 3) {
            k.tare = typed(15'000 + dice.roll(1000) * 4, dice.roll(6));
            k.gross = typed(static_cast<int>(k.tare->mass.in_pounds() * 1000) + amount(dice), dice.roll(6));
        }
        const auto little = [&] { return typed(dice.roll(1000) * 2, dice.roll(6)); };
        if (dice.one_in(2)) k.oil = little();
        if (dice.one_in(3)) k.water = little();
        if (dice.one_in(3)) k.air = little();
        if (dice.one_in(4)) k.gas = dice.one_of(gases);
        if (!dice.one_in(3)) k.outcome = dice.one_of(outcomes);
        const auto word = [](const char* name, const std::optional<Weight>& w) {
            return w ? fmt::format(" {} {}", name, w->typed) : std::string();
        };
        const std::string words =
            fmt::format("settle #{} {}{}{}{}{}{}{} {}", target, k.cylinder, word("gross", k.gross),
                        word("tare", k.tare), word("refrigerant", k.refrigerant), word("oil", k.oil),
                        word("water", k.water), word("air", k.air), k.outcome.value_or(""));
        add(k, words, target);
    }
    void recycle(Dice& dice) {
        Recycle k;
        k.cylinder = dice.one_of(cylinders);
        if (!dice.one_in(4))  // mostly one that has just been filled
            for (const auto& draft : history_)
                if (const auto* recover = std::get_if<Recover>(&draft.event.what)) k.cylinder = recover->into;
        k.oil_separated = !dice.one_in(3);
        if (!dice.one_in(3)) k.drier_passes = 1 + dice.roll(3);
        if (dice.one_in(3)) k.acid_test = dice.one_in(3) ? "fail" : "pass";
        if (dice.one_in(5)) k.moisture_test = "fail";
        const std::string words = fmt::format("recycle {} acid test {} moisture test {}", k.cylinder,
                                              k.acid_test.value_or("-"), k.moisture_test.value_or("-"));
        add(k, words);
    }
    // What is known of leaks moves no mass.
    void leak_record(Dice& dice) {
        const std::string appliance = dice.one_in(2) ? "OAK/RACK-A" : "ELM/UNIT-1";
        const auto leak = leak_code(1 + dice.roll(3));
        switch (dice.roll(5)) {
            case 0:
                return add(Leak{appliance, "a flare nut"}, "leak " + appliance);
            case 1:
                return add(Inspect{appliance, "soap", dice.one_in(2) ? "leak" : "no-leak"}, "inspect " + appliance);
            case 2:
                return add(Repair{leak, "brazed"}, "repair " + leak);
            case 3:
                return add(LeakTest{leak, dice.one_in(2) ? "initial" : "follow-up", dice.one_in(3) ? "fail" : "pass"},
                           "leak-test " + leak);
            default:
                return add(Plan{appliance, "retrofit", "2027-03-01"}, "plan " + appliance);
        }
    }
    void release(Dice& dice) {
        Release k;
        if (dice.one_in(2))
            k.circuit = dice.one_of(places);
        else
            k.cylinder = dice.one_of(cylinders);
        if (k.cylinder && dice.one_in(2))
            k.weighing = pair(*k.cylinder, -1, dice);
        else
            k.mass = net(dice);
        k.method = k.mass ? "estimate" : "weighed";
        k.why = "a fitting failed";
        const std::string words = fmt::format("release {}{}{}", k.cylinder ? *k.cylinder : *k.circuit, text(k.weighing),
                                              k.mass ? " " + k.mass->typed : "");
        add(k, words);
    }

    // An act that is entered again, some hours later by its own words.
    void once_more(Dice& dice) {
        const auto which = static_cast<std::size_t>(dice.roll(1000)) % history_.size();
        const auto hours = dice.roll(24);
        const Draft first = history_[which];
        if (first.target || std::holds_alternative<kinds::Entry>(first.event.what)) return void_one(dice);
        add(first.event.what, first.text + fmt::format(" (as #{})", which));
        auto& when = history_.back().event.when;
        when.at = first.event.when.at;
        if (moments_ == Moments::may_coincide)
            when.at += std::chrono::minutes(370) * (hours / 3);
        else
            when.at +=
                std::chrono::minutes(100) * hours + std::chrono::seconds(static_cast<int>(history_.size() - 1 - which));
    }

    void pump_down(Dice& dice) {
        Pumpdown k;
        k.circuit = dice.one_of(places);
        if (dice.one_in(2)) {
            k.left = "5psig";
        } else {
            k.to = dice.one_in(2) ? "OAK/RACK-A" : "ELM/UNIT-1";
            k.mass = net(dice);
            k.method = "gauge and piping";
        }
        const std::string words =
            fmt::format("pumpdown {}{}", k.circuit, k.to ? " into " + *k.to + " " + k.mass->typed : "");
        add(k, words);
    }

    void what(int kind, Dice& dice) {
        switch (kind) {
            case 0:
            case 1:
            case 2:
            case 3: {
                Recover k;
                k.circuit = dice.one_of(places);
                k.into = dice.one_of(cylinders);
                k.weighing = weighing(k.into, 1, dice);
                if (dice.one_in(9)) k.gas = "acid";
                const std::string words = fmt::format("recover {} into {}{}", k.circuit, k.into, text(k.weighing));
                add(k, words);
                break;
            }
            case 4:
            case 5:
                put<Charge>(dice);
                break;
            case 6:
                put<Reuse>(dice);
                break;
            case 7:
            case 8:
            case 9:
                transfer(dice);
                break;
            case 10:
            case 11:
                receive(dice);
                break;
            case 12:
                opening(dice);
                break;
            case 13: {
                const auto code = dice.one_of(cylinders);
                Weigh k{code, gross(code, dice), dice.one_in(6)};
                const std::string words = fmt::format("weigh {} gross {}", code, k.gross.typed);
                if (dice.one_in(4))
                    add(StocktakeWeigh{std::string(64, 'c'), code, k.gross, "on", {}}, "count " + words);
                else if (dice.one_in(6))
                    add(StocktakeMissing{std::string(64, 'c'), code}, "count missing " + code);
                else
                    add(k, words);
                break;
            }
            case 14:
                send<Return>(dice);
                break;
            case 15:
                send<Destroy>(dice);
                break;
            case 16: {
                Exchange k{dice.one_of(cylinders), "SP-999", "Gable Supply", {}, {}};
                if (dice.one_in(2)) k.gross = gross(k.cylinder, dice);
                const std::string words = fmt::format("exchange {}{}", k.cylinder, text(k.gross));
                add(k, words);
                break;
            }
            case 17:
                if (dice.one_in(3))
                    pump_down(dice);
                else
                    release(dice);
                break;
            case 18: {
                Evacuate k;
                if (dice.one_in(4))
                    k.circuit = dice.one_of(places);
                else
                    k.cylinder = dice.one_of(cylinders);
                const std::string words = fmt::format("evacuate {}", k.cylinder ? *k.cylinder : *k.circuit);
                add(k, words);
                break;
            }
            case 19: {
                Lost k{dice.one_of(often_lost), "not on the truck"};
                const std::string words = fmt::format("lost {}", k.cylinder);
                add(k, words);
                break;
            }
            case 20: {
                Found k{dice.one_of(often_lost), {}, "the yard"};
                if (dice.one_in(2)) k.gross = gross(k.cylinder, dice);
                const std::string words = fmt::format("found {}{}", k.cylinder, text(k.gross));
                add(k, words);
                break;
            }
            case 21:
                reclassify(dice);
                break;
            case 22:
                if (dice.one_in(3)) {
                    Convert k{"OAK/RACK-B", dice.one_of(gases), {}};
                    const std::string words = fmt::format("convert OAK/RACK-B to {}", k.refrigerant);
                    add(k, words);
                } else if (dice.one_in(3)) {
                    Move k{dice.one_of(cylinders), "truck 3", {}};
                    const std::string words = fmt::format("move {}", k.cylinder);
                    add(k, words);
                } else if (dice.one_in(6)) {
                    Identify k;
                    k.cylinder = dice.one_of(cylinders);
                    k.refrigerant = dice.one_in(3) ? "mixed" : dice.one_of(gases);
                    const std::string words = fmt::format("identify {} as {}", *k.cylinder, *k.refrigerant);
                    add(k, words);
                } else if (dice.one_in(6)) {
                    Oil k;
                    k.circuit = dice.one_of(places);
                    k.put_in = fmt::format("{}oz", 1 + dice.roll(40));
                    const std::string words = fmt::format("oil into {}: {}", k.circuit, *k.put_in);
                    add(k, words);
                } else if (dice.one_in(4)) {
                    kinds::AirCheck k;
                    k.cylinder = dice.one_of(cylinders);
                    k.pressure = fmt::format("{}psig", 100 + dice.roll(100));
                    k.temperature = "75F";
                    const std::string words = fmt::format("air-check {}", k.cylinder);
                    add(k, words);
                } else {
                    correct(dice);
                }
                break;
            case 23:
            case 24:
            case 25:
                settle(dice);
                break;
            case 26:
                recycle(dice);
                break;
            case 27:
                leak_record(dice);
                break;
            case 28:
                once_more(dice);
                break;
            default:
                void_one(dice);
                break;
        }
    }

    Moments moments_;
    int minutes_ = 0;
    std::map<std::string, int> shown_;
    History history_;
};

}  // namespace

std::vector<std::string> cylinder_codes() {
    return {cylinders.begin(), cylinders.end()};
}

History history_from(const std::vector<Step>& steps, Moments moments) {
    Author author(moments);
    for (const auto& step : steps) author.act(step);
    return author.take();
}

Event with_target(const Draft& draft, const std::vector<std::string>& recorded) {
    Event event = draft.event;
    if (!draft.target) return event;
    if (auto* statement = std::get_if<Settle>(&event.what))
        statement->target = recorded.at(*draft.target);
    else
        std::get<Void>(event.what).target = recorded.at(*draft.target);
    return event;
}

std::vector<Event> recorded_in_two_books(const History& history) {
    struct Chain {
        BookId id{};
        std::int64_t seq = 0;
        Digest head{};
    };
    std::array<Chain, 2> books;
    books[0].id.fill(0x11);
    books[1].id.fill(0x22);
    std::vector<Event> events;
    std::vector<std::string> digests;
    for (std::size_t i = 0; i < history.size(); ++i) {
        auto& book = books[i % 7 == 3 ? 0 : 1];
        Event event = with_target(history[i], digests);
        event.book = book.id;
        event.seq = ++book.seq;
        event.previous = book.head;
        book.head = digest_of(canonical_body(event));
        digests.push_back(hex(book.head));
        events.push_back(std::move(event));
    }
    return events;
}

std::vector<std::size_t> shuffled(const History& history, unsigned dice) {
    std::vector<std::size_t> order(history.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::mt19937 random(dice);
    std::shuffle(order.begin(), order.end(), random);
    // A void or a statement is recorded when its target is, however late it was rolled.
    std::vector<bool> done(history.size(), false);
    std::vector<std::size_t> out;
    const std::function<void(std::size_t)> record = [&](std::size_t i) {
        if (done[i]) return;
        if (history[i].target) record(*history[i].target);
        done[i] = true;
        out.push_back(i);
    };
    for (const auto i : order) record(i);
    return out;
}

std::string description(const History& history) {
    std::string text;
    for (std::size_t i = 0; i < history.size(); ++i)
        text += fmt::format("#{:<3} {}  {}\n", i, instant_text(history[i].event.when.at), history[i].text);
    return text;
}

}  // namespace tarebook::property
