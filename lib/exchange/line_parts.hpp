// Reads the parts of a line from the left: a line of a bundle, or of another file that books hand to each other. The
// reader then compares each line with the one that its values would make.
#pragma once

#include <charconv>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/event/event.hpp"
#include "units/hex.hpp"

namespace tarebook {

inline constexpr std::size_t line_signature_size = 64;

class LineParts {
 public:
    explicit LineParts(std::string_view line) : rest_(line) {}
    bool take(std::string_view literal) {
        if (!rest_.starts_with(literal)) return good_ = false;
        rest_.remove_prefix(literal.size());
        return true;
    }
    void skip(std::string_view literal) {
        if (rest_.starts_with(literal)) rest_.remove_prefix(literal.size());
    }
    std::string_view text() {
        take("\"");
        const auto end = rest_.find('"');
        if (end == std::string_view::npos) {
            good_ = false;
            return {};
        }
        const auto out = rest_.substr(0, end);
        rest_.remove_prefix(end + 1);
        return out;
    }
    std::int64_t number() {
        std::int64_t out = 0;
        const auto [end, error] = std::from_chars(rest_.data(), rest_.data() + rest_.size(), out);
        if (error != std::errc() || out < 0 || out >= std::int64_t{1} << 53) {
            good_ = false;
            return 0;
        }
        rest_.remove_prefix(static_cast<std::size_t>(end - rest_.data()));
        return out;
    }
    BookId book() { return value(book_id_from_hex(text())); }
    Digest digest() { return value(digest_from_hex(text())); }
    std::string key() {
        const auto out = text();
        value(digest_from_hex(out));  // a public key has 32 bytes too
        return std::string(out);
    }
    std::string signature() {
        signature_hex_ = text();
        return value(bytes_from_hex(signature_hex_, line_signature_size));
    }
    /// "true" or "false".
    bool yes_or_no() {
        if (!rest_.starts_with("true")) return take("false"), false;
        return take("true");
    }
    /// Bytes as hex, exactly so many.
    std::string bytes(std::size_t size) { return value(bytes_from_hex(text(), size)); }
    [[nodiscard]] std::string_view signature_hex() const { return signature_hex_; }
    [[nodiscard]] bool good() const { return good_; }

 private:
    template <class T>
    T value(const std::optional<T>& v) {
        good_ = good_ && v;
        return v.value_or(T{});
    }
    std::string_view rest_, signature_hex_;
    bool good_ = true;
};

}  // namespace tarebook
