#include "register_rows.hpp"

namespace tarebook::analysis {

RegisterRows::RegisterRows(const Book& book, AnalystsDb& file)
    : book_(book),
      values_(file, "base_register", {"kind", "code", "field", "at", "origin", "seq", "event_name", "value", "mass"}, 2,
              6) {}

void RegisterRows::write_all() {
    for (std::size_t kind = 0; kind < entry_kind_count; ++kind)
        book_.each_entry(static_cast<EntryKind>(kind), [&](const Entry& entry) { write(entry); });
}

void RegisterRows::write(EntryKind kind, const std::string& code) {
    values_.begin(text_of(kind), code);
    if (const auto* entry = book_.entries().find(kind, code)) write(*entry);
    values_.end();
}

void RegisterRows::write(const Entry& entry) {
    OrderKey named{};
    std::string name;
    for (const auto& [field, values] : entry.fields())
        for (const auto& value : values) {
            if (name.empty() || named < value.from || value.from < named) {
                named = value.from;
                name = book_.name_at(value.from);
            }
            const auto place = place_in_file(value.from);
            values_.row(text_of(entry.kind()), entry.code(), field, place.at, place.origin, place.seq, name,
                        value.value.text, value.value.mass);
        }
}

}  // namespace tarebook::analysis
