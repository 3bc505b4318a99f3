// Offers the next word of a command line to shells that complete: from the parser's options and the book's codes.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "session.hpp"

namespace tarebook::cli {

struct Candidate {
    std::string word, help;
};

/// `words`: the line without the program's name; the last word may be incomplete. Without a book, or with one that
/// cannot be read, codes are left out.
std::vector<Candidate> candidates(const CLI::App& root, const Session& session, const std::vector<std::string>& words);

/// The script that a shell reads once; empty for another shell than bash, zsh and fish.
std::string_view completion_script(std::string_view shell);

/// All commands as a page for man(1), in roff, made from the same text as --help.
std::string man_page(const CLI::App& root);

}  // namespace tarebook::cli
