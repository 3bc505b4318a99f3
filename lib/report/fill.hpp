// The answer to "how much still fits": limits, stop weight, rating and test, of a cylinder or of figures from a collar.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scale_in_use.hpp"
#include "shared_text.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook::report {

struct FillView : FillLimitNow {
    std::optional<Saturated<Temperature>> liquid_full_now;  ///< of the contents, if they are over the limit
    std::optional<DisplayUnits> scale_reads;                ///< as in RoomQuestion
};
Result<FillView> fill_view(const RoomQuestion& question, DisplayUnits units);
/// For a cylinder of the book; empty if its water capacity, tare or limit is not on record.
std::optional<FillView> fill_view_of(const Book& book, std::string_view cylinder, DisplayUnits units,
                                     const std::optional<std::string>& scale = {});
/// A weight to watch on the scale, rounded down: "38.80 lb", or as the scale shows it, "17.60 kg (38.80 lb)".
std::string watched_text(Mass mass, const FillView& fill, DisplayUnits units);
/// The weights alone, for lists of thousands of cylinders; empty if fill_view has an error.
std::optional<FillWeights> fill_weights_of(FillLimitMemo& limits, const RoomQuestion& question, DisplayUnits units);

/// The question for a cylinder as the book has it.
RoomQuestion room_question_of(const ReferenceData& data, CylinderNow&& cylinder,
                              const std::optional<ScaleDivision>& scale);

/// "liquid-full at 139 F; a closed van can pass 130"
std::string liquid_full_text(const FillView& view, DisplayUnits units);

/// The month until which a test is valid, by the mark and the basis on record; empty if the mark needs no test.
std::optional<std::chrono::year_month> test_due(const Rulebook& rules, const CylinderFacts& facts);
/// Whether that month has passed.
bool test_is_over(const Rulebook& rules, const CylinderFacts& facts, Instant now);
std::string test_text(const Rulebook& rules, const CylinderFacts& facts, Instant now);
std::string rating_text(const RoomQuestion& question, DisplayUnits units);
/// Whether a lot of an unknown gas is in it.
bool holds_unknown(const RoomQuestion& question);
/// Gases of the cylinder that the catalogue lacks: they are of a person's own file that was not given now.
std::vector<std::string> not_in_catalogue(const RoomQuestion& question);
std::string month_text(std::chrono::year_month month);

/// A reason why nothing may go into this cylinder now. Lists show the brief words, its own page the whole text.
struct FillBar {
    std::string brief, text;
    bool one_filling = false;  ///< its mark is for one filling
};
inline constexpr std::string_view not_in_register_bar = "not in the register";
/// Empty if the book has no such reason, which does not mean that the cylinder is fit.
std::vector<FillBar> fill_bars(const RoomQuestion& question, Instant now, DisplayUnits units = DisplayUnits::lb);

/// The marks that would tell whether it is fit for its contents, and that the register lacks: a person reads the
/// collar.
std::vector<std::string> marks_not_on_record(const RoomQuestion& question);

/// Cautions for a cylinder over its limit, for other reasons against filling (without fill_bars), and for its gas.
std::vector<std::string> fill_cautions(const RoomQuestion& question, const FillView& view, const PageOptions& options);

}  // namespace tarebook::report
