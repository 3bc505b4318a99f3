#include "texts.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

bool is_utf8(std::string_view s) {
    for (std::size_t i = 0; i < s.size();) {
        const auto c = static_cast<unsigned char>(s[i]);
        const std::size_t more = c < 0x80                ? 0
                                 : c >= 0xc2 && c < 0xe0 ? 1
                                 : c >= 0xe0 && c < 0xf0 ? 2
                                 : c >= 0xf0 && c < 0xf5 ? 3
                                                         : 9;
        if (more == 9 || i + more >= s.size()) return false;
        for (std::size_t k = 1; k <= more; ++k)
            if ((static_cast<unsigned char>(s[i + k]) & 0xc0U) != 0x80U) return false;
        if (more > 1) {  // overlong forms, surrogates and what lies beyond Unicode
            const auto d = static_cast<unsigned char>(s[i + 1]);
            if ((c == 0xe0 && d < 0xa0) || (c == 0xed && d > 0x9f) || (c == 0xf0 && d < 0x90) ||
                (c == 0xf4 && d > 0x8f))
                return false;
        }
        i += more + 1;
    }
    return true;
}

// Walks every text of an event, whatever its kind.
struct TextCheck {
    std::optional<Error> error;
    void look(const char* field, const std::string& text) {
        if (error) return;
        constexpr std::size_t longest = 10'240;
        if (!is_utf8(text))
            error =
                Error{ErrorKind::usage, "text-not-utf8", fmt::format("{} is not UTF-8 text", field), {}, "UTF-8", {}};
        else if (text.size() > longest)
            error = Error{ErrorKind::usage,
                          "text-too-long",
                          fmt::format("{} is {} bytes long", field, text.size()),
                          {},
                          fmt::format("at most {} bytes", longest),
                          "keep the long text in a file and name that"};
        else if (text.find('\0') != std::string::npos)
            error = Error{
                ErrorKind::usage, "text-not-utf8", fmt::format("{} has a zero byte in it", field), {}, "text", {}};
    }
    void operator()(const char* f, const std::string& v) { look(f, v); }
    void operator()(const char* f, const std::optional<std::string>& v) {
        if (v) look(f, *v);
    }
    void operator()(const char* f, const FieldValues& v) {
        for (const auto& [name, value] : v) look(name.c_str(), value.text);
        (void)f;
    }
    template <class T>
    void operator()(const char*, const T&) {}
};

}  // namespace

std::optional<Error> check_texts(const Event& e) {
    TextCheck check;
    check("by", e.by), check("job", e.job), check("scale", e.scale), check("note", e.note), check("own_id", e.own_id),
        check("anyway", e.anyway);
    std::visit(
        [&](const auto& k) {
            using K = std::decay_t<decltype(k)>;
            K::fields(k, check);
        },
        e.what);
    return check.error;
}

}  // namespace tarebook
