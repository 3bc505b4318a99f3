// Which book recorded an event, in words, where that was another one than the book that is read: a truck, or a desk of
// a book on a server.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "tarebook/book/book.hpp"

namespace tarebook::report {

/// The names that books have here, read when the first one is asked for; good for one page.
class BookNames {
 public:
    explicit BookNames(const Book& book) : book_(book) {}

    /// "front-desk (book 72d5c0ffee12)", or "book 72d5c0ffee12" where it has no name here; empty for the book itself.
    std::string of(const BookId& id);
    /// "recorded by front-desk (book 72d5c0ffee12)"; empty for an event of the book itself.
    std::string recorded_by(const Event& event);

 private:
    const Book& book_;
    std::optional<std::map<BookId, std::string>> called_;
};

}  // namespace tarebook::report
