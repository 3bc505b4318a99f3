// A sealed year: the sealed figures, the present ones, and the events since.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "json.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/year/seal.hpp"

namespace tarebook::report {

class SealWatch {
 public:
    /// The last seal of the year that counts, of the book's events of that kind.
    SealWatch(const Book& book, std::chrono::year year, const std::vector<StoredEvent>& seals);
    /// Precondition: called for every event, in total order.
    void see(const BookedEvent& e);
    /// Called after the last event, with the digest of the present balances of the whole book.
    void finish(const Digest& balances) { balances_ = balances; }

    /// Keeps the sealed digests, for a proof. Precondition: no event was seen yet.
    void keep_leaves() { keeps_ = true; }
    [[nodiscard]] const std::vector<Digest>& sealed_leaves() const { return leaves_; }
    [[nodiscard]] const StoredEvent* seal_event() const { return stored(); }

    [[nodiscard]] bool sealed() const { return seal_.has_value(); }
    /// Whether the sealed events have changed: the book is damaged, or another one.
    [[nodiscard]] bool broken() const;
    [[nodiscard]] bool amended() const { return !amendments_.empty() || balances_differ(); }
    [[nodiscard]] kinds::Seal now() const;
    /// The packs that the seal names, in this program's edition; empty if the seal names none.
    [[nodiscard]] std::optional<std::string> edition_now() const;
    [[nodiscard]] bool other_edition() const { return seal_ && edition_now() != seal_->edition; }
    /// Empty if the year was never sealed. `all`: the whole book is shown, so that amendments may be named.
    [[nodiscard]] std::string text(const Book& book, bool all) const;
    [[nodiscard]] Json json(const Book& book, bool all) const;

 private:
    struct Amendment {
        std::int64_t event_id = 0;
        std::optional<Digest> taken_out_by;  ///< a void that came after the seal; empty for an event that came after it
    };
    [[nodiscard]] bool balances_differ() const;
    /// Whether the event came after the seal.
    [[nodiscard]] bool came_after(const OrderKey& order) const;
    [[nodiscard]] const StoredEvent* stored() const { return event_ ? &*event_ : nullptr; }

    Rulebook rules_;
    Date first_, last_;
    std::chrono::year year_;
    std::optional<StoredEvent> event_;
    std::optional<kinds::Seal> seal_;
    std::map<BookId, std::int64_t> until_;  ///< the last sealed number of each book
    std::map<BookId, SealedHead> heads_;
    MerkleTree sealed_tree_, tree_;
    bool keeps_ = false;
    std::vector<Digest> leaves_;
    std::vector<Amendment> amendments_;
    Digest balances_{};
};

}  // namespace tarebook::report
