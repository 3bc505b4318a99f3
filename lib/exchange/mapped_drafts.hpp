// The drafts that the rows of a mapped file become, each with its line, before the book is asked.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "mapped_table.hpp"
#include "tarebook/exchange/mapped_import.hpp"
#include "tarebook/record/record.hpp"

namespace tarebook {

struct MappedDrafts {
    std::vector<DraftLine> lines;
    std::vector<std::int64_t> line_of;  ///< the line of each draft
    std::size_t rows = 0;
    std::size_t entries_already = 0;
    std::map<std::string, std::size_t> not_said;

    void keep(Event draft, std::int64_t line) {
        lines.push_back({std::move(draft), {}, false});
        line_of.push_back(line);
    }
    /// A row that cannot be read: its effect on the cylinder is not known.
    void keep_unread(const std::optional<std::string>& cylinder, std::int64_t line) {
        lines.push_back({std::nullopt, {}, !cylinder});
        if (cylinder) lines.back().cylinders.push_back(*cylinder);
        line_of.push_back(line);
    }
};

/// Own ids of rows: made of a row's local time and of what it says, and not of what a mapping makes of its words and
/// units. After the mapping is corrected the row has the same id, and is reported as recorded with other content.
class MappedRowIds {
 public:
    /// "map:TIME-DIGEST"; with "/2" behind it for the second row that says the same.
    std::string of(const Moment& when, const std::string& words);

 private:
    std::map<std::string, unsigned> repeats_;
};

/// Gives each row of the table that can be read to `row`, and counts them.
template <class Row>
void each_row(MappedTable& table, MappedDrafts& out, Row row) {
    while (table.next()) {
        ++out.rows;
        row();
    }
}

/// An entry of the register from the rows; `place` has the line of each field, for problems.
struct MappedEntry {
    struct Place {
        std::int64_t line = 0;
        std::string column;
    };
    EntryKind kind = EntryKind::cylinder;
    std::string code;
    FieldValues values;
    std::map<std::string, Place> places;
    std::int64_t line = 0;
};

/// What a reader of a list of entries works on, and what it makes.
class MappedEntries {
 public:
    MappedEntries(const Book& book, MappedTable& table, const std::string& file, Instant now, FileProblems& problems)
        : book_(book), table_(table), file_(file), now_(now), problems_(problems) {}

 protected:
    const Book& book_;
    MappedTable& table_;
    const std::string& file_;
    Instant now_;
    FileProblems& problems_;
    MappedDrafts out_;
};

/// Makes the draft of an entry that the book does not have. An entry that the book has with the same fields counts as
/// there, even if a field was corrected since; other fields are the problem entry-differs, which names both values.
void draft_entry(const Book& book, const MappedEntry& entry, const Moment& when, Instant now, const std::string& file,
                 MapKind kind, FileProblems& problems, MappedDrafts& out);

MappedDrafts read_mapped_cylinders(const Book& book, MappedTable& table, const std::string& file, Instant now,
                                   FileProblems& problems);
MappedDrafts read_mapped_sites(const Book& book, MappedTable& table, const std::string& file, Instant now,
                               FileProblems& problems);
MappedDrafts read_mapped_movements(const Book& book, MappedTable& table, Instant now);
MappedDrafts read_mapped_work(const Book& book, MappedTable& table, Instant now);

/// One draft in words, for a dry run.
std::string words_of_draft(const Event& draft);

}  // namespace tarebook
