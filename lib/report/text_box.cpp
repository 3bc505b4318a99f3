#include "text_box.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "document.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::report {
namespace {

constexpr double kept_free = 1.0 / 30;

struct Breaker {
    double room;  // in thousandths of the size
    FontWeight weight;

    // As many bytes from the start as fit; all of them where the whole does.
    [[nodiscard]] std::size_t fitting(std::string_view text) const {
        std::size_t end = 0;
        double used = 0;
        while (end < text.size()) {
            const auto size = letter_at(text.substr(end)).size;
            used += static_cast<double>(drawn_width(text.substr(end, size), weight));
            if (used > room) break;
            end += size;
        }
        return end;
    }
    [[nodiscard]] bool fits(std::string_view text) const { return fitting(text) == text.size(); }
    // Bytes of a long word that go onto a line of their own: at least one letter.
    [[nodiscard]] std::size_t head_of(std::string_view word) const {
        const auto end = std::max(fitting(word), letter_at(word).size);
        const auto mark = word.substr(0, end).find_last_of("/-._");
        return end < word.size() && mark != std::string_view::npos ? mark + 1 : end;
    }
    void add(std::vector<std::string>& lines, std::string_view paragraph) const {
        std::string line;
        while (!paragraph.empty()) {
            const auto blank = std::min(paragraph.find(' '), paragraph.size());
            auto word = paragraph.substr(0, blank);
            paragraph.remove_prefix(std::min(blank + 1, paragraph.size()));
            if (word.empty()) continue;
            const auto longer = line.empty() ? std::string(word) : line + " " + std::string(word);
            if (fits(longer)) {
                line = longer;
                continue;
            }
            if (!line.empty()) lines.push_back(std::move(line));
            while (!fits(word)) {
                const auto head = head_of(word);
                lines.emplace_back(word.substr(0, head));
                word.remove_prefix(head);
            }
            line = word;
        }
        if (!line.empty()) lines.push_back(std::move(line));
    }
};

// As much of the line as fits beside three dots.
std::string with_dots(const Breaker& breaker, std::string line) {
    while (!line.empty() && !breaker.fits(line + "...")) line = cut_to_letters(line, letters_in(line) - 1);
    return line + "...";
}

}  // namespace

namespace {
FittedText at_size(int size, const TextBox& box, const std::vector<std::string>& paragraphs) {
    const Breaker breaker{box.width * (1 - kept_free) / size * 1000, box.weight};
    FittedText out{size, {}, false};
    bool breaks_a_word = false;
    for (const auto& paragraph : paragraphs) {
        for (const auto word : split(paragraph, ' ')) breaks_a_word = breaks_a_word || !breaker.fits(word);
        breaker.add(out.lines, paragraph);
    }
    const auto most = std::min<std::size_t>(static_cast<std::size_t>(box.lines),
                                            static_cast<std::size_t>(box.height / (size * line_height)));
    out.fits = out.lines.size() <= most;
    out.breaks_a_word = breaks_a_word;
    return out;
}
}  // namespace

FittedText fitted(const TextBox& box, const std::vector<std::string>& paragraphs) {
    FittedText broken, smallest;
    for (auto size = text_sizes.rbegin(); size != text_sizes.rend(); ++size) {
        if (*size > box.largest || *size < box.smallest) continue;
        smallest = at_size(*size, box, paragraphs);
        if (smallest.fits && !smallest.breaks_a_word) return smallest;
        if (smallest.fits && !broken.fits) broken = smallest;
    }
    if (broken.fits) return broken;
    const Breaker breaker{box.width * (1 - kept_free) / smallest.size * 1000, box.weight};
    const auto most = std::clamp<std::size_t>(static_cast<std::size_t>(box.height / (smallest.size * line_height)), 1,
                                              static_cast<std::size_t>(box.lines));
    smallest.lines.resize(std::min(most, smallest.lines.size()));
    if (!smallest.lines.empty()) smallest.lines.back() = with_dots(breaker, smallest.lines.back());
    return smallest;
}

std::string drawn_text(const TextBox& box, const std::vector<std::string>& paragraphs, Upright upright) {
    const auto text = fitted(box, paragraphs);
    const double line = text.size * line_height;
    const double free = box.height - line * static_cast<double>(text.lines.size());
    double y = box.y + text.size * ascent + (upright == Upright::middle ? std::max(0.0, free / 2) : 0.0);
    std::string out;
    for (const auto& words : text.lines) {
        out += fmt::format("<text class=\"f{}{}\" x=\"{:.1f}\" y=\"{:.1f}\">{}</text>\n", text.size,
                           box.weight == FontWeight::bold ? " bold" : "", box.x, y, escaped(words));
        y += line;
    }
    return out;
}

}  // namespace tarebook::report
