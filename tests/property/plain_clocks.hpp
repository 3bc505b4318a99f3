// The clocks of a store's rack of R-22 under 40 CFR 82.157, slowly: one day after another, with whole numbers, and
// nothing of the library. Days are counted from some day; 100 lb is the full charge, 20 % the threshold.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

namespace tarebook::property {

struct PlainFact {
    enum class Kind { added, found, inspected, repaired, initial, follow_up, planned, mothballed, in_use, extended };
    Kind kind = Kind::added;
    int day = 0;
    int pounds = 0;
    int leak = 0;
    bool good = true;
    int by = 0;                       ///< planned, extended: so many days later
    bool exempt_replacement = false;  ///< planned: to retire it, for one with an exempt refrigerant
    std::string ground = {};          ///< extended: parts, other-law, relief
    bool of_work = false;             ///< extended: the work of a plan, not a repair
};

/// "repair", "initial-test L-1" ... by name, and the day each is due; -1 while it is suspended.
using PlainOpen = std::map<std::string, int>;

/// 49 CFR 180.209: the last day in test, as year, month, day; `basis` as on record, "" for none; by the mark's type.
struct PlainDay {
    int year = 0, month = 0, day = 0;
};
PlainDay plain_last_day_in_test(const std::string& type, const std::string& basis, int tested_year, int tested_month);

/// 40 CFR 82.157(g)(4), (l)(4): a system that came on record on day `since`, passed audits on these days; the day on
/// which the next is due, as seen on `today`.
int plain_audit_due(int since, const std::vector<int>& audits, int today);

/// What is open at the end of each day; `facts` by day, at most one addition a day and that one first.
std::vector<PlainOpen> plain_clocks(const std::vector<PlainFact>& facts, int days);

}  // namespace tarebook::property
