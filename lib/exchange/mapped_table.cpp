#include "mapped_table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "csv_guard.hpp"
#include "movements_cells.hpp"
#include "movements_rows.hpp"
#include "tarebook/checks/draft_form.hpp"
#include "tarebook/checks/entry_field.hpp"
#include "tarebook/refrigerant/piping.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

constexpr std::string_view not_known = "unknown";  // a person's word can be mapped to this, in any field

// Several values in one cell, separated by line ends or semicolons, each on one line.
std::string lines_of(std::string cell) {
    std::replace_if(
        cell.begin(), cell.end(), [](char c) { return c == ';' || c == '\r'; }, '\n');
    std::string out;
    for (const auto part : split(cell, '\n'))
        if (const auto line = trimmed(part); !line.empty()) add_word(out, line, "\n");
    return out;
}

template <class Parse>
std::optional<Error> each_line(const std::string& lines, Parse parse) {
    for (const auto line : split(lines, '\n'))
        if (auto read = parse(line); !read) return read.error();
    return std::nullopt;
}

}  // namespace

MappedTable::MappedTable(const ReferenceData& data, const ImportMap& map, const std::string& map_name,
                         ByteSource& source, const std::string& name, FileProblems& problems)
    : data_(data), map_(map), map_name_(map_name), problems_(problems), csv_(source, name, problems) {}

bool MappedTable::open() {
    if (!CsvColumns::read_names(csv_, cells_, map_.header_line)) return false;
    const auto& names = cells_.names();
    bool good = true;
    std::string all;
    std::vector<std::string> plain;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (names[i].empty()) {
            nameless_.push_back(i);
            continue;
        }
        add_word(all, names[i]);
        plain.push_back(plain_word(names[i]));
        if (!place_.try_emplace(plain.back(), i).second) {
            csv_.problem(csv_.line(), names[i],
                         csv_guard::error("header-twice", fmt::format("column \"{}\" is there twice", names[i]),
                                          names[i], "each name once", "give one of them another name"));
            good = false;
        }
    }
    std::string advice;
    if (names.size() == 1) advice = other_separator(names[0], 1).value_or("");
    std::set<std::string> used;
    const auto use = [&](const std::string& column, const std::string& field, std::int64_t line) {
        used.insert(plain_word(column));
        if (place_.contains(plain_word(column))) return;
        good = false;
        if (!advice.empty()) return;
        const auto near = nearest(plain_word(column), plain);
        std::string next;
        if (!near.empty())
            next = fmt::format("did you mean \"{}\"?", names[place_[near]]);
        else if (plain.size() == 1 && !nameless_.empty())
            next = "where a title stands above them, header_line: says in which line the names of the columns are";
        problems_.add({map_name_, line, field,
                       csv_guard::error("map-no-column", fmt::format("{} has no column \"{}\"", csv_.name(), column),
                                        column, all, std::move(next))});
    };
    for (const auto& mapped : map_.fields)
        if (!mapped.column.empty()) use(mapped.column, mapped.field->name, mapped.line);
    for (const auto& ignored : map_.ignored) use(ignored.name, "ignore", ignored.line);
    for (const auto& rows : map_.skipped) use(rows.column, "skip", rows.line);
    if (!advice.empty() && !good) {
        csv_.problem(csv_.line(), {},
                     csv_guard::error("map-no-column", "there is one column in the file", names[0],
                                      "the columns that the mapping names", advice));
        return false;
    }
    for (const auto& name : names)
        if (!name.empty() && !used.contains(plain_word(name))) {
            csv_.problem(csv_.line(), name,
                         csv_guard::error("map-column-open",
                                          fmt::format("the mapping does not say what column \"{}\" is for", name), name,
                                          "one of our fields for each column, or its name under ignore",
                                          fmt::format("map it, or write it under ignore in {}", map_name_)));
            good = false;
        }
    return good;
}

bool MappedTable::is_skipped() const {
    return std::any_of(map_.skipped.begin(), map_.skipped.end(), [&](const SkippedRows& rows) {
        return rows.words.contains(plain_word(cells_.cell(place_.at(plain_word(rows.column)))));
    });
}

bool MappedTable::next() {
    good_ = true;
    while (cells_.next(csv_)) {
        if (is_skipped()) {
            ++skipped_;
            continue;
        }
        bool sound = true;
        for (const auto i : nameless_)
            if (!cells_.cell(i).empty()) {
                csv_.problem(csv_.line(), {},
                             csv_guard::error("cell-not-empty", fmt::format("column {} has no name", i + 1),
                                              std::string(cells_.cell(i)), "nothing in a column without a name",
                                              "name the column in the first row, or empty the cell"));
                sound = false;
            }
        if (sound) return true;
    }
    return false;
}

std::optional<std::string> MappedTable::text(std::string_view field) const {
    const auto* mapped = map_.find(field);
    if (!mapped) return std::nullopt;
    if (mapped->value) return mapped->value == not_known ? std::nullopt : mapped->value;
    const auto cell = cells_.cell(place_.at(plain_word(mapped->column)));
    const auto plain = plain_word(cell);
    if (const auto it = mapped->words.find(plain); it != mapped->words.end())
        return it->second == not_known ? std::nullopt : std::optional(it->second);
    if (plain.empty() || map_.nothing.contains(plain)) return std::nullopt;
    return std::string(cell);
}

std::optional<std::string> MappedTable::sound_text(std::string_view field) {
    auto said = text(field);
    if (!said) return std::nullopt;
    auto wrong = text_form_problem(field == "technician" ? "by" : field, *said, "the text");
    if (!wrong) return said;
    problem(field, std::move(*wrong));
    return std::nullopt;
}

std::optional<FieldValue> MappedTable::checked(const MappedField& mapped, const std::string& text) {
    const auto& rule = mapped.field->rule;
    const auto& name = mapped.field->name;
    if (auto wrong = text_form_problem(rule.name, text, "the text")) {
        problem(name, std::move(*wrong));
        return std::nullopt;
    }
    if (mapped.field->form == CellForm::several_lines) {
        FieldValue lines{lines_of(text), {}};
        std::optional<Error> error;
        if (rule.name == "pipes") error = each_line(lines.text, [](std::string_view l) { return parse_pipe(l); });
        if (rule.name == "volumes") error = each_line(lines.text, [](std::string_view l) { return parse_vessel(l); });
        if (error) problem(name, std::move(*error));
        return lines;
    }
    if (rule.name == "rule_packs")
        for (const auto& pack : rule_pack_names(text))
            if (auto known = data_.rules.parse(pack); !known) problem(name, std::move(known.error()));
    if (rule.type == FieldType::month && mapped.dates) {
        const auto parts = taken(name, mapped.dates->take(text));
        if (!parts) return std::nullopt;
        return FieldValue{fmt::format("{:04}-{:02}", parts->year, parts->month), {}};
    }
    if (rule.type == FieldType::mass || rule.type == FieldType::water_capacity) {
        const auto typed = taken(name, with_unit(text, mapped.unit));
        if (!typed) return std::nullopt;
        auto read = parse_field(data_.catalogue, rule, *typed, ScaleReads::unknown);
        if (!read && read.error().name == "weight-no-unit")
            read.error().next = "weights: in the mapping says what bare numbers are in: lb, lb-oz or kg";
        return taken(name, std::move(read));
    }
    auto read = parse_field(data_.catalogue, rule, text, ScaleReads::unknown);
    if (!read) {
        auto& next = read.error().next;
        const bool of_words =
            rule.type == FieldType::word || rule.type == FieldType::flag || rule.type == FieldType::refrigerant;
        if (of_words) {
            if (!next.empty()) next += "; or ";
            next += fmt::format("say under {} in the mapping what it means: words: {{\"{}\": ...}}", name, text);
        }
        if (rule.type == FieldType::month)
            next = "dates: MM/YYYY, under the field in the mapping, says how the file writes months";
    }
    return taken(name, std::move(read));
}

std::optional<FieldValue> MappedTable::value(std::string_view field) {
    const auto said = text(field);
    if (!said) return std::nullopt;
    return checked(*map_.find(field), *said);
}

std::optional<Weight> MappedTable::weight(std::string_view field) {
    const auto read = value(field);
    if (!read || !read->mass) return std::nullopt;
    return Weight{*read->mass, read->text};
}

std::optional<std::string> MappedTable::code(std::string_view field, bool needed) {
    auto typed = text(field);
    if (!typed) {
        if (needed) problem(field, missing(fmt::format("the {} is missing", field), "its code"));
        return std::nullopt;
    }
    if (is_code_part(*typed)) return typed;
    auto error = no_code(field, *typed);
    error.next = fmt::format("mend it, or say under {} in the mapping which code is meant: words: {{\"{}\": CODE}}",
                             field, *typed);
    problem(field, std::move(error));
    return std::nullopt;
}

bool MappedTable::has_time(std::string_view day, std::string_view time) const {
    if (text(time)) return true;
    const auto* mapped = map_.find(day);
    return mapped && mapped->dates && mapped->dates->text().find("hh") != std::string::npos;
}

std::optional<Moment> MappedTable::moment(std::string_view day, std::string_view time, const std::string& zone,
                                          Instant now) {
    const auto typed_day = text(day);
    if (!typed_day) return std::nullopt;
    const auto& mapped = *map_.find(day);
    // A value in the mapping is in our own form.
    static const auto plain = DayPattern::read("YYYY-MM-DD").value();
    static const auto plain_with_time = DayPattern::read("YYYY-MM-DD hh:mm").value();
    const bool of_map = mapped.value.has_value();
    const auto& pattern = of_map         ? (typed_day->size() > 10 ? plain_with_time : plain)
                          : mapped.dates ? *mapped.dates
                                         : plain;
    auto read = pattern.take(*typed_day);
    if (read && !read->day)
        return problem(day, csv_guard::error("date-format", "the form of dates lacks the day", *typed_day,
                                             "a form with DD in it")),
               std::nullopt;
    if (!read && !of_map && !mapped.dates) read.error().next = "03/04 could be two days: say dates: in the mapping";
    const auto parts = taken(day, std::move(read));
    if (!parts) return std::nullopt;
    std::string clock = "00:00";
    if (parts->time) clock = *parts->time;
    if (const auto typed_time = text(time)) {
        const auto said = taken(time, clock_time(*typed_time));
        if (!said) return std::nullopt;
        clock = *said;
    }
    return taken(
        text(time) ? time : day,
        parse_moment(fmt::format("{:04}-{:02}-{:02} {}", parts->year, parts->month, *parts->day, clock), zone, now));
}

std::string MappedTable::column_of(std::string_view field) const {
    const auto* mapped = map_.find(field);
    return mapped && !mapped->column.empty() ? mapped->column : std::string(field);
}

void MappedTable::problem(std::string_view field, Error error) {
    good_ = false;
    const auto* mapped = map_.find(field);
    if (error.seen.empty() && mapped && !mapped->column.empty())
        error.seen = cells_.cell(place_.at(plain_word(mapped->column)));
    csv_.problem(csv_.line(), column_of(field), std::move(error));
}

void MappedTable::look_for_twice(std::string_view field, const std::string& code,
                                 std::map<std::string, std::int64_t>& lines) {
    if (const auto [it, fresh] = lines.try_emplace(code, line()); !fresh)
        problem(field, csv_guard::error("entry-twice", fmt::format("{} is there twice", code), code,
                                        fmt::format("each one once; it stands in line {} too", it->second),
                                        "take one of them out"));
}

}  // namespace tarebook
