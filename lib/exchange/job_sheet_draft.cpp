// Keeps the text of a refused sheet beside the book until the sheet is recorded.
#include <unistd.h>

#include "draft_file.hpp"
#include "job_sheet_id.hpp"
#include "tarebook/event/event.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

namespace fs = std::filesystem;

// The sheet's id if the text shows one, even if the text cannot be parsed.
std::string id_in(std::string_view text) {
    constexpr std::string_view key = "sheet:";
    for (auto line : split(without_utf8_mark(text), '\n')) {
        if (!line.starts_with(key)) continue;
        line.remove_prefix(key.size());
        line = line.substr(0, line.find(" #"));
        const auto first = line.find_first_not_of(" \"'");
        const auto last = line.find_last_not_of(" \"'\r");
        if (first == std::string_view::npos || last < first) return {};
        const auto id = line.substr(first, last - first + 1);
        return exchange::good_sheet_id(id) ? std::string(id) : std::string();
    }
    return {};
}

std::string name_of(std::string_view text) {
    constexpr std::size_t digits = 16;
    const auto id = id_in(text);
    return id.empty() ? "unnamed-" + hex(digest_of(text)).substr(0, digits) : id;
}

}  // namespace

fs::path keep_sheet_draft(const fs::path& book, std::string_view text) {
    return exchange::keep_draft_file(book, name_of(text) + ".yaml", text);
}

void drop_sheet_draft(const fs::path& book, const std::string& sheet, const fs::path& read_from) {
    const auto folder = sheet_drafts_folder(book);
    std::error_code e;
    if (!read_from.empty() && fs::equivalent(read_from.parent_path(), folder, e) && !e) ::unlink(read_from.c_str());
    exchange::drop_draft_file(book, sheet + ".yaml");
}

}  // namespace tarebook
