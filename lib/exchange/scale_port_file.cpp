#include "tarebook/exchange/scale_port_file.hpp"

#include <charconv>

#include "tarebook/event/event.hpp"
#include "tarebook/exchange/begun_entry.hpp"

namespace tarebook {
namespace {

constexpr std::string_view beginning = "port-";

// Letters of a code in a file's name are few, and those of our own entries alone.
std::string file_of(const std::string& scale) {
    constexpr std::size_t longest = 80;
    const bool plain = scale.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") ==
                       std::string::npos;
    return std::string(beginning) + (plain && scale.size() <= longest ? scale : hex(digest_of(scale)));
}

template <class Number>
bool take_number(const std::optional<std::string>& text, Number& out) {
    if (!text) return false;
    const auto* end = text->data() + text->size();
    const auto [at, error] = std::from_chars(text->data(), end, out);
    return error == std::errc() && at == end;
}

}  // namespace

std::optional<ScalePort> scale_port(const std::filesystem::path& book, const std::string& scale) {
    const auto entry = begun_entry(book, file_of(scale));
    if (!entry || entry->at("scale") != scale || !entry->at("port")) return std::nullopt;
    ScalePort out;
    out.port = *entry->at("port");
    out.line = entry->at("line").value_or("");
    std::int64_t wait = 0;
    if (!take_number(entry->at("baud"), out.baud) || !take_number(entry->at("wait_ms"), wait) || wait < 1 ||
        wait > 3'600'000)
        return std::nullopt;
    out.wait = std::chrono::milliseconds(wait);
    return out;
}

void keep_scale_port(const std::filesystem::path& book, const std::string& scale, const ScalePort& port, Instant now) {
    BegunEntry entry{now, {}};
    entry.set("scale", scale);
    entry.set("port", port.port);
    entry.set("baud", std::to_string(port.baud));
    entry.set("wait_ms", std::to_string(port.wait.count()));
    entry.set("line", port.line);
    keep_begun_entry(book, file_of(scale), entry);
}

void drop_scale_port(const std::filesystem::path& book, const std::string& scale) {
    drop_begun_entry(book, file_of(scale));
}

std::map<std::string, ScalePort> scale_ports(const std::filesystem::path& book) {
    std::map<std::string, ScalePort> out;
    for (const auto& name : begun_entries(book, beginning)) {
        const auto entry = begun_entry(book, name);
        const auto scale = entry ? entry->at("scale") : std::nullopt;
        if (!scale || file_of(*scale) != name) continue;
        if (auto port = scale_port(book, *scale)) out.emplace(*scale, std::move(*port));
    }
    return out;
}

}  // namespace tarebook
