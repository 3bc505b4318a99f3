// The table of checks. The name and severity of a finding are taken from here, so that no finding has a name that is
// not listed.
#include <array>

#include "all_checks.hpp"

namespace tarebook {

Finding checks::about(std::string subject, std::string text, std::string seen, std::string expected, std::string next) {
    return {.check = {},
            .subject = std::move(subject),
            .text = std::move(text),
            .seen = std::move(seen),
            .expected = std::move(expected),
            .next = std::move(next),
            .question = {},
            .accepted = {}};
}

namespace {

using namespace checks;

struct Row {
    std::string_view name;
    Severity severity;
    Findings (*check)(const Context&);
    std::string_view sentence;
    Danger danger = Danger::none;
};

constexpr Severity note = Severity::note;
constexpr Severity exception = Severity::exception;
constexpr Severity refusal = Severity::refusal;

// Refusals first, then exceptions, then notes: the order in which people read them.
constexpr std::array rows = {
    Row{"draw-exceeds-reading", refusal, draw_exceeds_reading,
        "a cylinder gave more than its own first weight and its tare allow"},
    Row{"fill-limit", refusal, fill_limit, "a cylinder that we fill would hold more than its smallest limit",
        Danger::over},
    Row{"service-pressure", refusal, service_pressure, "the specification mark is too low for the gas", Danger::unfit},
    Row{"flammable-rating", refusal, flammable_rating, "flammable gas goes into a cylinder that is not rated for it",
        Danger::flammable},
    Row{"machine-flammable", refusal, machine_flammable, "flammable gas goes through a machine that is not made for it",
        Danger::flammable},
    Row{"non-refillable", refusal, non_refillable, "gas goes into a cylinder that must not be refilled", Danger::unfit},
    Row{"out-of-test", refusal, out_of_test, "a cylinder is filled after its requalification was due", Danger::unfit},
    Row{"other-refrigerant", refusal, other_refrigerant, "another refrigerant goes into a cylinder", Danger::mixed},
    Row{"becomes-mixed", refusal, becomes_mixed,
        "known gas and gas that is unknown or mixed come together in a cylinder", Danger::mixed},
    Row{"identified-before", refusal, identified_before,
        "gas goes into equipment of which an identifier showed something else than the book has", Danger::mixed},
    Row{"other-owner", refusal, other_owner, "used gas goes into equipment of another owner"},
    Row{"mixed-gas", refusal, mixed_gas, "mixed gas goes into equipment", Danger::mixed},
    Row{"spoiled-gas", refusal, spoiled_gas, "burnt-out or acid gas goes into equipment", Danger::mixed},
    Row{"reclaim-only", refusal, reclaim_only, "gas of two owners that is together goes into equipment"},
    Row{"circuit-refrigerant", refusal, circuit_refrigerant, "equipment gets a refrigerant that is not its own",
        Danger::mixed},
    Row{"leaking-cylinder", refusal, leaking_cylinder, "a leaking cylinder is filled or moved", Danger::unfit},
    Row{"condemned-cylinder", refusal, condemned_cylinder, "a condemned cylinder is filled", Danger::unfit},
    Row{"cylinder-gone", refusal, cylinder_gone, "a cylinder is used that left the shop or is lost"},
    Row{"future-time", refusal, future_time, "the event is more than 15 minutes in the future"},

    Row{"malformed", exception, malformed, "an event of another book does not have the form of its kind"},
    Row{"clock-went-back", exception, clock_went_back,
        "an event was recorded more than 15 minutes before the one before it on its chain"},
    Row{"clock-ahead", exception, clock_ahead,
        "what was received was recorded more than 15 minutes after this device's clock"},
    Row{"over-limit", exception, over_limit, "a weighing shows that a cylinder holds more than its smallest limit",
        Danger::over},
    Row{"gap", exception, gap, "a weight does not meet what the book expects"},
    Row{"weight-off-scale", exception, weight_off_scale, "a weight that the scale, by its division, cannot show"},
    Row{"weight-beyond-cylinder", exception, weight_beyond_cylinder,
        "a weight of more than twice what the cylinder weighs when it is full"},
    Row{"digits-swapped", exception, digits_swapped, "a weight that meets the book once two of its digits are swapped"},
    Row{"wrong-way", exception, wrong_way, "a weight moved the other way than the gas should have"},
    Row{"below-tare", exception, below_tare, "a cylinder weighs less than its tare, beyond tolerance"},
    Row{"overdrawn", exception, overdrawn, "more went out, by net weight, than the book had"},
    Row{"transfer-sides-differ", exception, transfer_sides_differ,
        "what left one cylinder and what came into the other differ"},
    Row{"full-charge-exceeded", exception, full_charge_exceeded, "one recovery is larger than the full charge"},
    Row{"charge-exceeds-full-charge", exception, charge_exceeds_full_charge,
        "more than the full charge went into an appliance at once", Danger::over},
    Row{"charge-of-used-gas", exception, charge_of_used_gas,
        "used gas goes into equipment as a charge, where that is a reuse"},
    Row{"test-gas", exception, test_gas, "a circuit was tested with oxygen or air", Danger::flammable},
    Row{"pressure-over-marking", exception, pressure_over_marking,
        "a circuit was tested at more pressure than its plate marks", Danger::over},
    Row{"pressure-fell", exception, pressure_fell, "a circuit passed a pressure test in which its pressure fell"},
    Row{"two-owners", exception, two_owners, "gas of a second owner goes into a cylinder that holds the first one's"},
    Row{"reuse-condition", exception, reuse_condition,
        "used gas goes into equipment in a worse condition than a rule pack of its site asks for"},
    Row{"service-ban", exception, service_ban,
        "gas of a high potential goes into equipment that a rule pack of its site bars it from"},
    Row{"recycle-incomplete", exception, recycle_incomplete, "used gas was cleaned in part, or a test of it failed"},
    Row{"condition-by-word", exception, condition_by_word,
        "used gas is recorded in a better condition without a proof"},
    Row{"statement-without-return", exception, statement_without_return,
        "a reclaimer's statement names no return that it could settle"},
    Row{"statement-differs", exception, statement_differs,
        "what was sent is not what the reclaimer states, beyond tolerance"},
    Row{"statement-sum", exception, statement_sum, "a reclaimer's statement does not add up"},
    Row{"statement-gas", exception, statement_gas, "a reclaimer found another gas than was sent", Danger::mixed},
    Row{"vacuum-short", exception, vacuum_short,
        "an appliance was opened, converted or disposed of above the vacuum of 40 CFR 82.156"},
    Row{"vacuum-not-readable", exception, vacuum_not_readable,
        "a vacuum that its gauge cannot show, or deeper than the barometer of the place gives"},
    Row{"evacuation-short", exception, evacuation_short,
        "a circuit was evacuated less deep than the register asks of its appliance"},
    Row{"identified-otherwise", exception, identified_otherwise,
        "an identifier shows another gas than the book has, a mixture, or air", Danger::mixed},
    Row{"certificate-type", exception, certificate_type,
        "the technician's certificate is of a type that does not cover the appliance"},
    Row{"mothball-not-evacuated", exception, mothball_not_evacuated,
        "an appliance was mothballed above the pressure of the atmosphere"},
    Row{"entered-twice", exception, entered_twice, "one act of one cylinder stands twice, in one book or in two"},
    Row{"two-places", exception, two_places, "two books have a cylinder at two sites at one time"},
    Row{"drawn-before-filled", exception, drawn_before_filled,
        "one book draws from a cylinder what another only fills in later"},
    Row{"not-in-register", exception, not_in_register, "a cylinder that is in no register moves"},
    Row{"register-differs", exception, register_differs, "two books registered one thing in different words"},
    Row{"two-branches", exception, two_branches, "a book was copied, and both copies went on"},
    Row{"weighed-though-gone", exception, weighed_though_gone, "a cylinder is weighed that left the shop or is lost"},

    Row{"tare-looks-high", note, tare_looks_high, "a cylinder weighs a little less than its tare"},
    Row{"nothing-recovered", note, nothing_recovered, "a recovery moved nothing: the attempt is on record"},
    Row{"sent-without-weight", note, sent_without_weight, "a cylinder left without a weight"},
    Row{"fill-limit-not-on-record", note, fill_limit_not_on_record, "no fill limit is known for what was filled"},
    Row{"service-pressure-unknown", note, service_pressure_unknown, "the mark and the gas could not be compared"},
    Row{"flammable-rating-not-on-record", note, flammable_rating_not_on_record,
        "flammable gas, and no rating on record"},
    Row{"machine-rating-not-on-record", note, machine_rating_not_on_record,
        "flammable gas goes through a machine of which the register does not say whether it is made for it"},
    Row{"machine-drier", note, machine_drier,
        "a machine pumps another gas than that which its filter-drier was changed for"},
    Row{"evacuation-above-usual", note, evacuation_above_usual, "a circuit was evacuated to more than 500 micron"},
    Row{"spec-not-on-record", note, spec_not_on_record, "no specification mark on record for what was filled"},
    Row{"test-date-not-on-record", note, test_date_not_on_record, "no test date on record for what was filled"},
    Row{"tare-not-on-record", note, tare_not_on_record, "no tare on record for what was filled"},
    Row{"refrigerant-not-on-record", note, refrigerant_not_on_record, "which gas went in is not on record"},
    Row{"owner-not-on-record", note, owner_not_on_record, "used gas, and an owner is not on record"},
    Row{"technician-not-on-record", note, technician_not_on_record, "who did the work is not on record"},
    Row{"certificate-not-on-record", note, certificate_not_on_record, "the technician's certificate is not on record"},
    Row{"drier-not-on-record", note, drier_not_on_record, "a recovery that does not say whether the drier was new"},
    Row{"vacuum-not-on-record", note, vacuum_not_on_record, "a recovery that does not say which vacuum was reached"},
};

constexpr auto infos = [] {
    std::array<CheckInfo, rows.size()> out{};
    for (std::size_t i = 0; i < rows.size(); ++i) out[i] = {rows[i].name, rows[i].sentence, rows[i].danger};
    return out;
}();

}  // namespace

std::span<const CheckInfo> all_checks() {
    return infos;
}

Danger danger_of(std::string_view check) {
    for (const auto& info : infos)
        if (info.name == check) return info.danger;
    return Danger::none;
}

std::vector<Finding> checks::run_all(const Context& context, Notes notes) {
    std::vector<Finding> all;
    for (const auto& row : rows) {
        if (row.severity == Severity::note && notes == Notes::left_out) continue;
        for (auto& found : row.check(context)) {
            found.check = row.name;
            found.severity = row.severity;
            all.push_back(std::move(found));
        }
    }
    return all;
}

}  // namespace tarebook
