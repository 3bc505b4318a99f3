#include "tarebook/record/drafting.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "tarebook/checks/entry_field.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook {
namespace {

// Of an entry its own code; of any other event the circuit or appliance that it names.
std::string where(const Event& event) {
    if (const auto* entry = std::get_if<kinds::Entry>(&event.what))
        return entry->entry == EntryKind::site || entry->entry == EntryKind::appliance ||
                       entry->entry == EntryKind::circuit
                   ? entry->code
                   : std::string();
    auto circuit = circuit_named_by(event);
    return circuit.empty() ? std::string(appliance_named_by(event)) : circuit;
}

Result<const FieldRule*> rule_of(EntryKind kind, const std::string& name) {
    const auto& rules = field_rules(kind);
    const auto it = std::find_if(rules.begin(), rules.end(), [&](const FieldRule& r) { return r.name == name; });
    if (it != rules.end()) return &*it;
    std::string names;
    std::vector<std::string_view> all;
    for (const auto& rule : rules) {
        names += fmt::format("{}{}", names.empty() ? "" : ", ", rule.name);
        all.push_back(rule.name);
    }
    return usage("field-unknown", fmt::format("a {} has no field {}", text_of(kind), name), name, names,
                 did_you_mean(name, all));
}

}  // namespace

std::string zone_of(const Book& book, const Event& event) {
    if (const auto place = where(event); !place.empty())
        if (const auto* site = book.entries().find(EntryKind::site, site_of(place)))
            if (auto zone = site->text("zone", {event.when.at, {}, 0})) return *zone;
    return book.info().zone;
}

Result<Event> make_event(const Book& book, What what, DraftFacts facts) {
    Event out;
    out.what = std::move(what);
    out.recorded = facts.now;
    out.when.at = facts.now;
    if (facts.when) {
        out.when = std::move(*facts.when);
    } else {
        auto now = moment_in_zone(facts.now, zone_of(book, out));
        if (!now) return fail(now.error());
        out.when = std::move(*now);
    }
    out.by = std::move(facts.by);
    out.job = std::move(facts.job);
    out.scale = std::move(facts.scale);
    out.note = std::move(facts.note);
    out.own_id = std::move(facts.own_id);
    return out;
}

Result<Event> make_entry(const Book& book, EntryKind kind, const std::string& code,
                         const std::vector<TypedField>& fields, DraftFacts facts, ScaleReads reads) {
    if (auto good = check_code(kind, code); !good) return fail(good.error());
    kinds::Entry entry{kind, code, book.entries().find(kind, code) == nullptr, {}};
    for (const auto& field : fields) {
        const auto rule = rule_of(kind, field.name);
        if (!rule) return fail(rule.error());
        auto value = parse_field(book.catalogue(), **rule, field.typed, reads);
        if (!value) return fail(value.error());
        entry.values[field.name] = std::move(*value);
    }
    return make_event(book, std::move(entry), std::move(facts));
}

}  // namespace tarebook
