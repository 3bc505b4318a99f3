#include "workbook.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/mman.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <set>

#include "tarebook/units/error.hpp"
#include "tarebook/units/utf8.hpp"
#include "units/must_hold.hpp"
#include "xlsx_library.hpp"

namespace tarebook::report {
namespace {

constexpr std::size_t longest_name = 31, longest_text = 32'000;  // a field takes 32 767 characters
constexpr double day_of_1970 = 25'569, seconds_of_a_day = 86'400;

// What a field of words holds: `_x0041_` is its escape of a control character, so that a person's own is escaped; the
// two code points that XML cannot bear are replaced.
std::string field_text(std::string_view text) {
    const auto is_hex = [](char c) {
        return std::string_view("0123456789abcdefABCDEF").find(c) != std::string_view::npos;
    };
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto rest = text.substr(i);
        if (rest.size() >= 7 && rest.starts_with("_x") && rest[6] == '_' && std::all_of(&rest[2], &rest[6], is_hex))
            out += "_x005F";
        if (rest.starts_with("\xEF\xBF\xBE") || rest.starts_with("\xEF\xBF\xBF")) {
            out += "\xEF\xBF\xBD";
            i += 2;
            continue;
        }
        out += text[i];
    }
    return out.size() > longest_text ? std::string(cut_to_bytes(out, longest_text)) + " ... (cut)" : out;
}

double rounded(double value) {
    return std::round(value * 1e6) / 1e6;
}

std::string plain_name(std::string_view name) {
    if (name.size() > longest_name) name = name.substr(0, std::min(name.find(", "), name.find(" (")));
    std::string out;
    for (const char c : cut_to_bytes(name, longest_name))
        out += std::string_view("[]:*?/\\'").find(c) == std::string_view::npos ? c : ' ';
    return out;
}

// A file in memory: no other program sees what is in it, and nothing of it stays.
class MemoryFile {
 public:
    MemoryFile() : file_(memfd_create("sheets", MFD_CLOEXEC)) {
        if (file_ >= 0) return;
        // a kernel before 3.17: a file that has no name
        if (std::FILE* nameless = std::tmpfile()) {
            file_ = fcntl(fileno(nameless), F_DUPFD_CLOEXEC, 0);
            std::fclose(nameless);
        }
    }
    ~MemoryFile() {
        if (file_ >= 0) close(file_);
    }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    [[nodiscard]] std::string path() const { return fmt::format("/proc/self/fd/{}", file_); }
    [[nodiscard]] std::string bytes() const {
        const auto size = lseek(file_, 0, SEEK_END);
        std::string out(static_cast<std::size_t>(std::max<off_t>(size, 0)), '\0');
        for (std::size_t at = 0; at < out.size();) {
            const auto got = pread(file_, &out[at], out.size() - at, static_cast<off_t>(at));
            if (got <= 0) return {};
            at += static_cast<std::size_t>(got);
        }
        return out;
    }

 private:
    int file_;
};

}  // namespace

struct Workbook::Made {
    const XlsxLibrary& lib = xlsx_library();
    MemoryFile file;
    lxw_workbook* book = nullptr;
    lxw_format* heading = nullptr;
    lxw_format* number_heading = nullptr;
    std::map<std::string, lxw_format*> formats;
    std::set<std::string> names;

    lxw_format* number_format(const std::string& pattern) {
        auto& format = formats[pattern];
        if (!format) {
            format = lib.workbook_add_format(book);
            lib.format_set_num_format(format, pattern.c_str());
        }
        return format;
    }
    void write(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t column, const std::string& words,
               const Cell::Value& value, DisplayUnits units) {
        const auto number = [&](double what, const std::string& pattern) {
            lib.worksheet_write_number(sheet, row, column, what, number_format(pattern));
        };
        if (const auto* shown = std::get_if<ShownMass>(&value)) {
            if (const auto& mass = shown->mass)
                number(rounded(units == DisplayUnits::lb ? mass->in_pounds() : mass->in_kilograms()), "0.00####");
        } else if (const auto* n = std::get_if<Number>(&value))
            number(rounded(n->value),
                   n->decimals == 0 ? "0" : "0." + std::string(static_cast<std::size_t>(n->decimals), '0'));
        else if (const auto* month = std::get_if<std::chrono::year_month>(&value))
            number(day_of_1970 + static_cast<double>(Date(*month / 1).time_since_epoch().count()), "yyyy-mm");
        else if (const auto* time = std::get_if<WallTime>(&value))
            number(day_of_1970 + static_cast<double>(time->since_epoch.count()) / seconds_of_a_day,
                   time->since_epoch.count() % static_cast<std::int64_t>(seconds_of_a_day) == 0 ? "yyyy-mm-dd"
                                                                                                : "yyyy-mm-dd hh:mm");
        else if (!std::holds_alternative<Blank>(value))
            lib.worksheet_write_string(sheet, row, column, field_text(words).c_str(), nullptr);
    }
};

Workbook::Workbook(const std::string& title, const std::string& company, Instant made)
    : made_(std::make_unique<Made>()) {
    made_->book = made_->lib.workbook_new(made_->file.path().c_str());
    if (!made_->book) throw std::bad_alloc();
    const auto title_text = field_text(title), company_text = field_text(company);
    std::string title_kept(cut_to_bytes(title_text, 250)), company_kept(cut_to_bytes(company_text, 250));
    lxw_doc_properties properties{};
    properties.title = title_kept.data();
    properties.company = company_kept.data();
    properties.created = static_cast<time_t>(made.time_since_epoch().count());
    made_->lib.workbook_set_properties(made_->book, &properties);
    for (auto* heading : {&made_->heading, &made_->number_heading}) {
        *heading = made_->lib.workbook_add_format(made_->book);
        made_->lib.format_set_bold(*heading);
        made_->lib.format_set_bottom(*heading, LXW_BORDER_THIN);
    }
    made_->lib.format_set_align(made_->number_heading, LXW_ALIGN_RIGHT);
}
Workbook::~Workbook() {
    if (made_->book) made_->lib.lxw_workbook_free(made_->book);
}

std::string Workbook::sheet(const std::string& name, const Table& table, DisplayUnits units) {
    auto plain = plain_name(name);
    for (int i = 2; !made_->names.insert(plain).second; ++i)
        plain = fmt::format("{} {}", cut_to_bytes(plain_name(name), 26), i);
    auto* sheet = made_->lib.workbook_add_worksheet(made_->book, plain.c_str());
    must_hold(sheet != nullptr, "a sheet can have its name");
    const auto& columns = table.columns();
    const auto& rows = table.rows();
    for (std::size_t c = 0; c < columns.size(); ++c) {
        auto heading = columns[c].heading;
        const auto at = static_cast<lxw_col_t>(c);
        std::size_t widest = 0;
        bool is_mass = false;
        for (std::size_t r = 0; r < rows.size(); ++r) {
            made_->write(sheet, static_cast<lxw_row_t>(r + 1), at, rows[r][c], table.value(r, c), units);
            widest = std::max(widest, letters_in(rows[r][c]));
            is_mass = is_mass || std::holds_alternative<ShownMass>(table.value(r, c));
        }
        if (is_mass) heading += units == DisplayUnits::lb ? ", lb" : ", kg";
        made_->lib.worksheet_write_string(sheet, 0, at, heading.c_str(),
                                          columns[c].side == Side::right ? made_->number_heading : made_->heading);
        const auto width = std::clamp<std::size_t>(std::max(widest, letters_in(heading)) + 2, 8, 60);
        made_->lib.worksheet_set_column(sheet, at, at, static_cast<double>(width), nullptr);
    }
    made_->lib.worksheet_freeze_panes(sheet, 1, 0);
    if (!rows.empty())
        made_->lib.worksheet_autofilter(sheet, 0, 0, static_cast<lxw_row_t>(rows.size()),
                                        static_cast<lxw_col_t>(columns.size() - 1));
    made_->lib.worksheet_repeat_rows(sheet, 0, 0);
    made_->lib.worksheet_set_landscape(sheet);
    made_->lib.worksheet_fit_to_pages(sheet, 1, 0);
    return plain;
}

std::string Workbook::bytes() {
    const auto error = made_->lib.workbook_close(made_->book);
    made_->book = nullptr;  // freed, also where it failed
    auto out = error == LXW_NO_ERROR ? made_->file.bytes() : std::string();
    if (out.empty())
        throw StorageError(fmt::format("the sheets could not be put together: {}", made_->lib.lxw_strerror(error)),
                           "see that there is room for temporary files");
    return out;
}

}  // namespace tarebook::report
