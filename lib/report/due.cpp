#include "due.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "due_cache.hpp"
#include "history.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/refrigerant/spec_mark.hpp"
#include "year_reading.hpp"

namespace tarebook::report {
namespace {

using Resolutions = std::map<std::string, Resolution, std::less<>>;

Resolutions resolved_clocks(const Book& book) {
    Resolutions out;
    for (auto& s : book.resolutions("due/")) out.emplace(s.finding, s);
    return out;
}
// By return: the statement about it.
std::map<std::int64_t, Statement> statements_by_return(const Book& book) {
    std::map<std::int64_t, Statement> out;
    for (const auto& s : book.statements()) out.emplace(s.returned_id, s);
    return out;
}
void close_resolved(std::vector<Clock>& clocks, const Resolutions& resolved) {
    for (auto& clock : clocks) {
        if (clock.closed_on && !clock.goes_on) continue;
        auto it = resolved.find(clock.id());
        if (it == resolved.end()) it = resolved.find(clock.id_without_pack());
        if (it == resolved.end() || (clock.closed_on && *clock.closed_on <= it->second.on)) continue;
        clock.closed_on = it->second.on;
        clock.closed_by = it->second.by;
    }
}

bool is_of_put_back(std::string_view id) {
    return id.starts_with("due/put-back/");
}

bool closed_lately(const Clock& clock, Date on) {
    return clock.closed_on && !clock.goes_on && *clock.closed_on <= on && *clock.closed_on > on - told_closed_for;
}
// Gives clocks on, and notes the rules of the open ones.
class Outlet {
 public:
    Outlet(Date on, ClockSink& sink, DueFooting& footing) : on_(on), sink_(sink), footing_(footing) {}
    void open(DueItem&& item) {
        for (const auto* rule : {&item.clock.rule, &item.clock.also})
            if (*rule) footing_.spoken.add(**rule);
        sink_.open(std::move(item));
    }
    void closed(DueItem&& item) { sink_.closed_lately(std::move(item)); }
    void take(std::vector<Clock> clocks, const std::string& owner) {
        for (auto& clock : clocks)
            if (clock.open_on(on_))
                open({std::move(clock), owner});
            else if (closed_lately(clock, on_))
                closed({std::move(clock), owner});
    }
    bool counts_put_back(std::string_view appliance) { return sink_.counts_put_back(appliance); }
    DueFooting& footing() { return footing_; }

 private:
    Date on_;
    ClockSink& sink_;
    DueFooting& footing_;
};

class AllClocks : public ClockSink {
 public:
    explicit AllClocks(DueList& list) : list_(list) {}
    void open(DueItem&& item) override { list_.items.push_back(std::move(item)); }
    void closed_lately(DueItem&& item) override { list_.closed.push_back(std::move(item)); }

 private:
    DueList& list_;
};

// Of clocks with one id the first one; none that is open.
void keep_each_once(DueList& list) {
    std::set<std::string> ids;
    for (const auto& item : list.items) ids.insert(item.clock.id());
    std::erase_if(list.closed, [&](const DueItem& item) { return !ids.insert(item.clock.id()).second; });
}

// The days on which rules change, and the first day of all.
std::vector<Date> turning_days(RulePacks packs) {
    std::set<Date> days{Date(std::chrono::days(-200'000))};
    const auto add = [&](const auto& e) {
        if (e.from) days.insert(*e.from);
        if (e.to) days.insert(*e.to + std::chrono::days(1));
    };
    for (const auto* pack : packs) {
        for (const auto& scope : pack->scopes) add(scope);
        for (const auto& rule : pack->rules) add(rule);
    }
    return {days.begin(), days.end()};
}

// Whether a rule that can open a clock ever speaks to such a subject. Many appliances are alike: each kind is asked
// for once.
class Concern {
 public:
    /// Whether checks come round on that day, with or without an addition.
    bool periodic(const std::vector<const RulePack*>& packs, const RuleSubject& subject, Date on) {
        const auto key = std::tuple(packs, subject.refrigerant, subject.full_charge.value_or(Mass()).count(),
                                    subject.category ? static_cast<int>(*subject.category) : -1);
        const auto [it, fresh] = periodic_.try_emplace(key, false);
        if (fresh) {
            const auto inspections = matching<terms::LeakInspection>(packs, subject, on);
            it->second = std::any_of(inspections.begin(), inspections.end(), comes_round) ||
                         first_matching<terms::DetectionAudit>(packs, subject, on) ||
                         first_matching<terms::DetectionSystem>(packs, subject, on) ||
                         first_matching<terms::AnnualReport>(packs, subject, on) ||
                         first_matching<terms::LeakCheckByCharge>(packs, subject, on) ||
                         first_matching<terms::LeakCheckBySubstance>(packs, subject, on);
        }
        return it->second;
    }
    /// Adds what could speak about such an appliance on that day.
    void speak(const std::vector<const RulePack*>& packs, const RuleSubject& subject, Date on, SpokenRules& out) {
        const auto key = std::tuple(packs, subject.refrigerant, subject.full_charge.value_or(Mass()).count(),
                                    subject.category ? static_cast<int>(*subject.category) : -1);
        if (spoken_.insert(key).second) add_rules_of_clocks(packs, subject, on, out);
    }
    static bool comes_round(const RuleMatch& m) {
        const auto* terms = std::get_if<terms::LeakInspection>(&m.rule->terms);
        return !terms || terms->begins == terms::LeakInspection::Begins::always;
    }
    bool any(const std::vector<const RulePack*>& packs, const RuleSubject& subject) {
        const auto key = std::tuple(packs, subject.refrigerant, subject.full_charge.value_or(Mass()).count(),
                                    subject.category ? static_cast<int>(*subject.category) : -1);
        const auto [it, fresh] = known_.try_emplace(key, false);
        if (fresh) it->second = look(packs, subject);
        return it->second;
    }

 private:
    bool look(const std::vector<const RulePack*>& packs, const RuleSubject& subject) {
        const auto [it, fresh] = days_.try_emplace(packs);
        if (fresh) it->second = turning_days(packs);
        return std::any_of(it->second.begin(), it->second.end(), [&](Date day) {
            return first_matching<terms::LeakRateThreshold>(packs, subject, day) ||
                   first_matching<terms::ChronicReport>(packs, subject, day) ||
                   first_matching<terms::RepairDeadline>(packs, subject, day) ||
                   first_matching<terms::LeakInspection>(packs, subject, day) ||
                   first_matching<terms::DetectionAudit>(packs, subject, day) ||
                   first_matching<terms::DetectionSystem>(packs, subject, day) ||
                   first_matching<terms::AnnualReport>(packs, subject, day) ||
                   first_matching<terms::LeakCheckByCharge>(packs, subject, day) ||
                   first_matching<terms::LeakCheckBySubstance>(packs, subject, day);
        });
    }
    using Key = std::tuple<std::vector<const RulePack*>, const Refrigerant*, std::int64_t, int>;
    std::map<Key, bool> known_, periodic_;
    std::set<Key> spoken_;
    std::map<std::vector<const RulePack*>, std::vector<Date>> days_;
};

bool concerns(const Catalogue& catalogue, Concern& concern, const std::vector<const RulePack*>& packs,
              const Entry& appliance) {
    std::set<OrderKey> changes{order_at(Instant::max())};
    for (const char* field : {"refrigerant", "category", "full_charge", "full_charge_to"})
        if (const auto it = appliance.fields().find(field); it != appliance.fields().end())
            for (const auto& value : it->second) changes.insert(value.from);
    return std::any_of(changes.begin(), changes.end(),
                       [&](const OrderKey& key) { return concern.any(packs, subject_at(catalogue, appliance, key)); });
}

std::string owner_of_site(const Book& book, std::string_view code) {
    const auto* site = book.entries().find(EntryKind::site, site_of(code));
    return site ? site->text("owner", order_at(Instant::max())).value_or("") : "";
}

CylinderHistory history_of_cylinder(const Book& book, const Entry& cylinder) {
    CylinderHistory out;
    out.units = book.info().units;
    const auto last = order_at(Instant::max());
    out.cylinder = cylinder.code();
    out.spec = cylinder.text("spec", last).value_or("");
    out.basis = cylinder.text("test_basis", last).value_or("");
    out.kept_for = cylinder.text("refrigerant", last).value_or("");
    if (const auto tested = cylinder.text("tested", last))
        if (const auto month = parse_month(*tested)) {
            out.tested = *month;
            out.tested_by = book.name_at(cylinder.fields().find("tested")->second.back().from);
        }
    return out;
}

// A jug that was drawn empty: what is left in it is the heel, until it is evacuated.
void look_for_heel(const Book& book, CylinderHistory& c) {
    const auto step = book.last_step(c.cylinder);
    if (!step) return;
    const auto& state = step->after;
    c.in_service = !state.gone && !state.lost;
    const auto mark = parse_spec_mark(c.spec);
    if (!mark || mark->refillable) {
        c.in_service = c.in_service && !state.condemned;
        return;
    }
    const auto* facts = cylinder_facts(book.entries(), c.cylinder, order_at(Instant::max()));
    if (state.contents() > level_tolerance(Mass(), facts ? *facts : CylinderFacts{})) return;
    const auto stored = book.event(step->event_id);
    if (!stored || std::holds_alternative<kinds::Evacuate>(stored->event.what) ||
        std::holds_alternative<kinds::Entry>(stored->event.what))
        return;
    c.empty_with_heel = true;
    c.emptied_by = event_ref(book, *stored);
    c.emptied_on = stored->event.when.date();
}

// The clock of a test is closed by the next test, which opens its own.
std::vector<Clock> superseded_tests(const Book& book, const Entry& cylinder, const CylinderHistory& now,
                                    RulePacks packs, Date on) {
    std::vector<Clock> out;
    const auto tests = cylinder.fields().find("tested");
    if (tests == cylinder.fields().end()) return out;
    const auto& values = tests->second;
    for (std::size_t i = 0; i + 1 < values.size(); ++i) {
        auto before = now;
        const auto month = parse_month(values[i].value.text);
        const auto next = moment_in_zone(values[i + 1].from.at, book.info().zone);
        if (!month || !next || next->date() <= on - told_closed_for) continue;
        before.tested = *month;
        before.tested_by = book.name_at(values[i].from);
        for (auto& clock : cylinder_clocks(packs, before, on)) {
            if (clock.what != ClockKind::requalification) continue;
            clock.closed_on = next->date();
            clock.closed_by = book.name_at(values[i + 1].from);
            if (closed_lately(clock, on)) out.push_back(std::move(clock));
        }
    }
    return out;
}

RulePacks packs_of_cylinder(const Rulebook& rules, const Entry& cylinder) {
    return rules.packs_of_country(country_of(&cylinder, order_at(Instant::max())));
}

void add_cylinders(const Book& book, Date on, const Resolutions& resolved, Outlet& out) {
    struct Found {
        CylinderHistory history;
        std::string owner;
        RulePacks packs;
    };
    std::vector<Found> found;
    book.each_entry(EntryKind::cylinder, [&](const Entry& cylinder) {
        auto history = history_of_cylinder(book, cylinder);
        if (history.spec.empty()) {
            ++out.footing().cylinders_without_mark;
            return;
        }
        const auto packs = packs_of_cylinder(book.rules(), cylinder);
        if (cylinder_clocks(packs, history, on).empty() && !first_matching<terms::Heel>(packs, {}, on)) return;
        for (auto& clock : superseded_tests(book, cylinder, history, packs, on)) out.closed({std::move(clock), {}});
        found.push_back(
            {std::move(history), cylinder.text("belongs_to", order_at(Instant::max())).value_or(""), packs});
    });
    for (auto& [history, owner, packs] : found) {
        look_for_heel(book, history);
        auto clocks = cylinder_clocks(packs, history, on);
        close_resolved(clocks, resolved);
        for (const auto& clock : clocks)
            if (clock.rule) out.footing().spoken.add(*clock.rule);
        out.take(std::move(clocks), owner);
    }
}

std::optional<ReturnAwaiting> awaiting(const Book& book, const StoredEvent& stored) {
    const auto* k = std::get_if<kinds::Return>(&stored.event.what);
    if (!k) return std::nullopt;
    return ReturnAwaiting{event_ref(book, stored), k->cylinder, k->to, stored.event.when.date()};
}

bool is_periodic(const Clock& clock) {
    return clock.what == ClockKind::leak_check || clock.what == ClockKind::detection_audit ||
           clock.what == ClockKind::detection_system || clock.what == ClockKind::annual_report ||
           (clock.what == ClockKind::inspection && clock.rule && Concern::comes_round(*clock.rule));
}

// A look over the book: what a file has kept of an earlier one, and the rest anew.
class ClockLook {
 public:
    ClockLook(const Book& book, Date on, std::filesystem::path file, const EquipmentMovements* movements)
        : book_(book),
          on_(on),
          file_(std::move(file)),
          movements_(movements),
          log_(book),
          resolved_(resolved_clocks(book)) {
        if (!file_.empty())
            if (auto kept = read_due_cache(book, file_)) {
                if (const auto moved = forget_touched(book, *kept)) {
                    kept_ = std::move(*kept);
                    from_file_ = true;
                    moved_ = *moved;
                }
            }
        resolves_put_backs_ =
            std::any_of(resolved_.begin(), resolved_.end(), [](const auto& r) { return is_of_put_back(r.first); });
        if (!from_file_) {
            kept_.last_rows = book.last_rows();
            book.each_watched(kinds::Return::name, [&](const StoredEvent& stored) {
                if (const auto sent = awaiting(book, stored))
                    kept_.returns.push_back({stored.id, sent->event, sent->cylinder, sent->to, sent->on});
            });
        }
    }

    DueFooting run(ClockSink& sink) {
        DueFooting footing;
        Outlet out(on_, sink, footing);
        const auto of_book = book_.rules().packs_of_country(book_.info().country);
        footing.packs.assign(of_book.begin(), of_book.end());
        read_sites(footing);
        std::vector<Entry> anew;
        book_.each_entry(EntryKind::appliance, [&](const Entry& appliance) {
            const auto& site = sites_[site_of(appliance.code())];
            if (!concerns(book_.catalogue(), concern_, site.packs, appliance)) return;
            concern_.speak(site.packs, subject_at(book_.catalogue(), appliance, order_at(Instant::max())), on_,
                           footing.spoken);
            take(appliance, site, out, anew);
        });
        read_anew(anew, out);
        add_cylinders(book_, on_, resolved_, out);
        add_statements(out);
        keep(anew.size());
        return footing;
    }

 private:
    struct Site {
        std::vector<const RulePack*> packs;
        std::string owner;
    };
    void read_sites(DueFooting& out) {
        const auto last = order_at(Instant::max());
        book_.each_entry(EntryKind::site, [&](const Entry& entry) {
            auto& site = sites_[entry.code()];
            auto record = packs_of(book_.rules(), entry);
            site.packs = std::move(record.packs);
            if (site.packs.empty() && !record.country.empty()) out.countries_without_pack.insert(record.country);
            site.owner = entry.text("owner", last).value_or("");
            for (const auto* pack : site.packs)
                if (std::find(out.packs.begin(), out.packs.end(), pack) == out.packs.end()) out.packs.push_back(pack);
        });
    }
    void add(std::vector<Clock> clocks, const Site& site, Outlet& out) {
        close_resolved(clocks, resolved_);
        out.take(std::move(clocks), site.owner);
    }
    void add_put_backs(const std::string& appliance, const std::vector<TakenOut>& taken_out, const Site& site,
                       Outlet& out) {
        for (const auto& one : taken_out) {
            if (put_back_opens_on(one) > on_) continue;
            if (!resolves_put_backs_ && !one.back_on && out.counts_put_back(appliance)) continue;
            add({put_back_clock(appliance, one, book_.info().units)}, site, out);
        }
    }
    void take(const Entry& appliance, const Site& site, Outlet& out, std::vector<Entry>& anew) {
        const auto it = kept_.appliances.find(appliance.code());
        auto known = it == kept_.appliances.end() ? std::nullopt : unpacked(book_.rules(), it->second);
        if (!known) {
            anew.push_back(appliance);
            return;
        }
        add_known(appliance, *known, site, out);
        if (!concern_.periodic(site.packs, subject_at(book_.catalogue(), appliance, order_at(Instant::max())), on_))
            return;
        LeakRecord record;  // without its additions: what comes round does not hang on them
        record.events = log_.of(appliance.code());
        record.events.insert(record.events.end(), known->disposed.begin(), known->disposed.end());
        auto clocks = appliance_clocks(site.packs, history_of(book_, appliance, record), on_);
        std::erase_if(clocks, [](const Clock& clock) { return !is_periodic(clock); });
        add(std::move(clocks), site, out);
    }
    void add_known(const Entry& appliance, CachedAppliance& known, const Site& site, Outlet& out) {
        add(std::move(known.clocks), site, out);
        add_put_backs(appliance.code(), known.taken_out, site, out);
    }
    // One walk over the book costs as much as some dozens of appliances, each with all its events.
    void read_anew(const std::vector<Entry>& anew, Outlet& out) {
        constexpr std::size_t worth_a_walk = 40;
        std::optional<YearWalk> walk;
        if (!movements_ && anew.size() >= worth_a_walk) movements_ = &walk.emplace(book_).equipment;
        for (const auto& appliance : anew) {
            const auto& code = appliance.code();
            const auto record = movements_ ? leak_record(book_, code, movements_->of(code), log_)
                                           : leak_record(book_, code, last_day_of_all, log_);
            take_anew(appliance, record, sites_[site_of(appliance.code())], out);
        }
    }
    void take_anew(const Entry& appliance, const LeakRecord& record, const Site& site, Outlet& out) {
        auto clocks = appliance_clocks(site.packs, history_of(book_, appliance, record), on_);
        CachedAppliance known;
        std::copy_if(record.taken_out.begin(), record.taken_out.end(), std::back_inserter(known.taken_out),
                     opens_put_back);
        std::copy_if(record.events.begin(), record.events.end(), std::back_inserter(known.disposed),
                     [](const LeakEvent& e) { return e.kind == LeakEvent::Kind::disposed; });
        std::erase_if(clocks, [](const Clock& clock) { return clock.what == ClockKind::put_back; });
        std::vector<Clock> periodic;
        for (auto& clock : clocks) (is_periodic(clock) ? periodic : known.clocks).push_back(std::move(clock));
        // a gas of a file of one's own may be known the next time
        const auto history = appliance.fields().find("refrigerant");
        const bool may_change = history != appliance.fields().end() &&
                                std::any_of(history->second.begin(), history->second.end(),
                                            [&](const DatedValue& v) { return !book_.catalogue().find(v.value.text); });
        if (!file_.empty() && !may_change) kept_.appliances[appliance.code()] = packed(known);
        add(std::move(periodic), site, out);
        add_known(appliance, known, site, out);
    }
    void add_settled(const CachedReturn& sent, const Statement& said, Outlet& out) const {
        if (said.on <= on_ - told_closed_for) return;
        auto clock = statement_clock({sent.event, sent.cylinder, sent.to, sent.on});
        clock.closed_on = said.on;
        if (const auto stored = book_.event(said.event_id)) clock.closed_by = event_ref(book_, *stored);
        out.closed({std::move(clock), {}});
    }
    // One item a receiver, with the oldest of what it owes: it is asked once.
    void add_statements(Outlet& out) const {
        std::map<std::string, DueItem, std::less<>> by_receiver;
        std::set<std::string, std::less<>> resolved_events;
        for (const auto& [id, s] : resolved_)
            if (id.starts_with("due/statement/")) resolved_events.insert(id.substr(id.rfind('/') + 1));
        const auto statements = statements_by_return(book_);
        for (const auto& sent : kept_.returns) {
            if (const auto it = statements.find(sent.row); it != statements.end() && it->second.on <= on_) {
                add_settled(sent, it->second, out);
                continue;
            }
            if (sent.on > on_) continue;
            if (!resolved_events.empty() && resolved_events.contains(sent.event)) {
                std::vector<Clock> one{statement_clock({sent.event, sent.cylinder, sent.to, sent.on})};
                close_resolved(one, resolved_);
                out.take(std::move(one), {});
                continue;
            }
            const auto it = by_receiver.find(sent.to);
            if (it != by_receiver.end()) {
                ++it->second.count;
                continue;
            }
            by_receiver[sent.to] = {statement_clock({sent.event, sent.cylinder, sent.to, sent.on}), {}, 1};
        }
        for (auto& [receiver, item] : by_receiver) {
            if (item.count > 1)
                item.clock.text += fmt::format("; the oldest of {} returns to it without one", item.count);
            out.open(std::move(item));
        }
    }
    // A small book is read sooner than a file about it.
    void keep(std::size_t anew) const {
        constexpr std::int64_t large_book = 20'000;
        constexpr std::size_t worth_it = 100;
        if (file_.empty() || book_.event_count() < large_book) return;
        if (!from_file_ || moved_ > worth_it || anew > worth_it) write_due_cache(book_, kept_, file_);
    }

    const Book& book_;
    Date on_;
    std::filesystem::path file_;
    const EquipmentMovements* movements_;
    LeakLog log_;
    Resolutions resolved_;
    Concern concern_;
    std::map<std::string, Site> sites_;
    DueCache kept_;
    bool from_file_ = false, resolves_put_backs_ = false;
    std::size_t moved_ = 0;
};

}  // namespace

DueRank due_rank(const Clock& c) {
    return {c.due_on.value_or(Date::max()), c.subject, c.what, c.leak, c.opened_on, c.opened_by};
}

DueFooting each_open_clock(const Book& book, Date on, const std::filesystem::path& kept, ClockSink& sink,
                           const EquipmentMovements* movements) {
    return ClockLook(book, on, kept, movements).run(sink);
}

DueList open_clocks(const Book& book, Date on, const std::filesystem::path& kept) {
    DueList out;
    AllClocks all(out);
    static_cast<DueFooting&>(out) = each_open_clock(book, on, kept, all);
    // the same list in the same order, with and without the cache
    for (auto* list : {&out.items, &out.closed})
        std::stable_sort(list->begin(), list->end(),
                         [](const DueItem& a, const DueItem& b) { return due_rank(a.clock) < due_rank(b.clock); });
    keep_each_once(out);
    return out;
}

ApplianceClocks::ApplianceClocks(const Book& book, const LeakRecord& record, Date on) {
    const auto* entry = book.entries().find(EntryKind::appliance, record.appliance);
    if (!entry) return;
    walked_ = appliance_clocks(record.packs, history_of(book, *entry, record), on);
    resolved_ = walked_;
    close_resolved(resolved_, resolved_clocks(book));
}

std::vector<Clock> ApplianceClocks::on(Date day) const {
    auto out = resolved_;
    std::erase_if(out, [&](const Clock& c) { return c.goes_on && !c.open_on(day); });
    return out;
}

std::vector<Clock> clocks_of_appliance(const Book& book, std::string_view code, Date on) {
    if (!book.entries().find(EntryKind::appliance, code)) return {};
    return ApplianceClocks(book, leak_record(book, code, last_day_of_all), on).on(on);
}

RepairTimes::RepairTimes(const ApplianceClocks& clocks) {
    const auto& walked = clocks.walked_;
    for (std::size_t i = 0; i < walked.size(); ++i)
        if (walked[i].what == ClockKind::repair && walked[i].leak.empty() && walked[i].rule)
            repairs_.push_back({walked[i], clocks.resolved_[i]});
}

std::vector<Clock> RepairTimes::of_addition(Date on) const {
    std::vector<Clock> out;
    const RulePack* pack = nullptr;
    for (const auto& [walked, clock] : repairs_) {
        const bool ran = walked.opened_on <= on && (!walked.closed_on || *walked.closed_on >= on);
        const bool same_pack = !out.empty() && pack == walked.rule->pack;
        // a failed test reopens the repair with its first day
        const bool reopened =
            same_pack && (walked.due_on == out.back().due_on || (walked.runs_from && walked.id() == out.back().id()));
        if (same_pack && (ran || reopened))
            out.back() = clock;
        else if (ran)
            out.push_back(clock);
        if (ran) pack = walked.rule->pack;
    }
    return out;
}

std::optional<DueItem> clock_named(const Book& book, std::string_view id, Date on) {
    // due/WHAT/SUBJECT... or due/PACK/WHAT/SUBJECT..., where the subject of an appliance is its first two parts
    std::vector<std::string> parts;
    for (std::string_view rest = id; !rest.empty();) {
        const auto end = std::min(rest.find('/'), rest.size());
        parts.emplace_back(rest.substr(0, end));
        rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    if (parts.size() < 3 || parts[0] != "due") return std::nullopt;
    const bool with_pack = book.rules().find(parts[1]) != nullptr;
    if (with_pack) parts.erase(parts.begin() + 1);
    if (parts[1] == "statement") {
        const auto stored = book.event_named(parts.back());
        const auto sent = stored && !stored->voided_by ? awaiting(book, *stored) : std::nullopt;
        if (!sent) return std::nullopt;
        std::vector<Clock> one{statement_clock(*sent)};
        if (const auto said = book.statement_on(stored->id)) {
            one[0].closed_on = said->event.when.date();
            one[0].closed_by = event_ref(book, *said);
        }
        close_resolved(one, resolved_clocks(book));
        if (one[0].id() != id) return std::nullopt;
        return DueItem{std::move(one[0]), {}};
    }
    if (const auto* cylinder = book.entries().find(EntryKind::cylinder, parts[2])) {
        auto history = history_of_cylinder(book, *cylinder);
        look_for_heel(book, history);
        auto clocks = cylinder_clocks(packs_of_cylinder(book.rules(), *cylinder), history, on);
        close_resolved(clocks, resolved_clocks(book));
        for (auto& clock : clocks)
            if (clock.id() == id)
                return DueItem{std::move(clock), cylinder->text("belongs_to", order_at(Instant::max())).value_or("")};
    }
    if (parts.size() < 4) return std::nullopt;
    const auto appliance = parts[2] + "/" + parts[3];
    std::optional<DueItem> found;  // of several with one id, as it is on that day
    for (auto& clock : clocks_of_appliance(book, appliance, on))
        if ((with_pack ? clock.id() : clock.id_without_pack()) == id && (!found || !found->clock.open_on(on)))
            found = DueItem{std::move(clock), owner_of_site(book, appliance)};
    return found;
}

}  // namespace tarebook::report
