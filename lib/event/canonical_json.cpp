#include "tarebook/event/canonical_json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "cursor.hpp"
#include "tarebook/units/utf8.hpp"
#include "units/hex.hpp"

namespace tarebook {

std::int64_t Cursor::digits() {
    std::int64_t v = 0;
    const auto [end, error] = std::from_chars(at_, end_, v);
    if (error == std::errc::invalid_argument) throw Wrong{"no value begins so"};
    const char* first = at_ + (*at_ == '-' ? 1 : 0);
    if (*first == '0' && (end - first > 1 || first != at_)) throw Wrong{"a number is not written plainly"};
    if (error != std::errc()) throw Wrong{"a number is too large"};
    at_ = end;
    return v;
}

std::int64_t Cursor::number() {
    constexpr std::int64_t limit = std::int64_t{1} << 53;
    const auto v = digits();
    if (v >= limit || v <= -limit) throw Wrong{"a number is not below 2^53"};
    if (is_at('.') || is_at('e') || is_at('E')) throw Wrong{"a number is not whole"};
    return v;
}

std::string_view Cursor::other_text(const char* begin) {
    const auto before = decoded_.size();
    bool has_escape = false;
    for (; !is_at('"'); pass_plain()) {
        if (at_ == end_) throw Wrong{"a text does not end"};
        if (static_cast<unsigned char>(*at_) < 0x20) throw Wrong{"a control character stands bare in a text"};
        if (*at_ != '\\') {
            ++at_;  // a byte of a letter beyond ASCII
            continue;
        }
        // Reserved once: views of it must stay valid.
        if (decoded_.empty()) decoded_.reserve(static_cast<std::size_t>(end_ - begin_));
        decoded_.append(begin, at_++);
        decoded_ += escaped();
        begin = at_;
        has_escape = true;
    }
    std::string_view out(begin, static_cast<std::size_t>(at_ - begin));
    if (has_escape) out = std::string_view(decoded_.append(out)).substr(before);
    if (!is_utf8(out)) throw Wrong{"a text is not UTF-8"};
    ++at_;
    return out;
}

char Cursor::escaped() {
    constexpr std::string_view letters = "btnfr\"\\";
    constexpr std::string_view meant = "\b\t\n\f\r\"\\";
    constexpr const char* no_such = "an escape that the canonical form does not have";
    if (at_ != end_)
        if (const auto i = letters.find(*at_); i != std::string_view::npos) return ++at_, meant[i];
    expect("u00", no_such);
    if (left() < 2) throw Wrong{no_such};
    const auto high = hex_digits.find(at_[0]);
    const auto low = hex_digits.find(at_[1]);
    if (high > 1 || low == std::string_view::npos) throw Wrong{no_such};
    const char c = static_cast<char>(high * 16 + low);
    if (meant.find(c) != std::string_view::npos) throw Wrong{"an escape that has a shorter form"};
    at_ += 2;
    return c;
}

void Cursor::value(int depth, int most_depth) {
    if (is_at('"')) {
        text();
    } else if (is_at('{')) {
        object(depth + 1, most_depth);
    } else if (eat('[')) {
        if (depth + 1 > most_depth) throw Wrong{"it is nested too deeply"};
        for (bool first = true; !eat(']'); first = false) {
            if (!first) expect(',', "a comma is missing");
            value(depth + 1, most_depth);
        }
    } else if (is_at('t')) {
        expect("true", "no value begins so");
    } else if (is_at('f')) {
        expect("false", "no value begins so");
    } else if (is_at('n')) {
        expect("null", "no value begins so");
    } else {
        number();
    }
}

void Cursor::object(int depth, int most_depth) {
    if (depth > most_depth) throw Wrong{"it is nested too deeply"};
    expect('{', "no object");
    std::string_view before;
    for (bool first = true; !eat('}'); first = false) {
        if (!first) expect(',', "a comma is missing");
        const char* begin = at_;
        const auto key = text();
        const auto is_letter = [](char c) { return c > 0x20 && c < 0x7f; };
        // A key with an escape would be a view of `decoded_`.
        if (key.data() != begin + 1 || !std::all_of(key.begin(), key.end(), is_letter))
            throw Wrong{"a key is not plain ASCII"};
        if (!first && key <= before) throw Wrong{"keys are not in ascending order"};
        before = key;
        expect(':', "a colon is missing");
        value(depth, most_depth);
    }
}

std::optional<std::string> not_canonical(std::string_view bytes, int most_depth) {
    std::string decoded;
    Cursor cursor(bytes, decoded);
    try {
        cursor.value(0, most_depth);
        if (!cursor.is_at_end()) throw Wrong{"something follows the value"};
        return std::nullopt;
    } catch (const Wrong& wrong) {
        return fmt::format("{}, at byte {}", wrong.why, cursor.place());
    }
}

}  // namespace tarebook
