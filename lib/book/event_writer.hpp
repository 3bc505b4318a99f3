// Rows of events whose place in the chain is set.
#pragma once

#include "impl.hpp"
#include "scan.hpp"

namespace tarebook {

class EventWriter {
 public:
    enum class Many { no, yes };
    explicit EventWriter(Book::Impl& book, Many many = Many::no);
    Digest write(std::int64_t id, const Event& event);
    void flush();  ///< many rows are in the table once it has returned

 private:
    Book::Impl& book_;
    std::optional<Insert> few_;
    std::optional<InsertMany> many_;
};
void sign_head(Book::Impl& book, std::int64_t seq, const Digest& digest);

}  // namespace tarebook
