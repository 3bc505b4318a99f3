// The texts of a cylinder's label.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "fill.hpp"

namespace tarebook::report {

struct Label {
    std::string cylinder;
    std::string place;      ///< where it is; empty if that is not on record
    std::string gas;        ///< "R-448A", "MIXED", "UNKNOWN", "EMPTY"
    std::string condition;  ///< "recovered"; of a mixture what is in it; may be empty
    std::string owner;      ///< the owner of the gas; empty for an empty cylinder
    std::optional<Mass> water_capacity, tare, stop, slow;
    std::string bar;  ///< why it must not be filled; empty if the book has no reason
    std::optional<std::chrono::year_month> test_due;
    std::string safety;  ///< "A1", "A2L"; empty where no group can be named
    std::string un, shipping_name, division;
    bool shipping_from_memory = false;  ///< to be confirmed before it is relied on, in the US against 49 CFR 172.101
    bool us = true;                     ///< it is filled and carried under the acts of the United States
    std::vector<std::string> cautions;  ///< short, each once
    bool practice = false;
    std::string as_of;  ///< day and head, by which an old label is recognised
};

Label label_of(const Book& book, const RoomQuestion& question, const PageOptions& options);
/// The label in words, line by line, for a terminal and for people who cannot see the drawing.
std::vector<std::pair<std::string, std::string>> label_facts(const Label& label, DisplayUnits units);
/// "to 2028-09", or where to read it.
std::string test_text(const Label& label);

}  // namespace tarebook::report
