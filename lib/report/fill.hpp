// The answer to "how much still fits": limits, stop weight, rating, test, of a cylinder or of figures from a collar.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "shared_text.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook::report {

struct FillView : FillLimitNow {
    std::optional<Saturated<Temperature>> liquid_full_now;  ///< of what is in it, where that is over the limit
};
Result<FillView> fill_view(const RoomQuestion& question, DisplayUnits units);
/// Of a cylinder of the book; nothing where water capacity, tare or a limit is not on record.
std::optional<FillView> fill_view_of(const Book& book, std::string_view cylinder, DisplayUnits units);
/// The weights alone, for lists of thousands of cylinders; nothing where fill_view has an error.
std::optional<FillWeights> fill_weights_of(FillLimitMemo& limits, const RoomQuestion& question, DisplayUnits units);

/// The question that a cylinder asks as the book has it.
RoomQuestion room_question_of(CylinderNow&& cylinder, const std::optional<Mass>& division);
/// The coarsest of the scales on record.
std::optional<Mass> coarsest_division(const Book& book);

/// "liquid-full at 139 F; a closed van can pass 130"
std::string liquid_full_text(const FillView& view, DisplayUnits units);

/// The month to which a test holds, by the mark and the basis on record; nothing where the mark asks for no test.
std::optional<std::chrono::year_month> test_due(const CylinderFacts& facts);
/// After the last day of that month.
bool test_is_over(const CylinderFacts& facts, Instant now);
std::string test_text(const CylinderFacts& facts, Instant now);
std::string rating_text(const RoomQuestion& question);
/// A lot of a gas that nobody could name is in it.
bool holds_unknown(const RoomQuestion& question);
/// Gases that the book names and the catalogue lacks: of a person's own file that was not given now.
std::vector<std::string> not_in_catalogue(const RoomQuestion& question);
std::string month_text(std::chrono::year_month month);

/// A reason why nothing may go into this cylinder now. The brief words stand in a list, the whole text on its own page.
struct FillBar {
    std::string brief, text;
};
/// Empty where the book knows of no such reason, which is not a statement that the cylinder is fit.
std::vector<FillBar> fill_bars(const RoomQuestion& question, Instant now);

/// Whether the cylinder is over its limit, what else bars it (fill_bars left out), and what its gas asks for.
std::vector<std::string> fill_cautions(const RoomQuestion& question, const FillView& view, const PageOptions& options);

}  // namespace tarebook::report
