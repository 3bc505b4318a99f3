#include "stocktake_view.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "air_check.hpp"
#include "tarebook/refrigerant/air_check.hpp"
#include "tarebook/refrigerant/cylinder_physics.hpp"

namespace tarebook::report {
namespace {

constexpr Temperature heel_at = Temperature::fahrenheit(70);
constexpr std::int64_t most_steps_back = 1000;

// The weight of this cylinder that an event ends with; nothing where the event read none.
class GrossOf {
 public:
    explicit GrossOf(const std::string& cylinder) : cylinder_(cylinder) {}
    std::optional<Weight> operator()(const kinds::StocktakeWeigh& k) const { return k.gross; }
    std::optional<Weight> operator()(const kinds::Weigh& k) const { return k.gross; }
    std::optional<Weight> operator()(const kinds::Found& k) const { return k.gross; }
    std::optional<Weight> operator()(const kinds::Opening& k) const { return k.gross; }
    std::optional<Weight> operator()(const kinds::Receive& k) const {
        return k.weighing.is_pair() ? k.weighing.after : k.gross;
    }
    std::optional<Weight> operator()(const kinds::Recover& k) const { return after(k.weighing); }
    std::optional<Weight> operator()(const kinds::Charge& k) const { return emptied(k.emptied, k.weighing); }
    std::optional<Weight> operator()(const kinds::Reuse& k) const { return emptied(k.emptied, k.weighing); }
    std::optional<Weight> operator()(const kinds::Transfer& k) const {
        if (cylinder_ == k.into) return k.into_weighing.after;
        return emptied(k.emptied, k.from_weighing);
    }
    std::optional<Weight> operator()(const kinds::Return& k) const { return after(k.weighing); }
    std::optional<Weight> operator()(const kinds::Destroy& k) const { return after(k.weighing); }
    std::optional<Weight> operator()(const kinds::Release& k) const { return after(k.weighing); }
    template <class Other>
    std::optional<Weight> operator()(const Other&) const {
        return std::nullopt;
    }

 private:
    static std::optional<Weight> after(const Weighing& w) { return w.is_pair() ? w.after : std::nullopt; }
    // what is called empty is taken for its tare, also where the scale said more
    static std::optional<Weight> emptied(bool said, const Weighing& w) { return said ? std::nullopt : after(w); }
    const std::string& cylinder_;
};

bool says_empty(const Event& e) {
    return std::visit(
        [](const auto& k) {
            if constexpr (requires { k.emptied; }) return k.emptied;
            return std::is_same_v<std::decay_t<decltype(k)>, kinds::Evacuate>;
        },
        e.what);
}

std::optional<bool> cap_on(const std::optional<std::string>& word) {
    return word ? std::optional(*word == "on") : std::nullopt;
}

// One count and the book beside it.
class Look {
 public:
    Look(const Book& book, StocktakeView& view) : book_(book), view_(view), begin_(view.count.begin.event.order()) {}

    void run() {
        gather();
        list();
        std::vector<StocktakeCylinder> asked;
        for (auto& c : view_.cylinders) asked.push_back(question_of(c));
        auto verdicts = judge_stocktake(asked);
        for (std::size_t i = 0; i < asked.size(); ++i) view_.cylinders[i].verdict = std::move(verdicts.cylinders[i]);
        view_.offsets = std::move(verdicts.offsets);
        last_count();
        tally();
        movements();
    }

 private:
    struct Findings {
        std::vector<StoredEvent> weights;
        bool missing = false;
        std::optional<kinds::StocktakeUnknown> unknown;
        std::optional<std::string> note;
        std::vector<std::string> reasons;
    };

    template <class Kind>
    void each(const std::function<void(const Kind&, StoredEvent&)>& visit) {
        for (auto& stored : book_.watched_events(Kind::name, stocktake_may_have_readings_from(view_.count)))
            if (const auto* k = std::get_if<Kind>(&stored.event.what); k && k->count == view_.count.id())
                visit(Kind(*k), stored);
    }
    void gather() {
        each<kinds::StocktakeWeigh>([&](const auto& k, StoredEvent& stored) {
            found_[k.cylinder].missing = false;
            found_[k.cylinder].weights.push_back(std::move(stored));
        });
        each<kinds::StocktakeMissing>([&](const auto& k, StoredEvent& stored) {
            auto& f = found_[k.cylinder];
            // looked for in vain, and weighed afterwards: then it is there
            f.missing = f.weights.empty() || f.weights.back().event.order() < stored.event.order();
            if (f.missing) f.note = stored.event.note;
        });
        each<kinds::StocktakeUnknown>([&](const auto& k, StoredEvent& stored) {
            found_[k.code].unknown = k;
            found_[k.code].weights.push_back(stored);
            found_[k.code].note = stored.event.note;
        });
        each<kinds::StocktakeReason>([&](const auto& k, StoredEvent&) { found_[k.code].reasons.push_back(k.why); });
    }

    // Every cylinder that the book had there, or that the count found.
    void list() {
        for (const auto& code : book_.codes(EntryKind::cylinder)) {
            const auto before = book_.steps_before(code, begin_, 1);
            const auto* entry = book_.entries().find(EntryKind::cylinder, code);
            if (!entry) continue;
            const auto found = found_.find(code);
            bool listed = false;
            if (!before.empty()) {
                const auto& s = before.front().after;
                listed = !s.gone && !s.lost && place_of(s, entry->facts_at(begin_)) == view_.count.what().place;
            }
            if (!listed && (found == found_.end() || (found->second.weights.empty() && !found->second.missing)))
                continue;
            StocktakeRow c;
            c.code = code;
            c.listed = listed;
            c.facts = entry->facts_at(begin_);
            if (!before.empty()) c.before = before.front().after;
            if (found != found_.end()) take(c, found->second);
            if (c.reading) c.facts = entry->facts_at(first_weight_.at(code));  // as the level was taken
            view_.cylinders.push_back(std::move(c));
        }
        for (const auto& [code, f] : found_) {
            if (!f.unknown) continue;
            StocktakeRow c;
            c.code = code;
            c.in_the_book = false;
            c.reading = f.weights.back();
            c.gross = f.unknown->gross;
            c.cap = f.unknown->cap;
            c.label = f.unknown->label;
            c.note = f.note;
            c.reasons = f.reasons;
            c.content.refrigerant = f.unknown->label;
            view_.cylinders.push_back(std::move(c));
        }
        std::stable_sort(view_.cylinders.begin(), view_.cylinders.end(),
                         [](const auto& a, const auto& b) { return a.code < b.code; });
    }
    void take(StocktakeRow& c, const Findings& f) {
        c.missing = f.missing;
        c.note = f.note;
        c.reasons = f.reasons;
        if (f.missing || f.weights.empty()) return;
        c.reading = f.weights.back();
        const auto& k = std::get<kinds::StocktakeWeigh>(c.reading->event.what);
        c.gross = k.gross;
        c.cap = k.cap;
        c.label = k.label;
        c.note = c.reading->event.note;
        first_weight_[c.code] = f.weights.front().event.order();
    }

    [[nodiscard]] StocktakeWeighing weighing_of(const Event& e, Weight gross,
                                                const std::optional<std::string>& cap) const {
        StocktakeWeighing w{std::move(gross), e.scale.value_or(""), ScaleReads::unknown, {}, {}, cap_on(cap)};
        const auto* scale = e.scale ? book_.entries().find(EntryKind::scale, *e.scale) : nullptr;
        if (!scale) return w;
        const auto order = e.order();
        w.division = scale->mass("division", order);
        if (const auto typed = scale->text("accuracy", order))
            if (const auto accuracy = parse_scale_accuracy(*typed)) w.accuracy = *accuracy;
        const auto reads = scale->text("reads", order).value_or("");
        w.reads = reads == "lb" ? ScaleReads::lb : reads == "kg" ? ScaleReads::kg : ScaleReads::unknown;
        return w;
    }

    StocktakeCylinder question_of(StocktakeRow& c) {
        StocktakeCylinder q;
        q.code = c.code;
        q.label = c.label;
        if (!c.in_the_book) {
            q.book_has = BookHas::nothing;
            if (c.gross) q.reading = StocktakeWeighing{*c.gross, "", ScaleReads::unknown, {}, {}, cap_on(c.cap)};
            return q;
        }
        if (!c.reading) {
            // not judged, and shown with what the book has of it
            const auto state = book_.state(c.code);
            if (c.facts.tare)
                c.expected = *c.facts.tare + state.contents();
            else
                c.expected = state.gross;
            c.expected_net = net_without_tare(state, c.facts);
            c.content = content_of(state, c.facts);
            return q;
        }
        const auto first = first_weight_.at(c.code);
        q.reading = weighing_of(c.reading->event, *c.gross, c.cap);
        q.tare = c.facts.tare;
        if (const auto* entry = book_.entries().find(EntryKind::cylinder, c.code)) q.cap = entry->mass("cap", first);
        auto steps = book_.steps_before(c.code, first, most_steps_back);
        book_has(c, q, steps, first);
        c.content = content_of(steps.empty() ? c.before : steps.back().after, c.facts);
        c.net = c.facts.tare ? c.gross->mass - *c.facts.tare : book_.state(c.code).contents();
        if (c.content.refrigerant && book_.catalogue().find(*c.content.refrigerant)) {
            q.book_gas = *c.content.refrigerant;
            if (c.facts.water_capacity)
                if (const auto heel = vapor_heel(*book_.catalogue().find(q.book_gas), *c.facts.water_capacity, heel_at))
                    q.heel = *heel;
        }
        if (q.book_has != BookHas::left) q.expected = expectation(c, steps, first);
        if (q.expected)
            c.expected = q.expected->gross;
        else if (q.book_has != BookHas::left && !steps.empty())
            q.holds = c.expected_net = net_without_tare(steps.back().after, c.facts);
        q.pressure = pressure(c);
        return q;
    }

    // Where the book had it: before the count itself brought it here, in the same breath as it was weighed.
    void book_has(StocktakeRow& c, StocktakeCylinder& q, const std::vector<Step>& steps, const OrderKey& first) const {
        std::size_t before = steps.size();
        if (!steps.empty() && steps.back().order.at == first.at && steps.back().order.seq + 1 == first.seq) {
            const auto brought = book_.event(steps.back().event_id);
            if (brought && (brought->event.kind() == kinds::Move::name || brought->event.kind() == kinds::Found::name))
                --before;
        }
        if (before > 0) c.before = steps[before - 1].after;
        if (c.before.lost)
            q.book_has = BookHas::lost;
        else if (c.before.gone)
            q.book_has = BookHas::left;
        else if (place_of(c.before, c.facts) != view_.count.what().place)
            q.book_has = BookHas::elsewhere;
    }

    std::optional<StocktakeExpectation> expectation(const StocktakeRow& c, const std::vector<Step>& steps,
                                                    const OrderKey& first) const {
        const auto state = steps.empty() ? CylinderState{} : steps.back().after;
        StocktakeExpectation out;
        if (c.facts.tare)
            out.gross = *c.facts.tare + state.contents();
        else if (state.gross)
            out.gross = *state.gross;
        else
            return std::nullopt;
        out.stated_within = level_tolerance(out.gross, c.facts);
        bool found = false;
        for (auto step = steps.rbegin(); step != steps.rend() && !found; ++step) {
            const auto stored = book_.event(step->event_id);
            if (!stored) continue;
            const auto& e = stored->event;
            if (auto gross = std::visit(GrossOf(c.code), e.what)) {
                const auto* counted = std::get_if<kinds::StocktakeWeigh>(&e.what);
                out.weighed = weighing_of(e, std::move(*gross), counted ? counted->cap : std::nullopt);
                found = true;
            } else if (says_empty(e)) {
                out.moved_since.clear();
                found = true;
            } else if (!step->moved.is_zero() && e.kind() != kinds::Found::name && e.kind() != kinds::Lost::name) {
                out.moved_since.push_back(weighing_of(e, {step->moved.magnitude(), {}}, std::nullopt));
            }
        }
        // weighed twice in the count: what moved in between is no gap
        const auto last = c.reading->event.order();
        if (first < last)
            for (const auto& step : book_.steps_before(c.code, last, most_steps_back))
                if (first < step.order) out.gross += step.moved;
        return out;
    }

    // A pressure that was read in the count and is not that of the gas that the book has in it.
    PressureSays pressure(StocktakeRow& c) const {
        const auto until = view_.count.close ? view_.count.close->event.order() : order_at(Instant::max());
        for (const auto& step : book_.steps_before(c.code, until, 100)) {
            if (step.order < begin_) continue;
            const auto stored = book_.event(step.event_id);
            const auto* k = stored ? std::get_if<kinds::AirCheck>(&stored->event.what) : nullptr;
            if (!k) continue;
            const auto page = air_check_of(book_, *k);
            const auto check = page ? air_check(page->question) : Result<AirCheck>(fail(page.error()));
            if (!check) continue;
            c.pressure = std::string(tarebook::text_of(check->verdict));
            const bool other = check->verdict == AirVerdict::below || check->verdict == AirVerdict::excess;
            return other ? PressureSays::other_gas : PressureSays::agrees;
        }
        return PressureSays::nothing;
    }

    void last_count() {
        for (auto& other : stocktakes(book_))
            if (other.what().place == view_.count.what().place && other.close && other.begin.event.order() < begin_)
                view_.last = std::move(other);
    }

    void tally() {
        for (const auto& c : view_.cylinders) {
            if (c.listed) ++view_.to_count;
            if (c.gross && c.in_the_book) ++view_.counted;
            if (c.missing) ++view_.missing;
            if (!c.in_the_book) ++view_.unknown;
            if (c.listed && !c.seen()) ++view_.not_counted;
            if (c.verdict.weight == StocktakeWeight::agrees) ++view_.agree;
            if (c.verdict.weight == StocktakeWeight::gap) ++view_.gaps;
            const auto gas = c.content.refrigerant.value_or("unknown");
            if (c.missing) view_.gases[gas].missing += book_.state(c.code).contents();
            if (!c.gross || !c.in_the_book) continue;
            auto& g = view_.gases[gas];
            ++g.cylinders;
            if (c.net) g.net += *c.net;
            if (c.verdict.weight == StocktakeWeight::not_expected) continue;
            const bool gap = c.verdict.weight == StocktakeWeight::gap;
            if (gap) ++g.gaps;
            (gap ? g.in_gaps : g.rest).add(c.verdict, c.reading->event.scale.value_or("not on record"));
        }
    }

    // What these cylinders took and gave between the last count and this one.
    void movements() {
        const auto from = view_.last ? view_.last->begin.event.order() : OrderKey{Instant::min(), {}, 0};
        std::set<std::int64_t> events;
        for (const auto& c : view_.cylinders)
            if (c.reading && c.in_the_book)
                for (const auto& step : book_.steps_before(c.code, c.reading->event.order(), most_steps_back * 1000))
                    if (from < step.order) events.insert(step.event_id);
        for (const auto id : events)
            for (const auto& p : book_.postings(id)) {
                const bool out_of_it = p.mass.is_negative();
                switch (p.account.kind) {
                    case AccountKind::supplier:
                        (out_of_it ? of(p).bought : of(p).sent) += p.mass.magnitude();
                        break;
                    case AccountKind::circuit:
                        (out_of_it ? of(p).recovered : of(p).charged) += p.mass.magnitude();
                        break;
                    case AccountKind::reclaimer:
                    case AccountKind::destroyer:
                        if (!out_of_it) of(p).sent += p.mass;
                        break;
                    default:
                        break;
                }
            }
    }
    StocktakeGas& of(const Posting& p) { return view_.gases[p.lot.refrigerant]; }

    const Book& book_;
    StocktakeView& view_;
    OrderKey begin_;
    std::map<std::string, Findings> found_;
    std::map<std::string, OrderKey> first_weight_;
};

}  // namespace

void GapSum::add(const StocktakeVerdict& verdict, const std::string& scale) {
    gap_ += verdict.gap;
    const double all_lb = verdict.uncertainty.in_pounds();
    const double shared_lb = verdict.shared.in_pounds();
    own_lb2_ += std::max(all_lb * all_lb - shared_lb * shared_lb, 0.0);
    shared_lb_[scale] += shared_lb;
}
Mass GapSum::uncertainty() const {
    double lb2 = own_lb2_;
    for (const auto& [scale, sum_lb] : shared_lb_) lb2 += sum_lb * sum_lb;
    return Mass::from_kilograms(std::sqrt(lb2) * 0.45359237);
}

std::optional<double> StocktakeGas::percent_of_handled() const {
    const double handled_lb = bought.value().in_pounds() + charged.value().in_pounds() + recovered.value().in_pounds();
    if (handled_lb <= 0) return std::nullopt;
    return in_gaps.gap().magnitude().in_pounds() / handled_lb * 100;
}

std::optional<Mass> net_without_tare(const CylinderState& state, const CylinderFacts& facts) {
    const Mass net = state.contents();
    return facts.tare || state.gross || !(Mass() < net) ? std::nullopt : std::optional(net);
}
Cell expected_cell(const std::optional<Mass>& gross, const std::optional<Mass>& net, DisplayUnits units) {
    if (gross || !net) return mass_cell(gross, units);
    return {mass_text(*net, units) + " + tare", ShownMass{}};
}
Cell StocktakeRow::expected_cell(DisplayUnits units) const {
    return report::expected_cell(expected, expected_net, units);
}

bool StocktakeRow::asks() const {
    if (missing || !in_the_book || verdict.weight == StocktakeWeight::gap) return true;
    return std::any_of(verdict.marks.begin(), verdict.marks.end(),
                       [](StocktakeMark m) { return m != StocktakeMark::heel; });
}

StocktakeView stocktake_view(const Book& book, const KnownStocktake& count) {
    StocktakeView view;
    view.count = count;
    Look(book, view).run();
    return view;
}

}  // namespace tarebook::report
