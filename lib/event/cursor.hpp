// A position in canonical bytes (RFC 8785 as body_write.cpp narrows it), and the values that may be read there. Each
// value has one spelling; any other ends the reading.
#pragma once

#include <bit>
#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>

namespace tarebook {

/// Why the reading ended; `key` is the key that was read, or empty.
struct Wrong {
    const char* why;
    const char* key = "";
};

class Cursor {
 public:
    /// `decoded` is emptied. It keeps texts that were written with escapes: views of them are valid as long as it is.
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

    /// `"key":`, after a comma unless it is the first of its object. Inlined, because the lists of fields name their
    /// keys as constants: their length is then known and a few bytes are compared at once.
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
    /// Whether the next key sorts before `key`.
    [[nodiscard]] bool is_before(const char* key) const {
        const auto length = std::char_traits<char>::length(key);
        const char* p = at_ + (first_ ? 0 : 1);
        return left() > length + 2 && (first_ || *at_ == ',') && p[0] == '"' && std::memcmp(p + 1, key, length) < 0;
    }
    /// Any key, in an object whose keys are not ours.
    std::string_view name() {
        if (!first_) expect(',', "a comma is missing");
        first_ = false;
        const auto out = text();
        expect(':', "a colon is missing");
        return out;
    }

    /// A text: a view of the bytes, or of `decoded` where it has an escape.
    std::string_view text() {
        expect('"', "a text should begin here");
        const char* begin = at_;
        pass_plain();
        if (is_at('"')) return {begin, static_cast<std::size_t>(at_++ - begin)};
        return other_text(begin);
    }
    /// The `size` bytes of a text of fixed length. Their letters are not checked; the caller does that.
    std::string_view text_of(std::size_t size) {
        if (left() < size + 2 || at_[0] != '"' || at_[size + 1] != '"') throw Wrong{"a text of another length"};
        at_ += size + 2;
        return {at_ - size - 1, size};
    }
    /// A whole number of at most 64 bits.
    std::int64_t digits();
    /// A whole number below 2^53, so that every reader of JSON sees the same one.
    std::int64_t number();
    /// Passes over one value of any type, at nesting depth `depth`.
    void value(int depth, int most_depth);

 private:
    [[nodiscard]] std::size_t left() const { return static_cast<std::size_t>(end_ - at_); }
    std::string_view other_text(const char* begin);
    char escaped();
    void object(int depth, int most_depth);

    // Moves to the next quotation mark, backslash, or byte that is no ASCII letter.
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
    // Sets the high bit of each byte that is not plain; exact up to the first one.
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
