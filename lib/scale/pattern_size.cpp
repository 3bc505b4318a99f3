// One pass over a pattern: how many steps it has with its repeats written out, which groups, how deep.
#include "pattern_size.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "units/decimal.hpp"

namespace tarebook::scale {
namespace {

struct Bad {
    std::string what;
};

class Walk {
 public:
    explicit Walk(std::string_view pattern) : rest_(pattern) {}

    PlainPattern plain() {
        while (!rest_.empty()) one();
        if (open_.size() > 1) throw Bad{"a group is not closed"};
        close_atom();
        return std::move(out_);
    }

 private:
    struct Level {
        std::size_t steps = 0, last = 0;  // `last`: of the part before a repeat
    };

    void one() {
        const char c = take();
        switch (c) {
            case '\\':
                if (rest_.empty()) throw Bad{"it ends in a backslash"};
                if (rest_.front() >= '1' && rest_.front() <= '9') throw Bad{"it refers back to a group"};
                take();
                return atom(1);
            case '[':
                return letters();
            case '(':
                return group();
            case ')': {
                if (open_.size() == 1) throw Bad{"a bracket is closed that was not opened"};
                close_atom();
                const auto inside = open_.back().steps + 1;
                open_.pop_back();
                return atom(inside);
            }
            case '*':
            case '+':
            case '?':
                needs_atom();
                ++open_.back().last;
                return;
            case '{':
                return repeat();
            default:
                atom(1);
        }
    }
    char take() {
        const char c = rest_.front();
        rest_.remove_prefix(1);
        out_.text += c;
        return c;
    }
    void letters() {
        for (;;) {
            if (rest_.empty()) throw Bad{"a [ is not closed"};
            const char c = take();
            if (c == '\\' && !rest_.empty())
                take();
            else if (c == ']')  // also the first one: [] is empty for std::regex
                return atom(1);
            else if (c == '[' && !rest_.empty() &&
                     (rest_.front() == ':' || rest_.front() == '.' || rest_.front() == '='))
                named_letters(rest_.front());
        }
    }
    // [:digit:] inside of [...]
    void named_letters(char mark) {
        const auto end = rest_.find(std::string{mark, ']'}, 1);
        if (end == std::string_view::npos) throw Bad{"a [ is not closed"};
        for (std::size_t n = end + 2; n > 0; --n) take();
    }
    void group() {
        if (open_.size() > deepest_group) throw Bad{fmt::format("its groups are more than {} deep", deepest_group)};
        open_.emplace_back();
        if (!rest_.starts_with('?')) return named("");
        if (rest_.starts_with("?:")) {
            take(), take();
            return;
        }
        if (!rest_.starts_with("?<") || rest_.starts_with("?<=") || rest_.starts_with("?<!"))
            throw Bad{"it looks ahead or back; a group is (...), (?:...) or (?<name>...)"};
        const auto end = rest_.find('>');
        if (end == std::string_view::npos) throw Bad{"the name of a group is not closed"};
        const std::string name(rest_.substr(2, end - 2));
        if (std::find(out_.groups.begin(), out_.groups.end(), name) != out_.groups.end() && !name.empty())
            throw Bad{fmt::format("two groups are named {}", name)};
        constexpr std::string_view known = "number|unit|sign|stable|moving|gross|net|over";
        if (!is_among(name, known))
            throw Bad{fmt::format("a group is named \"{}\", and groups are named {}", name, known)};
        rest_.remove_prefix(end + 1);
        named(name);
    }
    void named(std::string name) {
        if (out_.groups.size() == most_groups) throw Bad{fmt::format("it has more than {} groups", most_groups)};
        out_.groups.push_back(std::move(name));
    }
    void needs_atom() const {
        if (open_.back().last == 0) throw Bad{"a repeat has nothing before it"};
    }
    void repeat() {
        needs_atom();
        std::size_t most = number();
        if (rest_.starts_with(',')) {
            take();
            most = rest_.starts_with('}') ? most + 1 : std::max(most, number());
        }
        if (!rest_.starts_with('}')) throw Bad{"braces repeat what is before them: {2} or {1,3}; a plain one is \\{"};
        take();
        open_.back().last *= std::max<std::size_t>(most, 1);
        bound(open_.back().last);
    }
    std::size_t number() {
        std::size_t out = 0, digits = 0;
        for (; !rest_.empty() && decimal::is_digit(rest_.front()); ++digits) {
            out = std::min<std::size_t>(out * 10 + static_cast<std::size_t>(take() - '0'), 100'000);
        }
        if (digits == 0) throw Bad{"braces repeat what is before them: {2} or {1,3}; a plain one is \\{"};
        if (out > most_repeats) throw Bad{fmt::format("it repeats a part more than {} times", most_repeats)};
        return out;
    }
    void atom(std::size_t steps) {
        close_atom();
        open_.back().last = steps;
    }
    void close_atom() {
        auto& level = open_.back();
        level.steps += level.last;
        level.last = 0;
        bound(level.steps);
    }
    static void bound(std::size_t steps) {
        if (steps > most_steps) throw Bad{"its repeats of repeats could take long"};
    }

    std::string_view rest_;
    PlainPattern out_;
    std::vector<Level> open_{Level{}};
};

}  // namespace

Error bad_pattern(std::string_view pattern, std::string what) {
    return {ErrorKind::usage,
            "scale-pattern",
            "the pattern cannot be used: " + std::move(what),
            std::string(pattern),
            "a regular expression of the whole line with a group around its number: "
            "'W:(?<number>[0-9.]+) *(?<unit>lb|kg)'",
            "tarebook scale listen ID shows the lines and proposes one"};
}

Result<PlainPattern> plain_pattern(std::string_view pattern) {
    if (pattern.size() > longest_pattern)
        return fail(bad_pattern(pattern.substr(0, 40), fmt::format("it is longer than {} letters", longest_pattern)));
    const bool plain = std::all_of(pattern.begin(), pattern.end(), [](char c) { return c >= 0x20 && c < 0x7f; });
    if (!plain) return fail(bad_pattern(pattern, "it has letters that no scale sends"));
    try {
        return Walk(pattern).plain();
    } catch (const Bad& bad) {
        return fail(bad_pattern(pattern, bad.what));
    }
}

}  // namespace tarebook::scale
