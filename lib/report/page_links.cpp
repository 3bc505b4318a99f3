#include "page_links.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "document.hpp"

namespace tarebook::report {
namespace {

bool is_plain(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
}
// What a code is made of, and all letters beyond ASCII.
bool in_a_code(char c) {
    return is_plain(c) || c == '/' || c == '.' || static_cast<unsigned char>(c) >= 0x80;
}

}  // namespace

std::string in_small_letters(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return text;
}

std::string page_file(std::string_view kind, std::string_view code) {
    constexpr std::size_t longest = 120;  // a name of a file has 255 bytes at most
    std::string out(kind);
    out += '-';
    for (const char c : code)
        out += c == '/' ? "." : is_plain(c) ? std::string(1, c) : fmt::format("~{:02x}", static_cast<unsigned char>(c));
    if (out.size() > longest) out = out.substr(0, longest) + "~" + hex(digest_of(code)).substr(0, 16);
    return out + ".html";
}

std::string PageLinks::file_for(std::string_view kind, std::string_view code) {
    const auto file = page_file(kind, code);
    auto out = file;
    for (int n = 2; !taken_.insert(in_small_letters(out)).second; ++n)
        out = fmt::format("{}~~{}.html", file.substr(0, file.size() - 5), n);
    return out;
}

std::string PageLinks::linked(const std::string& file, std::string_view words) const {
    if (file == here) return escaped(words);
    return fmt::format("<a href=\"{}\">{}</a>", escaped(file), escaped(words));
}

std::string PageLinks::marked_job(std::string_view job) const {
    const auto found = jobs_.find(job);
    return found == jobs_.end() ? escaped(job) : linked(found->second, job);
}

std::string PageLinks::marked(std::string_view text) const {
    if (const auto phrase = phrases_.find(text); phrase != phrases_.end()) return linked(phrase->second, text);
    std::string out;
    std::string_view before;
    while (!text.empty()) {
        const auto begin = std::find_if(text.begin(), text.end(), in_a_code) - text.begin();
        out += escaped(text.substr(0, static_cast<std::size_t>(begin)));
        text.remove_prefix(static_cast<std::size_t>(begin));
        auto size = static_cast<std::size_t>(std::find_if_not(text.begin(), text.end(), in_a_code) - text.begin());
        auto code = text.substr(0, size);
        while (!code.empty() && (code.back() == '.' || code.back() == '/')) code.remove_suffix(1);  // ends a sentence
        const auto found = codes_.find(code);
        if (code.empty())
            out += escaped(text.substr(0, size));
        else if (before == "job" && jobs_.contains(code))
            out += marked_job(code) + escaped(text.substr(code.size(), size - code.size()));
        else if (found != codes_.end())
            out += linked(found->second, code) + escaped(text.substr(code.size(), size - code.size()));
        else
            out += escaped(text.substr(0, size));
        before = code;
        text.remove_prefix(size);
    }
    return out;
}

}  // namespace tarebook::report
