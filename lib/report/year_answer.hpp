// What a year's page says first: what was lost by whose gas, and how many additions were over their threshold.
#pragma once

#include <string>
#include <vector>

#include "gathered.hpp"
#include "json.hpp"
#include "year_view.hpp"

namespace tarebook::report {

struct LostOfOwner {
    std::string owner;
    Mass mass;
    KnownPart tonnes;  ///< by the set of the answer
};
struct YearAnswer {
    std::vector<LostOfOwner> lost;  ///< by the material balance, the most first; owners who lost nothing are left out
    std::string gwp_set;            ///< the first one that the packs name; empty where they name none
    AdditionCount additions;        ///< of the year, in the scope
};
/// Of the appliances of the view, in its year.
/// `gathered`: what the pages of a folder know, else null.
AdditionCount additions_of_year(const Book& book, const YearView& view, const EquipmentMovements& movements,
                                const LeakLog& log, const Gathered* gathered);
YearAnswer year_answer(const YearView& view, const GwpSets& sets, const AdditionCount& additions);
/// "lost 12.50 lb of Bramble Dairy Co-op (11.9 t CO2e); t CO2e by aim; 1 addition OVER its threshold"
std::string year_answer_text(const YearAnswer& answer, DisplayUnits units);
Json lost_json(const YearAnswer& answer);

}  // namespace tarebook::report
