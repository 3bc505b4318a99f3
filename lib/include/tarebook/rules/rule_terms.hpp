// The kinds of rules and what each one says, as types. The program knows these kinds; which country has which numbers
// is data in schema/rules. Adding a kind: a struct here, its name and reader in lib/rules/terms.cpp, a rule in a pack.
#pragma once

#include <chrono>
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "tarebook/event/event.hpp"
#include "tarebook/units/quantity.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook {

/// A span of the calendar: "30 days", "1 month", "3 years".
struct Period {
    /// The unit of `count`.
    enum class Unit { day, month, year };
    int count = 0;
    Unit unit = Unit::day;
    /// For people: "30 days".
    [[nodiscard]] std::string text() const;
    friend bool operator==(const Period&, const Period&) = default;
};
/// The day that is the period after `start`. Months and years keep the day, cut back to the last day of a shorter
/// month.
Date after(Date start, Period period);

/// The class of an appliance, 40 CFR 82.152, by the saturation pressure of its refrigerant at 104 F (40 C).
enum class PressureClass { low, medium, high, very_high };
/// For people and programs: "very-high".
std::string_view text_of(PressureClass pressure_class);

/// A vacuum below a barometer of 29.9 inHg, or an absolute pressure, as the regulation words it.
using PressureLevel = std::variant<GaugePressure, AbsolutePressure>;

namespace terms {

/// How a rate is computed, and which additions are none.
struct LeakRateCalculation {
    int longest_days = 365;  ///< an interval is counted as no longer
    std::vector<Reason> excluded;
};
/// The leak rate above which repairs are asked for.
struct LeakRateThreshold {
    Percent threshold = Percent::whole(0);
    Comparison compare = Comparison::over;
};
/// How long a repair may take, from the day of the addition.
struct RepairDeadline {
    Period within;
    std::optional<Period> within_if_shutdown;
    std::string longer_if;          ///< where the longer time holds, for people
    std::optional<Period> longest;  ///< in one case that asks for more
    std::string longest_if;         ///< where that holds, for people
    /// For people: "; 120 days where a process has to shut down". Empty where no time is longer.
    [[nodiscard]] std::string longer_text() const;
};
/// How long after a repair its first test is due; without a period within the time for the repair.
struct VerificationInitial {
    std::optional<Period> within;
};
/// How long after a repair its second test is due.
struct VerificationFollowUp {
    Period within;
    std::optional<int> not_before_hours;  ///< of operation after the repair
};
/// How often an appliance is inspected for leaks.
struct LeakInspection {
    /// Whether it is asked for at all times, or after an addition over the threshold.
    enum class Begins { always, after_exceedance };
    Period every;
    Begins begins = Begins::always;
    std::optional<int> until_clean_periods;  ///< released after so many in a row at or below the threshold
    bool in_calendar_year = false;           ///< once in each calendar year: due on its last day
    bool lifted_by_detection = false;        ///< not asked for where a system detects leaks all the time
};
/// How long a plan to retrofit or retire may take, from the day that opened it, and its work, from the day of the plan.
struct RetrofitPlan {
    Period plan_within, work_within;
    std::optional<Period> work_within_exempt_substitute;  ///< for a replacement with an exempt refrigerant
    std::optional<Period> work_never_after;               ///< counted from the day on which the plan was due
};
/// A report on appliances that lost so much in a calendar year.
struct ChronicReport {
    Percent of_full_charge = Percent::whole(0);
    Comparison compare = Comparison::at_least;
    std::chrono::month_day due{};  ///< of the next year
};
/// For an appliance that is evacuated and shut down for a time: the clocks that are suspended meanwhile, as text_of
/// says them.
struct Mothballing {
    std::vector<std::string> suspends;
};
/// More time for a repair or for the work of a plan, where one of the grounds is on record.
struct DeadlineExtension {
    /// What the time is for.
    enum class Of { repair, plan_work };
    /// Until when: the day on record; the longer or the longest time that the rule of the repair names.
    enum class Until { day_on_record, longer_time, longest_time };
    Of of = Of::repair;
    std::vector<std::string> grounds;
    Until until = Until::day_on_record;
    std::optional<Period> longest;              ///< no later than so long after the day that the clock is counted from
    std::optional<Period> longest_if_shutdown;  ///< the same where a process has to shut down
};
/// A plan need not be carried out if that was asked in time, and its leaks are repaired in time.
struct PlanRelief {
    Period asked_within, repaired_within;  ///< both from the day of the plan
};
/// The least share of purged gas that has to be destroyed, so that what takes its place is no addition.
struct PurgedRefrigerant {
    Percent destroyed = Percent::whole(100);
    Comparison compare = Comparison::at_least;
};
/// The appliances that a technician's certificate of one type covers. The type "universal" covers what all of them do.
struct TechnicianType {
    std::string type;  ///< I | II | III | universal
    bool small_appliances = false;
    std::vector<PressureClass> classes;  ///< of appliances that are not small
};
/// How much gas may be in the vehicle of a trade without shipping papers, as gross weight: a cylinder, and all
/// together.
struct MaterialsOfTrade {
    Mass each, vehicle;
};
/// Gases that never count as material of trade: poisonous by inhalation.
struct NoMaterialOfTrade {
    std::vector<std::string> gases;
};
/// A report that is asked for each year.
struct AnnualReport {
    std::chrono::month_day due{};  ///< of the next year
};
/// A row of the table of levels that a person must reach before opening.
struct EvacuationLevel {
    PressureClass pressure_class = PressureClass::low;
    std::optional<Date> machine_from, machine_before;  ///< the day the recovery machine was made
    PressureLevel level = GaugePressure::kilopascals(0);
};
/// A level that is enough for a reason.
struct EvacuationException {
    std::string exception;  ///< "non-major", "leaking" ...
    GaugePressure at_most = GaugePressure::kilopascals(0);
};
/// The share of the charge to recover, or a vacuum instead, for appliances that were made, charged and hermetically
/// sealed in a factory, with no more than `up_to`.
struct SmallApplianceRecovery {
    Mass up_to;
    Percent compressor_running = Percent::whole(0), compressor_not_running = Percent::whole(0);
    GaugePressure or_vacuum = GaugePressure::kilopascals(0);
    std::optional<Date> machine_from, machine_before;
};
/// The pressures at 104 F that make a class.
struct PressureClassBounds {
    PressureClass pressure_class = PressureClass::low;
    std::optional<AbsolutePressure> above, up_to;
};
/// How often cylinders of these types are tested. Without `every` they need no test, or have none and are not refilled.
struct Requalification {
    /// Whether a test is asked for, not needed, or not to be had.
    enum class Test { pressure, not_required, not_requalifiable };
    std::vector<std::string> types;  ///< specification types: "4BA"
    Test test = Test::pressure;
    std::optional<Period> every;  ///< taken while the basis of a longer period is not on record
    /// Longer periods by the basis on record: in clean, non-corrosive service; the same after a test by proof pressure
    /// alone; with a star on the mark; for ammonia alone.
    std::optional<Period> clean_service, clean_service_proof, star, ammonia;
    std::vector<std::string> gases;  ///< only of cylinders kept for these; empty: of all
    int test_pressure_thirds = 0;    ///< minimum test pressure in thirds of the service pressure: 6 is twice
};
/// How often equipment is checked for leaks from so much carbon dioxide equivalent on.
struct LeakCheckByCharge {
    std::string gwp_set;
    double t_co2e_from = 0;                ///< tonnes of carbon dioxide equivalent
    std::optional<Mass> unsaturated_from;  ///< HFO and HCFO part, judged apart; the stricter result applies
    Period every, every_with_detection;
};
/// How often equipment is checked for leaks because of its refrigerant.
struct LeakCheckBySubstance {
    Period every;
};
/// Hermetically sealed and labelled equipment below these amounts is not checked; a blend has to keep both limits.
struct LeakCheckExemption {
    std::optional<double> t_co2e_below;  ///< tonnes of carbon dioxide equivalent
    std::optional<Mass> unsaturated_below, any_below;
    std::string only_in;  ///< "residential-building", or empty
};
/// Equipment that needs a system that detects leaks.
struct DetectionSystem {
    std::string gwp_set;
    std::optional<double> t_co2e_from;  ///< tonnes of carbon dioxide equivalent
    std::optional<Mass> unsaturated_from;
    std::optional<Date> installed_from, installed_before;
    std::string what;              ///< which part of the equipment, if not all
    std::optional<Date> by;        ///< the last day to install it
    std::optional<Period> within;  ///< or so long after the installation of the equipment
    Period check_every;
};
/// How often a detection system that is used is audited and calibrated, also one that no rule asks for.
struct DetectionAudit {
    Period every;
};
/// Refrigerants that may be released in the rule's `categories` of equipment.
struct ExemptSubstitute {
    std::vector<std::string> gases;
    bool in_listed_use = false;  ///< only where the register says that the equipment is of a listed use
};
/// How long a kind of record is kept.
struct Retention {
    std::string what;
    Period keep;
    std::string counted_from;  ///< "record", "retirement" ...
};
/// Appliances whose disposal is recorded: those with a charge between the two, in which each limit is outside.
struct DisposalRecord {
    Mass over, below;
};
/// What the technician's record of gas sent to a reclaimer or to destruction shows.
struct ShipmentRecord {
    std::vector<std::string> shows;
};
/// The vacuum to which a used disposable cylinder is emptied before it is thrown away.
struct Heel {
    GaugePressure vacuum = GaugePressure::kilopascals(0);
    std::vector<std::string> needs;  ///< what else, in the words of the pack: "statement"
};
/// The largest share of virgin gas in what is called reclaimed.
struct ReclaimedVirginLimit {
    Percent at_most = Percent::whole(0);
};
/// Systems that are serviced with reclaimed gas alone.
struct ServiceWithReclaimed {
    std::vector<std::string> systems;
};
/// The least condition in which used gas may go into equipment again.
struct ReuseCondition {
    /// Whose equipment the gas came from.
    enum class Owner { same, other };
    Owner owner = Owner::same;
    Condition least = Condition::recovered;
};
/// Gas that may not go into equipment any more, from a potential on; reclaimed and recycled gas may until a day that is
/// included, or without an end.
struct ServiceBan {
    std::string gwp_set;
    double gwp_from = 0;  ///< 100 years, by that set
    std::optional<Date> reclaimed_or_recycled_until;
    bool reclaimed_or_recycled_always = false;
};
/// A named set of global warming potentials.
struct GwpSet {
    std::string set;
    std::map<std::string, double> values;  ///< by designation of a pure substance
};
/// The largest filling for transport where no other figure is on record.
struct TransportFill {
    Percent of_density = Percent::whole(0);
    Temperature density_at = Temperature::celsius(0);
    Temperature not_full_at = Temperature::celsius(0);
};

/// The grounds that an extension may have, separated by |; `relief` is the one of a plan.
inline constexpr std::string_view extension_grounds =
    "process-shutdown|reported-shutdown|parts|technician|other-law|radiological|no-replacement|custom-built|relief";
/// Whether the rules say until when an extension on this ground lasts, so that no day has to be on record.
inline bool names_its_day(std::string_view ground) {
    return ground == "process-shutdown" || ground == "reported-shutdown" || ground == "relief";
}

}  // namespace terms

/// What a rule says: one of the kinds.
using RuleTerms =
    std::variant<terms::LeakRateCalculation, terms::LeakRateThreshold, terms::RepairDeadline,
                 terms::VerificationInitial, terms::VerificationFollowUp, terms::LeakInspection, terms::RetrofitPlan,
                 terms::ChronicReport, terms::AnnualReport, terms::EvacuationLevel, terms::EvacuationException,
                 terms::SmallApplianceRecovery, terms::PressureClassBounds, terms::Requalification,
                 terms::LeakCheckByCharge, terms::LeakCheckBySubstance, terms::LeakCheckExemption,
                 terms::DetectionSystem, terms::Retention, terms::DisposalRecord, terms::ShipmentRecord, terms::Heel,
                 terms::ReclaimedVirginLimit, terms::ServiceWithReclaimed, terms::ReuseCondition, terms::ServiceBan,
                 terms::GwpSet, terms::TransportFill, terms::DetectionAudit, terms::ExemptSubstitute,
                 terms::Mothballing, terms::DeadlineExtension, terms::PlanRelief, terms::PurgedRefrigerant,
                 terms::TechnicianType, terms::MaterialsOfTrade, terms::NoMaterialOfTrade>;

}  // namespace tarebook
