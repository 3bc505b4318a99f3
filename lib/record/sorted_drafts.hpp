// Sorts drafts before they are judged: those that are in the book already, those without the form of an event, those
// that refer to something that is not on record.
#pragma once

#include "tarebook/record/record.hpp"

namespace tarebook {

struct SortedDrafts {
    std::vector<DraftProblem> problems;
    std::vector<StoredEvent> already;  ///< with the same content
    std::vector<Event> fresh;          ///< the other drafts, with their targets named by digest
    std::vector<std::size_t> line_of;  ///< of each fresh draft
    std::vector<bool> judgeable;       ///< false if a line before it left open what its cylinders hold
    bool all_read = true;
};

/// Sets the country of a new site or cylinder to the shop's country if none is given. It is part of the entry, so that
/// each book that gets the entry judges by the same rules. If the default packs hold there it is not written.
void take_country_of_book(const Book& book, Event& draft);

/// For lines that are recorded independently of each other.
SortedDrafts sorted_lines(const Book& book, const std::vector<DraftLine>& lines);
/// For the drafts of one command: if one of them is in the book already, the command is.
SortedDrafts sorted_command(const Book& book, std::vector<Event> drafts);

/// A person types E12 or digits of a digest for the target of a void or statement; this puts the digest in its place.
void name_target_by_digest(const Book& book, Event& draft);

}  // namespace tarebook
