// Rows of the analysts' file that one event has: itself, what it moved, its papers, a statement with its lots.
#pragma once

#include <map>
#include <unordered_map>

#include "report/event_row.hpp"
#include "table.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::analysis {

/// An event as the tables need it; good until the next one is read.
struct ReadEvent {
    report::EventRow row;
    YearWords words;
    const std::vector<YearMovement>* movements = nullptr;
};
/// Reads events one after another.
class EventReading {
 public:
    explicit EventReading(const Book& book) : movements_(book.entries()) {}
    ReadEvent read(const BookedEvent& e);

 private:
    report::EventRowReader rows_;
    YearWordsReader words_;
    YearMovements movements_;
    std::vector<YearPosting> postings_;
};

class EventRows {
 public:
    EventRows(const Book& book, AnalystsDb& file);
    void write(const BookedEvent& e, const ReadEvent& read);
    /// The exceptions of one event; in a file that is made: of all, from the first on.
    void write_findings(std::int64_t event_id, const std::vector<KnownException>& findings);
    /// An event that is in no table any more.
    void remove(std::int64_t event_id);
    /// How many events more there are than before.
    [[nodiscard]] std::int64_t more() const { return events_.more(); }
    void finish();

 private:
    std::int64_t number_of(const BookId& book);
    void write_statement(const BookedEvent& e);

    const Book& book_;
    AnalystsDb& file_;
    Table events_, movements_, manifests_, findings_, settlements_, settlement_lots_;
    std::map<BookId, std::int64_t> books_;
    std::unordered_map<std::int64_t, std::int64_t> return_of_;  // by the statement that settles it
};

/// Whether a kind of events can have a row of papers, or is a statement.
bool has_manifest(std::string_view kind);

}  // namespace tarebook::analysis
