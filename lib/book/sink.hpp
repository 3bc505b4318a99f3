// Receives the results of a replay.
#pragma once

#include <span>

#include "impl.hpp"

namespace tarebook {

struct PostingRow {
    std::int64_t account = 0, lot = 0, mass = 0;
    std::optional<std::int64_t> circuit_day;
    friend bool operator==(const PostingRow&, const PostingRow&) = default;
};
struct StepRow {
    std::int64_t account = 0;
    Place place;
    std::int64_t event = 0, moved = 0, gap = 0;
    std::string_view state;  ///< packed; valid during the call
};
/// Whether the tables may have rows of an event already.
enum class Rows { fresh, there };

class Sink {
 public:
    Sink() = default;
    Sink(const Sink&) = delete;
    Sink& operator=(const Sink&) = delete;
    virtual ~Sink() = default;
    virtual std::int64_t account_id(const Account& account) = 0;
    virtual std::int64_t lot_id(const LotKey& lot) = 0;
    /// Takes the postings of an event; `rows` has them by numbers. Returns whether they differ from the rows before.
    virtual bool postings(std::int64_t event, std::span<const Posting> postings, std::span<const PostingRow> rows,
                          Rows before) = 0;
    /// Takes a step that differs from the stored one.
    virtual void step(const StepRow& row, std::string_view cylinder, Rows before) = 0;
    virtual void no_step(std::int64_t account, const Place& place) = 0;
    virtual void findings(std::int64_t event, const std::vector<Finding>& findings, Rows before) = 0;
    /// Called once for each cylinder, at the end, with its state after its last step; empty if it has none.
    virtual void current_state(std::int64_t account, std::string_view cylinder, const CylinderState* state) = 0;
    virtual void finish() = 0;
};

}  // namespace tarebook
