// How much more may go into a cylinder as the book has it: what its collar says, what is in it, what the scale should
// show. Pages, checks and programs all ask here, so that there is one weight at which to stop.
//
//     const auto cylinder = book.cylinder_now("RC-031").value();
//     const FillConditions scale{.division = parse_weight("0.05lb", ScaleReads::unknown)->mass};
//     const auto now = fill_limit_now(book.reference_data(), cylinder, scale);
//     now->limit(), now->rule(), now->net(), now->share(), now->stop(), now->room()
//
// Figures for people who know local codes; that there is room says nothing of leaks, tests or ratings (see `room`).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"
#include "tarebook/rules/reference_data.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook {

/// What is in a cylinder, or shall go in, as far as that bears on its limit. With nothing in it: the contents are not
/// known.
struct FillContents {
    std::vector<const Refrigerant*> contents;
    bool mixed = false;    ///< or partly known
    bool unnamed = false;  ///< something that no catalogue names is in it
    bool hydrocarbon_or_ammonia_suspected = false;
};
/// The contents by the book. Every lot counts, also one that the book has overdrawn: its gas was in there. Without any
/// lot it is the gas that the entry keeps the cylinder for.
FillContents fill_contents(const Catalogue& catalogue, const CylinderFacts& facts, const CylinderState& state);
/// The question for fill_limits, by the rules of transport of the cylinder's country. Precondition: its water capacity
/// is on record.
FillQuestion fill_question(const Rulebook& rules, const CylinderFacts& facts, const FillContents& contents,
                           const std::optional<Temperature>& stored_at = {});

/// What is known of a filling beside the book.
struct FillConditions {
    std::optional<Mass> gross = {};             ///< what the scale shows now; else what the book expects, else the tare
    std::optional<Temperature> stored_at = {};  ///< the warmest place where it will stand filled, where that is known
    std::optional<Mass> division = {};          ///< of the scale; else 0.05 lb
    DisplayUnits units = DisplayUnits::lb;      ///< of the temperatures in sources and notes
};

/// The weights of a filling.
struct FillWeights {
    StopWeights weights;
    Mass gross_now;
    Mass net_now;
    bool gross_is_expected = false;  ///< no scale was read now: the book's figure, or the tare
    Mass draw_down;                  ///< down to the stop weight, for a cylinder over its limit; else zero
};
/// The weights for a limit. Precondition: the cylinder's tare is on record.
FillWeights fill_weights(Mass limit_net, const CylinderNow& cylinder, const FillConditions& conditions);

/// The limits of a cylinder with the weights of the smallest one.
struct FillLimitNow : FillWeights {
    FillLimits limits;

    /// The smallest limit, as a net weight.
    [[nodiscard]] Mass limit() const { return limits.net(); }
    /// The key of its rule, as in FillCandidate.
    [[nodiscard]] const std::string& rule() const { return limits.candidates[limits.binding].rule; }
    /// What is in it now; negative where it weighs less than its tare.
    [[nodiscard]] Mass net() const { return net_now; }
    [[nodiscard]] Ratio share() const;  ///< of the limit that is in it; zero where it weighs less than its tare
    /// The gross weight to stop at.
    [[nodiscard]] Mass stop() const { return weights.stop_gross; }
    [[nodiscard]] Mass room() const { return weights.room; }  ///< negative for a cylinder over its limit
};
/// Limit and weights of a cylinder. Errors: room-water-capacity, room-tare (usage), and those of fill_limits.
/// For a program that has a cylinder of its book (Book::each_cylinder); our own pages call the one below.
Result<FillLimitNow> fill_limit_now(const ReferenceData& data, const CylinderNow& cylinder,
                                    const FillConditions& conditions = {});
/// The same where a person says what is in it, or shall go in.
Result<FillLimitNow> fill_limit_now(const ReferenceData& data, const CylinderNow& cylinder,
                                    const FillContents& contents, const FillConditions& conditions);

}  // namespace tarebook
