#include "document.hpp"

#include <fmt/format.h>

#include "layout.hpp"

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
Document& Document::picture(Picture picture) {
    parts_.emplace_back(std::move(picture));
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

std::string Document::text(std::size_t width) const {
    return laid_out(loose_text(), width);
}

std::string Document::loose_text() const {
    std::string out;
    if (title_in_text_ && !title_.empty()) out = title_ + (lead_.empty() ? "" : between_ + lead_) + "\n";
    struct Writer {
        std::string& out;
        void operator()(const Words& part) const {
            if (part.kind == Words::Kind::item) {
                out += part.words;
                return;
            }
            if (part.kind == Words::Kind::bullet) {
                out += bulleted(part.words);
                return;
            }
            const bool breaks = part.kind == Words::Kind::paragraph || part.kind == Words::Kind::warning;
            out += breaks ? wrapped(part.words, part.indent) : std::string(part.indent, ' ') + part.words + "\n";
        }
        void operator()(const Fact& part) const { out += fmt::format("{:<{}}{}\n", part.name, part.width, part.value); }
        void operator()(const Rows& part) const { out += part.table.text(part.indent); }
        void operator()(const Picture&) const {}
        void operator()(const Gap&) const { out += "\n"; }
    };
    for (const auto& part : parts_) std::visit(Writer{out}, part);
    return out;
}

}  // namespace tarebook::report
