// A pattern from lines that were heard: what is a number becomes the group, what is always the same stays as it is.
#include <algorithm>
#include <map>
#include <set>

#include "marks.hpp"
#include "tarebook/scale/scale_reader.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/decimal.hpp"

namespace tarebook {
namespace {

enum class Part { number, word, blank, sign, other };

struct Piece {
    Part part;
    std::string text;
};

Part part_of(char c) {
    if (decimal::is_digit(c)) return Part::number;
    if (decimal::is_letter(c)) return Part::word;
    if (c == ' ' || c == '\t') return Part::blank;
    return c == '+' || c == '-' ? Part::sign : Part::other;
}

std::vector<Piece> pieces_of(std::string_view line) {
    std::vector<Piece> out;
    for (std::size_t i = 0; i < line.size(); ++i) {
        auto part = part_of(line[i]);
        const bool between = i + 1 < line.size() && decimal::is_digit(line[i + 1]);
        const bool in_number = !out.empty() && out.back().part == Part::number;
        if ((line[i] == '.' || line[i] == ',') && in_number && between &&
            out.back().text.find_first_of(".,") == std::string::npos)
            part = Part::number;
        if (!out.empty() && out.back().part == part && part != Part::sign && part != Part::other)
            out.back().text += line[i];
        else
            out.push_back({part, std::string(1, line[i])});
    }
    return out;
}

// Its weight is the number beside a unit, else one with a point, else the last one.
std::size_t weight_in(const std::vector<Piece>& pieces) {
    std::size_t best = pieces.size();
    int points = 0;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        if (pieces[i].part != Part::number) continue;
        auto next = i + 1;
        if (next < pieces.size() && pieces[next].part == Part::blank) ++next;
        auto before = i;
        if (before > 0 && pieces[before - 1].part == Part::blank) --before;
        const bool has_unit = (next < pieces.size() && !scale::known_unit(pieces[next].text).empty()) ||
                              (before > 0 && !scale::known_unit(pieces[before - 1].text).empty());
        const int here = 1 + (has_unit ? 2 : 0) + (pieces[i].text.find_first_of(".,") != std::string::npos ? 1 : 0);
        if (here >= points) best = i, points = here;
    }
    return best;
}

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (std::string_view("\\^$.|?*+()[]{}").find(c) != std::string_view::npos) out += '\\';
        out += c;
    }
    return out;
}

std::string mark_or_word(const std::string& word, bool moves, bool& has_stable, bool& has_moving) {
    const auto lower = decimal::lower(word);
    for (const auto& mark : scale::marks) {
        if (!is_among(lower, mark.words)) continue;
        if (mark.says == scale::Says::stable && !std::exchange(has_stable, true)) return "(?<stable>" + word + ")";
        if (mark.says == scale::Says::moving && !std::exchange(has_moving, true)) return "(?<moving>" + word + ")";
    }
    return moves ? "[A-Za-z]+" : word;
}

std::string one_of(const std::set<std::string>& texts) {
    if (texts.size() == 1) return escaped(*texts.begin());
    std::string out;
    for (const auto& text : texts) add_word(out, escaped(text), "|");
    return "(?:" + out + ")";
}

std::string other_number(const std::set<std::string>& texts) {
    const bool points = std::any_of(texts.begin(), texts.end(),
                                    [](const auto& text) { return text.find_first_of(".,") != std::string::npos; });
    return points ? "[0-9]+(?:[.,][0-9]+)?" : "[0-9]+";
}

// The first unit behind the weight, else the last one before it.
std::size_t unit_in(const std::vector<Piece>& pieces, std::size_t weight) {
    const auto is_unit = [&](std::size_t i) { return !scale::known_unit(pieces[i].text).empty(); };
    for (auto i = weight + 1; i < pieces.size(); ++i)
        if (is_unit(i)) return i;
    for (auto i = weight; i > 0; --i)
        if (is_unit(i - 1)) return i - 1;
    return pieces.size();
}

// `others`: lines of the same pieces, which show what changes from line to line.
std::string pattern_of(const std::vector<Piece>& pieces, const std::vector<std::vector<Piece>>& others) {
    const auto weight = weight_in(pieces);
    std::string out;
    const auto unit = unit_in(pieces, weight);
    bool has_stable = false, has_moving = false;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const auto& [part, text] = pieces[i];
        std::set<std::string> seen;
        for (const auto& other : others) seen.insert(other[i].text);
        const bool near_weight = i + 1 == weight || (i + 2 == weight && pieces[i + 1].part == Part::blank);
        if (part == Part::number)
            out += i == weight ? "(?<number>[0-9]+(?:[.,][0-9]+)?)" : other_number(seen);
        else if (part == Part::blank)
            out += " *";
        else if (part == Part::sign && near_weight)
            out += "(?<sign>[-+]?)";
        else if (part == Part::word && i == unit)
            out += "(?<unit>" + joined(seen, "|") + ")";
        else if (part == Part::word)
            out += mark_or_word(text, seen.size() > 1, has_stable, has_moving);
        else
            out += one_of(seen);
    }
    return out;
}

bool same_parts(const std::vector<Piece>& a, const std::vector<Piece>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](const Piece& x, const Piece& y) { return x.part == y.part; });
}

}  // namespace

std::string proposed_pattern(const std::vector<std::string>& lines) {
    std::vector<std::vector<Piece>> heard;
    for (const auto& line : lines)
        if (const auto text = trimmed(line); !text.empty() && text.size() <= longest_scale_line)
            heard.push_back(pieces_of(text));
    std::string best;
    std::size_t most = 0;
    std::set<std::string> tried;
    for (const auto& pieces : heard) {
        if (weight_in(pieces) == pieces.size()) continue;
        std::vector<std::vector<Piece>> alike;
        std::copy_if(heard.begin(), heard.end(), std::back_inserter(alike),
                     [&](const auto& other) { return same_parts(pieces, other); });
        const auto pattern = pattern_of(pieces, alike);
        if (!tried.insert(pattern).second) continue;
        const auto shape = LineShape::of_pattern(pattern);
        if (!shape) continue;
        const auto read = static_cast<std::size_t>(
            std::count_if(lines.begin(), lines.end(), [&](const auto& line) { return shape->read(line).has_value(); }));
        if (read > most) best = pattern, most = read;
    }
    return 2 * most >= heard.size() ? best : std::string();
}

}  // namespace tarebook
