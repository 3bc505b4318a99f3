// The register: a list of entries of one kind, or one entry with its earlier values.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "layout.hpp"
#include "shared_text.hpp"

namespace tarebook {
namespace report {
namespace {

// Repeated words of one field (the valves to close) are kept as lines; a table has one line a row.
std::string one_line(std::string text) {
    for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += 2) text.replace(at, 1, "; ");
    return text;
}

const FieldValue* last_value(const Entry& entry, std::string_view field) {
    const auto* value = entry.at(field, order_at(Instant::max()));
    return value && !value->text.empty() ? value : nullptr;
}

Json fields_json(const Entry& entry) {
    Json fields = Json::object();
    for (const auto& [name, dated] : entry.fields()) {
        const auto* value = last_value(entry, name);
        fields.add(name, value ? Json::text(value->text) : Json::null());
        if (value && value->mass) fields.add_mass(name, value->mass);
    }
    return fields;
}

const Columns<const Entry*>& entry_columns() {
    static const Columns<const Entry*> columns{{"code", "", &Entry::code},
                                               {"fields", "", [](const Entry* entry) { return fields_json(*entry); }}};
    return columns;
}
// The fields as a table has them, a column each.
Columns<const Entry*> table_columns(const std::string& kind, const std::vector<std::string>& fields) {
    Columns<const Entry*> out{{kind, kind, &Entry::code}};
    for (const auto& field : fields)
        out = std::move(out).with({Column<const Entry*>(field, field, [field](const Entry* entry) {
                                       const auto* value = last_value(*entry, field);
                                       return value ? one_line(value->text) : std::string();
                                   }).blank()});
    return out;
}

struct SaidOnce {
    std::string_view field;
    const DatedValue& said;
};
const Columns<SaidOnce>& history_columns() {
    using C = Column<SaidOnce>;
    const auto text = [](const SaidOnce& s) { return s.said.value.text; };
    static const Columns<SaidOnce> columns{
        {"field", "", &SaidOnce::field},
        {"from", "", [](const SaidOnce& s) { return instant_text(s.said.from.at); }},
        C("value", "", text).csv_as([text](const SaidOnce& s) { return one_line(text(s)); }),
        C("value", "", [](const SaidOnce& s) { return s.said.value.mass; }).no_csv()};
    return columns;
}
std::vector<SaidOnce> history_of(const Entry& entry) {
    std::vector<SaidOnce> out;
    for (const auto& [name, values] : entry.fields())
        for (const auto& said : values) out.push_back({name, said});
    return out;
}

}  // namespace
}  // namespace report

using namespace report;

Page register_page(const Book& book, EntryKind kind, const PageOptions& options) {
    const auto codes = book.codes(kind);
    const auto word = std::string(tarebook::text_of(kind));
    std::vector<const Entry*> entries;
    for (const auto& code : codes)
        if (const auto* entry = book.entries().find(kind, code)) entries.push_back(entry);
    if (options.format == Format::json) {
        return Page{page_of("entries", {{"kind", word}, {"entries", entry_columns().json(entries)}}).page()};
    }
    std::vector<std::string> names;
    for (const auto& rule : field_rules(kind)) names.emplace_back(rule.name);
    if (options.format == Format::csv) return Page{table_columns(word, names).csv(entries)};
    if (entries.empty()) return Page{fmt::format("no {} on record\n", word)};
    // Only columns that say something: a page of 80 columns has no room for empty ones.
    std::erase_if(names, [&](const std::string& name) {
        return std::none_of(entries.begin(), entries.end(), [&](const Entry* e) { return last_value(*e, name); });
    });
    return Page{laid_out(table_columns(word, names).table(entries, options.units).text(), options.width)};
}

Result<Page> entry_page(const Book& book, EntryKind kind, std::string_view code, const PageOptions& options,
                        const std::optional<ScalePort>& port) {
    if (auto known = entry_exists(book, kind, code); !known) return fail(known.error());
    const auto* entry = book.entries().find(kind, code);
    const auto word = std::string(tarebook::text_of(kind));
    if (options.format == Format::json) {
        auto page = page_of("entry", {{"kind", word},
                                      {"code", code},
                                      {"fields", fields_json(*entry)},
                                      {"history", history_columns().json(history_of(*entry))}});
        if (port)
            add_facts(page, {{"port", port->port},
                             {"baud", std::int64_t{port->baud}},
                             {"line_pattern", port->line},
                             {"wait_ms", std::int64_t{port->wait.count()}}});
        return Page{page.page()};
    }
    if (options.format == Format::csv) return Page{history_columns().csv(history_of(*entry), word, code)};
    const auto when = [&](const DatedValue& dated) { return moment_in_zone(dated.from.at, book.info().zone); };
    const auto day_of = [&](const DatedValue& dated) {
        const auto moment = when(dated);
        return date_text(moment ? moment->date() : std::chrono::floor<std::chrono::days>(dated.from.at));
    };
    Table table;
    table.column("field").column("value").column("from");
    for (const auto& rule : field_rules(kind)) {
        const auto values = entry->fields().find(rule.name);
        if (values == entry->fields().end()) {
            table.row({std::string(rule.name), "not on record", ""});
            continue;
        }
        std::map<std::string, int> on_day;
        bool said = false;
        for (const auto& dated : values->second) {
            if (!dated.value.text.empty()) ++on_day[day_of(dated)];
            said = said || !dated.value.text.empty();
        }
        auto name = std::string(rule.name);
        const auto& newest = values->second.back();
        if (newest.value.text.empty())  // taken back, or never said
            table.row({std::exchange(name, ""), "not on record", said ? day_of(newest) : ""});
        // Newest first: the one beside the name counts, and those of one day are told apart by their time.
        for (auto dated = values->second.rbegin(); dated != values->second.rend(); ++dated) {
            if (dated->value.text.empty()) continue;
            const auto day = day_of(*dated);
            const auto moment = when(*dated);
            table.row({std::exchange(name, ""), one_line(dated->value.text),
                       on_day[day] > 1 && moment ? moment_text(*moment) : day});
        }
    }
    return Page{laid_out(fmt::format("{} {}\n{}", word, code, table.text(2)), options.width)};
}

}  // namespace tarebook
