// The first row of a file, and the number of cells of the others.
#include <fmt/format.h>

#include <algorithm>

#include "csv.hpp"
#include "csv_guard.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

std::string lower(std::string_view text) {
    std::string out(text);
    for (char& c : out)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return out;
}

std::string names_of(std::span<const CsvColumn> columns) {
    std::string out;
    for (const auto& c : columns)
        if (c.needed) add_word(out, c.name, ",");
    return out;
}

std::string advice(const std::vector<std::string>& seen) {
    if (const auto other = seen.size() == 1 ? other_separator(seen[0]) : std::nullopt) return *other;
    return "the first row names the columns; see `tarebook import movements --help`";
}

}  // namespace

std::optional<std::string> other_separator(std::string_view only_cell, std::ptrdiff_t at_least) {
    for (const char separator : {';', '\t', '|'})
        if (std::count(only_cell.begin(), only_cell.end(), separator) >= at_least)
            return fmt::format(
                "the cells are separated by {}, and only commas are taken: save the sheet again with commas",
                separator == '\t' ? std::string("tabs") : fmt::format("\"{}\"", separator));
    return std::nullopt;
}

bool CsvColumns::read_header(CsvReader& reader, std::span<const CsvColumn> columns, CsvColumns& out) {
    const auto wanted = names_of(columns);
    if (!reader.next()) {
        if (!reader.broken())
            reader.problem(0, {}, csv_guard::error("csv-empty", "there is no row in the file", {}, wanted));
        return false;
    }
    out.place_.assign(columns.size(), -1);
    out.seen_.clear();
    for (const auto cell : reader.cells()) out.seen_.push_back(lower(cell));
    for (auto& name : out.seen_)
        if (!is_utf8(name)) {
            reader.problem(reader.line(), {},
                           csv_guard::error("text-not-utf8", "the first row is not UTF-8 text", {}, wanted,
                                            "save the sheet again as \"CSV UTF-8\""));
            return false;
        }
    const auto seen = joined(out.seen_, ",");
    bool good = true;
    const auto tell = [&](const std::string& field, const char* name, std::string what, std::string next) {
        reader.problem(reader.line(), field, csv_guard::error(name, std::move(what), seen, wanted, std::move(next)));
        good = false;
    };
    std::vector<std::string> known;
    for (const auto& c : columns) known.emplace_back(c.name);
    for (std::size_t i = 0; i < out.seen_.size(); ++i) {
        const auto& name = out.seen_[i];
        const auto it = std::find(known.begin(), known.end(), name);
        if (it == known.end()) {
            if (name.empty())
                tell({}, "header-unknown", fmt::format("column {} has no name", i + 1), "name it, or take it out");
            else if (out.seen_.size() > 1) {
                const auto near = nearest(name, known);
                tell(name, "header-unknown", fmt::format("column \"{}\" is not one that is read", name),
                     near.empty() ? "take it out" : fmt::format("did you mean {}? else take it out", near));
            }
            continue;
        }
        auto& place = out.place_[static_cast<std::size_t>(it - known.begin())];
        if (place >= 0)
            tell(name, "header-twice", fmt::format("column \"{}\" is there twice", name), "take one of them out");
        else
            place = static_cast<int>(i);
    }
    for (std::size_t c = 0; c < columns.size(); ++c)
        if (columns[c].needed && out.place_[c] < 0) {
            tell(known[c], "header-missing", fmt::format("column \"{}\" is missing", known[c]), advice(out.seen_));
            if (out.seen_.size() == 1) break;  // another kind of file: one problem is enough
        }
    return good;
}

bool CsvColumns::read_names(CsvReader& reader, CsvColumns& out, std::int64_t from_line) {
    const std::string wanted = "the names of the columns";
    do {
        if (reader.next()) continue;
        if (!reader.broken())
            reader.problem(0, {}, csv_guard::error("csv-empty", "there is no row in the file", {}, wanted));
        return false;
    } while (reader.line() < from_line);
    out.place_.clear();
    out.seen_.clear();
    for (const auto cell : reader.cells()) {
        if (!is_utf8(cell)) {
            reader.problem(reader.line(), {},
                           csv_guard::error("text-not-utf8", "the first row is not UTF-8 text", {}, wanted,
                                            "save the sheet again as \"CSV UTF-8\""));
            return false;
        }
        out.place_.push_back(static_cast<int>(out.seen_.size()));
        out.seen_.emplace_back(cell);
    }
    return true;
}

bool CsvColumns::sound(CsvReader& reader) const {
    const auto row = reader.cells();
    if (row.size() != seen_.size()) {
        const bool few = row.size() < seen_.size();
        reader.problem(reader.line(), {},
                       csv_guard::error(few ? "row-short" : "row-long", fmt::format("the row has {} cells", row.size()),
                                        few ? fmt::format("nothing for {}", seen_[row.size()])
                                            : fmt::format("\"{}\" after the last column",
                                                          is_utf8(row[seen_.size()]) ? row[seen_.size()] : "?"),
                                        fmt::format("{} cells, as in the first row", seen_.size()),
                                        few ? "" : "put a cell that has a comma in it in quotes"));
        return false;
    }
    bool good = true;
    for (std::size_t i = 0; i < row.size(); ++i) {
        unsigned high = 0;
        unsigned control = 0;
        for (const char c : row[i]) {
            high |= static_cast<unsigned char>(c) & 0x80U;
            control |= static_cast<unsigned>(static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t');
        }
        if (high != 0 && !is_utf8(row[i])) {
            reader.problem(reader.line(), seen_[i],
                           csv_guard::error("text-not-utf8", "the cell is not UTF-8 text", {}, "UTF-8",
                                            "save the sheet again as \"CSV UTF-8\""));
            good = false;
        } else if (control != 0) {
            reader.problem(
                reader.line(), seen_[i],
                csv_guard::error("csv-control", "the cell has a control character in it", {},
                                 "text, with lines that end in a line feed", "save the sheet again as \"CSV UTF-8\""));
            good = false;
        }
    }
    return good;
}

bool CsvColumns::next(CsvReader& reader) {
    while (reader.next()) {
        if (!sound(reader)) continue;
        row_ = reader.cells();
        return true;
    }
    return false;
}

}  // namespace tarebook
