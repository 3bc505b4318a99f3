// Precondition of a draft: all that it refers to is on record, or comes in with a draft before it.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/book/stocktakes.hpp"
#include "tarebook/record/record.hpp"

namespace tarebook {

Error refused(std::string name, std::string what, std::string seen, std::string expected, std::string next);

/// The reason that is kept if a person said yes to a question.
inline constexpr std::string_view said_yes_at_terminal = "confirmed at the terminal";

class References {
 public:
    explicit References(const Book& book) : book_(book) {}
    /// Errors: as listed at record(), from unknown-cylinder to finding-unknown.
    std::optional<Error> check(const Event& event);

 private:
    [[nodiscard]] bool known(EntryKind kind, const std::string& code) const;
    [[nodiscard]] std::optional<Error> need(EntryKind kind, const std::string& code) const;
    std::optional<Error> check_entry(const kinds::Entry& k);
    std::optional<Error> check_leak(std::string_view code, const std::string& circuit);
    [[nodiscard]] std::optional<Error> check_settle(const kinds::Settle& k, const Event& e) const;
    [[nodiscard]] std::optional<Error> check_stocktake_begin(const kinds::StocktakeBegin& k);
    [[nodiscard]] std::optional<Error> check_of_stocktake(std::string_view id, const Event& e);
    [[nodiscard]] bool stands_in_for_one_of(std::string_view count, const Event& e) const;
    const std::vector<KnownStocktake>& known_stocktakes();
    [[nodiscard]] std::optional<Error> check_remove_name(const kinds::RemoveName& k) const;
    std::optional<Error> check_void(const kinds::Void& k);
    std::optional<Error> check_trust(const kinds::Trust& k);
    [[nodiscard]] std::optional<Error> check_withdraw(const kinds::Withdraw& k);
    const std::map<std::string, std::string>& names_of_books();
    [[nodiscard]] std::optional<Error> check_resolve(const kinds::Resolve& k) const;

    const Book& book_;
    std::array<ByCode<bool>, entry_kind_count> drafted_;  // by kind
    /// The appliance or circuit of each leak, by number: from the book at the first question, then of the drafts.
    std::optional<std::vector<std::string>> leaks_;
    std::vector<std::string> drafted_leaks_;
    std::map<std::string, std::string, std::less<>> others_leaks_;  ///< of other books, by code
    std::optional<std::vector<KnownStocktake>> counts_;             ///< of the book, read at the first question
    std::set<std::string, std::less<>>
        seen_unknown_;                   ///< of the drafts: cylinders that a stocktake found and the register lacks
    std::set<std::string> voided_here_;  ///< of the drafts, digests in hex
    /// What each trusted book is called, by its id in hex, read at the first question.
    std::optional<std::map<std::string, std::string>> names_of_books_;
    std::map<std::string, std::string> drafted_names_;  ///< of the drafts, ids of books by name
};

/// A void of the entry of a cylinder that holds gas by the book: without the entry the book has no tare and no limit of
/// it. It is recorded only with a reason (`anyway`); the exception then stays listed. Error: entry-holds-gas.
std::optional<Error> refuse_or_accept_void_of_entry(const Book& book, Event& draft);

/// The event that a draft's own_id already names; empty if there is none. Error: own-id-other-content.
Result<std::optional<StoredEvent>> already_there(const Book& book, Event draft);

}  // namespace tarebook
