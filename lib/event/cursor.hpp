// A place in canonical bytes (RFC 8785 as body_write.cpp narrows it), and what may stand there. Each value has one
// spelling; any other ends the reading.
#pragma once

#include <bit>
#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>

namespace tarebook {

/// Why the reading ended; `key` is the one in question, or empty.
struct Wrong {
    const char* why;
    const char* key = "";
};

class Cursor {
 public:
    /// `decoded` is emptied, and keeps the words that stand with escapes: views of them live as long as it does.
    Cursor(std::string_view bytes, std::string& decoded)
        : begin_(bytes.data()), at_(begin_), end_(begin_ + bytes.size()), decoded_(decoded) {
        decoded_.clear();
    }
    [[nodiscard]] bool is_at_end() const { return at_ == end_; }
    [[nodiscard]] std::size_t place() const { return static_cast<std::size_t>(at_ - begin_); }
    [[nodiscard]] bool is_at(char c) const { return at_ != end_ && *at_ == c; }

    bool eat(char c) {
        if (!is_at(c)) return false;
        ++at_;
        return true;
    }
    void expect(char c, const char* why) {
        if (!eat(c)) throw Wrong{why};
    }
    void expect(std::string_view bytes, const char* why) {
        if (left() < bytes.size() || std::memcmp(at_, bytes.data(), bytes.size()) != 0) throw Wrong{why};
        at_ += bytes.size();
    }
    void open() { expect('{', "no object"), first_ = true; }
    void close() { expect('}', "a key this version does not have"), first_ = false; }

    /// `"key":`, after a comma unless it is the first of its object. The lists of fields name their keys as constants:
    /// where this is inlined, their length is known and a few bytes are compared at once.
    [[gnu::always_inline]] bool has(const char* key) {
        const auto length = std::char_traits<char>::length(key);
        const char* p = at_ + (first_ ? 0 : 1);
        if (left() < length + 4 || (!first_ && *at_ != ',') || p[0] != '"' || std::memcmp(p + 1, key, length) != 0 ||
            p[length + 1] != '"' || p[length + 2] != ':')
            return false;
        at_ = p + length + 3;
        first_ = false;
        return true;
    }
    [[gnu::always_inline]] void need(const char* key) {
        if (!has(key)) throw Wrong{"missing: ", key};
    }
    /// Whether a key stands here that comes before `key`.
    [[nodiscard]] bool is_before(const char* key) const {
        const auto length = std::char_traits<char>::length(key);
        const char* p = at_ + (first_ ? 0 : 1);
        return left() > length + 2 && (first_ || *at_ == ',') && p[0] == '"' && std::memcmp(p + 1, key, length) < 0;
    }
    /// Any key, of an object whose keys are not ours.
    std::string_view name() {
        if (!first_) expect(',', "a comma is missing");
        first_ = false;
        const auto out = text();
        expect(':', "a colon is missing");
        return out;
    }

    /// Words, as they lie where they have no escape.
    std::string_view text() {
        expect('"', "a text should begin here");
        const char* begin = at_;
        pass_plain();
        if (is_at('"')) return {begin, static_cast<std::size_t>(at_++ - begin)};
        return other_text(begin);
    }
    /// The `size` bytes of a text that always has as many; whoever takes them looks at each one.
    std::string_view text_of(std::size_t size) {
        if (left() < size + 2 || at_[0] != '"' || at_[size + 1] != '"') throw Wrong{"a text of another length"};
        at_ += size + 2;
        return {at_ - size - 1, size};
    }
    /// Whole, and of at most 64 bits.
    std::int64_t digits();
    /// Whole and below 2^53, so that every reader of JSON sees the same one.
    std::int64_t number();
    /// Passes over whatever value stands here, which lies `depth` deep.
    void value(int depth, int most_depth);

 private:
    [[nodiscard]] std::size_t left() const { return static_cast<std::size_t>(end_ - at_); }
    std::string_view other_text(const char* begin);
    char escaped();
    void object(int depth, int most_depth);

    // Up to a quotation mark, a backslash, or whatever is no ASCII letter.
    void pass_plain() {
        if constexpr (std::endian::native == std::endian::little)
            for (; left() >= 8; at_ += 8) {
                std::uint64_t bytes = 0;
                std::memcpy(&bytes, at_, 8);
                if (const auto stops = stops_in(bytes)) {
                    at_ += std::countr_zero(stops) / 8;
                    return;
                }
            }
        while (at_ != end_ && is_plain(*at_)) ++at_;
    }
    static bool is_plain(char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte >= 0x20 && byte < 0x80 && c != '"' && c != '\\';
    }
    // The high bit of each byte that is not plain; exact up to the first one.
    static std::uint64_t stops_in(std::uint64_t bytes) {
        constexpr std::uint64_t ones = 0x0101010101010101U;
        constexpr std::uint64_t highs = 0x8080808080808080U;
        const auto zeros = [](std::uint64_t x) { return (x - ones) & ~x & highs; };
        return (bytes & highs) | zeros(bytes ^ (ones * '"')) | zeros(bytes ^ (ones * '\\')) |
               ((bytes - ones * 0x20U) & ~bytes & highs);
    }

    const char* begin_;
    const char* at_;
    const char* end_;
    std::string& decoded_;
    bool first_ = true;
};

}  // namespace tarebook
