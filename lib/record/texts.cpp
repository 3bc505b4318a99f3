#include "texts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "tarebook/shown_text.hpp"
#include "tarebook/utf8.hpp"

namespace tarebook {
namespace {

// Names and codes go into lists that owners open with a spreadsheet. Remarks may begin as people like.
bool is_name(std::string_view field) {
    constexpr std::array<std::string_view, 16> names = {
        "by",        "called", "code",  "company",     "from",  "job",   "label", "lab",
        "lot_owner", "name",   "owner", "owner_group", "place", "scale", "to",    "to_owner"};
    return std::find(names.begin(), names.end(), field) != names.end();
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
        else if (is_name(field) && is_computed(text))
            error = Error{ErrorKind::usage,
                          "text-formula",
                          fmt::format("{} begins as a formula of a spreadsheet does", field),
                          text,
                          "a name or code that begins with a letter or digit",
                          "type it without the sign before it"};
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
