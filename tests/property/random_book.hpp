// A random history as a book, recorded event by event with all checks.
#pragma once

#include <filesystem>

#include "histories.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/checks/checks.hpp"

namespace tarebook::property {

/// The checks by which it is recorded.
const Judge& judge_of_random_books();
Book book_of(const std::filesystem::path& place, const History& history);
/// A day after all that a history records.
Instant day_after(const History& history);

}  // namespace tarebook::property
