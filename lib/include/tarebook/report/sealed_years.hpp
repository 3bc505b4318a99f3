// Years whose figures were sealed, and perhaps given out, before an event of them came in.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// A year with its last seal.
struct SealedYear {
    int year = 0;
    StoredEvent seal;
    std::string name;  ///< of that event
};
/// Which of these years are sealed. What was recorded of them after the seal is an amendment that the seal does not
/// cover.
std::vector<SealedYear> sealed_among(const Book& book, const std::set<int>& years);
/// For people, in lines of a page: which year is amended, and what to do. Empty for no years.
std::string amended_text(const std::vector<SealedYear>& years);

}  // namespace tarebook
