// What is on record about the leaks of appliances: found, inspected, repaired, tested, planned.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"

namespace tarebook::report {

/// By appliance, each in order of time; voided events are left out.
class LeakLog {
 public:
    explicit LeakLog(const Book& book);
    [[nodiscard]] const std::vector<LeakEvent>& of(std::string_view appliance) const;
    [[nodiscard]] const std::map<std::string, std::vector<LeakEvent>, std::less<>>& all() const { return events_; }
    /// "L-3" for a leak event; empty for another event.
    [[nodiscard]] std::string code_of(std::int64_t event_id) const;

 private:
    std::map<std::string, std::vector<LeakEvent>, std::less<>> events_;
    std::map<std::int64_t, std::string> codes_;
};

}  // namespace tarebook::report
