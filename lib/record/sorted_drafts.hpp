// What can be said of drafts before they are judged: what is in the book already, what has not the form of an event,
// what refers to something that is not on record.
#pragma once

#include "tarebook/record/record.hpp"

namespace tarebook {

struct SortedDrafts {
    std::vector<DraftProblem> problems;
    std::vector<StoredEvent> already;  ///< with the same content
    std::vector<Event> fresh;          ///< the drafts that are left, with their targets named by digest
    std::vector<std::size_t> line_of;  ///< of each fresh draft
    std::vector<bool> judgeable;       ///< no line before left it open what its cylinders hold
    bool all_read = true;
};

/// Where a site stands, and where a cylinder is filled, is the shop's country unless somebody said otherwise. It goes
/// into the entry, so that whoever gets the entry judges by the same rules. Where the default packs hold nothing is
/// written.
void take_country_of_book(const Book& book, Event& draft);

/// Of lines that stand each for itself.
SortedDrafts sorted_lines(const Book& book, const std::vector<DraftLine>& lines);
/// Of the drafts of one command: where one of them is in the book already, the command is.
SortedDrafts sorted_command(const Book& book, std::vector<Event> drafts);

/// A void or a statement names its target by what a person types (E12, digits of a digest); in the book it is the
/// digest.
void name_target_by_digest(const Book& book, Event& draft);

}  // namespace tarebook
