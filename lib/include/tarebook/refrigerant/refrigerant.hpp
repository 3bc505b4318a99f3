// A refrigerant: what it is made of, how dangerous and how heavy it is.
//
// The tables are compiled in from schema/refrigerants.yaml, schema/cylinder-fill.yaml and schema/saturation/, checked
// while building, and cost nothing at start-up. A Catalogue says which there are; two are the same if their addresses
// are.
//
//     const Refrigerant* gas = Catalogue().find("r448a");
//     auto density = liquid_density(*gas, Temperature::fahrenheit(77));   // nothing outside the table's range
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/saturation.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

struct Refrigerant;

/// A pure substance in a refrigerant, with its share of the nominal composition.
struct Component {
    std::string_view designation;
    double mass_percent;
    const Refrigerant* entry = nullptr;  ///< its own one; null for a component that is not of a catalogue's entry
};

/// What a figure rests on: read in a source when it was collected, or written down from memory and to be checked.
enum class ValueStatus { from_memory, verified };

/// A specification mark of a regulation's table: "4BA240" is {"4BA", 240}; "39" has no pressure.
struct ListedMark {
    std::string_view type;
    std::optional<int> service_psig;
};

/// One line of the table of filling densities, 49 CFR 173.304a(a)(2); without percent it says "not liquid-full at 131
/// F".
struct FillingDensity {
    std::optional<double> percent_of_water;
    std::span<const ListedMark> marks;
    std::string_view clause;
    std::string_view status;  ///< what the line rests on, as in schema/cylinder-fill.yaml
};

/// The pressure at 55 C in a cylinder that was filled to 80 % liquid at 25 C.
struct CylinderPressure {
    std::optional<GaugePressure> at_55c;
    std::optional<GaugePressure> min_service;  ///< at_55c / 1.25, 49 CFR 173.301a(d)
    double pressure_uncertainty_percent = 0;
    double density_uncertainty_percent = 0;
    bool no_liquid_at_25c = false;
    bool no_liquid_at_55c = false;
    bool thin_margin = false;  ///< liquid-full between 55 and 60 C when filled by the 80 % rule
};

/// One entry of the catalogue, or of a person's own file. status_of says what each figure rests on.
struct Refrigerant {
    std::string_view designation;  ///< ASHRAE 34: "R-448A"
    std::string_view class_name;   ///< "HFC/HFO blend"
    std::span<const Component> composition;
    std::string_view safety_group;          ///< ANSI/ASHRAE 34: "A2L"
    double molar_mass_g_mol;                ///< g/mol
    std::optional<double> gwp_ar4;          ///< 100 years, IPCC AR4; of a blend the sum by mass share, rounded half up
    std::optional<double> gwp_eu_2024_573;  ///< Regulation (EU) 2024/573 with its annexes
    std::optional<double> gwp_ar5;          ///< 100 years, IPCC AR5
    std::optional<double> odp;              ///< ozone depletion potential, R-11 is 1
    std::optional<int> un_number;           ///< 49 CFR 172.101
    std::string_view hazard_class;          ///< "2.2"; may be empty
    std::string_view shipping_name;         ///< may be empty
    std::optional<Temperature> boiling;     ///< bubble point at 101.325 kPa; of R-744 its sublimation
    std::optional<Temperature> critical;    ///< the accepted one, as is the pressure
    std::optional<AbsolutePressure> critical_pressure;
    bool eu_ozone_depleting;  ///< the European Union counts it among the ozone-depleting substances
    std::string_view notes;
    std::span<const std::string_view> verified_fields;  ///< keys of schema/refrigerants.yaml
    Saturation saturation;
    std::optional<CylinderPressure> cylinder;           ///< nothing without a saturation table
    std::span<const FillingDensity> filling_densities;  ///< lowest first
    bool from_own_file = false;                         ///< of its figures only the shape was checked

    /// Whether its safety group is 2L, 2 or 3.
    [[nodiscard]] bool flammable() const;
    /// Whether its safety group begins with B: toxic at lower concentrations than A.
    [[nodiscard]] bool toxic() const;
    /// Whether it is a natural hydrocarbon, such as R-290.
    [[nodiscard]] bool hydrocarbon() const;
    /// Whether it has more than one component.
    [[nodiscard]] bool blend() const { return composition.size() > 1; }
    /// What a field rests on. `field` is a key of schema/refrigerants.yaml: "gwp_ar4", "composition".
    [[nodiscard]] ValueStatus status_of(std::string_view field) const;
};

/// The compiled refrigerant with this composition: the same components, each within `tolerance_percent` of its mass
/// share. Null where there is none. A mixture of blends is given by its components.
const Refrigerant* find_by_composition(std::span<const Component> components, double tolerance_percent);

/// Saturated liquid at the bubble point. Nothing outside the rows of the table: it is never extrapolated.
std::optional<Density> liquid_density(const Refrigerant& refrigerant, Temperature at);

}  // namespace tarebook
