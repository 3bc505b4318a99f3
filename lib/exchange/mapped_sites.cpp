// A list of sites, appliances or circuits: each row may have fields of all three, and several rows fields of one.
#include <fmt/format.h>

#include "csv_guard.hpp"
#include "mapped_drafts.hpp"

namespace tarebook {
namespace {

class SiteRows : MappedEntries {
 public:
    using MappedEntries::MappedEntries;

    MappedDrafts read() {
        each_row(table_, out_, [&] { row(); });
        const auto when = moment_in_zone(now_, book_.info().zone).value_or(Moment{now_, {}, "UTC"});
        for (auto& entry : entries_) {
            check_charge(entry);
            draft_entry(book_, entry, when, now_, file_, MapKind::sites, problems_, out_);
        }
        return std::move(out_);
    }

 private:
    void row() {
        const auto site = table_.code("site", true);
        const auto circuit = table_.code("circuit", false);
        const auto appliance = table_.code("appliance", circuit.has_value());
        if (!site) return;
        take(EntryKind::site, *site);
        if (!appliance) return;
        take(EntryKind::appliance, *site + "/" + *appliance);
        if (!circuit) return;
        const auto code = *site + "/" + *appliance + "/" + *circuit;
        table_.look_for_twice("circuit", code, circuits_);
        take(EntryKind::circuit, code);
    }

    void take(EntryKind kind, const std::string& code) {
        const auto [it, fresh] = place_.try_emplace({kind, code}, entries_.size());
        if (fresh) {
            entries_.push_back({kind, code, {}, {}, table_.line()});
        }
        auto& entry = entries_[it->second];
        for (const auto& field : map_fields(MapKind::sites)) {
            if (field.of != kind || field.form == CellForm::code) continue;
            auto value = table_.value(field.name);
            if (!value) continue;
            const std::string name(field.rule.name);
            const auto [said, first] = entry.values.try_emplace(name, *value);
            if (first) {
                entry.places[name] = {table_.line(), table_.column_of(field.name)};
            } else if (said->second.text != value->text && !(value->mass && said->second.mass == value->mass)) {
                table_.problem(field.name,
                               csv_guard::error("rows-differ",
                                                fmt::format("{} has {} {} in line {}, and {} here", code, name,
                                                            said->second.text, entry.places[name].line, value->text),
                                                value->text, said->second.text, "one of the two: mend the other"));
            }
        }
    }

    // The basis of a charge needs a charge, and a range ends above its start.
    void check_charge(MappedEntry& entry) {
        const auto charge = entry.values.find("full_charge");
        if (charge == entry.values.end()) {
            entry.values.erase("charge_basis");
            return;
        }
        const auto to = entry.values.find("full_charge_to");
        if (to != entry.values.end() && to->second.mass && charge->second.mass &&
            *to->second.mass < *charge->second.mass)
            problems_.add(
                {file_, entry.places["full_charge_to"].line, entry.places["full_charge_to"].column,
                 csv_guard::error("range-backwards", "the range of the full charge ends below its start",
                                  fmt::format("{}..{}", charge->second.text, to->second.text), "40lb..60lb")});
    }

    std::vector<MappedEntry> entries_;
    std::map<std::pair<EntryKind, std::string>, std::size_t> place_;
    std::map<std::string, std::int64_t> circuits_;
};

}  // namespace

MappedDrafts read_mapped_sites(const Book& book, MappedTable& table, const std::string& file, Instant now,
                               FileProblems& problems) {
    return SiteRows(book, table, file, now, problems).read();
}

}  // namespace tarebook
