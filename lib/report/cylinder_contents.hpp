// What stands in a cylinder: share of liquid, liquid-full temperature, pressure in a hot van; now and at its limit.
#pragma once

#include "document.hpp"
#include "fill.hpp"
#include "unit_text.hpp"

namespace tarebook::report {

/// One filling of the cylinder, seen at the two temperatures that the rules name.
struct Inside {
    Mass net;
    Saturated<Temperature> liquid_full;
    std::optional<FillState> at_77f, at_131f;  ///< nothing where the table does not reach
};

struct InsideView {
    const Refrigerant* gas = nullptr;
    std::optional<Inside> now;  ///< where there is something in it
    Inside at_limit;
    std::optional<Mass> heel;                   ///< vapour left at 70 F when the liquid is gone
    std::optional<GaugePressure> held_at_131f;  ///< 5/4 of the service pressure of its mark, 49 CFR 173.301a(d)
    bool us_transport = true;                   ///< that clause holds where the cylinder is filled
};

/// Only where one refrigerant with a table is known to be in it, or to go in.
std::optional<InsideView> inside_view(const RoomQuestion& question, const FillView& fill);
Document inside_part(const InsideView& view, DisplayUnits units);
/// The keys now, at_limit, heel and held_at_131f_psig.
Json inside_json(const InsideView& view);

/// For contents that are mixed or not sure: what they press with at 131 F by their composition, where the catalogue has
/// a gas of it, else by the candidate that presses most. Empty where none has a figure.
std::string highest_candidate_text(const RoomQuestion& question, DisplayUnits units);

}  // namespace tarebook::report
