#include "tarebook/units/fitted_text.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "tarebook/units/utf8.hpp"

namespace tarebook {
namespace {

// A word and the blanks before it.
struct Word {
    std::size_t blanks = 0;
    std::string_view text;
};

// A number and its unit are read together: "48.80 lb", "146 F;".
bool belongs_to_number(std::string_view before, std::string_view word) {
    constexpr std::array<std::string_view, 22> units{"lb",  "kg",   "oz",  "g",    "F",      "C",   "psig", "psia",
                                                     "psi", "inHg", "bar", "barg", "kPa",    "Pa",  "%",    "micron",
                                                     "min", "ft",   "ml",  "t",    "litres", "days"};
    const auto last = word.find_last_not_of(".,;:)");
    if (last == std::string_view::npos || before.empty()) return false;
    const bool is_number = before.find_first_not_of("0123456789.,+-(") == std::string_view::npos &&
                           before.back() >= '0' && before.back() <= '9';
    return is_number && std::find(units.begin(), units.end(), word.substr(0, last + 1)) != units.end();
}

// `whole_quotes`: what is between quotes is one word, as in a shell.
std::vector<Word> words_of(std::string_view line, bool whole_quotes) {
    std::vector<Word> out;
    for (std::size_t at = 0; at < line.size();) {
        const auto begin = std::min(line.find_first_not_of(' ', at), line.size());
        if (begin == line.size()) break;
        auto end = begin;
        for (char quote = 0; end < line.size() && (quote != 0 || line[end] != ' '); ++end) {
            if (!whole_quotes) continue;
            if (quote == 0 && (line[end] == '"' || line[end] == '\''))
                quote = line[end];
            else if (line[end] == quote)
                quote = 0;
        }
        const auto word = line.substr(begin, end - begin);
        if (!whole_quotes && !out.empty() && begin - at == 1 && belongs_to_number(out.back().text, word))
            out.back().text = line.substr(static_cast<std::size_t>(out.back().text.data() - line.data()),
                                          out.back().text.size() + 1 + word.size());
        else
            out.push_back({begin - at, word});
        at = end;
    }
    return out;
}

// A digest in hex that no line holds stands on several: in parts of 32 digits, or of 16. No other word is broken.
std::vector<Word> with_broken_digests(std::vector<Word> words, std::size_t room) {
    constexpr std::size_t shortest = 32;
    const auto is_digest = [&](std::string_view text) {
        return text.size() > room && text.size() >= shortest &&
               text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
    };
    std::vector<Word> out;
    for (const auto& word : words) {
        if (!is_digest(word.text)) {
            out.push_back(word);
            continue;
        }
        const std::size_t part = room >= shortest ? shortest : shortest / 2;
        for (std::size_t at = 0; at < word.text.size(); at += part)
            out.push_back({at == 0 ? word.blanks : 0, word.text.substr(at, part)});
    }
    return out;
}

// Where the second line of a broken one begins.
std::size_t hang_of(std::string_view line, std::size_t indent, std::size_t width, std::size_t hanging) {
    const auto words = line.substr(indent);
    if (words.starts_with("- ")) return indent + 2;
    const auto gap = words.find("  ");
    if (gap != std::string_view::npos) {
        const auto value = std::min(words.find_first_not_of(' ', gap), words.size());
        const auto column = indent + letters_in(words.substr(0, value));
        return column * 2 <= width ? column : indent + 2;
    }
    return indent + hanging;
}

void fit_line(std::string& out, std::string_view line, std::size_t width, std::size_t hanging) {
    const auto indent = std::min(line.find_first_not_of(' '), line.size());
    const bool is_command = line.substr(indent).starts_with("tarebook ");
    const auto hang = is_command ? indent + 4 : hang_of(line, indent, width, hanging);
    const std::string_view end = is_command ? " \\\n" : "\n";
    const auto room = width - std::min(end.size() - 1, width);
    std::size_t used = 0;
    bool fresh = true;
    auto words = words_of(line, is_command);
    if (!is_command) words = with_broken_digests(std::move(words), width - std::min(hang, width));
    for (std::size_t i = 0; i < words.size(); ++i) {
        const auto size = letters_in(words[i].text);
        if (!fresh && used + words[i].blanks + size > (i + 1 == words.size() ? width : room)) {
            out += end;
            out.append(hang, ' ');
            used = hang;
        } else {
            out.append(words[i].blanks, ' ');
            used += words[i].blanks;
        }
        out += words[i].text;
        used += size;
        fresh = false;
    }
}

}  // namespace

std::string fitted_text(std::string_view text, std::size_t width, std::size_t hanging) {
    std::string out;
    out.reserve(text.size() + text.size() / 16);
    for (std::size_t at = 0; at < text.size();) {
        const auto end = std::min(text.find('\n', at), text.size());
        const auto line = text.substr(at, end - at);
        if (line.size() <= width || letters_in(line) <= width)
            out += line;
        else
            fit_line(out, line, width, hanging);
        if (end < text.size())
            out += '\n';
        else if (out.size() > 0 && out.back() != ' ' && line.ends_with(' '))
            out += ' ';  // a prompt: the answer is typed behind it
        at = end + 1;
    }
    return out;
}

}  // namespace tarebook
