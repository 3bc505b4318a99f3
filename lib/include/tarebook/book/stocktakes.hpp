// The counts that a book has: begun at a place, perhaps closed. What each of them found is in stocktake_view of
// lib/report.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// A count of the book.
struct KnownStocktake {
    StoredEvent begin;
    std::optional<StoredEvent> close;  ///< nothing while it is open
    /// What its first event says.
    [[nodiscard]] const kinds::StocktakeBegin& what() const {
        return std::get<kinds::StocktakeBegin>(begin.event.what);
    }
    /// The digest of its first event in hex: the field `count` of its other events.
    [[nodiscard]] std::string id() const { return hex(begin.digest); }
    /// For people: "E31, shop, begun 2026-06-01 08:00".
    [[nodiscard]] std::string told() const;
};

/// The effective ones, in total order.
std::vector<KnownStocktake> stocktakes(const Book& book);
/// The count of that name, `E31` or the first digits of a digest; without a name the one that is open, or, where none
/// is open and `closed_too`, the latest. Errors (refused): unknown-count, count-none, count-which.
Result<KnownStocktake> stocktake_named(const Book& book, const std::optional<std::string>& name, bool closed_too);

/// The beginning of the minute in which the count began: a weight may be typed with a time that has no seconds.
Instant stocktake_may_have_readings_from(const KnownStocktake& count);

/// The place that the book has for a cylinder; empty if none is on record.
std::string place_of(const CylinderState& state, const CylinderFacts& facts);

}  // namespace tarebook
