// The clocks of one appliance: one walk through its history for each pack, because packs count independently.
#include "tarebook/rules/clocks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "tarebook/rules/gwp.hpp"
#include "tarebook/rules/leak_check.hpp"

namespace tarebook {
namespace {

using Kind = LeakEvent::Kind;

template <class Terms>
std::optional<RuleMatch> rule_of(RulePacks packs, const RulePack* pack, const RuleSubject& subject, Date on) {
    for (const auto& m : matching<Terms>(packs, subject, on))
        if (m.pack == pack) return m;
    return std::nullopt;
}

// Whether the rate is over a threshold of this pack. A rate may be over the lower of two thresholds and not over the
// higher.
bool is_over(RulePacks packs, const RulePack* pack, const RuleSubject& subject, const LeakRate& rate) {
    const auto all = matching<terms::LeakRateThreshold>(packs, subject, rate.on);
    return std::any_of(all.begin(), all.end(), [&](const RuleMatch& m) {
        const auto& terms = m.as<terms::LeakRateThreshold>();
        return m.pack == pack && reaches(rate.rate, terms.compare, terms.threshold);
    });
}

class Walk {
 public:
    Walk(RulePacks packs, const RulePack* pack, const ApplianceHistory& history, std::vector<Clock>& out)
        : packs_(packs), pack_(pack), h_(history), out_(out), first_(out.size()) {}

    void run() {
        std::size_t e = 0;
        for (std::size_t a = 0; a < h_.additions.size(); ++a) {
            for (; e < h_.events.size() && h_.events[e].on < h_.additions[a].on; ++e) take(h_.events[e]);
            take(a);
        }
        for (; e < h_.events.size(); ++e) take(h_.events[e]);
        miss_window(Date::max());
    }

 private:
    struct LeakState {
        bool repaired = false, passed = false;
    };

    template <class Terms>
    [[nodiscard]] std::optional<RuleMatch> rule(Date on) const {
        return rule_of<Terms>(packs_, pack_, subject_on(h_.subjects, on), on);
    }
    Clock* open(ClockKind what, const std::string& leak = {}) {
        for (auto i = out_.size(); i > first_; --i)
            if (auto& c = out_[i - 1]; c.what == what && c.leak == leak && !c.closed_on) return &c;
        return nullptr;
    }
    void start(ClockKind what, const std::string& leak, const std::string& by, Date on, Date due,
               const RuleMatch& match, std::string text) {
        if (open(what, leak)) return;
        Clock c;
        c.what = what;
        c.subject = h_.appliance;
        c.leak = leak;
        c.opened_by = by;
        c.opened_on = on;
        c.due_on = due;
        c.text = std::move(text);
        c.rule = match;
        out_.push_back(std::move(c));
        if (mothballed_) suspend(out_.size() - 1, on);
    }
    void close(ClockKind what, const std::string& leak, const std::string& by, Date on) {
        if (auto* c = open(what, leak)) c->closed_by = by, c->closed_on = std::max(on, c->opened_on);
    }
    // Ends the clock that day and goes on with a changed copy under the same id.
    Clock& go_on(std::size_t which, const std::string& by, Date on) {
        auto next = out_[which];
        out_[which].closed_by = by;
        out_[which].closed_on = on;
        out_[which].goes_on = true;
        next.runs_from = on;
        out_.push_back(std::move(next));
        return out_.back();
    }
    void close_all(const std::string& by, Date on) {
        for (auto i = first_; i < out_.size(); ++i)
            if (auto& c = out_[i]; !c.closed_on) c.closed_by = by, c.closed_on = std::max(on, c.opened_on);
    }

    void take(std::size_t addition) {
        const auto& a = h_.additions[addition];
        end_mothballing(a.sources.empty() ? a.leak : a.sources.back(), a.on);
        miss_window(a.on);
        const auto calculation = rule<terms::LeakRateCalculation>(a.on);
        const auto rate =
            leak_rate(h_.additions, addition, h_.full_charge,
                      calculation ? h_.options.by(calculation->as<terms::LeakRateCalculation>()) : h_.options);
        if (!rate) return;
        const bool again = std::exchange(proved_, false);
        if (!is_over(packs_, pack_, subject_on(h_.subjects, a.on), *rate)) return;
        const auto& by = a.sources.empty() ? a.leak : a.sources.back();
        if (const auto repair = rule<terms::RepairDeadline>(a.on)) {
            const auto& terms = repair->as<terms::RepairDeadline>();
            if (!over_ || (!lifted_ && !open(ClockKind::repair))) {
                over_ = true;
                lifted_ = acted_ = shutdown_ = false;
                over_on_ = a.on;
                start(ClockKind::repair, {}, by, a.on, after(a.on, terms.within), *repair,
                      "repair its leaks" + terms.longer_text());
                due_ = *open(ClockKind::repair)->due_on;
            }
            if (again) start_plan(by, a.on, a.on, "over its threshold again after it was repaired and tested");
        }
        if (const auto inspect = rule<terms::LeakInspection>(a.on);
            inspect && !lifted_by_detection(*inspect) &&
            inspect->as<terms::LeakInspection>().begins == terms::LeakInspection::Begins::after_exceedance) {
            inspect_ = inspect;
            const auto& terms = inspect->as<terms::LeakInspection>();
            Date end = a.on;
            for (int i = 0; i < terms.until_clean_periods.value_or(1); ++i) end = after(end, terms.every);
            released_ = end;
            if (auto* running = open(ClockKind::inspection))
                running->text = inspection_text();  // renewed: it runs until the new release
            else
                start_inspection(by, a.on, a.on);
        }
    }
    [[nodiscard]] bool lifted_by_detection(const RuleMatch& inspect) const {
        return h_.detection_system && inspect.as<terms::LeakInspection>().lifted_by_detection;
    }
    // `from`: the day from which the next inspection is counted.
    void start_inspection(const std::string& by, Date on, Date from) {
        const auto& terms = inspect_->as<terms::LeakInspection>();
        const Date due = terms.in_calendar_year ? last_day_of_year(from) : after(from, terms.every);
        if (due <= released_) start(ClockKind::inspection, {}, by, on, due, *inspect_, inspection_text());
    }
    [[nodiscard]] std::string inspection_text() const {
        const auto& terms = inspect_->as<terms::LeakInspection>();
        return fmt::format("look for leaks, {} until {} without a rate over the threshold",
                           terms.in_calendar_year ? "once in each calendar year" : "every " + terms.every.text(),
                           date_text(released_));
    }
    static Date last_day_of_year(Date day) {
        return std::chrono::sys_days(std::chrono::year_month_day(day).year() / std::chrono::December / 31);
    }

    void take(const LeakEvent& e) {
        count_mothballed(e.on);
        miss_window(e.on);
        acted_ = acted_ || e.kind == Kind::found || e.kind == Kind::inspected || e.kind == Kind::repaired ||
                 e.kind == Kind::tested;
        switch (e.kind) {
            case Kind::found:
                leaks_[e.leak] = {};
                if (const auto repair = rule<terms::RepairDeadline>(e.on);
                    repair && !rule<terms::LeakRateCalculation>(e.on))
                    start(ClockKind::repair, e.leak, e.source, e.on,
                          after(e.on, repair->as<terms::RepairDeadline>().within), *repair,
                          "repair it" + repair->as<terms::RepairDeadline>().longer_text());
                return;
            case Kind::inspected:
                if (open(ClockKind::inspection)) {
                    close(ClockKind::inspection, {}, e.source, e.on);
                    const bool by_year = inspect_->as<terms::LeakInspection>().in_calendar_year;
                    start_inspection(e.source, e.on, by_year ? last_day_of_year(e.on) + std::chrono::days(1) : e.on);
                }
                return;
            case Kind::audited:
                return;
            case Kind::repaired:
                return take_repair(e);
            case Kind::tested:
                return e.follow_up ? take_follow_up(e) : take_initial(e);
            case Kind::planned:
                return take_plan(e);
            case Kind::mothballed:
                return take_mothballing(e);
            case Kind::in_use:
                return end_mothballing(e.source, e.on);
            case Kind::extended:
                return e.of == "repair" ? take_extension(e) : take_extension_of_work(e);
            case Kind::converted:
            case Kind::disposed:
                close_all(e.source, e.on);
                leaks_.clear();
                over_ = planned_ = lifted_ = proved_ = shutdown_ = false;
                mothballed_.reset();
                suspended_.clear();
                return;
        }
    }
    [[nodiscard]] bool all(bool LeakState::*done) const {
        return std::all_of(leaks_.begin(), leaks_.end(), [&](const auto& l) { return l.second.*done; });
    }

    void take_repair(const LeakEvent& e) {
        leaks_[e.leak] = {true, false};
        close(ClockKind::repair, e.leak, e.source, e.on);
        const auto initial = rule<terms::VerificationInitial>(e.on);
        const auto follow_up = rule<terms::VerificationFollowUp>(e.on);
        if (over_) {
            if (all(&LeakState::repaired)) close(ClockKind::repair, {}, e.source, e.on);
            if (!initial) return;
            const auto& within = initial->as<terms::VerificationInitial>().within;
            start(ClockKind::initial_test, e.leak, e.source, e.on, within ? after(e.on, *within) : due_, *initial,
                  "initial verification test of the repair, inside the time for it");
        } else if (!initial && follow_up && checked_by_charge(e.on)) {
            start_follow_up(e, *follow_up);
        }
    }
    // A repair is checked again only if the rules ask for leak checks of the equipment at all.
    [[nodiscard]] bool checked_by_charge(Date on) const {
        const auto subject = subject_on(h_.subjects, on);
        if (!subject.refrigerant || !subject.full_charge) return false;
        const RulePack* one[] = {pack_};
        return leak_check_need(one,
                               {subject.refrigerant, *subject.full_charge, h_.detection_system,
                                h_.hermetic_and_labelled, h_.residential},
                               on)
            .every.has_value();
    }
    void start_follow_up(const LeakEvent& e, const RuleMatch& rule) {
        const auto hours = rule.as<terms::VerificationFollowUp>().not_before_hours;
        start(ClockKind::follow_up_test, e.leak, e.source, e.on,
              after(e.on, rule.as<terms::VerificationFollowUp>().within), rule,
              hours ? fmt::format("follow-up verification test, not before {} hours of operation after the repair",
                                  *hours)
                    : std::string("follow-up verification test"));
    }
    void take_initial(const LeakEvent& e) {
        if (!e.good) return take_failure(e);
        if (!open(ClockKind::initial_test, e.leak)) return;
        close(ClockKind::initial_test, e.leak, e.source, e.on);
        if (const auto follow_up = rule<terms::VerificationFollowUp>(e.on)) start_follow_up(e, *follow_up);
    }
    // A test that a rule wants after some hours of operation cannot be on the day of the repair.
    [[nodiscard]] bool too_early(const LeakEvent& e) {
        const auto* running = open(ClockKind::follow_up_test, e.leak);
        return running && e.good && running->rule->as<terms::VerificationFollowUp>().not_before_hours &&
               e.on == running->opened_on;
    }
    void take_follow_up(const LeakEvent& e) {
        if (too_early(e)) return;
        close(ClockKind::follow_up_test, e.leak, e.source, e.on);
        if (!e.good) return take_failure(e);
        if (const auto it = leaks_.find(e.leak); it != leaks_.end()) it->second.passed = it->second.repaired;
        if (!over_ || !all(&LeakState::passed) || open(ClockKind::repair)) return;
        for (const auto kind : {ClockKind::plan, ClockKind::plan_work}) close(kind, {}, e.source, e.on);
        over_ = planned_ = lifted_ = false;
        proved_ = true;
    }
    void take_failure(const LeakEvent& e) {
        if (!leaks_.contains(e.leak)) return;
        leaks_[e.leak] = {};
        if (!over_) return;
        close(ClockKind::initial_test, e.leak, e.source, e.on);
        if (const auto repair = rule<terms::RepairDeadline>(e.on); repair && !lifted_)
            start(ClockKind::repair, {}, e.source, e.on, due_, *repair,
                  fmt::format("repair its leaks: a test of {} failed", e.leak));
        start_plan(e.source, e.on, e.on, fmt::format("a verification test of {} failed", e.leak));
    }
    void start_plan(const std::string& by, Date on, Date from, const std::string& why) {
        const auto rule_now = rule<terms::RetrofitPlan>(from);
        if (planned_ || !rule_now) return;
        start(ClockKind::plan, {}, by, on, after(from, rule_now->as<terms::RetrofitPlan>().plan_within), *rule_now,
              "plan to retrofit or to retire it: " + why);
    }
    // If the time for the repair and its first test ended before `seen_on`, starts the clock of a plan.
    void miss_window(Date seen_on) {
        if (!over_ || planned_ || seen_on <= due_ || (mothballed_ && !was_late_)) return;
        std::optional<std::pair<Date, std::string>> first;  // of the clocks that still run
        const auto consider = [&](const Clock* running) {
            if (running && (!first || running->opened_on < first->first))
                first = {running->opened_on, running->opened_by};
        };
        consider(open(ClockKind::repair));
        for (const auto& [code, state] : leaks_) consider(open(ClockKind::initial_test, code));
        if (!first) return;
        const Date missed = std::max(due_, first->first) + std::chrono::days(1);
        if (missed > seen_on) return;
        if (acted_)
            start_plan(first->second, missed, due_, fmt::format("not repaired and tested by {}", date_text(due_)));
        else
            start_plan(first->second, missed, over_on_,
                       fmt::format("nothing on record was done about its leaks by {}", date_text(due_)));
    }
    void take_plan(const LeakEvent& e) {
        if (!over_) return;
        const auto rule_now = rule<terms::RetrofitPlan>(e.on);
        const auto* asked = open(ClockKind::plan);
        const auto was_due = asked ? due_of(*asked, e.on) : std::nullopt;
        close(ClockKind::plan, {}, e.source, e.on);
        if (!rule_now) return;
        planned_ = true;
        planned_on_ = e.on;
        const auto& terms = rule_now->as<terms::RetrofitPlan>();
        if (e.on <= due_) {  // in time: the plan replaces the repair
            lifted_ = true;
            close(ClockKind::repair, {}, e.source, e.on);
        }
        Date latest = after(e.on, terms.work_within);
        if (terms.work_never_after)
            latest =
                std::min(latest, after(was_due.value_or(after(over_on_, terms.plan_within)), *terms.work_never_after));
        const bool exempt_one = e.retires && e.to && terms.work_within_exempt_substitute && replaced_by_exempt(e);
        if (exempt_one) latest = after(e.on, *terms.work_within_exempt_substitute);
        start(ClockKind::plan_work, {}, e.source, e.on, e.by ? std::min(*e.by, latest) : latest, *rule_now,
              fmt::format("what was planned ({}) is done{}{}", e.text,
                          exempt_one ? fmt::format("; {} to retire it, as {} in its replacement is exempt",
                                                   terms.work_within_exempt_substitute->text(), e.to->designation)
                                     : "",
                          e.by && *e.by < latest
                              ? fmt::format("; by the plan itself, the rule would allow until {}", date_text(latest))
                              : ""));
    }
    struct Suspended {
        std::string text;        // without the words about the suspension
        std::chrono::days left;  // until it is due
        Date due;                // before the suspension
    };
    void take_mothballing(const LeakEvent& e) {
        if (mothballed_) return;
        mothballed_ = rule<terms::Mothballing>(e.on);
        if (!mothballed_) return;
        mothballed_on_ = counted_to_ = e.on;
        was_late_ = over_ && due_ < e.on;
        const auto until = out_.size();
        for (auto i = first_; i < until; ++i)
            if (!out_[i].closed_on) suspend(i, e.on, e.source);
    }
    // The day that a clock is due. For a suspended one: if it went on from `on`.
    [[nodiscard]] std::optional<Date> due_of(const Clock& clock, Date on) const {
        const auto held = suspended_.find(static_cast<std::size_t>(&clock - out_.data()));
        return held == suspended_.end() ? clock.due_on : on + held->second.left;
    }
    // `by`: empty if the clock opens while the appliance is mothballed.
    void suspend(std::size_t which, Date on, const std::string& by = {}) {
        const auto& names = mothballed_->as<terms::Mothballing>().suspends;
        const auto& due = out_[which].due_on;
        if (!due || *due < on || std::find(names.begin(), names.end(), text_of(out_[which].what)) == names.end())
            return;
        const Suspended kept{out_[which].text, *due - on, *due};
        auto& c = by.empty() ? out_[which] : go_on(which, by, on);
        c.due_on.reset();
        c.also = mothballed_;
        c.text += fmt::format("; suspended, as it is mothballed since {}, with {} day{} left ({}, {})",
                              date_text(mothballed_on_), kept.left.count(), kept.left.count() == 1 ? "" : "s",
                              mothballed_->rule->clause, tarebook::text_of(mothballed_->status()));
        suspended_[by.empty() ? which : out_.size() - 1] = kept;
    }
    // Puts off the days on which an appliance is mothballed, one by one.
    void count_mothballed(Date on) {
        if (!mothballed_ || on <= counted_to_) return;
        const auto passed = on - counted_to_;
        counted_to_ = on;
        if (over_ && !was_late_) due_ += passed, over_on_ += passed;
        planned_on_ += passed;
        released_ += passed;
    }
    void end_mothballing(const std::string& by, Date on) {
        count_mothballed(on);
        if (!mothballed_) return;
        const auto over = std::exchange(mothballed_, std::nullopt);
        const auto lasted = (on - mothballed_on_).count();
        for (const auto& [which, kept] : std::exchange(suspended_, {})) {
            if (out_[which].closed_on) continue;
            auto& c = go_on(which, by, on);
            const auto calendar =
                c.what == ClockKind::inspection && c.rule->as<terms::LeakInspection>().in_calendar_year;
            c.due_on = calendar ? std::max(kept.due, last_day_of_year(on)) : on + kept.left;
            c.text = kept.text +
                     (calendar ? fmt::format("; mothballed until {}: once in the year of that day at the latest",
                                             date_text(on))
                               : fmt::format("; {} day{} mothballed until {} not counted", lasted,
                                             lasted == 1 ? "" : "s", date_text(on))) +
                     fmt::format(" ({}, {})", over->rule->clause, tarebook::text_of(over->status()));
        }
        if (auto* running = open(ClockKind::inspection); running && inspect_ && lasted > 0)
            running->text += "; the release is put off to " + date_text(released_);
    }

    [[nodiscard]] std::optional<RuleMatch> rule_of_extension(const LeakEvent& e) const {
        using Of = terms::DeadlineExtension::Of;
        const auto of = e.of == "repair" ? Of::repair : Of::plan_work;
        for (const auto& m : matching<terms::DeadlineExtension>(packs_, subject_on(h_.subjects, e.on), e.on)) {
            const auto& terms = m.as<terms::DeadlineExtension>();
            if (m.pack == pack_ && terms.of == of &&
                std::find(terms.grounds.begin(), terms.grounds.end(), e.ground) != terms.grounds.end())
                return m;
        }
        return std::nullopt;
    }
    // Until when a time counted from `from` is extended; empty if neither the rule nor the record says it.
    [[nodiscard]] std::optional<Date> extended_until(const RuleMatch& match, const LeakEvent& e, Date from) const {
        using Until = terms::DeadlineExtension::Until;
        const auto& terms = match.as<terms::DeadlineExtension>();
        auto longest = shutdown_ && terms.longest_if_shutdown ? terms.longest_if_shutdown : terms.longest;
        if (terms.until != Until::day_on_record) {
            const auto repair = rule<terms::RepairDeadline>(e.on);
            if (!repair) return std::nullopt;
            const auto& named = repair->as<terms::RepairDeadline>();
            longest = terms.until == Until::longer_time ? named.within_if_shutdown : named.longest;
            if (!longest) return std::nullopt;
        }
        if (!longest) return e.by;
        return e.by ? std::min(*e.by, after(from, *longest)) : after(from, *longest);
    }
    void extend(std::size_t which, Date until, const RuleMatch& match, const LeakEvent& e) {
        const bool relief = e.ground == "relief";
        const auto words = fmt::format("; {} by {}{} ({}, {})", relief ? "relief from the plan" : "more time", e.source,
                                       relief ? ": all its leaks are repaired instead" : ", for " + e.ground,
                                       match.rule->clause, tarebook::text_of(match.status()));
        const auto held = suspended_.find(which);
        if (held != suspended_.end()) {
            auto kept = held->second;
            suspended_.erase(held);
            auto& c = go_on(which, e.source, e.on);
            c.text += words;
            kept.text += words;
            kept.left = until - e.on;
            kept.due = until;
            suspended_[out_.size() - 1] = kept;
            return;
        }
        auto& c = go_on(which, e.source, e.on);
        c.due_on = until;
        if (!c.also || c.also->status() <= match.status()) c.also = match;  // keeps the less certain of the two
        c.text += words;
        if (mothballed_) suspend(out_.size() - 1, e.on);
    }
    [[nodiscard]] std::optional<Date> due_of(std::size_t which, Date on) const {
        const auto held = suspended_.find(which);
        return held != suspended_.end() ? on + held->second.left : out_[which].due_on;
    }
    void take_extension(const LeakEvent& e) {
        const auto match = rule_of_extension(e);
        if (!match) return;
        const bool shutdown = e.ground == "process-shutdown" || e.ground == "reported-shutdown";
        std::optional<Date> window;
        if (over_ && e.on <= due_) window = extended_until(*match, e, over_on_);
        const auto last = out_.size();
        for (auto i = first_; i < last; ++i) {
            if (out_[i].closed_on) continue;
            const auto was = due_of(i, e.on);
            const bool of_one_leak = out_[i].what == ClockKind::repair && !out_[i].leak.empty();
            if (of_one_leak && was && e.on <= *was) {
                const auto until = extended_until(*match, e, out_[i].opened_on);
                if (until && *was < *until) extend(i, *until, *match, e);
            } else if (window && was == due_ && due_ < *window &&
                       (out_[i].what == ClockKind::repair || out_[i].what == ClockKind::initial_test)) {
                extend(i, *window, *match, e);
            }
        }
        if (window && due_ < *window) due_ = *window, acted_ = true;
        shutdown_ = shutdown_ || (over_ && shutdown);
    }
    void take_extension_of_work(const LeakEvent& e) {
        const auto* running = open(ClockKind::plan_work);
        if (!running) return;
        const auto which = static_cast<std::size_t>(running - out_.data());
        if (e.ground == "relief") {
            const auto relief = rule<terms::PlanRelief>(e.on);
            if (!relief || e.on > after(planned_on_, relief->as<terms::PlanRelief>().asked_within)) return;
            const auto until = after(planned_on_, relief->as<terms::PlanRelief>().repaired_within);
            extend(which, until, *relief, e);
            return;
        }
        const auto match = rule_of_extension(e);
        const auto until = match ? extended_until(*match, e, planned_on_) : std::nullopt;
        const auto was = due_of(which, e.on);
        if (until && was && e.on <= *was && *was < *until) extend(which, *until, *match, e);
    }

    // One pack has the list of exempt substitutes, and rules of other packs refer to it.
    [[nodiscard]] bool replaced_by_exempt(const LeakEvent& plan) const {
        auto replacement = subject_on(h_.subjects, plan.on);
        replacement.refrigerant = plan.to;
        return exempt_substitute(packs_, replacement, plan.on).has_value();
    }

    RulePacks packs_;
    const RulePack* pack_;
    const ApplianceHistory& h_;
    std::vector<Clock>& out_;
    std::size_t first_;
    std::map<std::string, LeakState> leaks_;
    bool over_ = false;     // an addition was over the threshold, and the repair is not proved yet
    bool planned_ = false;  // a plan is on record for it
    bool lifted_ = false;   // the plan was in time, so that no repair is due
    bool acted_ = false;    // something was done about the leaks since
    bool proved_ = false;   // repaired and tested, and nothing was added since
    Date over_on_{};        // the day of the addition that opened the clock of the repair
    Date due_{};            // when the repair is due
    Date planned_on_{};
    bool shutdown_ = false;  // a process has to shut down for its repair
    std::optional<RuleMatch> mothballed_;
    Date mothballed_on_{}, counted_to_{};
    bool was_late_ = false;                       // the repair was late when the appliance was mothballed
    std::map<std::size_t, Suspended> suspended_;  // by place in `out_`
    std::optional<RuleMatch> inspect_;
    Date released_{};
};

// One clock for each calendar year whose additions reach the rule's share of the full charge.
void add_chronic(RulePacks packs, const RulePack* pack, const ApplianceHistory& h, std::vector<Clock>& out) {
    std::optional<std::chrono::year> reached;
    std::chrono::year running{};
    MassTotal added;
    for (const auto& a : h.additions) {
        const auto year = std::chrono::year_month_day(a.on).year();
        if (year != running) added = {}, running = year;
        added += a.mass;
        if (!a.counts() || reached == year) continue;
        const auto rule = rule_of<terms::ChronicReport>(packs, pack, subject_on(h.subjects, a.on), a.on);
        if (!rule) continue;
        LeakAddition so_far;
        so_far.on = a.on;
        so_far.mass = added.value();
        const auto sum = chronic_year({so_far}, year, h.full_charge, rule->as<terms::ChronicReport>());
        if (!sum || !sum->reached) continue;
        reached = year;
        Clock c;
        c.what = ClockKind::chronic_report;
        c.subject = h.appliance;
        c.opened_by = a.sources.empty() ? "" : a.sources.back();
        c.opened_on = a.on;
        c.due_on = sum->report_due;
        c.text = fmt::format("report that it lost {} % or more of its full charge in {}",
                             rule->as<terms::ChronicReport>().of_full_charge.text(), static_cast<int>(year));
        c.rule = rule;
        out.push_back(std::move(c));
    }
}

// Whether the charge reaches the rule's limit: tonnes of equivalent, or the mass of its unsaturated part.
bool reaches_amounts(RulePacks packs, const terms::DetectionSystem& terms, const RuleSubject& subject) {
    if (!terms.t_co2e_from && !terms.unsaturated_from) return true;
    const auto set = find_gwp_set(packs, terms.gwp_set);
    if (!subject.refrigerant || !subject.full_charge || !set) return false;
    const auto parts = charge_parts(*subject.refrigerant, *subject.full_charge, *set);
    return (terms.t_co2e_from && parts.saturated.tonnes >= *terms.t_co2e_from) ||
           (terms.unsaturated_from && parts.unsaturated >= *terms.unsaturated_from);
}
std::optional<RuleMatch> detection_asked(RulePacks packs, const RulePack* pack, const ApplianceHistory& h, Date on) {
    const auto subject = subject_on(h.subjects, on);
    for (const auto& m : matching<terms::DetectionSystem>(packs, subject, on)) {
        const auto& terms = m.as<terms::DetectionSystem>();
        if (m.pack != pack || !reaches_amounts(packs, terms, subject)) continue;
        const bool stood = h.installed ? (!terms.installed_from || *h.installed >= *terms.installed_from) &&
                                             (!terms.installed_before || *h.installed < *terms.installed_before)
                                       : !terms.installed_from || terms.installed_before;
        if (stood) return m;
    }
    return std::nullopt;
}

// A clock for a detection system that a rule asks for and the register does not have.
void add_detection(const RuleMatch& rule, const ApplianceHistory& h, Date on, std::vector<Clock>& out) {
    const auto& terms = rule.as<terms::DetectionSystem>();
    const Date since = h.installed.value_or(h.on_record_since);
    Clock c;
    c.what = ClockKind::detection_system;
    c.subject = h.appliance;
    c.opened_on = std::min(since, on);
    c.due_on = terms.by ? *terms.by : terms.within ? after(since, *terms.within) : since;
    c.text = fmt::format(
        "an automatic leak detection system{}{}; where it has one: tarebook appliance correct {} "
        "--detection-system yes",
        h.installed || !terms.installed_from
            ? ""
            : fmt::format(", if it was installed from {} on (--installed is not on record)",
                          date_text(*terms.installed_from)),
        terms.what.empty() ? "" : " " + terms.what, h.appliance);
    c.rule = rule;
    out.push_back(std::move(c));
}

// A clock for the yearly audit and calibration of a detection system in use.
void add_audit(Period every, const RuleMatch& rule, const ApplianceHistory& h, Date on, std::vector<Clock>& out) {
    Clock c;
    c.what = ClockKind::detection_audit;
    c.subject = h.appliance;
    c.opened_on = h.detection_since;
    for (const auto& e : h.events)
        if (e.kind == Kind::audited && e.on <= on && e.good) c.opened_on = e.on, c.opened_by = e.source;
    c.due_on = after(c.opened_on, every);
    c.text = fmt::format(
        "audit and calibrate its detection system, every {}{}; tarebook inspect {} --of "
        "detection-system",
        every.text(), c.opened_by.empty() ? "; none on record, counted from the day the system came on record" : "",
        h.appliance);
    c.rule = rule;
    out.push_back(std::move(c));
}
void add_detection_clocks(RulePacks packs, const RulePack* pack, const ApplianceHistory& h, Date on,
                          std::vector<Clock>& out) {
    const auto asked = detection_asked(packs, pack, h, on);
    if (!h.detection_system) {
        if (asked) add_detection(*asked, h, on, out);
        return;
    }
    if (asked) return add_audit(asked->as<terms::DetectionSystem>().check_every, *asked, h, on, out);
    const auto rule = rule_of<terms::DetectionAudit>(packs, pack, subject_on(h.subjects, on), on);
    if (rule) add_audit(rule->as<terms::DetectionAudit>().every, *rule, h, on, out);
}

// A clock for the report about the last calendar year.
void add_annual_report(RulePacks packs, const RulePack* pack, const ApplianceHistory& h, Date on,
                       std::vector<Clock>& out) {
    const auto rule = rule_of<terms::AnnualReport>(packs, pack, subject_on(h.subjects, on), on);
    const auto year = std::chrono::year_month_day(on).year();
    const Date new_year = std::chrono::sys_days(year / std::chrono::January / 1);
    if (!rule || h.on_record_since >= new_year) return;
    const auto day = rule->as<terms::AnnualReport>().due;
    Clock c;
    c.what = ClockKind::annual_report;
    c.subject = h.appliance;
    c.leak = std::to_string(static_cast<int>(year) - 1);
    c.opened_on = new_year;
    c.due_on = std::chrono::sys_days(year / day.month() / day.day());
    c.rule = rule;
    c.text = fmt::format("the facility's annual report of {} names it; once it is made: tarebook resolve {} --why TEXT",
                         c.leak, c.id());
    out.push_back(std::move(c));
}

// Clocks for checks that recur whether or not gas was added.
void add_periodic(RulePacks packs, const RulePack* pack, const ApplianceHistory& h, Date on, std::vector<Clock>& out) {
    const auto subject = subject_on(h.subjects, on);
    std::string by;
    Date last = h.on_record_since;
    for (const auto& e : h.events) {
        if (e.on > on) break;
        if (e.kind == Kind::disposed) return;
        if (e.kind == Kind::inspected) last = e.on, by = e.source;
    }
    const auto add = [&](ClockKind what, Period every, const RuleMatch& rule) {
        Clock c;
        c.what = what;
        c.subject = h.appliance;
        c.opened_by = by;
        c.opened_on = last;
        c.due_on = after(last, every);
        c.text = fmt::format("look for leaks, every {}{}", every.text(),
                             by.empty() ? "; none on record, counted from the day it came on record" : "");
        c.rule = rule;
        out.push_back(std::move(c));
    };
    if (const auto rule = rule_of<terms::LeakInspection>(packs, pack, subject, on);
        rule && rule->as<terms::LeakInspection>().begins == terms::LeakInspection::Begins::always &&
        !(h.detection_system && rule->as<terms::LeakInspection>().lifted_by_detection))
        add(ClockKind::inspection, rule->as<terms::LeakInspection>().every, *rule);
    add_detection_clocks(packs, pack, h, on, out);
    add_annual_report(packs, pack, h, on, out);
    if (!subject.refrigerant || !subject.full_charge) return;
    const RulePack* one[] = {pack};
    const auto need = leak_check_need(
        one, {subject.refrigerant, *subject.full_charge, h.detection_system, h.hermetic_and_labelled, h.residential},
        on);
    if (need.every) add(ClockKind::leak_check, *need.every, *need.match);
}

constexpr std::array<std::string_view, 15> words = {
    "repair",    "initial-test", "follow-up-test",  "inspection",       "leak-check",
    "plan",      "plan-work",    "chronic-report",  "requalification",  "heel",
    "statement", "put-back",     "detection-audit", "detection-system", "annual-report"};

bool counts_by_pack(ClockKind kind) {
    return kind != ClockKind::requalification && kind != ClockKind::heel && kind != ClockKind::statement;
}

}  // namespace

std::string_view text_of(ClockKind kind) {
    return words.at(static_cast<std::size_t>(kind));
}

std::string Clock::id() const {
    auto out = id_without_pack();
    if (rule && counts_by_pack(what)) out.insert(std::string_view("due/").size(), rule->pack->id + "/");
    return out;
}
std::string Clock::id_without_pack() const {
    std::string out = fmt::format("due/{}/{}", text_of(what), subject);
    if (!leak.empty()) out += "/" + leak;
    if (!opened_by.empty()) out += "/" + opened_by;
    return out;
}

RuleSubject subject_on(const std::vector<SubjectFrom>& subjects, Date on) {
    if (subjects.empty()) return {};
    const SubjectFrom* out = &subjects.front();
    for (const auto& s : subjects)
        if (s.from <= on) out = &s;
    return out->subject;
}

std::vector<Clock> appliance_clocks(RulePacks packs, const ApplianceHistory& history, Date on) {
    std::vector<Clock> out;
    for (const auto* pack : packs) {
        Walk(packs, pack, history, out).run();
        add_chronic(packs, pack, history, out);
        add_periodic(packs, pack, history, on, out);
    }
    for (const auto& one : history.taken_out)
        if (opens_put_back(one)) out.push_back(put_back_clock(history.appliance, one, history.units));
    return out;
}

Date put_back_opens_on(const TakenOut& one) {
    constexpr std::chrono::days asked_after{30};
    return one.on + asked_after;
}
bool opens_put_back(const TakenOut& one) {
    return !one.back_on || *one.back_on > put_back_opens_on(one);
}

Clock put_back_clock(std::string_view appliance, const TakenOut& one, DisplayUnits units) {
    Clock c;
    c.what = ClockKind::put_back;
    c.subject = appliance;
    c.opened_by = one.source;
    c.opened_on = put_back_opens_on(one);
    if (one.back_on) c.closed_on = one.back_on, c.closed_by = one.back_by;
    c.text = fmt::format(
        "{}, recovered on {}{}, {} not on record as put back: put it back with --reason put-back, or say where "
        "it went: tarebook resolve {} --why TEXT",
        mass_text(one.left.is_zero() ? one.mass : one.left, units), date_text(one.on),
        one.job ? " in job " + *one.job : "", one.left.is_zero() ? "was" : "is", c.id());
    return c;
}

void add_rules_of_clocks(RulePacks packs, const RuleSubject& subject, Date on, SpokenRules& out) {
    out.add_matching<terms::LeakRateCalculation, terms::LeakRateThreshold, terms::RepairDeadline,
                     terms::VerificationInitial, terms::VerificationFollowUp, terms::LeakInspection,
                     terms::RetrofitPlan, terms::ChronicReport, terms::AnnualReport, terms::LeakCheckByCharge,
                     terms::LeakCheckBySubstance, terms::LeakCheckExemption, terms::DetectionSystem,
                     terms::DetectionAudit>(packs, subject, on);
}

std::vector<Date> all_repaired_days(const std::vector<LeakEvent>& events) {
    std::vector<Date> out;
    std::map<std::string, bool> passed;
    for (const auto& e : events) {
        if (e.kind == Kind::found || e.kind == Kind::repaired || (e.kind == Kind::tested && !e.good))
            passed[e.leak] = false;
        if (e.kind != Kind::tested || !e.follow_up || !e.good) continue;
        passed[e.leak] = true;
        if (std::all_of(passed.begin(), passed.end(), [](const auto& p) { return p.second; })) out.push_back(e.on);
    }
    return out;
}

}  // namespace tarebook
