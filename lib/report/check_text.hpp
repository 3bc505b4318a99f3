// What an exception is about, in a few words behind the code of what it is about: "RC-03  OVER its limit".
#pragma once

#include <string>
#include <string_view>

namespace tarebook::report {

/// A check without words of its own has its name, with blanks.
std::string words_of_check(std::string_view check);

/// What a cylinder is marked with, as people say it: "for reclaim only".
std::string words_of_flag(std::string_view flag);

/// The text with the names of fill limits as people say them: "80 % liquid at 77 F".
std::string with_plain_words(std::string text);

}  // namespace tarebook::report
