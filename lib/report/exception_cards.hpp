// Exceptions for the pages that list them: what can hurt a person first, each with its fields.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "columns.hpp"
#include "document.hpp"

namespace tarebook::report {

struct ShownException {
    OpenFinding open;
    std::optional<Date> on;            ///< of its event
    std::string no_longer_over_since;  ///< an event; empty where it is over, or about something else
    [[nodiscard]] bool is_over() const;
    [[nodiscard]] bool can_hurt_now() const;
};

/// By danger (see Danger); what is no longer true comes last.
std::vector<ShownException> shown_exceptions(const Book& book, std::vector<OpenFinding> open);
const Columns<ShownException>& exception_columns();
/// A card for each. Names that are longer than one line are broken.
Cards exception_cards(const std::vector<ShownException>& shown, DisplayUnits units);
/// "1 OVER its limit, 2 more that can hurt, the oldest 12 days old". Empty where there is none.
std::string exceptions_answer(const std::vector<ShownException>& shown, Date today);

}  // namespace tarebook::report
