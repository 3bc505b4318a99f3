// Lists of words: put together for a sentence, and taken apart where a text holds several.
#pragma once

#include <algorithm>
#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

namespace tarebook {

/// Puts the word behind the others, with `between` where there are others.
inline void add_word(std::string& list, std::string_view word, std::string_view between = ", ") {
    if (!list.empty()) list += between;
    list += word;
}

/// "a, b, c"; empty where there is no word.
template <class Words>
std::string joined(const Words& words, std::string_view between = ", ") {
    std::string out;
    bool first = true;
    for (const auto& word : words) {
        if (!first) out += between;
        first = false;
        out += word;
    }
    return out;
}
/// The same of words that stand here.
inline std::string joined(std::initializer_list<std::string_view> words, std::string_view between = ", ") {
    return joined<std::initializer_list<std::string_view>>(words, between);
}

/// The parts between the marks, empty ones too; a mark at the very end begins no part, and an empty text has none. They
/// are views of the text.
inline std::vector<std::string_view> split(std::string_view text, char mark) {
    std::vector<std::string_view> out;
    while (!text.empty()) {
        out.push_back(text.substr(0, text.find(mark)));
        text.remove_prefix(std::min(text.size(), out.back().size() + 1));
    }
    return out;
}

/// Whether the word is one of "a|b|c".
inline bool is_among(std::string_view word, std::string_view words) {
    const auto all = split(words, '|');
    return std::find(all.begin(), all.end(), word) != all.end();
}

/// Without blanks and tabs at its ends.
inline std::string_view trimmed(std::string_view text) {
    text.remove_prefix(std::min(text.find_first_not_of(" \t"), text.size()));
    return text.substr(0, text.find_last_not_of(" \t") + 1);
}

}  // namespace tarebook
