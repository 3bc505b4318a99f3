// Clocks: what a rule wants done until when, opened by an event and closed by one. Pure functions over the history of
// one appliance or cylinder and the rules by date; no book, no wall clock. A clock is a span of days: it is open on a
// day if it was opened by then and not closed until then, so that the same list answers for any day.
//
//     for (const auto& clock : appliance_clocks(packs, history, today))
//         if (clock.open_on(today)) ...                        // due_on, clause, status, what opened it
//
// They inform: that no clock is open says only that nothing on record speaks of one. Own readings, where the text that
// was read leaves a gap:
//   - an addition over the threshold while the time for a repair runs opens no second one: the earlier day stands;
//   - a repair counts as made when each leak on record is repaired, and as proved when each has passed its follow-up
//     test;
//   - a failed test reopens the repair with its first day, and opens the time for a plan; so does a day that has
//     passed: where nothing was done about its leaks the time runs from the addition, else from the day that passed;
//   - a plan that is on record by the last day of the repair stands in the repair's place;
//   - a repair passed its tests, and the very next addition is over the threshold again: the owner owes a plan as
//     well;
//   - what is asked for once in a calendar year is due on its last day;
//   - an inspection that is due stays due until one is on record; the next is due only before the release, which comes
//     when as many periods as the rule names have passed since the last addition over the threshold;
//   - a later addition over the threshold puts the release off: the periods are counted from it;
//   - a detection system that stands for inspections is audited each year, counted from the last audit on record, else
//     from the day on which the system came on record;
//   - a detection system that a rule asks for is due on the day of the rule, else so long after the installation, else
//     on the day on which the appliance came on record; where no day of installation is on record, the rule for
//     equipment that stood before its day is taken;
//   - a yearly report is asked for from 1 January on, for an appliance that was on record before, once a year;
//   - eighteen months in the place of one year are for retiring alone, where the plan names a replacement whose
//     refrigerant is exempt; they are counted from the day of the plan, and the end that is counted from the day on
//     which the plan was due does not cut them;
//   - where a follow-up test has to wait for hours of operation, one on the day of the repair is not that test;
//   - a periodic check is counted from the last one on record, else from the day the appliance came on record;
//   - gas that a job took out for a repair opens a clock after 30 days, until it is put back; no rule asks for that,
//     it is there so that the shop does not lose the gas;
//   - mothballing suspends what a rule of the pack names: such a clock has no last day meanwhile, and its time is
//     longer by the days that it was suspended, from the day of the mothballing up to the day of its end; what was
//     late before stays late. What opens meanwhile has its whole time from the end on;
//   - mothballing ends with the first gas that goes in, or when a person says so;
//   - what is asked for once in a calendar year and was suspended is due on the last day of the year in which that
//     ended, if its own year is over by then; the release is put off by the days of the suspension;
//   - more time for a repair counts if it is on record by the repair's last day, and moves its first tests too; it
//     never shortens one, and says that something is done about its leaks. Where a rule names a time, that is counted
//     from the day the repair is counted from;
//   - where a shutdown of the process was named before, a rule's longer limit for that case is taken;
//   - a relief from a plan asked in time gives its work the time that the rule names for repairs, from the day of the
//     plan;
//   - a conversion to another refrigerant, or a recovery for disposal, ends what was open on an appliance.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/rules/leak_rate.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook {

/// An event on record that bears on the leaks of an appliance.
struct LeakEvent {
    /// What happened.
    enum class Kind {
        found,
        inspected,
        audited,
        repaired,
        tested,
        planned,
        mothballed,
        in_use,  ///< mothballing ended, or gas went in
        extended,
        converted,
        disposed
    };
    Kind kind = Kind::found;
    Date on{};
    std::string source;      ///< the event: "E12"
    std::string leak;        ///< found, repaired, tested: "L-3"
    bool follow_up = false;  ///< tested: the second of the two tests
    bool good = false;       ///< inspected: no leak; audited, tested: passed
    std::optional<Date> by;  ///< planned: the day by which it shall be done; extended: until when
    bool retires = false;    ///< planned: to retire it, not to retrofit it
    /// Planned: the refrigerant that it gets, or that its replacement has; null if none is named.
    const Refrigerant* to = nullptr;
    std::string text;    ///< for people: the place, what was done
    std::string of;      ///< extended: repair, plan-work
    std::string ground;  ///< extended: process-shutdown ...
    OrderKey order{};    ///< its place among the events of one day; zero if not known
};

/// What is wanted.
enum class ClockKind {
    repair,
    initial_test,
    follow_up_test,
    inspection,
    leak_check,
    plan,
    plan_work,
    chronic_report,
    requalification,
    heel,
    statement,
    put_back,
    detection_audit,
    detection_system,
    annual_report,
};
/// The word of the record: "follow-up-test".
std::string_view text_of(ClockKind kind);

/// A span of days in which something is wanted.
struct Clock {
    ClockKind what = ClockKind::repair;
    std::string subject;    ///< appliance or cylinder
    std::string leak;       ///< "L-3" for a clock of one leak
    std::string opened_by;  ///< the event; empty where the register opened it
    Date opened_on{};
    std::optional<Date> due_on;  ///< the last day; nothing if no day is known, the rule names none, or it is suspended
    std::string closed_by;
    std::optional<Date> closed_on;
    std::string text;  ///< what is wanted, for people
    std::optional<RuleMatch> rule;
    std::optional<RuleMatch> also;  ///< what suspended it or gave it more time
    /// A clock that was suspended, went on or was given more time is several here, one after the other, with one id:
    /// each but the first runs from a later day, and each but the last goes on as another.
    std::optional<Date> runs_from;
    bool goes_on = false;

    /// Whether it runs on that day.
    [[nodiscard]] bool open_on(Date day) const {
        return runs_from.value_or(opened_on) <= day && (!closed_on || *closed_on > day);
    }
    /// Whether its last day is before that day, open or not.
    [[nodiscard]] bool late_on(Date day) const { return due_on && *due_on < day; }
    /// "due/us-82f/repair/OAK/RACK-B/E12": the same clock has the same id at each look. The pack is named where each
    /// pack counts apart, which is so for appliances.
    [[nodiscard]] std::string id() const;
    /// The id without the pack: resolves in older books name it.
    [[nodiscard]] std::string id_without_pack() const;
};

/// The subject that an appliance is for rules, from a day on.
struct SubjectFrom {
    Date from{};
    RuleSubject subject;
};
/// The last one that began by then; the first one also holds before. An empty subject where there is none.
RuleSubject subject_on(const std::vector<SubjectFrom>& subjects, Date on);

/// An appliance with all that its clocks rest on.
struct ApplianceHistory {
    std::string appliance;
    DisplayUnits units = DisplayUnits::lb;  ///< of the texts of its clocks
    std::vector<SubjectFrom> subjects;      ///< by day
    Date on_record_since{};
    std::vector<LeakAddition> additions;  ///< by day
    std::vector<FullChargeRevision> full_charge;
    LeakRateOptions options;
    std::vector<LeakEvent> events;    ///< by day
    std::vector<TakenOut> taken_out;  ///< by day
    bool detection_system = false;
    std::optional<Date> installed;  ///< nothing if not on record
    Date detection_since{};         ///< the day on which the system came on record
    bool hermetic_and_labelled = false;
    bool residential = false;
};

/// All clocks that were ever opened, also closed ones, pack by pack. `on`: the rules of that day decide about periodic
/// checks.
std::vector<Clock> appliance_clocks(RulePacks packs, const ApplianceHistory& history, Date on);

/// The day on which the shop is asked for what was taken out, unless it is back by then.
Date put_back_opens_on(const TakenOut& one);
/// Whether it was out for so long.
bool opens_put_back(const TakenOut& one);
/// The clock of it. It is among appliance_clocks.
Clock put_back_clock(std::string_view appliance, const TakenOut& one, DisplayUnits units);

/// Adds to `out` the rules that can open a clock on such an appliance on that day.
void add_rules_of_clocks(RulePacks packs, const RuleSubject& subject, Date on, SpokenRules& out);

/// The days of follow-up tests after which each leak known by then had passed its own: a rolling window begins there.
std::vector<Date> all_repaired_days(const std::vector<LeakEvent>& events);

/// A cylinder with all that its clocks rest on.
struct CylinderHistory {
    std::string cylinder, spec, basis;  ///< basis: of a longer period between tests, as on record
    std::optional<std::chrono::year_month> tested;
    std::string kept_for;   ///< designation of a gas, as on record
    std::string tested_by;  ///< the event that says so, where one does
    bool in_service = true;
    bool empty_with_heel = false;  ///< used, empty, and not drawn down since
    std::string emptied_by;
    Date emptied_on{};
    DisplayUnits units = DisplayUnits::lb;  ///< of the texts of its clocks
};
/// Its requalification, and its heel if it is a disposable one; none for a cylinder out of service or without a
/// specification on record. Rules are those of the day `on`.
std::vector<Clock> cylinder_clocks(RulePacks packs, const CylinderHistory& cylinder, Date on);

/// A return whose statement is not on record.
struct ReturnAwaiting {
    std::string event, cylinder, to;
    Date on{};
};
/// A clock without a last day: the shop awaits the statement, and no rule asks for it.
Clock statement_clock(const ReturnAwaiting& sent);

}  // namespace tarebook
