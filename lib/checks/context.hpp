// What every check reads, and the questions that several of them ask.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "memo.hpp"
#include "tarebook/checks/checks.hpp"

namespace tarebook::checks {

/// A weighing of one cylinder, and the direction in which its kind of event moves gas.
enum class Way { heavier, lighter };
struct CylinderWeighing {
    const std::string& cylinder;
    const Weighing& weighing;
    Way way;
};

class Context {
 public:
    Context(const ReferenceData& d, const Event& e, const States& b, const Outcome& f, const Register& r, Memo& m);
    const ReferenceData& data;
    const Event& event;
    const States& before;
    const Outcome& folded;
    const Register& reg;
    Memo& memo;
    const OrderKey order;
    const std::vector<CylinderWeighing> weighings;
    /// Cylinders that we filled: gas came in by recovery or transfer, or a charge ran backwards. A factory fill is not
    /// among them.
    const std::vector<const Effect*> filled;

    template <class Kind>
    [[nodiscard]] const Kind* as() const {
        return std::get_if<Kind>(&event.what);
    }
    /// Defaults, which mean "not on record", if the cylinder has no entry.
    [[nodiscard]] const CylinderFacts& facts(std::string_view cylinder) const;
    [[nodiscard]] const std::optional<PlaceFacts>& place(std::string_view circuit) const;
    [[nodiscard]] const Effect* effect(std::string_view cylinder) const;
    /// In the units of the book.
    [[nodiscard]] std::string mass(Mass mass) const;

 private:
    mutable std::string place_circuit_;
    mutable std::optional<std::optional<PlaceFacts>> place_;
};

using Findings = std::vector<Finding>;

/// Runs every check in the order of the table.
std::vector<Finding> run_all(const Context& context, Notes notes);

/// Whether the event read a gross weight of this cylinder.
bool reads_gross(const Context& c, std::string_view cylinder);

/// Of the event's scale; 0.05 lb if it is not on record, as in `room` (common practice, no source).
/// With units: 0.02 kg where those are kilograms.
Mass division_of_scale(const Context& c, DisplayUnits units = DisplayUnits::lb);
/// The last digit that people read: what must not be shown too high is rounded down to it.
Mass shown_step(const Context& c);
/// Two divisions of the event's scale; 0.1 lb if its division is not on record (common practice, no source).
Mass pair_tolerance(const Context& c);

/// Charge or reuse; nullptr for other kinds.
const kinds::Put* put_of(const Event& event);
/// The cylinder out of which a charge or reuse took gas by its weights; null if there is none.
const Effect* drawn_for_circuit(const Context& c);

/// Designations of the lots with gas in them, without the unknown ones.
std::set<std::string> known_gases(const Lots& lots);
/// The gases that came into a filled cylinder; empty if they are not on record.
std::set<std::string> arriving_gases(const Context& c, const Effect& filled);
std::vector<const Refrigerant*> catalogued(const Context& c, const std::set<std::string>& designations);

/// "R-22 and R-404A".
std::string listed(const std::set<std::string>& words);

}  // namespace tarebook::checks
