// The counts that a book has: begun at a place, perhaps closed. What was found in one is in stocktake_view.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

struct KnownStocktake {
    StoredEvent begin;
    std::optional<StoredEvent> close;
    [[nodiscard]] const kinds::StocktakeBegin& what() const {
        return std::get<kinds::StocktakeBegin>(begin.event.what);
    }
    [[nodiscard]] std::string id() const { return hex(begin.digest); }
    /// "E31, shop, begun 2026-06-01 08:00"
    [[nodiscard]] std::string told() const;
};

/// Those that count, in total order.
std::vector<KnownStocktake> stocktakes(const Book& book);
/// By `E31` or the first digits of a digest; where nothing is named, the one that is open; and where `closed_too`, else
/// the latest. Errors (refused): unknown-count, count-none, count-which.
Result<KnownStocktake> stocktake_named(const Book& book, const std::optional<std::string>& name, bool closed_too);

/// The minute in which it began: a weight may be typed with a time that has no seconds.
Instant stocktake_may_have_readings_from(const KnownStocktake& count);

/// Where the book has a cylinder; empty where that is not on record.
std::string place_of(const CylinderState& state, const CylinderFacts& facts);

}  // namespace tarebook
