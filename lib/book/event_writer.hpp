// Writes rows of events whose place in the chain is set.
#pragma once

#include "impl.hpp"
#include "insert_many.hpp"

namespace tarebook {

class EventWriter {
 public:
    enum class Many { no, yes };
    /// `end`: the last event of the own chain, where it is known.
    explicit EventWriter(Book::Impl& book, Many many = Many::no, std::optional<Head> end = {});
    /// Writes an event of the own chain.
    Digest write(std::int64_t id, const Event& event);
    /// Writes an event of any chain, byte for byte as it came.
    void put(std::int64_t id, std::int64_t origin, const Event& event, const Digest& digest, std::string_view body);
    void flush();  ///< precondition of reading them: the last rows are in the table only afterwards

 private:
    Book::Impl& book_;
    std::optional<InsertMany> many_;
    std::optional<Head> own_end_;  // known once an event was written
};
void sign_head(Book::Impl& book, const Head& head);

}  // namespace tarebook
