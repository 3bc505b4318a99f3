// A stocktake: the cylinders to weigh, what was found, and the verdicts. Computed from the book each time: a late entry
// that explains a gap ends it here too.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "shared_text.hpp"
#include "tarebook/book/stocktakes.hpp"
#include "tarebook/stocktake/stocktake_judge.hpp"

namespace tarebook::report {

struct StocktakeRow {
    std::string code;
    bool listed = false;  ///< on the sheet: by the book at the place when the stocktake began
    bool missing = false;
    bool in_the_book = true;
    CylinderFacts facts;
    CylinderState before;  ///< by the book, before the stocktake's own events
    Content content;
    std::optional<Mass> expected;        ///< gross, just before it was weighed
    std::optional<Mass> expected_net;    ///< of one without a tare that was never weighed: its contents by the book
    std::optional<Mass> net;             ///< by the scale; of a jug without a tare, by the book
    std::optional<StoredEvent> reading;  ///< the last one
    std::optional<Weight> gross;
    std::optional<std::string> cap, label, note;
    std::string pressure;  ///< "below" ... where it was checked
    std::vector<std::string> reasons;
    StocktakeVerdict verdict;

    [[nodiscard]] bool seen() const { return gross || missing || !in_the_book; }
    /// "33.80 lb"; "19.00 lb + tare" where only the contents are known; a dash where nothing is.
    [[nodiscard]] Cell expected_cell(DisplayUnits units) const;
    /// Whether a scale's weight was held against the book's.
    [[nodiscard]] bool judged() const {
        return verdict.weight == StocktakeWeight::agrees || verdict.weight == StocktakeWeight::gap;
    }
    /// Whether a person must act: on a gap, a mark that is no heel, or a missing cylinder.
    [[nodiscard]] bool asks() const;
};

/// The sum of several cylinders' differences. The errors of single weighings average out; the error that all readings
/// of one scale share does not.
class GapSum {
 public:
    void add(const StocktakeVerdict& verdict, const std::string& scale);
    [[nodiscard]] Mass gap() const { return gap_.value(); }
    [[nodiscard]] Mass uncertainty() const;  ///< about 95 %
    [[nodiscard]] bool beyond() const { return uncertainty() < gap().magnitude(); }

 private:
    MassTotal gap_;
    double own_lb2_ = 0;
    std::map<std::string, double> shared_lb_;  // by scale
};

/// One refrigerant, in the cylinders of this stocktake.
struct StocktakeGas {
    std::int64_t cylinders = 0, gaps = 0;
    MassTotal missing;  ///< contents, by the book, of the missing cylinders
    MassTotal net;      ///< by the scale
    GapSum in_gaps;     ///< scale - book of the cylinders with a gap, without the offsets of scales
    GapSum rest;        ///< of all others: too small to show in a single cylinder
    MassTotal bought, charged, recovered, sent;  ///< since the last stocktake
    /// The gaps as a share of what was bought, charged and recovered; empty if that is zero.
    [[nodiscard]] std::optional<double> percent_of_handled() const;
};

struct StocktakeView {
    KnownStocktake count;
    std::optional<KnownStocktake> last;   ///< the last closed one of this place
    std::vector<StocktakeRow> cylinders;  ///< by code
    std::vector<ScaleOffset> offsets;
    std::map<std::string, StocktakeGas> gases;
    std::int64_t to_count = 0, counted = 0, agree = 0, gaps = 0, missing = 0, unknown = 0, not_counted = 0;

    /// Whether the expected weights are hidden from the person who weighs.
    [[nodiscard]] bool veiled() const { return count.what().blind && !count.close; }
};

/// What is in a cylinder by the book, where neither a tare nor a weighing tells what it weighs.
std::optional<Mass> net_without_tare(const CylinderState& state, const CylinderFacts& facts);
/// As StocktakeRow::expected_cell.
Cell expected_cell(const std::optional<Mass>& gross, const std::optional<Mass>& net, DisplayUnits units);
StocktakeView stocktake_view(const Book& book, const KnownStocktake& count);

}  // namespace tarebook::report
