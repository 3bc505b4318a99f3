// A mapping to start from: columns with a similar name are filled in, the others are listed for a person to assign.
#include <fmt/format.h>

#include <algorithm>

#include "csv.hpp"
#include "csv_guard.hpp"
#include "import_map.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/yaml_guard.hpp"

namespace tarebook {
namespace {

// "Tare (lb)", "tare_lb", "TARE" as "tare"; the unit on its own, if there is one.
struct PlainName {
    std::string words, unit;
};
PlainName plain_name(std::string_view column) {
    PlainName out;
    std::string word;
    const auto end_word = [&] {
        if (word.empty()) return;
        const bool lb = word == "lb" || word == "lbs" || word == "pounds";
        if (lb || word == "kg")
            out.unit = lb ? "lb" : "kg";
        else
            add_word(out.words, word, " ");
        word.clear();
    };
    for (const char c : plain_word(column)) {
        const bool letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
        if (letter)
            word += c;
        else
            end_word();
    }
    end_word();
    return out;
}

bool is_alike(const MapField& field, const std::string& words) {
    if (words.empty()) return false;
    return words == plain_name(field.name).words || is_among(words, field.alike);
}

// The row with the names: the first one with more than one cell, because a title above it fills one.
struct NameRow {
    std::int64_t line = 1;
    std::string advice;  // for a file that is no table of ours
};
NameRow line_of_names(const std::filesystem::path& file) {
    constexpr int most_rows = 20;
    auto source = open_file(file);
    if (!source) return {};
    FileProblems problems;
    CsvReader csv(**source, file.string(), problems);
    for (int i = 0; i < most_rows && csv.next(); ++i) {
        const auto cells = csv.cells();
        if (std::count_if(cells.begin(), cells.end(), [](std::string_view c) { return !c.empty(); }) > 1)
            return {csv.line(), {}};
        if (cells.size() == 1)
            if (const auto other = other_separator(cells[0])) return {csv.line(), *other};
    }
    return {};
}

}  // namespace

Result<std::string> blank_map(MapKind kind, const std::filesystem::path& file) {
    auto source = open_file(file);
    if (!source) return fail(source.error());
    const auto [names_at, advice] = line_of_names(file);
    if (!advice.empty())
        return fail(csv_guard::error("map-no-column", "there is one column in the file", {}, "columns", advice));
    FileProblems problems;
    CsvReader csv(**source, file.string(), problems);
    CsvColumns columns;
    if (!CsvColumns::read_names(csv, columns, names_at)) return fail(problems.listed.front().error);
    auto out = fmt::format(
        "# Which column of {} is which field of ours. Look at every line: a name that looks right may mean something "
        "else.\n"
        "import: {}\n"
        "{}"
        "# weights: lb              # what bare numbers are in: lb, lb-oz or kg\n"
        "# dates: MM/DD/YYYY        # how days are written, YYYY-MM-DD where nothing is said\n"
        "nothing: [\"n/a\", \"-\", \"?\"]  # cells that say nothing; empty ones never do\n"
        "fields:\n",
        file.filename().string(), text_of(kind),
        names_at > 1 ? fmt::format("header_line: {}            # the line with the names of the columns\n", names_at)
                     : std::string());
    std::vector<bool> used(columns.names().size());
    std::string open;
    for (const auto& field : map_fields(kind)) {
        std::size_t found = used.size();
        for (std::size_t i = 0; i < used.size() && found == used.size(); ++i)
            if (!used[i] && is_alike(field, plain_name(columns.names()[i]).words)) found = i;
        if (found == used.size()) {
            open += fmt::format("  # {}: \"\"{}\n", field.name,
                                field.rule.words.empty() ? "" : fmt::format("  # {}", field.rule.words));
            continue;
        }
        used[found] = true;
        const auto& column = columns.names()[found];
        const auto unit = plain_name(column).unit;
        const bool weight = field.rule.type == FieldType::mass || field.rule.type == FieldType::water_capacity;
        out += unit.empty() || !weight
                   ? fmt::format("  {}: {}\n", field.name, in_yaml_quotes(column))
                   : fmt::format("  {}: {{column: {}, unit: {}}}\n", field.name, in_yaml_quotes(column), unit);
    }
    out += open;
    out += "# columns that nothing was found for: map them above, or say here that they are left out\nignore:\n";
    for (std::size_t i = 0; i < used.size(); ++i)
        if (!used[i] && !columns.names()[i].empty())
            out += fmt::format("  # - {}\n", in_yaml_quotes(columns.names()[i]));
    return out;
}

}  // namespace tarebook
