// Returns and the reclaimers' statements about them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "columns.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook::report {

struct ReturnView {
    StoredEvent event;
    Lots sent;                             ///< by the book, with or without a statement
    std::optional<StoredEvent> statement;  ///< empty: awaited

    [[nodiscard]] const kinds::Return& what() const { return std::get<kinds::Return>(event.event.what); }
    [[nodiscard]] const kinds::Settle* said() const {
        return statement ? &std::get<kinds::Settle>(statement->event.what) : nullptr;
    }
};

/// Precondition: `returned` is a return that counts.
ReturnView return_view(const Book& book, StoredEvent returned);
/// The returns among these events that count.
std::vector<ReturnView> returns_among(const Book& book, std::vector<StoredEvent> events);

/// "awaited from Westmark Reclaim", or "settled by E50, reclaimed".
std::string statement_word(const ReturnView& view);
/// Sent beside stated, the difference, purity, outcome and credit: several lines.
std::string settlement_text(const ReturnView& view, DisplayUnits units);
/// One row for each return. `owner`: only that owner's share.
Table returns_table(const std::vector<ReturnView>& views, DisplayUnits units,
                    const std::optional<std::string>& owner = {});
Json return_json(const ReturnView& view);
/// The parts that an owner may see: that owner's share alone.
Json return_json_for(const ReturnView& view, const std::string& owner);

}  // namespace tarebook::report
