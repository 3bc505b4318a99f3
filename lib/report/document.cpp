#include "document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "layout.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::report {

Document::Document(std::string title, std::string lead, std::string_view between)
    : title_(std::move(title)), lead_(std::move(lead)), between_(between) {}

Document Document::named(std::string title) {
    Document out(std::move(title), {});
    out.title_in_text_ = false;
    return out;
}

Document& Document::heading(std::string words) {
    parts_.emplace_back(Words{Words::Kind::heading, std::move(words)});
    return *this;
}
Document& Document::chapter(std::string words) {
    parts_.emplace_back(Words{Words::Kind::chapter, std::move(words)});
    return *this;
}
Document& Document::signature(std::string who) {
    parts_.emplace_back(Words{Words::Kind::signature, std::move(who)});
    return *this;
}
Document& Document::on_one_sheet() {
    one_sheet_ = true;
    return *this;
}
Document& Document::line(std::string words, std::size_t indent) {
    parts_.emplace_back(Words{Words::Kind::line, std::move(words), indent});
    return *this;
}
Document& Document::paragraph(std::string words, std::size_t indent) {
    parts_.emplace_back(Words{Words::Kind::paragraph, std::move(words), indent});
    return *this;
}
Document& Document::warning(std::string words) {
    parts_.emplace_back(Words{Words::Kind::warning, std::move(words)});
    return *this;
}
Document& Document::bullet(std::string words) {
    parts_.emplace_back(Words{Words::Kind::bullet, std::move(words)});
    return *this;
}
Document& Document::fact(std::string name, std::string value, std::size_t width) {
    parts_.emplace_back(Fact{std::move(name), std::move(value), width});
    return *this;
}
Document& Document::table(Table table, std::string caption, std::size_t indent) {
    parts_.emplace_back(Rows{std::move(table), std::move(caption), indent});
    return *this;
}
Document& Document::cards(Cards cards) {
    parts_.emplace_back(std::move(cards));
    return *this;
}
Document& Document::picture(Picture picture) {
    parts_.emplace_back(std::move(picture));
    return *this;
}
Document& Document::step(std::string words) {
    parts_.emplace_back(Words{Words::Kind::step, std::move(words)});
    return *this;
}
Document& Document::box(std::string words) {
    parts_.emplace_back(Words{Words::Kind::box, std::move(words)});
    return *this;
}
Document& Document::item(std::string lines) {
    parts_.emplace_back(Words{Words::Kind::item, std::move(lines)});
    return *this;
}
Document& Document::add(Document part) {
    for (auto& p : part.parts_) parts_.push_back(std::move(p));
    return *this;
}
Document& Document::gap() {
    parts_.emplace_back(Gap{});
    return *this;
}

bool stands_out(std::string_view words) {
    constexpr std::array<std::string_view, 7> marks{"LATE",    "OVER", "UNDER", "DO NOT FILL",
                                                    "LEAKING", "NOT ", "FAILED"};
    return std::any_of(marks.begin(), marks.end(), [&](std::string_view mark) { return words.starts_with(mark); });
}

namespace {
bool has_words(std::string_view cell) {
    return !cell.empty() && cell != "-";
}
}  // namespace

std::string Cards::name(std::size_t row, std::string_view between) const {
    std::string out;
    for (std::size_t c = 0; c < of_name; ++c)
        if (const auto& cell = table.rows()[row][c]; has_words(cell)) add_word(out, cell, between);
    return out;
}
std::vector<std::pair<std::string_view, std::string_view>> Cards::fields(std::size_t row) const {
    std::vector<std::pair<std::string_view, std::string_view>> out;
    for (std::size_t c = of_name; c < table.columns().size(); ++c)
        if (const auto& cell = table.rows()[row][c]; has_words(cell))
            out.emplace_back(table.columns()[c].heading, cell);
    return out;
}
std::string Cards::text() const {
    std::size_t widest = 0;
    for (const auto& column : table.columns()) widest = std::max(widest, column.heading.size());
    std::string out;
    for (std::size_t row = 0; row < table.rows().size(); ++row) {
        if (row > 0) out += '\n';
        out += name(row, "  ") + "\n";
        for (const auto& [heading, words] : fields(row)) out += fmt::format("  {:<{}}  {}\n", heading, widest, words);
    }
    return out;
}

std::string Document::text(std::size_t width) const {
    return laid_out(loose_text(), width);
}

std::string Document::loose_text() const {
    std::string out;
    if (title_in_text_ && !title_.empty()) out = title_ + (lead_.empty() ? "" : between_ + lead_) + "\n";
    struct Writer {
        std::string& out;
        int steps = 0;
        void operator()(const Words& part) {
            steps = part.kind == Words::Kind::step ? steps + 1 : 0;
            if (part.kind == Words::Kind::step) {
                out += fmt::format("{:>3}. {}\n", steps, part.words);
                return;
            }
            if (part.kind == Words::Kind::box) {
                const std::string rule(40, '=');
                out += fmt::format("{}\n  {}\n{}\n", rule, part.words, rule);
                return;
            }
            if (part.kind == Words::Kind::item) {
                out += part.words;
                return;
            }
            if (part.kind == Words::Kind::bullet) {
                out += bulleted(part.words);
                return;
            }
            if (part.kind == Words::Kind::signature) {
                out += fmt::format("{:<12}{}\n", part.words, std::string(28, '_'));
                return;
            }
            const bool breaks = part.kind == Words::Kind::paragraph || part.kind == Words::Kind::warning;
            out += breaks ? wrapped(part.words, part.indent) : std::string(part.indent, ' ') + part.words + "\n";
        }
        void operator()(const Fact& part) const { out += fmt::format("{:<{}}{}\n", part.name, part.width, part.value); }
        void operator()(const Rows& part) const { out += part.table.text(part.indent); }
        void operator()(const Cards& part) const { out += part.text(); }
        void operator()(const Picture&) const {}
        void operator()(const Gap&) const { out += "\n"; }
    };
    Writer writer{out};
    for (const auto& part : parts_) std::visit(writer, part);
    return out;
}

}  // namespace tarebook::report
