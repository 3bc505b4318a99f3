// A count of cylinders against what the book expects: is a difference more than two weighings can explain? Pure: values
// in, verdicts out.
//
//     StocktakeVerdicts v = judge_stocktake(cylinders);
//     v.cylinders[0].weight;      // agrees, gap ...
//     v.offsets;                  // "S2 read 0.50 lb high in this count"
//
// Uncertainty. Each weighing has a standard uncertainty after JCGM 100 (GUM): a bound of +-a without more knowledge is
// a rectangle, a / sqrt(3), so a division d of the display is d / sqrt(12); parts add as squares (GUM 4.3.7 and 5.1.2,
// from memory). The parts are the display, the zero since it was last set (one division, common practice, no source),
// and what the scale may be off at that load: what is on record, else class III in service (accuracy.hpp). Two
// weighings on one scale share its error, so that only half of it counts, for two days and two temperatures (common
// practice, no source). Figures with +- are twice the standard uncertainty, about 95 %.
//
// False alarms. A whole count in which all cylinders are in order and every scale is within its tolerance shall show a
// gap or name a scale in at most `false_alarms` of all cases, 1 in 100: half of that for the scales, half for the
// cylinders. Cylinders are compared after Holm, so that many of them do not make an alarm by their number: the one that
// is off most must be less likely than 0.005 / n by chance, the next 0.005 / (n - 1), until one is not. For 200
// cylinders that is 4.2 standard uncertainties. tests/property/stocktake_simulation_test.cpp holds the rate to what is
// stated.
//
// Scales. One that is off shows as the same offset, or the same share of the load, in many cylinders. It is looked for
// before the cylinders are judged, by a fit in which a difference of more than three standard uncertainties weighs no
// more than three: a few real losses neither hide nor feign it. An offset needs eight readings, of which two in three
// must agree with it. It is taken out of the differences wherever it is significant, and named as beyond the scale's
// tolerance only where what all scales may be off cannot explain it. A like loss from most of the cylinders would look
// the same: a test weight tells.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/units/accuracy.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook {

/// One weighing of a cylinder, with what is known of its scale.
struct StocktakeWeighing {
    Weight gross;
    std::string scale;  ///< code; empty if none is on record: then its error is shared with no other weighing
    ScaleReads reads = ScaleReads::unknown;
    std::optional<Mass> division;  ///< else 0.05 lb, as elsewhere (common practice, no source)
    std::optional<ScaleAccuracy> accuracy;
    std::optional<bool> cap_on;  ///< whether its cap was on, where that is known
};

/// The gross weight that the book expects, and the weighing or statement that it goes back to.
struct StocktakeExpectation {
    Mass gross;
    /// The last weighing; nothing for an expectation that goes back to a stamp or an estimate.
    std::optional<StocktakeWeighing> weighed;
    Mass stated_within;  ///< what such a stated weight may be off, where it goes back to one
    /// Movements since then that were weighed on another scale alone; each counts with the uncertainty of two readings.
    std::vector<StocktakeWeighing> moved_since;
};

/// Which place the book has for the cylinder: that of the count, another one, lost, gone from the shop, or no such
/// cylinder.
enum class BookHas { here, elsewhere, lost, left, nothing };
/// What an air check says of the gas: nothing, that it can be the book's, or that it is another one.
enum class PressureSays { nothing, agrees, other_gas };

/// A cylinder of the count: the reading, and what the book says of it.
struct StocktakeCylinder {
    std::string code;
    std::optional<StocktakeWeighing> reading;      ///< nothing: looked for and not there, or not looked for yet
    std::optional<StocktakeExpectation> expected;  ///< nothing where the book cannot expect a weight
    /// What the book has in one without a tare that was never weighed, such as a jug with its stamped net: it cannot
    /// weigh less with it. Only asked where no weight is expected.
    std::optional<Mass> holds;
    std::optional<Mass> tare;
    std::optional<Mass> cap;   ///< weight of its cap
    std::optional<Mass> heel;  ///< net at which nothing but vapour is left
    BookHas book_has = BookHas::here;
    std::string book_gas;              ///< empty if not on record
    std::optional<std::string> label;  ///< the gas that its label says, as designated
    PressureSays pressure = PressureSays::nothing;
};

/// What the weight says; `gap`: more than two weighings can explain.
enum class StocktakeWeight { not_weighed, not_expected, agrees, gap };
/// What else is remarkable. `heel`: at most vapour is left; `below_tare`: lighter than empty, beyond what two scales
/// may be off.
enum class StocktakeMark { found, wrong_place, unknown_to_the_book, wrong_gas, heel, below_tare };
/// For people and programs: "no weight expected", "wrong place".
std::string_view text_of(StocktakeWeight verdict);
std::string_view text_of(StocktakeMark mark);

/// What a count found of one cylinder. Masses are zero where it was not weighed or no weight is expected.
struct StocktakeVerdict {
    StocktakeWeight weight = StocktakeWeight::not_weighed;
    std::set<StocktakeMark> marks;
    Mass difference;   ///< scale - book, a cap that is on record taken out
    Mass gap;          ///< the same, offsets of scales taken out
    Mass uncertainty;  ///< of the gap, about 95 %
    Mass shared;       ///< the part of it that all readings of the counting scale share: it does not average out
    double times_standard = 0;  ///< gap in standard uncertainties, with its sign
    std::string may_be;         ///< "digits swapped?": a slip that would explain a gap
};

/// Whether a scale is off by one mass, or by a share of the load.
enum class OffsetShape { constant, proportional };
/// Which readings of the scale are off: those of this count, those before it, or both.
enum class OffsetWhen { in_count, before, always };

/// A scale that reads high or low.
struct ScaleOffset {
    std::string scale;
    OffsetWhen when = OffsetWhen::in_count;
    OffsetShape shape = OffsetShape::constant;
    Mass offset;                    ///< high where positive; proportional: at `at_load`
    Mass at_load;                   ///< the mean of the loads that it was seen at
    double share = 0;               ///< proportional: of the load, 0 to 1
    Mass uncertainty;               ///< of `offset`, about 95 %, with what the other scales may be off
    std::size_t readings = 0;       ///< that it was seen in
    bool beyond_tolerance = false;  ///< more than scales within their tolerance explain
    /// Others that explain the same readings about as well: the weights cannot tell them apart.
    std::vector<std::pair<std::string, OffsetWhen>> or_else;
    bool shape_is_clear = true;  ///< false where the other shape explains the readings about as well
};

/// A whole count, judged.
struct StocktakeVerdicts {
    std::vector<StocktakeVerdict> cylinders;  ///< in the order in which they were given
    std::vector<ScaleOffset> offsets;         ///< the clearest first
};

/// The share of counts without a fault that may show a gap or name a scale: 1 in 100.
inline constexpr double stocktake_false_alarms = 0.01;
/// Judges a count as it is so far. Precondition: `false_alarms` is above 0 and below 1.
StocktakeVerdicts judge_stocktake(std::span<const StocktakeCylinder> cylinders,
                                  double false_alarms = stocktake_false_alarms);

}  // namespace tarebook
