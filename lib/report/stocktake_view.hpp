// A count as it stands: what was to be counted, what was found, and what the judge makes of it. Derived from the book
// at each look: a late entry that explains a gap ends it here, too.
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
    bool listed = false;  ///< on the sheet: the book had it at the place when the count began
    bool missing = false;
    bool in_the_book = true;
    CylinderFacts facts;
    CylinderState before;  ///< as the book had it before the count touched it
    Content content;
    std::optional<Mass> expected;        ///< gross, just before it was weighed
    std::optional<Mass> net;             ///< by the scale; of a jug without a tare what the book has then
    std::optional<StoredEvent> reading;  ///< the last one
    std::optional<Weight> gross;
    std::optional<std::string> cap, label, note;
    std::string pressure;  ///< "below" ... where it was checked
    std::vector<std::string> reasons;
    StocktakeVerdict verdict;

    [[nodiscard]] bool seen() const { return gross || missing || !in_the_book; }
    /// What a person has to look at: a gap, a mark that is no heel, or that it is not there.
    [[nodiscard]] bool asks() const;
};

/// Differences of several cylinders together. What each weighing adds of its own averages out; what all readings of one
/// scale share does not.
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

/// Of one refrigerant, in the cylinders of this count.
struct StocktakeGas {
    std::int64_t cylinders = 0, gaps = 0;
    MassTotal missing;  ///< what the book has in cylinders that are not there
    MassTotal net;      ///< by the scale
    GapSum in_gaps;     ///< scale - book of the cylinders with a gap, offsets of scales taken out
    GapSum rest;        ///< of all others: what no single cylinder shows
    MassTotal bought, charged, recovered, sent;  ///< since the last count
    /// What is in the gaps as a share of what was bought, charged and recovered; nothing where that is nothing.
    [[nodiscard]] std::optional<double> percent_of_handled() const;
};

struct StocktakeView {
    KnownStocktake count;
    std::optional<KnownStocktake> last;   ///< the one of this place that was closed before
    std::vector<StocktakeRow> cylinders;  ///< by code
    std::vector<ScaleOffset> offsets;
    std::map<std::string, StocktakeGas> gases;
    std::int64_t to_count = 0, counted = 0, agree = 0, gaps = 0, missing = 0, unknown = 0, not_counted = 0;

    /// Whoever counts must not see what the book expects.
    [[nodiscard]] bool veiled() const { return count.what().blind && !count.close; }
};

StocktakeView stocktake_view(const Book& book, const KnownStocktake& count);

}  // namespace tarebook::report
