// Rows as drafts of events: first the entries of the register, then one event for each row, made when it is asked for.
#pragma once

#include "movements_rows.hpp"
#include "tarebook/record/record.hpp"

namespace tarebook {

class MovementDrafts : public Drafts {
 public:
    MovementDrafts(std::vector<Event> entries, const MovementRows& rows, Instant recorded)
        : entries_(std::move(entries)), rows_(rows), recorded_(recorded) {}
    [[nodiscard]] std::size_t size() const override { return entries_.size() + rows_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override;
    void make(std::size_t i, Event& out) const override;
    [[nodiscard]] std::size_t entries() const { return entries_.size(); }

 private:
    std::vector<Event> entries_;
    const MovementRows& rows_;
    Instant recorded_;
};

}  // namespace tarebook
