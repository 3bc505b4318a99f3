// How much more may go into a cylinder as the book has it: what its collar says, what is in it, what the scale should
// show. Pages, checks and programs ask the same, so that the weight at which to stop is one, whoever asks.
//
//     const auto cylinder = book.cylinder_now("RC-031").value();
//     const auto now = fill_limit_now(cylinder, {.division = parse_weight("0.05lb", ScaleReads::unknown)->mass});
//     now->limit(), now->rule(), now->net(), now->share(), now->stop(), now->room()
//
// Figures for people who know local codes; that there is room says nothing of leaks, tests or ratings (see `room`).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook {

/// What is in a cylinder, or shall go in, as far as that bears on its limit. Nothing in it at all: nothing is known.
struct FillContents {
    std::vector<const Refrigerant*> contents;
    bool mixed = false;    ///< or partly known
    bool unnamed = false;  ///< something that no catalogue names is in it
    bool hydrocarbon_or_ammonia_suspected = false;
};
/// Every lot counts, also one that the book has overdrawn: its gas was in there. Where there is no lot, what the entry
/// keeps the cylinder for.
FillContents fill_contents(const CylinderFacts& facts, const CylinderState& state);
/// Of a cylinder whose water capacity is on record.
FillQuestion fill_question(const CylinderFacts& facts, const FillContents& contents,
                           const std::optional<Temperature>& stored_at = {});

/// What the book does not know of a filling.
struct FillConditions {
    std::optional<Mass> gross = {};             ///< what the scale shows now; else what the book expects, else the tare
    std::optional<Temperature> stored_at = {};  ///< the warmest place where it will stand filled, where that is known
    std::optional<Mass> division = {};          ///< of the scale; else 0.05 lb
};

struct FillWeights {
    StopWeights weights;
    Mass gross_now;
    Mass net_now;
    bool gross_is_expected = false;  ///< no scale was read now: the book's figure, or the tare
    Mass draw_down;                  ///< down to the stop weight, where it is over the limit; else nothing
};
/// Of a cylinder whose tare is on record.
FillWeights fill_weights(Mass limit_net, const CylinderNow& cylinder, const FillConditions& conditions);

struct FillLimitNow : FillWeights {
    FillLimits limits;

    [[nodiscard]] Mass limit() const { return limits.net(); }
    [[nodiscard]] const std::string& rule() const { return limits.candidates[limits.binding].rule; }
    [[nodiscard]] Mass net() const { return net_now; }
    [[nodiscard]] Ratio share() const;  ///< of the limit that is in it; nothing where it weighs less than its tare
    [[nodiscard]] Mass stop() const { return weights.stop_gross; }
    [[nodiscard]] Mass room() const { return weights.room; }  ///< negative where it is over
};
/// Errors (usage): room-water-capacity, room-tare; and those of fill_limits.
Result<FillLimitNow> fill_limit_now(const CylinderNow& cylinder, const FillConditions& conditions = {});
/// The same where a person says what is in it, or shall go in.
Result<FillLimitNow> fill_limit_now(const CylinderNow& cylinder, const FillContents& contents,
                                    const FillConditions& conditions);

}  // namespace tarebook
