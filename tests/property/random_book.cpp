#include "random_book.hpp"

#include <algorithm>

#include "book/transaction.hpp"

namespace tarebook::property {

const Judge& judge_of_random_books() {
    static const Judge judge({}, Notes::left_out);
    return judge;
}

Book book_of(const std::filesystem::path& place, const History& history) {
    Moment start;
    start.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 5);
    start.zone = "UTC";
    auto book = Book::create(place, "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago", start);
    std::vector<std::string> digests(history.size());
    for (std::size_t i = 0; i < history.size(); ++i) {
        std::vector<Event> drafts{with_target(history[i], digests)};
        auto transaction = Book::Transaction::begin(book);
        const auto outcomes = transaction.judge(drafts, judge_of_random_books());
        digests[i] = hex(transaction.commit(drafts, outcomes, judge_of_random_books()).front().digest);
    }
    return book;
}

Instant day_after(const History& history) {
    Instant last{};
    for (const auto& draft : history) last = std::max({last, draft.event.when.at, draft.event.recorded});
    return last + std::chrono::days(1);
}

}  // namespace tarebook::property
