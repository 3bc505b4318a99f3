// The vacuum that a recovery has to reach before its appliance is opened, as the register has it: the rule of
// tarebook/rules/evacuation.hpp asked for a circuit of the book.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/rules/evacuation.hpp"
#include "tarebook/rules/reference_data.hpp"

namespace tarebook {

/// What a circuit was evacuated to, and where it stood after holding.
struct VacuumHeld {
    AbsolutePressure reached, after;
};
/// Nothing without a vacuum on record. A `rise` that is less than what was reached is by how much it rose, any other
/// the pressure after holding: people write both. A rise of a gauge (0psig, 29inHg) is the pressure after holding.
/// Without a rise both are what was reached.
/// `barometer`: where a gauge hung.
std::optional<VacuumHeld> vacuum_held(const kinds::Evacuate& evacuated,
                                      AbsolutePressure barometer = standard_atmosphere());

/// The vacuum by the packs of the circuit's site, what the register says of its appliance and the day the machine was
/// made. Nothing where no rule covers the gas on that day, or where the refrigerant, its appliance or its pressure
/// class is not known.
std::optional<EvacuationNeed> needed_vacuum(const ReferenceData& data, const Register& reg, std::string_view circuit,
                                            const std::optional<std::string>& machine, const OrderKey& when, Date on);

/// The rule of those packs that exempts the appliance's refrigerant, so that no vacuum is asked for; nothing where
/// there is none.
std::optional<RuleMatch> exempt_from_recovery(const ReferenceData& data, const Register& reg, std::string_view circuit,
                                              const OrderKey& when, Date on);

/// For people: "4 inHg vacuum, or 90 % of its full charge", with 80 where the compressor does not run; else the level
/// alone.
std::string needed_vacuum_brief(const EvacuationNeed& need, const std::optional<std::string>& compressor,
                                DisplayUnits units = DisplayUnits::lb);

/// For people: "10 inHg vacuum (40 CFR 82.156(a) Table 1): R-448A is a high-pressure gas, full charge 900 lb", with
/// what was assumed and what is to be confirmed.
std::string needed_vacuum_text(const EvacuationNeed& need, const Refrigerant& gas,
                               const std::optional<Mass>& full_charge, DisplayUnits units = DisplayUnits::lb);

/// Whether gas taken out for this reason asks for a vacuum: 40 CFR 82.156(a) does before opening, disposal and
/// conversion.
bool asks_for_vacuum(Reason reason);

/// Takes `leaking: WHY`, `non-major: WHY` and `oil-change: WHY`, the exceptions of 40 CFR 82.156(a), and returns the
/// text as it is. Error (usage): vacuum-exception.
Result<std::string> parse_vacuum_exception(std::string_view text);

}  // namespace tarebook
