// The appliances and sites whose page an event may change.
#pragma once

#include <map>
#include <set>
#include <string>

#include "tarebook/book/book.hpp"

namespace tarebook::report {

class TouchedAppliances {
 public:
    explicit TouchedAppliances(const Book& book) : book_(book) {}
    /// Adds those of an event. A site stands for all its appliances.
    void of(const Event& event, std::set<std::string>& appliances, std::set<std::string>& sites) const;

 private:
    const Book& book_;
    mutable std::map<std::string, std::string, std::less<>> where_;  // appliance by leak, read when one is asked for
};

}  // namespace tarebook::report
