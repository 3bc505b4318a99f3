// Every check, by theme. table.cpp has the name and the severity beside each check; a check fills in the rest of its
// findings.
#pragma once

#include "context.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::checks {

/// A finding without a question; the judge adds the name of the check.
Finding about(std::string subject, std::string text, std::string seen, std::string expected, std::string next);

// weights.cpp: readings that contradict each other, the tare or the book
Findings draw_exceeds_reading(const Context& c);
Findings weight_off_scale(const Context& c);
Findings weight_beyond_cylinder(const Context& c);
Findings digits_swapped(const Context& c);
Findings wrong_way(const Context& c);
Findings below_tare(const Context& c);
Findings tare_looks_high(const Context& c);
Findings overdrawn(const Context& c);
Findings transfer_sides_differ(const Context& c);
Findings gap(const Context& c);
Findings nothing_recovered(const Context& c);
Findings sent_without_weight(const Context& c);

// filling.cpp: what may go into a cylinder
Findings fill_limit(const Context& c);
Findings over_limit(const Context& c);
Findings fill_limit_not_on_record(const Context& c);
Findings service_pressure(const Context& c);
Findings service_pressure_unknown(const Context& c);
Findings flammable_rating(const Context& c);
Findings flammable_rating_not_on_record(const Context& c);
Findings non_refillable(const Context& c);
Findings spec_not_on_record(const Context& c);
Findings out_of_test(const Context& c);
Findings test_date_not_on_record(const Context& c);
Findings tare_not_on_record(const Context& c);

// machine.cpp: what the recovery machine may run on
Findings machine_flammable(const Context& c);
Findings machine_rating_not_on_record(const Context& c);
Findings machine_drier(const Context& c);

// gas.cpp: which gas is mixed with which, whose it is, where it may go
Findings other_refrigerant(const Context& c);
Findings refrigerant_not_on_record(const Context& c);
Findings other_owner(const Context& c);
Findings owner_not_on_record(const Context& c);
Findings mixed_gas(const Context& c);
Findings spoiled_gas(const Context& c);
Findings reclaim_only(const Context& c);
Findings circuit_refrigerant(const Context& c);
Findings two_owners(const Context& c);

// reuse.cpp: in which condition used gas goes back, and how it got that condition
Findings charge_of_used_gas(const Context& c);
Findings reuse_condition(const Context& c);
Findings service_ban(const Context& c);
Findings recycle_incomplete(const Context& c);
Findings condition_by_word(const Context& c);

// statements.cpp: a reclaimer's statement against what was sent
Findings statement_without_return(const Context& c);
Findings statement_differs(const Context& c);
Findings statement_sum(const Context& c);
Findings statement_gas(const Context& c);

// two_books.cpp: contradictions between two books
Findings entered_twice(const Context& c);
Findings two_places(const Context& c);
Findings drawn_before_filled(const Context& c);
Findings not_in_register(const Context& c);
Findings register_differs(const Context& c);
Findings two_branches(const Context& c);

// mixing.cpp: known gas that would become mixed gas
Findings becomes_mixed(const Context& c);
Findings identified_before(const Context& c);

// cylinder_fitness.cpp: whether a cylinder may be used at all
Findings leaking_cylinder(const Context& c);
Findings condemned_cylinder(const Context& c);
Findings cylinder_gone(const Context& c);
Findings weighed_though_gone(const Context& c);

// identified.cpp: what a refrigerant identifier showed against what the book has
Findings identified_otherwise(const Context& c);

// certificate.cpp: what the technician's certificate covers
Findings certificate_type(const Context& c);

// evacuation.cpp: the vacuum of a recovery against what its rule asks for
/// What a rule needs to know about a circuit: its appliance. Empty if the refrigerant is not on record or not known.
std::optional<RuleSubject> subject_of(const Catalogue& catalogue, const Register& reg, std::string_view circuit,
                                      const OrderKey& when);
Findings vacuum_short(const Context& c);
Findings vacuum_not_readable(const Context& c);
Findings evacuation_short(const Context& c);
Findings evacuation_above_usual(const Context& c);

// pressure_test.cpp: what a circuit was tested with, how high, and whether it held
Findings test_gas(const Context& c);
Findings pressure_over_marking(const Context& c);
Findings pressure_fell(const Context& c);

// mothballing.cpp: whether an appliance that was shut down for a time was emptied
Findings mothball_not_evacuated(const Context& c);

// records.cpp: what the record has or lacks
Findings future_time(const Context& c);
Findings clock_went_back(const Context& c);
Findings clock_ahead(const Context& c);
Findings malformed(const Context& c);
Findings full_charge_exceeded(const Context& c);
Findings charge_exceeds_full_charge(const Context& c);
Findings technician_not_on_record(const Context& c);
Findings certificate_not_on_record(const Context& c);
Findings drier_not_on_record(const Context& c);
Findings vacuum_not_on_record(const Context& c);

}  // namespace tarebook::checks
