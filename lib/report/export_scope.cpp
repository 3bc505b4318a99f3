#include "export_scope.hpp"

#include <algorithm>

namespace tarebook::report {
namespace {

bool is_letter(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0x80 || (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool has_word(std::string_view text, std::string_view word) {
    for (auto at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
        const auto end = at + word.size();
        if ((at == 0 || !is_letter(text[at - 1])) && (end == text.size() || !is_letter(text[end]))) return true;
    }
    return false;
}

}  // namespace

Redactor::Redactor(const Book& book, const YearScope& scope, const std::set<std::string>& technicians) {
    if (scope.all()) return;
    std::set<std::string> own, others;
    const auto all_values = [](const Entry& entry, std::string_view field, std::set<std::string>& out) {
        if (const auto it = entry.fields().find(field); it != entry.fields().end())
            for (const auto& value : it->second) out.insert(value.value.text);
    };
    for (const auto& code : book.codes(EntryKind::site)) {
        const auto* entry = book.entries().find(EntryKind::site, code);
        if (!entry) continue;
        std::set<std::string> names{code}, owners;
        all_values(*entry, "owner", owners);
        const bool shown = scope.site ? code == *scope.site : owners.contains(*scope.owner);
        for (const auto* field : {"name", "address", "owner_group"}) all_values(*entry, field, names);
        auto& side = shown ? own : others;
        side.insert(names.begin(), names.end());
        for (const auto& owner : owners)
            (scope.site ? shown : owner == *scope.owner) ? own.insert(owner) : others.insert(owner);
    }
    for (const auto& balance : book.balances())
        if (balance.lot.owner != shop_owner && balance.lot.owner != owner_unassigned) others.insert(balance.lot.owner);
    for (const auto& code : book.codes(EntryKind::technician)) {
        std::set<std::string> names{code};
        if (const auto* entry = book.entries().find(EntryKind::technician, code)) all_values(*entry, "name", names);
        (technicians.contains(code) ? own : others).insert(names.begin(), names.end());
    }
    for (const auto& word : others)
        if (!word.empty() && !own.contains(word)) words_.push_back(word);
}

bool Redactor::names_others(std::string_view text) const {
    return std::any_of(words_.begin(), words_.end(), [&](const std::string& word) { return has_word(text, word); });
}

}  // namespace tarebook::report
