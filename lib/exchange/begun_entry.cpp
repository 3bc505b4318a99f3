#include "tarebook/exchange/begun_entry.hpp"

#include <algorithm>
#include <fstream>
#include <stdexcept>

#include "draft_file.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "units/must_hold.hpp"

namespace tarebook {
namespace {

namespace fs = std::filesystem;
constexpr std::string_view first_line = "tarebook entry 1";
constexpr std::string_view ending = ".entry";

std::string file_name(const std::string& name) {
    const bool good = !name.empty() && name.size() <= 100 && std::all_of(name.begin(), name.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
               c == '.';
    });
    must_hold(good, "the name of a kept entry has letters, digits, dots, hyphens and underscores");
    return name + std::string(ending);
}

// Precondition of the file's form: a value has no line break, because each value is one line.
std::string on_one_line(std::string text) {
    std::replace_if(
        text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
    return text;
}

}  // namespace

std::optional<std::string> BegunEntry::at(std::string_view flag) const {
    const auto it = std::find_if(words.begin(), words.end(), [&](const auto& w) { return w.first == flag; });
    return it == words.end() ? std::nullopt : std::optional(it->second);
}

void BegunEntry::set(std::string flag, std::string typed) {
    const auto it = std::find_if(words.begin(), words.end(), [&](const auto& w) { return w.first == flag; });
    if (it == words.end())
        words.emplace_back(std::move(flag), std::move(typed));
    else
        it->second = std::move(typed);
}

std::optional<BegunEntry> begun_entry(const fs::path& book, const std::string& name) {
    std::ifstream in(sheet_drafts_folder(book) / file_name(name), std::ios::binary);
    std::string line;
    if (!std::getline(in, line) || line != first_line || !std::getline(in, line)) return std::nullopt;
    const auto begun = instant_from_text(line);
    if (!begun) return std::nullopt;
    BegunEntry out{*begun, {}};
    while (std::getline(in, line)) {
        const auto tab = line.find('\t');
        if (tab == std::string::npos) return std::nullopt;
        out.set(line.substr(0, tab), line.substr(tab + 1));
    }
    return out;
}

void keep_begun_entry(const fs::path& book, const std::string& name, const BegunEntry& entry) {
    auto text = std::string(first_line) + "\n" + instant_text(entry.begun) + "\n";
    for (const auto& [flag, typed] : entry.words) text += on_one_line(flag) + "\t" + on_one_line(typed) + "\n";
    exchange::keep_draft_file(book, file_name(name), text);
}

void drop_begun_entry(const fs::path& book, const std::string& name) {
    exchange::drop_draft_file(book, file_name(name));
}

std::vector<std::string> begun_entries(const fs::path& book, std::string_view beginning) {
    std::vector<std::string> out;
    std::error_code error;
    for (const auto& file : fs::directory_iterator(sheet_drafts_folder(book), error)) {
        const auto name = file.path().filename().string();
        if (name.starts_with(beginning) && name.ends_with(ending))
            out.push_back(name.substr(0, name.size() - ending.size()));
    }
    std::sort(out.begin(), out.end());
    return out;
}

}  // namespace tarebook
