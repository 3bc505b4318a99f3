// Writes results into the tables: it keeps rows until there are many, and gives them to SQLite in the order of their
// keys.
#pragma once

#include <map>

#include "balances.hpp"
#include "insert_many.hpp"
#include "sink.hpp"

namespace tarebook {

/// The table whose rows sum up to `balance`: on a server that is a view (schema/office/0002).
inline std::string_view balance_rows(const Db& db) {
    return db.on_server() ? "balance_part" : "balance";
}

class TableSink : public Sink {
 public:
    explicit TableSink(Book::Impl& book);
    std::int64_t account_id(const Account& account) override { return book_.account_id(account, true); }
    std::int64_t lot_id(const LotKey& lot) override { return book_.lot_id(lot); }
    bool postings(std::int64_t event, std::span<const Posting> postings, std::span<const PostingRow> rows,
                  Rows before) override;
    void step(const StepRow& row, std::string_view cylinder, Rows before) override;
    void no_step(std::int64_t account, const Place& place) override;
    void findings(std::int64_t event, const std::vector<Finding>& findings, Rows before) override;
    void current_state(std::int64_t account, std::string_view cylinder, const CylinderState* state) override;
    void finish() override;

 private:
    struct KeptStep {
        std::int64_t account;
        Place place;
        std::int64_t event, moved, gap;
        std::size_t state;  // its position in the arena
        std::uint32_t state_size;
        Rows before;
    };
    [[nodiscard]] std::vector<PostingRow> stored_postings(std::int64_t event);
    void write_steps();
    void write_current_states();
    void write_balances();
    void write_parts();
    void check_cylinders();

    Book::Impl& book_;
    InsertMany postings_, findings_;
    std::vector<KeptStep> steps_;
    std::string arena_;
    Balances balances_;
    std::map<std::int64_t, std::string> current_states_;  // empty: none
};

}  // namespace tarebook
