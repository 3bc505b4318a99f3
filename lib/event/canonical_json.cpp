#include "tarebook/canonical_json.hpp"

#include <fmt/format.h>

#include "tarebook/utf8.hpp"

namespace tarebook {
namespace {

struct Wrong {
    const char* why;
};

class Scanner {
 public:
    Scanner(std::string_view bytes, int most_depth) : all_(bytes), rest_(bytes), most_depth_(most_depth) {}
    void run() {
        value(0);
        if (!rest_.empty()) throw Wrong{"something follows the value"};
        if (!is_utf8(all_)) throw Wrong{"a text is not UTF-8"};
    }
    [[nodiscard]] std::size_t at() const { return all_.size() - rest_.size(); }

 private:
    char next() const { return rest_.empty() ? '\0' : rest_.front(); }
    void take(char c, const char* why) {
        if (rest_.empty() || rest_.front() != c) throw Wrong{why};
        rest_.remove_prefix(1);
    }
    void word(std::string_view w) {
        if (!rest_.starts_with(w)) throw Wrong{"no value begins so"};
        rest_.remove_prefix(w.size());
    }
    void value(int depth) {
        switch (next()) {
            case '{':
                return object(depth + 1);
            case '[':
                return array(depth + 1);
            case '"':
                text();
                return;
            case 't':
                return word("true");
            case 'f':
                return word("false");
            case 'n':
                return word("null");
            default:
                return number();
        }
    }
    void deeper(int depth) const {
        if (depth > most_depth_) throw Wrong{"it is nested too deeply"};
    }
    void object(int depth) {
        deeper(depth);
        take('{', "no object");
        std::optional<std::string_view> before;
        for (bool first = true; next() != '}'; first = false) {
            if (!first) take(',', "a comma is missing");
            const auto key = text();
            for (const char c : key)
                if (static_cast<unsigned char>(c) < 0x21 || static_cast<unsigned char>(c) > 0x7e || c == '\\')
                    throw Wrong{"a key is not plain ASCII"};
            if (before && key <= *before) throw Wrong{"keys are not in ascending order"};
            before = key;
            take(':', "a colon is missing");
            value(depth);
        }
        take('}', "an object does not end");
    }
    void array(int depth) {
        deeper(depth);
        take('[', "no array");
        for (bool first = true; next() != ']'; first = false) {
            if (!first) take(',', "a comma is missing");
            value(depth);
        }
        take(']', "an array does not end");
    }
    // The bytes between the quotation marks, escapes as they stand.
    std::string_view text() {
        take('"', "a text should begin here");
        const auto begin = rest_;
        while (next() != '"') {
            if (rest_.empty()) throw Wrong{"a text does not end"};
            if (static_cast<unsigned char>(next()) < 0x20) throw Wrong{"a control character stands bare in a text"};
            if (next() == '\\')
                escape();
            else
                rest_.remove_prefix(1);
        }
        const auto out = begin.substr(0, begin.size() - rest_.size());
        rest_.remove_prefix(1);
        return out;
    }
    void escape() {
        rest_.remove_prefix(1);
        constexpr std::string_view short_forms = "\"\\bfnrt";
        if (!rest_.empty() && short_forms.find(next()) != std::string_view::npos) {
            rest_.remove_prefix(1);
            return;
        }
        if (!rest_.starts_with("u00") || rest_.size() < 5)
            throw Wrong{"an escape that the canonical form does not have"};
        constexpr std::string_view digits = "0123456789abcdef";
        const auto high = digits.find(rest_[3]);
        const auto low = digits.find(rest_[4]);
        if (high > 1 || low == std::string_view::npos) throw Wrong{"an escape that the canonical form does not have"};
        constexpr std::string_view have_short_forms = "\b\f\n\r\t";
        if (have_short_forms.find(static_cast<char>(high * 16 + low)) != std::string_view::npos)
            throw Wrong{"an escape that has a shorter form"};
        rest_.remove_prefix(5);
    }
    void number() {
        const auto begin = rest_;
        if (next() == '-') rest_.remove_prefix(1);
        const auto digits = rest_;
        while (next() >= '0' && next() <= '9') rest_.remove_prefix(1);
        const auto n = digits.size() - rest_.size();
        if (n == 0) {
            rest_ = begin;
            throw Wrong{"no value begins so"};
        }
        if (digits[0] == '0' && (n > 1 || begin[0] == '-')) throw Wrong{"a number is not written plainly"};
        constexpr std::string_view limit = "9007199254740991";  // 2^53 - 1
        if (n > limit.size() || (n == limit.size() && digits.substr(0, n) > limit))
            throw Wrong{"a number is not below 2^53"};
        if (next() == '.' || next() == 'e' || next() == 'E') throw Wrong{"a number is not whole"};
    }

    std::string_view all_, rest_;
    int most_depth_;
};

}  // namespace

std::optional<std::string> not_canonical(std::string_view bytes, int most_depth) {
    Scanner scanner(bytes, most_depth);
    try {
        scanner.run();
        return std::nullopt;
    } catch (const Wrong& wrong) {
        return fmt::format("{}, at byte {}", wrong.why, scanner.at());
    }
}

}  // namespace tarebook
