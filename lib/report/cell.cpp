#include "cell.hpp"

#include "fill.hpp"
#include "shared_text.hpp"

namespace tarebook::report {

Cell mass_cell(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise) {
    return {mass_or(mass, units, otherwise), ShownMass{mass, units}};
}
Cell mass_cell_down(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise) {
    return mass_cell(mass ? std::optional(mass->rounded_down_to(shown_step(units))) : std::nullopt, units, otherwise);
}
Cell month_cell(const std::optional<std::chrono::year_month>& month) {
    return month ? Cell{month_text(*month), *month} : no_cell();
}
Cell moment_cell(const Moment& moment) {
    return {moment_text(moment), WallTime{(moment.at + moment.offset).time_since_epoch()}};
}

}  // namespace tarebook::report
