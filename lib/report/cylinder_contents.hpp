// The physical state of a cylinder's contents: share of liquid, liquid-full temperature, pressure in a hot van; now and
// at its limit.
#pragma once

#include "columns.hpp"
#include "document.hpp"
#include "fill.hpp"
#include "unit_text.hpp"

namespace tarebook::report {

/// One filling of the cylinder, at the two temperatures that the rules name.
struct Inside {
    Mass net;
    Saturated<Temperature> liquid_full;
    std::optional<FillState> at_77f, at_131f;  ///< empty beyond the end of the table
};

struct InsideView {
    const Refrigerant* gas = nullptr;
    std::optional<Inside> now;  ///< if the cylinder has contents
    Inside at_limit;
    std::optional<Mass> heel;                   ///< vapour left at 70 F when the liquid is gone
    std::optional<GaugePressure> held_at_131f;  ///< 5/4 of the service pressure of its mark, 49 CFR 173.301a(d)
    bool us_transport = true;                   ///< whether that clause holds where the cylinder is filled
};

/// Empty unless exactly one refrigerant with a table is known to be in it, or to go in.
std::optional<InsideView> inside_view(const RoomQuestion& question, const FillView& fill);
Document inside_part(const InsideView& view, DisplayUnits units);
/// The keys now, at_limit, heel and held_at_55c_psig; null where nothing can be said.
Json inside_json(const RoomQuestion& question, const std::optional<FillView>& fill);
/// The key liquid_full_c; beside it liquid_full_above_c or liquid_full_below_c where the table does not reach.
void add_liquid_full(Json& object, const std::optional<Saturated<Temperature>>& full);

/// For contents that are mixed or uncertain: their pressure at 131 F by their composition, if the catalogue has a gas
/// of it, else that of the candidate with the highest. Empty if none has a figure.
std::string highest_candidate_text(const RoomQuestion& question, DisplayUnits units);

}  // namespace tarebook::report
