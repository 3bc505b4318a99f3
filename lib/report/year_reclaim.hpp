// What went to reclaimers, and to suppliers in exchange, in a year, the reclaimers' statements about it, and the
// statements that are still awaited.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::report {

/// Per gas and owner, exactly: awaited at the start + sent = stated + not refrigerant + difference + awaited at the
/// end. Stated, not refrigerant and difference are those of statements that were recorded in the year.
struct ReclaimLine {
    MassTotal awaited_at_start, sent, stated, not_refrigerant, difference;
    MassTotal sent_in_exchange;  ///< to suppliers, with a cylinder for which another one came; no statement is awaited
    [[nodiscard]] Mass awaited_at_end() const;
    ReclaimLine& operator+=(const ReclaimLine& other);
    [[nodiscard]] bool is_empty() const;
};

/// One lot of a return whose statement was recorded in the year.
struct StatedLot {
    LotKey lot;
    Mass sent, stated, not_refrigerant, difference;
};

struct YearStatement {
    Digest event{}, returned{};
    std::int64_t event_id = 0;
    OrderKey order;  ///< of the statement
    Date date{}, returned_on{};
    kinds::Settle said;
    std::string to;
    std::vector<StatedLot> lots;
    bool within_tolerance = false;
};

class ReclaimWatch {
 public:
    ReclaimWatch(const Book& book, std::chrono::year year);
    /// Precondition: called for every event, in total order.
    void see(const BookedEvent& e);

    [[nodiscard]] const std::map<StockKey, ReclaimLine>& lines() const { return lines_; }
    /// Those recorded in the year, in total order.
    [[nodiscard]] const std::vector<YearStatement>& statements() const { return statements_; }
    /// The statement that the last event is; null if it is none, or not of the year.
    [[nodiscard]] const YearStatement* just_seen(const BookedEvent& e) const {
        return !statements_.empty() && statements_.back().event_id == e.stored.id ? &statements_.back() : nullptr;
    }
    /// The statement about a return, if it was recorded by the end of the year.
    [[nodiscard]] std::optional<Digest> statement_on(std::int64_t return_id) const;

 private:
    struct Returned {
        Digest digest{};
        Date on{};
        std::string to;
        Lots lots;
    };
    void see_return(const BookedEvent& e);
    void see_exchange(const BookedEvent& e);
    void see_statement(const BookedEvent& e, std::int64_t return_id);
    ReclaimLine& line(const LotKey& lot) { return lines_[{lot.refrigerant, lot.owner}]; }

    Date first_, last_;
    std::unordered_map<std::int64_t, Statement> by_return_;     // of those until the end of the year
    std::unordered_map<std::int64_t, std::int64_t> return_of_;  // by the statement's row
    std::unordered_map<std::int64_t, Returned> open_;           // returns that were seen without their statement
    std::unordered_map<std::int64_t, Digest> said_;             // by the return's row
    std::map<StockKey, ReclaimLine> lines_;
    std::vector<YearStatement> statements_;
};

}  // namespace tarebook::report
