// Removes free text that an owner must not see: an owner's export has no text about another owner.
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "year_view.hpp"

namespace tarebook::report {

/// Removes words that name another owner, its sites, or a technician who did not work here. In an export of the whole
/// book it removes nothing.
class Redactor {
 public:
    Redactor() = default;
    /// `technicians` worked in the scope; the other technicians of the register are not named.
    Redactor(const Book& book, const YearScope& scope, const std::set<std::string>& technicians);
    [[nodiscard]] bool names_others(std::string_view text) const;
    [[nodiscard]] std::string_view shown(std::string_view text) const {
        return names_others(text) ? std::string_view("(names another owner: withheld)") : text;
    }

 private:
    std::vector<std::string> words_;
};

}  // namespace tarebook::report
