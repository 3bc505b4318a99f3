// How much may go into a cylinder, and at which weight to stop. Overfilled cylinders burst when they warm, so every
// rule that applies is computed and shown with its source, and the smallest one binds.
//
//     FillQuestion question{.refrigerant = Catalogue().find("R-404A")};
//     question.water_capacity = Volume::of_water(parse_weight("47.6lb", ScaleReads::unknown)->mass);
//     auto limits = fill_limits(question).value();
//     auto weights = stop_weights(limits.net(), tare, gross_now, division);
//
// These are the usual rules of the trade and of transport, shown to people who know local codes; no verdict.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/refrigerant/saturation.hpp"
#include "tarebook/refrigerant/spec_mark.hpp"

namespace tarebook {

/// A rule of transport that holds where no other maximum is on record: a share of the volume that the liquid has at one
/// temperature, and not liquid-full at another.
struct FillForTransport {
    double of_density = 0;  ///< a share, 0 to 1
    Temperature density_at = Temperature::celsius(0);
    Temperature not_full_at = Temperature::celsius(0);
    std::string clause;
};

/// What is known about a cylinder and its content. No refrigerant and no candidates: nothing is known.
struct FillQuestion {
    const Refrigerant* refrigerant = nullptr;
    std::vector<const Refrigerant*> could_be = {};
    bool mixed = false;
    bool hydrocarbon_or_ammonia_suspected = false;
    bool unnamed = false;  ///< something that could not be named is in it, too
    Volume water_capacity = Volume::litres(0);
    std::optional<Mass> stamped_limit_net = std::nullopt;
    std::optional<std::string> spec_mark = std::nullopt;
    /// The temperature of the warmest place where it will stand filled, where that is hotter than usual: the limit is
    /// lower there.
    std::optional<Temperature> stored_at = std::nullopt;
    /// Whether the rules of transport of the United States hold, which name filling densities, marks and clauses.
    /// Elsewhere the same physics is computed, and called no more than that.
    bool us_transport = true;
    std::optional<FillForTransport> transport = std::nullopt;
    DisplayUnits units = DisplayUnits::lb;  ///< of the temperatures in sources and notes: F, or C with kilograms
};

/// One rule's answer. The rule is a stable key: filling-density, 80-percent-at-77F, not-liquid-full-at-131F,
/// transport-fill, mixed-lightest-at-130F, 80-percent-where-stored,
/// not-liquid-full-where-stored, unknown-contents-65-percent, hydrocarbon-or-ammonia-35-percent, stamped-limit.
struct FillCandidate {
    std::string rule;
    Mass net;
    std::string source;
};

/// The name of such a rule for people, in whose degrees it is then: "80-percent-at-25C".
std::string limit_name(std::string_view rule, DisplayUnits units);

/// Every limit that applies, as a net weight.
struct FillLimits {
    std::vector<FillCandidate> candidates;
    std::size_t binding = 0;              ///< the place of the smallest one in `candidates`
    std::vector<std::string> notes = {};  ///< sentences for people: what has no figure, and why
    /// The temperature at which the binding limit is liquid-full; only where one refrigerant with a table is known to
    /// be the content.
    std::optional<Saturated<Temperature>> liquid_full = std::nullopt;

    /// The binding limit.
    [[nodiscard]] Mass net() const { return candidates[binding].net; }
};

/// Every limit, and the smallest. Errors: fill-limit-water-capacity, fill-limit-stamped (usage); fill-limit-unknown
/// (refused): no rule gives a figure; fill-limit-stored-at (refused): the table has no liquid at `stored_at`.
Result<FillLimits> fill_limits(const FillQuestion& question);

/// The binding limit of a question, and its rule.
struct SmallestLimit {
    Mass net;
    std::string rule;
};
/// Remembers answers of fill_limits: few kinds of cylinder and gas are in a shop, and each limit is built from tables
/// and words. Not for several threads.
class FillLimitMemo {
 public:
    /// The smallest limit; nothing where fill_limits has an error. The reference is good as long as the memo.
    const std::optional<SmallestLimit>& smallest(const FillQuestion& question);

 private:
    std::unordered_map<std::string, std::optional<SmallestLimit>> known_;
};

/// Gross weights to stop at, slow_gross and stop_gross rounded down to the scale's division.
struct StopWeights {
    Mass limit_gross;
    Mass slow_gross;  ///< 3 % of the limit or 1 lb, whichever is larger, before the stop (common practice, no source)
    Mass stop_gross;
    Mass room;  ///< from gross_now to the stop, as it is; negative where the cylinder is overfilled
};

/// The weights of a limit. Throws BrokenPromise where `division` is not positive.
StopWeights stop_weights(Mass limit_net, Mass tare, Mass gross_now, Mass division);

}  // namespace tarebook
