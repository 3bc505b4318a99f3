// Text that comes from outside is UTF-8, or it is refused; text that is cut is cut between letters.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace tarebook {

/// A code point, or one byte that begins none: no overlong forms, no surrogates, nothing beyond U+10FFFF.
struct Utf8Letter {
    std::uint32_t code = 0;
    std::size_t size = 1;  ///< bytes
    bool whole = false;    ///< UTF-8
};
/// The letter at the start. Precondition: the text is not empty.
Utf8Letter letter_at(std::string_view text);
/// Bytes of the letter that begins so; 0 where none does.
std::size_t letter_size(char first);

/// Whether all of it is such letters.
bool is_utf8(std::string_view text);

/// How many letters: names may carry accents.
std::size_t letters_in(std::string_view text);
/// The first so many letters.
std::string_view cut_to_letters(std::string_view text, std::size_t most);
/// As many letters from the start as so many bytes hold.
std::string_view cut_to_bytes(std::string_view text, std::size_t most);
/// The same for a message, which says by three points that something is left out.
std::string shortened(std::string_view text, std::size_t most);

/// The mark of byte order, which some programs write before a text.
inline constexpr std::string_view utf8_mark = "\xEF\xBB\xBF";
/// The text behind the mark, where there is one.
inline std::string_view without_utf8_mark(std::string_view text) {
    return text.starts_with(utf8_mark) ? text.substr(utf8_mark.size()) : text;
}

}  // namespace tarebook
