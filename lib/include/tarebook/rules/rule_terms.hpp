// What each kind of rule says, as types. The program knows these kinds; which country has which numbers is data in
// schema/rules. Adding a kind: a struct here, its name and reader in lib/rules/terms.cpp, a rule in a pack.
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
    enum class Unit { day, month, year };
    int count = 0;
    Unit unit = Unit::day;
    [[nodiscard]] std::string text() const;
    friend bool operator==(const Period&, const Period&) = default;
};
/// Months and years keep the day, cut back to the last day of a shorter month.
Date after(Date start, Period period);

/// Of an appliance, 40 CFR 82.152, by the saturation pressure of its refrigerant at 104 F (40 C).
enum class PressureClass { low, medium, high, very_high };
std::string_view text_of(PressureClass pressure_class);

/// A vacuum below a barometer of 29.9 inHg, or an absolute pressure, as the regulation words it.
using PressureLevel = std::variant<GaugePressure, AbsolutePressure>;

namespace terms {

/// How a rate is computed, and which additions are none.
struct LeakRateCalculation {
    int longest_days = 365;
    std::vector<Reason> excluded;
};
struct LeakRateThreshold {
    Percent threshold = Percent::whole(0);
    Comparison compare = Comparison::over;
};
struct RepairDeadline {
    Period within;
    std::optional<Period> within_if_shutdown;
    std::string longer_if;          ///< where the longer time holds, for people
    std::optional<Period> longest;  ///< in one case that asks for more
    std::string longest_if;
    /// "; 120 days where a process has to shut down"; empty where no time is longer
    [[nodiscard]] std::string longer_text() const;
};
/// Without a period of its own it has to lie inside the time for the repair.
struct VerificationInitial {
    std::optional<Period> within;
};
struct VerificationFollowUp {
    Period within;
    std::optional<int> not_before_hours;
};
struct LeakInspection {
    enum class Begins { always, after_exceedance };
    Period every;
    Begins begins = Begins::always;
    std::optional<int> until_clean_periods;  ///< released after so many in a row at or below the threshold
    bool in_calendar_year = false;           ///< once in each calendar year: due on its last day
    bool lifted_by_detection = false;        ///< not asked for where a system detects leaks all the time
};
struct RetrofitPlan {
    Period plan_within, work_within;
    std::optional<Period> work_within_exempt_substitute;
    std::optional<Period> work_never_after;  ///< counted from the day on which the plan was due
};
struct ChronicReport {
    Percent of_full_charge = Percent::whole(0);
    Comparison compare = Comparison::at_least;
    std::chrono::month_day due{};  ///< of the next year
};
/// An appliance that is evacuated and shut down for a time: the clocks that stand still meanwhile, by their words.
struct Mothballing {
    std::vector<std::string> suspends;
};
/// More time for a repair or for the work of a plan, where one of the grounds is on record.
struct DeadlineExtension {
    enum class Of { repair, plan_work };
    /// Until when: the day on record; the longer or the longest time that the rule of the repair names.
    enum class Until { day_on_record, longer_time, longest_time };
    Of of = Of::repair;
    std::vector<std::string> grounds;
    Until until = Until::day_on_record;
    std::optional<Period> longest;              ///< no later than so long after the day that the clock is counted from
    std::optional<Period> longest_if_shutdown;  ///< the same where a process has to shut down
};
/// A plan need not be carried out where it was asked in time, and its leaks are repaired in time.
struct PlanRelief {
    Period asked_within, repaired_within;  ///< both from the day of the plan
};
/// What takes the place of purged gas is no addition where so much of that was destroyed.
struct PurgedRefrigerant {
    Percent destroyed = Percent::whole(100);
    Comparison compare = Comparison::at_least;
};
/// What a technician's certificate of one type covers. The type "universal" covers what all of them do.
struct TechnicianType {
    std::string type;
    bool small_appliances = false;
    std::vector<PressureClass> classes;  ///< of appliances that are not small
};
/// What may ride in the vehicle of a trade without shipping papers, gross.
struct MaterialsOfTrade {
    Mass each, vehicle;
};
/// Gases that are none: poisonous by inhalation.
struct NoMaterialOfTrade {
    std::vector<std::string> gases;
};
struct AnnualReport {
    std::chrono::month_day due{};  ///< of the next year
};
/// A row of the table of levels that a person must reach before opening.
struct EvacuationLevel {
    PressureClass pressure_class = PressureClass::low;
    std::optional<Date> machine_from, machine_before;  ///< the day the recovery machine was made
    PressureLevel level = GaugePressure::kilopascals(0);
};
struct EvacuationException {
    std::string exception;  ///< "non-major", "leaking" ...
    GaugePressure at_most = GaugePressure::kilopascals(0);
};
/// For appliances that were made, charged and hermetically sealed in a factory, with no more than `up_to`.
struct SmallApplianceRecovery {
    Mass up_to;
    Percent compressor_running = Percent::whole(0), compressor_not_running = Percent::whole(0);
    GaugePressure or_vacuum = GaugePressure::kilopascals(0);
    std::optional<Date> machine_from, machine_before;
};
struct PressureClassBounds {
    PressureClass pressure_class = PressureClass::low;
    std::optional<AbsolutePressure> above, up_to;
};
/// Cylinders: `every` absent means that the type has no requalification and is not refilled, or needs no test.
struct Requalification {
    enum class Test { pressure, not_required, not_requalifiable };
    std::vector<std::string> types;  ///< specification types: "4BA"
    Test test = Test::pressure;
    std::optional<Period> every;  ///< what to take while the basis of a longer period is not on record
    /// The longer ones, by the basis on record: in clean, non-corrosive service, the same after a test by proof
    /// pressure alone, with a star on the mark, for ammonia alone.
    std::optional<Period> clean_service, clean_service_proof, star, ammonia;
    std::vector<std::string> gases;  ///< only of cylinders kept for these; empty: of all
    int test_pressure_thirds = 0;    ///< minimum test pressure in thirds of the service pressure: 6 is twice
};
struct LeakCheckByCharge {
    std::string gwp_set;
    double t_co2e_from = 0;
    std::optional<Mass> unsaturated_from;  ///< HFO and HCFO part, judged apart; the stricter result applies
    Period every, every_with_detection;
};
struct LeakCheckBySubstance {
    Period every;
};
/// Hermetically sealed and labelled equipment below these amounts.
struct LeakCheckExemption {
    std::optional<double> t_co2e_below;
    std::optional<Mass> unsaturated_below, any_below;
    std::string only_in;  ///< "residential-building", or empty
};
struct DetectionSystem {
    std::string gwp_set;
    std::optional<double> t_co2e_from;
    std::optional<Mass> unsaturated_from;
    std::optional<Date> installed_from, installed_before;
    std::string what;              ///< of the equipment, where not all of it
    std::optional<Date> by;        ///< until when it is there
    std::optional<Period> within;  ///< or so long after the installation
    Period check_every;
};
/// The audit and calibration of a detection system that is used, whether or not a rule asks for the system.
struct DetectionAudit {
    Period every;
};
/// Refrigerants whose release no rule forbids, as substitutes; `categories` of the rule says in which equipment.
struct ExemptSubstitute {
    std::vector<std::string> gases;
    bool in_listed_use = false;  ///< only where the register says that the equipment is of a listed use
};
struct Retention {
    std::string what;
    Period keep;
    std::string counted_from;  ///< "record", "retirement" ...
};
struct DisposalRecord {
    Mass over, below;
};
/// What the technician has on record about gas that goes to a reclaimer or to be destroyed.
struct ShipmentRecord {
    std::vector<std::string> shows;
};
/// What is left in a used disposable cylinder.
struct Heel {
    GaugePressure vacuum = GaugePressure::kilopascals(0);
    std::vector<std::string> needs;
};
struct ReclaimedVirginLimit {
    Percent at_most = Percent::whole(0);
};
struct ServiceWithReclaimed {
    std::vector<std::string> systems;
};
/// The least condition in which used gas may go into equipment again.
struct ReuseCondition {
    enum class Owner { same, other };
    Owner owner = Owner::same;
    Condition least = Condition::recovered;
};
/// What may not go into equipment any more; reclaimed and recycled gas until a day that is included, or without an end.
struct ServiceBan {
    std::string gwp_set;
    double gwp_from = 0;
    std::optional<Date> reclaimed_or_recycled_until;
    bool reclaimed_or_recycled_always = false;
};
struct GwpSet {
    std::string set;
    std::map<std::string, double> values;  ///< by designation of a pure substance
};
/// Fill for transport where no other figure is on record.
struct TransportFill {
    Percent of_density = Percent::whole(0);
    Temperature density_at = Temperature::celsius(0);
    Temperature not_full_at = Temperature::celsius(0);
};

/// The grounds that an extension may have; `relief` is that of a plan.
inline constexpr std::string_view extension_grounds =
    "process-shutdown|reported-shutdown|parts|technician|other-law|radiological|no-replacement|custom-built|relief";
/// Whether the rules say until when, so that no day has to be on record.
inline bool names_its_day(std::string_view ground) {
    return ground == "process-shutdown" || ground == "reported-shutdown" || ground == "relief";
}

}  // namespace terms

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
