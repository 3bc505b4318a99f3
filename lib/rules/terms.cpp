// The kinds of rules by name, and how the terms of each are read from its keys. A key that a kind does not name here is
// refused when the pack is read.
#include <algorithm>
#include <array>
#include <functional>
#include <initializer_list>

#include "fields.hpp"

namespace tarebook {

std::string_view text_of(PressureClass pressure_class) {
    static constexpr std::array<std::string_view, 4> words = {"low", "medium", "high", "very-high"};
    return words[static_cast<std::size_t>(pressure_class)];
}

namespace rules {
namespace {

using namespace terms;

std::vector<Reason> reasons(Fields& f, std::string_view key) {
    std::vector<Reason> out;
    for (const auto& word : f.list(key)) {
        const auto reason = reason_from(word);
        if (!reason) f.bad(key, fmt::format("\"{}\" is not a reason", word));
        out.push_back(*reason);
    }
    return out;
}
Comparison comparison(Fields& f) {
    return f.word("compare", {">", ">="}) == 0 ? Comparison::over : Comparison::at_least;
}
PressureClass pressure_class(Fields& f) {
    return static_cast<PressureClass>(f.word("pressure_class", {"low", "medium", "high", "very-high"}));
}
std::optional<Date> optional_date(Fields& f, std::string_view key) {
    return f.optional(key, [&] { return f.date(key); });
}
std::optional<Mass> optional_mass(Fields& f, std::string_view key) {
    return f.optional(key, [&] { return f.mass(key); });
}
std::optional<double> optional_number(Fields& f, std::string_view key) {
    return f.optional(key, [&] { return f.number(key); });
}
std::optional<Period> optional_period(Fields& f, std::string_view key) {
    return f.optional(key, [&] { return f.period(key); });
}
std::optional<int> optional_integer(Fields& f, std::string_view key) {
    return f.optional(key, [&] { return f.integer(key); });
}

Requalification requalification(Fields& f) {
    Requalification out;
    out.types = f.list("types");
    out.test = static_cast<Requalification::Test>(f.word("test", {"pressure", "not-required", "not-requalifiable"}));
    out.every = optional_period(f, "every");
    if (out.every.has_value() != (out.test == Requalification::Test::pressure))
        f.bad("every", "a period goes with a pressure test, and only with that");
    out.clean_service = optional_period(f, "clean_service");
    out.clean_service_proof = optional_period(f, "clean_service_proof");
    out.star = optional_period(f, "star");
    out.ammonia = optional_period(f, "ammonia");
    if (f.has("gases")) out.gases = f.list("gases");
    if (f.has("test_pressure")) out.test_pressure_thirds = f.word("test_pressure", {"5/3", "2"}) == 0 ? 5 : 6;
    return out;
}

GwpSet gwp_set(Fields& f) {
    GwpSet out{f.text("set"), {}};
    for (const auto& [designation, value] : f.map("values")) {
        const auto* gas = f.catalogue().find(designation);
        if (gas && gas->blend()) f.bad("values", fmt::format("{} is a blend: its value is a sum", designation));
        out.values[gas ? std::string(gas->designation) : designation] = f.to_number("values", value);
    }
    return out;
}

std::vector<std::string> designations(Fields& f, std::string_view key) {
    std::vector<std::string> out;
    for (const auto& name : f.list(key)) {
        const auto* gas = f.catalogue().find(name);
        out.emplace_back(gas ? gas->designation : std::string_view(name));
    }
    return out;
}
ExemptSubstitute exempt_substitute(Fields& f) {
    ExemptSubstitute out{designations(f, "gases"), false};
    out.in_listed_use = f.has("in_listed_use") && f.word("in_listed_use", {"yes"}) == 0;
    return out;
}

bool among(std::string_view word, std::initializer_list<std::string_view> words) {
    return std::find(words.begin(), words.end(), word) != words.end();
}
Mothballing mothballing(Fields& f) {
    Mothballing out{f.list("suspends")};
    for (const auto& word : out.suspends)
        if (!among(word, {"repair", "initial-test", "follow-up-test", "inspection", "plan", "plan-work"}))
            f.bad("suspends", fmt::format("\"{}\" is not a clock that can be suspended", word));
    return out;
}
DeadlineExtension deadline_extension(Fields& f) {
    DeadlineExtension out;
    out.of = static_cast<DeadlineExtension::Of>(f.word("of", {"repair", "plan-work"}));
    out.grounds = f.list("grounds");
    for (const auto& word : out.grounds)
        if (fmt::format("|{}|", extension_grounds).find(fmt::format("|{}|", word)) == std::string::npos)
            f.bad("grounds", fmt::format("\"{}\" is not a ground of an extension", word));
    out.until =
        static_cast<DeadlineExtension::Until>(f.word("until", {"day-on-record", "longer-time", "longest-time"}));
    out.longest = optional_period(f, "longest");
    out.longest_if_shutdown = optional_period(f, "longest_if_shutdown");
    return out;
}
TechnicianType technician_type(Fields& f) {
    TechnicianType out;
    const std::vector<std::string_view> types = {"I", "II", "III"};
    out.type = std::string(types[f.word("type", types)]);
    out.small_appliances = f.has("small_appliances") && f.word("small_appliances", {"yes"}) == 0;
    if (f.has("pressure_classes"))
        for (const auto& word : f.list("pressure_classes"))
            out.classes.push_back(static_cast<PressureClass>(
                f.word_in("pressure_classes", word, {"low", "medium", "high", "very-high"})));
    return out;
}

// One line for each kind.
struct Kind {
    std::string_view name;
    std::function<RuleTerms(Fields&)> read;
};
const std::vector<Kind>& kinds() {
    static const std::vector<Kind> all = {
        {"leak-rate-calculation",
         [](Fields& f) {
             return LeakRateCalculation{f.integer("longest_days"), reasons(f, "excluded")};
         }},
        {"leak-rate-threshold",
         [](Fields& f) {
             return LeakRateThreshold{f.percent("threshold"), comparison(f)};
         }},
        {"repair-deadline",
         [](Fields& f) {
             RepairDeadline out{f.period("within"), optional_period(f, "within_if_shutdown"),
                                f.text_or_empty("longer_if"), optional_period(f, "longest"),
                                f.text_or_empty("longest_if")};
             if (out.longer_if.empty()) out.longer_if = "a process has to shut down";
             if (out.longest.has_value() == out.longest_if.empty())
                 f.bad("longest", "goes with longest_if, and only with that");
             return out;
         }},
        {"verification-initial", [](Fields& f) { return VerificationInitial{optional_period(f, "within")}; }},
        {"verification-follow-up",
         [](Fields& f) {
             return VerificationFollowUp{f.period("within"), optional_integer(f, "not_before_hours")};
         }},
        {"leak-inspection",
         [](Fields& f) {
             return LeakInspection{
                 f.period("every"),
                 static_cast<LeakInspection::Begins>(f.word("begins", {"always", "after-exceedance"})),
                 optional_integer(f, "until_clean_periods"),
                 f.has("counted") && f.word("counted", {"by-calendar-year"}) == 0,
                 f.has("instead") && f.word("instead", {"detection-system"}) == 0};
         }},
        {"retrofit-plan",
         [](Fields& f) {
             return RetrofitPlan{f.period("plan_within"), f.period("work_within"),
                                 optional_period(f, "work_within_exempt_substitute"),
                                 optional_period(f, "work_never_after")};
         }},
        {"chronic-report",
         [](Fields& f) {
             return ChronicReport{f.percent("of_full_charge"), comparison(f), f.month_day("due")};
         }},
        {"annual-report", [](Fields& f) { return AnnualReport{f.month_day("due")}; }},
        {"evacuation-level",
         [](Fields& f) {
             return EvacuationLevel{pressure_class(f), optional_date(f, "machine_from"),
                                    optional_date(f, "machine_before"), f.level("level")};
         }},
        {"evacuation-exception",
         [](Fields& f) {
             return EvacuationException{f.text("exception"), f.gauge("at_most")};
         }},
        {"small-appliance-recovery",
         [](Fields& f) {
             return SmallApplianceRecovery{
                 f.mass("up_to"),      f.percent("compressor_running"),  f.percent("compressor_not_running"),
                 f.gauge("or_vacuum"), optional_date(f, "machine_from"), optional_date(f, "machine_before")};
         }},
        {"pressure-class",
         [](Fields& f) {
             return PressureClassBounds{pressure_class(f), f.optional("above", [&] { return f.absolute("above"); }),
                                        f.optional("up_to", [&] { return f.absolute("up_to"); })};
         }},
        {"requalification", requalification},
        {"leak-check-by-charge",
         [](Fields& f) {
             return LeakCheckByCharge{f.text("gwp_set"), f.number("t_co2e_from"), optional_mass(f, "unsaturated_from"),
                                      f.period("every"), f.period("every_with_detection")};
         }},
        {"leak-check-by-mass", [](Fields& f) { return LeakCheckBySubstance{f.period("every")}; }},
        {"leak-check-exemption",
         [](Fields& f) {
             return LeakCheckExemption{optional_number(f, "t_co2e_below"), optional_mass(f, "unsaturated_below"),
                                       optional_mass(f, "any_below"), f.text_or_empty("only_in")};
         }},
        {"detection-system",
         [](Fields& f) {
             return DetectionSystem{f.text_or_empty("gwp_set"),
                                    optional_number(f, "t_co2e_from"),
                                    optional_mass(f, "unsaturated_from"),
                                    optional_date(f, "installed_from"),
                                    optional_date(f, "installed_before"),
                                    f.text_or_empty("what"),
                                    optional_date(f, "by"),
                                    optional_period(f, "within"),
                                    f.period("check_every")};
         }},
        {"retention",
         [](Fields& f) {
             return Retention{f.text("what"), f.period("keep"), f.text("counted_from")};
         }},
        {"disposal-record",
         [](Fields& f) {
             return DisposalRecord{f.mass("over"), f.mass("below")};
         }},
        {"shipment-record", [](Fields& f) { return ShipmentRecord{f.list("shows")}; }},
        {"heel",
         [](Fields& f) {
             return Heel{f.gauge("vacuum"), f.list("needs")};
         }},
        {"reclaimed-virgin-limit", [](Fields& f) { return ReclaimedVirginLimit{f.percent("at_most")}; }},
        {"service-with-reclaimed", [](Fields& f) { return ServiceWithReclaimed{f.list("systems")}; }},
        {"reuse-condition",
         [](Fields& f) {
             const auto owner = static_cast<ReuseCondition::Owner>(f.word("owner", {"same", "other"}));
             const auto least = condition_from(f.text("least"));
             if (!least) f.bad("least", "expected virgin, reclaimed, recycled or recovered");
             return ReuseCondition{owner, *least};
         }},
        {"service-ban",
         [](Fields& f) {
             return ServiceBan{f.text("gwp_set"), f.number("gwp_from"), optional_date(f, "reclaimed_or_recycled_until"),
                               f.has("reclaimed_or_recycled") && f.word("reclaimed_or_recycled", {"always"}) == 0};
         }},
        {"gwp-set", gwp_set},
        {"transport-fill",
         [](Fields& f) {
             return TransportFill{f.percent("of_density"), f.temperature("density_at"), f.temperature("not_full_at")};
         }},
        {"detection-audit", [](Fields& f) { return DetectionAudit{f.period("every")}; }},
        {"exempt-substitute", exempt_substitute},
        {"mothballing", mothballing},
        {"deadline-extension", deadline_extension},
        {"plan-relief",
         [](Fields& f) {
             return PlanRelief{f.period("asked_within"), f.period("repaired_within")};
         }},
        {"purged-refrigerant",
         [](Fields& f) {
             return PurgedRefrigerant{f.percent("destroyed"), comparison(f)};
         }},
        {"technician-type", technician_type},
        {"materials-of-trade",
         [](Fields& f) {
             return MaterialsOfTrade{f.mass("each"), f.mass("vehicle")};
         }},
        {"no-material-of-trade", [](Fields& f) { return NoMaterialOfTrade{designations(f, "gases")}; }},
    };
    return all;
}

}  // namespace

RuleTerms read_terms(std::string_view kind, Fields& fields) {
    for (const auto& k : kinds())
        if (k.name == kind) return k.read(fields);
    fields.bad("kind", fmt::format("\"{}\" is not a kind of rule", kind));
}

}  // namespace rules
}  // namespace tarebook
