#include "yaml_guard.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

// The start of a text for a message, cut between letters.
std::string start_of(std::string_view text) {
    return std::string(cut_to_bytes(text, 40));
}

bool flow_mark(char c) {
    return c == ',' || c == '[' || c == ']' || c == '{' || c == '}';
}

bool blank_at(std::string_view line, std::size_t at) {
    return at >= line.size() || line[at] == ' ' || line[at] == '\t';
}

// Walks the lines as YAML does, as far as nesting, quotes and the first character of each value go. If it and the
// library disagree, checked_sheet.cpp finds that in the library's events.
class Walk {
 public:
    Walk(const std::string& name, const YamlGuard& guard, FileProblems& problems)
        : name_(name), guard_(guard), problems_(problems) {}

    void line(std::string_view text) {
        ++line_;
        if (in_block_text_ && still_block_text(text)) return;
        in_block_text_ = false;
        if (quote_ != 0 || flow_ > 0) {
            go_on(text);
            return;
        }
        std::size_t at = text.find_first_not_of(' ');
        if (at == std::string_view::npos || text[at] == '#') return;
        if (text[at] == '\t') {
            if (text.find_first_not_of(" \t", at) != std::string_view::npos &&
                text[text.find_first_not_of(" \t")] != '#')
                problem("sheet-tab", "a tab stands where the line begins", "tab", "spaces",
                        "replace each tab by spaces, as many as the lines beside it have");
            at = text.find_first_not_of(" \t", at);
            if (at == std::string_view::npos) return;
        }
        if (at == 0 && marks_document(text)) return;
        while (!levels_.empty() && levels_.back().column > at) levels_.pop_back();
        block_text(text, at, true);
    }
    // Reports a quote or bracket that is still open: the library takes such a quote for a text up to the end of the
    // file, and such a bracket for a key.
    void end() {
        if (quote_ == 0 && flow_ == 0) return;
        const bool quote = quote_ != 0;
        line_ = quote ? quote_line_ : flow_line_;
        problem("sheet-syntax", quote ? "the quote does not end" : "the bracket does not end",
                quote ? std::string(1, quote_) : "[ or {", "its end",
                "text that begins with a quote or a bracket goes into \"quotes\"");
    }

 private:
    static constexpr std::size_t no_column = std::string_view::npos;
    struct Level {
        std::size_t column;
        bool list;
    };

    void problem(const char* error, std::string what, std::string seen, std::string expected, std::string next = {}) {
        problems_.add(
            {name_,
             line_,
             {},
             {ErrorKind::usage, error, std::move(what), std::move(seen), std::move(expected), std::move(next)}});
    }

    bool still_block_text(std::string_view text) const {
        const auto at = text.find_first_not_of(' ');
        return at == std::string_view::npos || at > block_text_column_ || (levels_.empty() && at > 0);
    }

    // Refuses `---`, `...` and `%`: one sheet is one document without directives.
    bool marks_document(std::string_view text) {
        if (text[0] == '%') {
            problem("sheet-directive", takes_no("directive"), start_of(text), "plain keys");
            return true;
        }
        const bool starts = text.starts_with("---") && blank_at(text, 3);
        const bool ends = text.starts_with("...") && blank_at(text, 3);
        if (!starts && !ends) {
            if (ended_) second_document(text);
            anything_ = true;
            return false;
        }
        if (starts && (anything_ || ended_)) second_document(text);
        anything_ = anything_ || starts;
        ended_ = ended_ || ends;
        levels_.clear();
        return starts ? text.find_first_not_of(' ', 3) == std::string_view::npos : true;
    }
    void second_document(std::string_view text) {
        if (said_second_) return;
        said_second_ = true;
        problem("sheet-second-document", fmt::format("one file is one {}; here another begins", guard_.noun),
                start_of(text), "one document", fmt::format("put each {} into a file of its own", guard_.noun));
    }

    void enter(std::size_t column, bool list) {
        // A list may begin in the column of its key.
        while (!levels_.empty() &&
               (levels_.back().column > column || (levels_.back().column == column && levels_.back().list && !list)))
            levels_.pop_back();
        if (levels_.empty() || levels_.back().column < column || levels_.back().list != list)
            levels_.push_back({column, list});
        look_at_depth();
    }
    void look_at_depth() {
        if (levels_.size() + flow_ <= deepest_yaml || said_deep_) return;
        said_deep_ = true;
        problem("sheet-too-deep", "lists and keys are nested too deeply", {},
                fmt::format("at most {} levels", deepest_yaml));
    }

    // Reports what may not begin a value. True if the rest of the line is not walked.
    bool forbidden(std::string_view text, std::size_t at) {
        const char c = text[at];
        if (c == '&')
            problem("sheet-anchor", takes_no("anchor"), word(text, at), "the value itself", quotes_help);
        else if (c == '*')
            problem("sheet-anchor", takes_no("alias"), word(text, at), "the value itself", quotes_help);
        else if (c == '!')
            problem("sheet-tag", takes_no("tag"), word(text, at), "the value itself", quotes_help);
        else if (c == '?' && blank_at(text, at + 1))
            problem("sheet-complex-key", takes_no("complex key"), word(text, at), "key: value", quotes_help);
        else
            return false;
        return true;
    }
    std::string takes_no(const char* what) const { return fmt::format("a {} takes no {}", guard_.noun, what); }
    static constexpr const char* quotes_help = "where it is meant as text, put it into \"quotes\"";
    static std::string word(std::string_view text, std::size_t at) {
        return start_of(text.substr(at, text.find_first_of(" \t,]}", at) - at));
    }

    // Continues a quote or a bracket that was opened on an earlier line.
    void go_on(std::string_view text) {
        std::size_t at = quote_ != 0 ? end_of_quote(text, 0) : 0;
        if (quote_ == 0 && flow_ > 0) at = end_of_flow(text, at);
        if (quote_ == 0 && flow_ == 0 && makes_a_key(text, at, no_column)) block_text(text, at, false);
    }
    // Walks one value after the other on a line, as long as a colon follows. A loop and no recursion: a line may have
    // thousands.
    void block_text(std::string_view text, std::size_t at, bool line_start) {
        for (;;) {
            at = text.find_first_not_of(" \t", at);
            if (at == std::string_view::npos || text[at] == '#') return;
            const char c = text[at];
            if (line_start && c == '-' && blank_at(text, at + 1)) {
                enter(at, true);
                ++at;
                continue;
            }
            if (forbidden(text, at)) return;
            if (c == '|' || c == '>') {
                in_block_text_ = true;
                block_text_column_ = levels_.empty() ? 0 : levels_.back().column;
                return;
            }
            const std::size_t column = line_start ? at : no_column;
            line_start = false;
            if (c == '[' || c == '{') {
                at = end_of_flow(text, at);
            } else if (c == '"' || c == '\'') {
                open_quote(c);
                at = end_of_quote(text, at + 1);
            } else {
                at = end_of_plain(text, at);
            }
            if (quote_ != 0 || flow_ > 0 || !makes_a_key(text, at, column)) return;
        }
    }
    // Whether a colon follows; then `at` is behind it.
    bool makes_a_key(std::string_view text, std::size_t& at, std::size_t column) {
        at = text.find_first_not_of(" \t", at);
        if (at == std::string_view::npos || text[at] != ':') return false;
        if (column != no_column) enter(column, false);
        ++at;
        return true;
    }
    std::size_t end_of_plain(std::string_view text, std::size_t at) const {
        for (; at < text.size(); ++at) {
            const char c = text[at];
            if (c == ':' && (blank_at(text, at + 1) || (flow_ > 0 && flow_mark(text[at + 1])))) return at;
            if (c == '#' && at > 0 && blank_at(text, at - 1)) return text.size();
            if (flow_ > 0 && flow_mark(c)) return at;
        }
        return at;
    }
    void open_quote(char c) {
        quote_ = c;
        quote_line_ = line_;
    }
    std::size_t end_of_quote(std::string_view text, std::size_t at) {
        for (; at < text.size(); ++at) {
            if (quote_ == '"' && text[at] == '\\') {
                ++at;
            } else if (text[at] == quote_) {
                if (quote_ == '\'' && at + 1 < text.size() && text[at + 1] == '\'') {
                    ++at;
                    continue;
                }
                quote_ = 0;
                return at + 1;
            }
        }
        return text.size();
    }
    // Walks up to the end of the outermost bracket, or of the line.
    std::size_t end_of_flow(std::string_view text, std::size_t at) {
        while (at < text.size()) {
            const char c = text[at];
            if (c == ' ' || c == '\t' || c == ',' || c == ':') {
                ++at;
            } else if (c == '#' && (at == 0 || blank_at(text, at - 1))) {
                return text.size();
            } else if (c == '[' || c == '{') {
                if (flow_++ == 0) flow_line_ = line_;
                look_at_depth();
                ++at;
            } else if (c == ']' || c == '}') {
                ++at;
                if (--flow_ == 0) return at;
            } else if (c == '"' || c == '\'') {
                open_quote(c);
                at = end_of_quote(text, at + 1);
                if (quote_ != 0) return at;
            } else if (forbidden(text, at)) {
                ++at;
            } else {
                at = end_of_plain(text, at + 1);
            }
        }
        return at;
    }

    const std::string& name_;
    const YamlGuard& guard_;
    FileProblems& problems_;
    std::int64_t line_ = 0;
    std::vector<Level> levels_;
    std::size_t flow_ = 0;
    char quote_ = 0;
    std::int64_t quote_line_ = 0, flow_line_ = 0;
    bool in_block_text_ = false;
    std::size_t block_text_column_ = 0;
    bool anything_ = false, ended_ = false, said_second_ = false, said_deep_ = false;
};

// Reports what is wrong with the bytes of one line, each fault once. False if the line cannot be walked.
bool scan_bytes(std::string_view line, std::int64_t number, const std::string& name, std::size_t longest,
                FileProblems& problems) {
    auto problem = [&](const char* error, std::string what, std::string seen, std::string expected, std::string next) {
        problems.add(
            {name,
             number,
             {},
             {ErrorKind::usage, error, std::move(what), std::move(seen), std::move(expected), std::move(next)}});
    };
    bool good = true;
    if (line.size() > longest) {
        problem("sheet-long-line", "the line is too long", fmt::format("{} bytes", line.size()),
                fmt::format("at most {} bytes", longest), "keep long text in a file and name that");
        good = false;
    }
    if (!is_utf8(line)) {
        problem("sheet-not-utf8", "the text is not UTF-8", {}, "UTF-8", "save it again as UTF-8");
        return false;
    }
    for (std::size_t i = 0; i < line.size(); ++i) {
        const auto c = static_cast<unsigned char>(line[i]);
        if ((c >= 0x20 || c == '\t') && c != 0x7f) continue;
        problem("sheet-control-character", "a control character stands in the text",
                c == 0 ? "a zero byte" : fmt::format("byte {:02x} at {}", c, i + 1), "text",
                "save it again as plain text");
        return false;
    }
    return good;
}

}  // namespace

void guard_yaml(std::string_view text, const std::string& name, const YamlGuard& guard, FileProblems& problems) {
    Walk walk(name, guard, problems);
    bool good = true;
    std::int64_t number = 0;
    for (auto line : split(without_utf8_mark(text), '\n')) {
        if (line.ends_with('\r')) line.remove_suffix(1);
        good = scan_bytes(line, ++number, name, guard.longest_line, problems) && good;
        if (good) walk.line(line);
    }
    if (good) walk.end();
}

std::string plain_yaml_text(std::string_view text) {
    text = without_utf8_mark(text);
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] != '\r' || i + 1 >= text.size() || text[i + 1] != '\n') out += text[i];
    if (out.ends_with('\r')) out.pop_back();
    return out;
}

std::string on_one_yaml_line(std::string_view text) {
    std::string out(text);
    std::replace_if(
        out.begin(), out.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }, ' ');
    return out;
}

std::string in_yaml_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : on_one_yaml_line(text)) {
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}

}  // namespace tarebook
