// What the visit form shows of the book, and the texts that the build compiles in (lib/report/room.cmake).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fill.hpp"
#include "tarebook/report/visit_form.hpp"

namespace tarebook::report {

extern const std::string_view visit_form_style;   ///< CSS
extern const std::string_view visit_form_script;  ///< visit_sheet.js, then visit_form.js
extern const std::string_view visit_form_lines;   ///< JSON: the kinds of lines with their keys

struct VisitFormData {
    struct Stop {
        std::string gas;  ///< for which it holds; empty: for the cylinder as it is
        FillView fill;
    };
    struct Cylinder {
        std::string code, place, gas, holds;  ///< gas: a designation where it is one and known
        bool supply = false;                  ///< gas is charged from it, and none goes in
        std::optional<Mass> tare;
        std::vector<Stop> stops;
        std::string not_known;  ///< why there is no weight to stop at
        std::vector<std::string> do_not_fill;
    };
    struct Circuit {
        std::string code, appliance, gas, serves;
        std::vector<std::string> close, bring;
    };
    struct Named {
        std::string code, name;
    };
    struct Scale {
        std::string code, reads;
        std::optional<Mass> division;
    };
    struct Leak {
        std::string code, appliance, place;
    };
    std::string site_name, zone;
    Moment as_of;
    std::vector<const Refrigerant*> gases;  ///< of the site's appliances
    std::vector<Named> appliances;          ///< with their gas
    std::vector<Circuit> circuits;
    std::vector<Cylinder> cylinders;
    std::vector<Scale> scales;
    std::vector<Named> people, machines;
    std::vector<Leak> leaks;  ///< of the site, those whose repair no passed follow-up test has confirmed
};
Result<VisitFormData> visit_form_data(const Book& book, const VisitFormQuestion& question, const PageOptions& options);

}  // namespace tarebook::report
