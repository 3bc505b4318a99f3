// The clocks of a store's rack of R-22 under 40 CFR 82.157, slowly: one day after another, with whole numbers, and
// nothing of the library. Days are counted from some day; 100 lb is the full charge, 20 % the threshold.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

namespace tarebook::property {

struct PlainFact {
    enum class Kind { added, found, inspected, repaired, initial, follow_up, planned };
    Kind kind = Kind::added;
    int day = 0;
    int pounds = 0;
    int leak = 0;
    bool good = true;
    int by = 0;  ///< planned: so many days later
};

/// "repair", "initial-test L-1" ... by name, and the day each is due.
using PlainOpen = std::map<std::string, int>;

/// What is open at the end of each day; `facts` by day, at most one addition a day and that one first.
std::vector<PlainOpen> plain_clocks(const std::vector<PlainFact>& facts, int days);

}  // namespace tarebook::property
