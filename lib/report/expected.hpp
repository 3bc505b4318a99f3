// The expected pounds of a circuit, for the pages that show them: `circuit expect`, `circuit show`, and the page after
// a recovery.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "columns.hpp"
#include "tarebook/refrigerant/piping.hpp"
#include "tarebook/report/expect_page.hpp"

namespace tarebook::report {

/// Half to one and a half times the estimate (common practice, no source).
struct SanityRange {
    Mass low, high;
};
inline constexpr std::string_view range_words = "50 to 150 %: common practice, no source";

struct LeftBehind {
    std::string at;  ///< "10inHg", as typed
    Mass mass;
};

struct ExpectView {
    const Refrigerant* gas = nullptr;
    Temperature vapor = Temperature::celsius(0);  ///< measured or assumed
    ExpectedCharge charge;
    bool vapor_only = false;           ///< pumped down, and below the dew pressure
    std::vector<std::string> assumed;  ///< "liquid line full, at 80.0 F"
    std::vector<LeftBehind> left;      ///< the rest in the circuit at each pressure that was asked for
    /// What a recovery down to `left` would bring, as far as it is known.
    [[nodiscard]] Mass to_recover(const LeftBehind& left) const;
    [[nodiscard]] static SanityRange range(Mass expected);
};

/// Errors: those of expect_page.
Result<ExpectView> expect_view(const Book& book, const ExpectQuestion& question, DisplayUnits units);
/// A pressure from the text that the register has.
std::optional<PressureReading> reading_of(const std::optional<std::string>& typed);
/// Whether the circuit's entry has pipes or volumes.
bool has_piping(const Book& book, std::string_view circuit);

Json expect_json(const ExpectView& view);
/// `units`: of the headings; the table takes its own.
Columns<ChargePart> part_columns(DisplayUnits units);
/// "14.77 lb: liquid 13.23 lb, vapour 1.54 lb"
std::string expected_sum(const ExpectView& view, DisplayUnits units);

/// An estimate as people read it: to 0.01 lb, below 1 lb to 0.001 lb.
std::string estimate_text(Mass mass, DisplayUnits units);

/// A recovery compared with the circuit's piping.
struct RecoveryCompared {
    ExpectView view;
    LeftBehind left;
    SanityRange range;
    Mass recovered;  ///< of this recovery, and of those before it in the job
    Mass before;     ///< of those before it
    enum class Verdict { under, within, over } verdict;
    [[nodiscard]] std::string_view word() const;
    /// What usually explains a recovery outside the range; empty if it is inside.
    [[nodiscard]] std::string usual() const;
};
/// Empty if no piping is on record, or if it gives no estimate. Searches the same job for a pump-down of the circuit
/// before the recovery.
std::optional<RecoveryCompared> compare_recovery(const Book& book, const Event& recovery, Mass recovered,
                                                 DisplayUnits units);
std::string compared_text(const RecoveryCompared& compared, DisplayUnits units);
Json compared_json(const RecoveryCompared& compared);

}  // namespace tarebook::report
