#include "history.hpp"

#include <algorithm>
#include <set>

namespace tarebook::report {
namespace {

Date local_date(const Book& book, Instant at) {
    const auto moment = moment_in_zone(at, book.info().zone);
    return moment ? moment->date() : std::chrono::floor<std::chrono::days>(at);
}

bool says_yes(const Entry& entry, std::string_view field) {
    return entry.text(field, order_at(Instant::max())) == "yes";
}

// A change of the refrigerant is a conversion, whichever event said so.
void add_conversions(const Book& book, const Entry& entry, std::vector<LeakEvent>& out) {
    const auto it = entry.fields().find("refrigerant");
    if (it == entry.fields().end()) return;
    const auto& values = it->second;
    for (std::size_t i = 1; i < values.size(); ++i) {
        if (values[i].value.text == values[i - 1].value.text) continue;
        LeakEvent e;
        e.kind = LeakEvent::Kind::converted;
        e.on = local_date(book, values[i].from.at);
        e.source = book.name_at(values[i].from);
        e.text = values[i].value.text;
        out.push_back(std::move(e));
    }
}

}  // namespace

ApplianceHistory history_of(const Book& book, const Entry& appliance, const LeakRecord& record) {
    ApplianceHistory out;
    out.units = book.info().units;
    out.appliance = appliance.code();
    out.additions = record.additions;
    out.taken_out = record.taken_out;
    out.full_charge = record.full_charge;
    out.options = record.options;
    std::set<OrderKey> changes;
    std::optional<Instant> first;
    for (const auto& [name, values] : appliance.fields()) {
        if (!first || values.front().from.at < *first) first = values.front().from.at;
        if (name == "refrigerant" || name == "category" || name == "full_charge" || name == "full_charge_to")
            for (const auto& value : values) changes.insert(value.from);
    }
    if (first) out.on_record_since = local_date(book, *first);
    for (const auto& key : changes)
        out.subjects.push_back({local_date(book, key.at), subject_at(book.catalogue(), appliance, key)});
    out.events = record.events;
    add_conversions(book, appliance, out.events);
    std::stable_sort(out.events.begin(), out.events.end(),
                     [](const LeakEvent& a, const LeakEvent& b) { return a.on < b.on; });
    if (const auto day = appliance.text("installed", order_at(Instant::max())))
        if (const auto read = parse_date(*day)) out.installed = *read;
    out.detection_system = says_yes(appliance, "detection_system");
    if (out.detection_system)
        out.detection_since = local_date(book, appliance.fields().find("detection_system")->second.back().from.at);
    out.hermetic_and_labelled = says_yes(appliance, "hermetic");
    out.residential = says_yes(appliance, "residential");
    return out;
}

}  // namespace tarebook::report
