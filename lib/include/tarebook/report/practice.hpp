// A practice book is for learning. All that is shown of it says so at its head: these words, a key, or a column.
//
//     PracticeHeading head(Format::csv);
//     export_events(book, Format::csv, [&](std::string_view piece) { std::cout << head(piece); });
//
// Pages for a browser, sheets, labels, calendars, job sheets, cards, heads, proofs, bundles and the year's export are
// headed where they are made.
#pragma once

#include <string>
#include <string_view>

#include "tarebook/report/report.hpp"

namespace tarebook {

/// The words at the head of a page for people.
inline constexpr std::string_view practice_words = "PRACTICE: nothing in this book is real";

/// The first cell of each row in a table of the year's export; empty for a real book.
inline std::string_view practice_cell(const BookInfo& info) {
    return info.practice() ? "PRACTICE" : "";
}

/// Puts the heading to a page of text, JSON or CSV that comes in pieces: a first line, a first key `practice`, or a
/// first column `practice` in which each row says PRACTICE.
class PracticeHeading {
 public:
    /// For a page of this format.
    explicit PracticeHeading(Format format) : format_(format) {}
    /// The next piece of the page, with what belongs before its rows.
    [[nodiscard]] std::string operator()(std::string_view piece);

 private:
    Format format_;
    bool begun_ = false, row_begins_ = true, in_quotes_ = false;
};

}  // namespace tarebook
