// Many drafts at once: what a file of old records becomes. The same checks and the same all-or-nothing as `record`
// (I6), made for a million rows: drafts are made one at a time when they are asked for, and problems are collected
// instead of stopping at the first.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book.hpp"
#include "tarebook/drafts.hpp"

namespace tarebook {

struct DraftProblem {
    std::size_t draft = 0;
    Error error;
};
struct DraftProblems {
    std::vector<DraftProblem> listed;  ///< the first of them, in the order of the drafts
    std::size_t count = 0;             ///< all of them
};

struct ManyOptions {
    std::optional<std::string> anyway;  ///< the reason why what would be refused is recorded
    std::size_t most_listed = 1000;
    /// Called now and then with how much of the work is done, 0 to 1.
    std::function<void(double)> progress = {};
};

struct ManyRecorded {
    std::size_t recorded = 0;
    std::size_t already = 0;  ///< own ids that were in the book before, with the same content
    std::size_t exceptions = 0;
    Head head;
};

/// Every draft must have an own_id, each another: it is what makes the same file harmless the second time (I7).
tl::expected<ManyRecorded, DraftProblems> record_many(Book& book, const Drafts& drafts, const ManyOptions& options);

}  // namespace tarebook
