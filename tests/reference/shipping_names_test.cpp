// Shipping names and numbers against rows of the Hazardous Materials Table, 49 CFR 172.101. The rows are from memory,
// as the catalogue's are (its `status` says so and every label repeats it): the check holds the two against each other
// and against the rule's own division, and is no proof of the table.
#include <doctest/doctest.h>

#include <array>
#include <string>

#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

namespace {

struct ShippingRow {
    const char* refrigerant;
    int un_number;
    const char* beginning;  ///< of the proper shipping name
    const char* division;
};

// 49 CFR 172.101 Table, from memory.
constexpr auto shipping_rows = std::to_array<ShippingRow>({
    {"R-12", 1028, "Dichlorodifluoromethane", "2.2"},
    {"R-13", 1022, "Chlorotrifluoromethane", "2.2"},
    {"R-22", 1018, "Chlorodifluoromethane", "2.2"},
    {"R-23", 1984, "Trifluoromethane", "2.2"},
    {"R-32", 3252, "Difluoromethane", "2.1"},
    {"R-115", 1020, "Chloropentafluoroethane", "2.2"},
    {"R-124", 1021, "1-Chloro-1,2,2,2-tetrafluoroethane", "2.2"},
    {"R-125", 3220, "Pentafluoroethane", "2.2"},
    {"R-134a", 3159, "1,1,1,2-Tetrafluoroethane", "2.2"},
    {"R-142b", 2517, "1-Chloro-1,1-difluoroethane", "2.1"},
    {"R-143a", 2035, "1,1,1-Trifluoroethane", "2.1"},
    {"R-152a", 1030, "1,1-Difluoroethane", "2.1"},
    {"R-227ea", 3296, "Heptafluoropropane", "2.2"},
    {"R-290", 1978, "Propane", "2.1"},
    {"R-404A", 3337, "Refrigerant gas R 404A", "2.2"},
    {"R-407A", 3338, "Refrigerant gas R 407A", "2.2"},
    {"R-407B", 3339, "Refrigerant gas R 407B", "2.2"},
    {"R-407C", 3340, "Refrigerant gas R 407C", "2.2"},
    {"R-410A", 1078, "Refrigerant gases, n.o.s.", "2.2"},
    {"R-448A", 1078, "Refrigerant gases, n.o.s.", "2.2"},
    {"R-449A", 1078, "Refrigerant gases, n.o.s.", "2.2"},
    {"R-507A", 1078, "Refrigerant gases, n.o.s.", "2.2"},
    {"R-454B", 3161, "Liquefied gas, flammable, n.o.s.", "2.1"},
    {"R-455A", 3161, "Liquefied gas, flammable, n.o.s.", "2.1"},
    {"R-600a", 1969, "Isobutane", "2.1"},
    {"R-744", 1013, "Carbon dioxide", "2.2"},
});

}  // namespace

TEST_CASE("The catalogue names gases for transport as the rows of 49 CFR 172.101 do") {
    for (const auto& row : shipping_rows) {
        CAPTURE(row.refrigerant);
        const auto* gas = Catalogue().find(row.refrigerant);
        REQUIRE(gas);
        CHECK(gas->un_number == row.un_number);
        CHECK(gas->shipping_name.starts_with(row.beginning));
        CHECK(gas->hazard_class == row.division);
        CHECK(gas->status_of("shipping_name") == ValueStatus::from_memory);
    }
}

// Division 2.1 is flammable gas, 2.2 is none (49 CFR 173.115). Ammonia is the known exception: B2L by ASHRAE 34,
// and 2.2 or 2.3 by the table.
TEST_CASE("What ASHRAE 34 calls flammable is shipped as a flammable gas or liquid, and nothing else is") {
    for (const auto& gas : Catalogue::compiled()) {
        CAPTURE(gas.designation);
        if (!gas.un_number || gas.designation == "R-717" || gas.designation == "R-1234ze(E)") continue;
        CHECK(gas.flammable() == (gas.hazard_class == "2.1" || gas.hazard_class == "3"));
    }
}
