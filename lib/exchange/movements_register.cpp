#include "movements_register.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "csv_guard.hpp"
#include "movements_cells.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook {
namespace {

constexpr unsigned by_purchase = 1;
constexpr unsigned by_recovery = 2;

EntryKind place_kind(std::string_view place) {
    const auto slashes = std::count(place.begin(), place.end(), '/');
    return slashes == 0 ? EntryKind::site : slashes == 1 ? EntryKind::appliance : EntryKind::circuit;
}

// The unknown codes of one pool: the first line of each, and in how many rows it is.
struct UnknownCodes {
    struct Of {
        bool unknown = false;
        std::uint32_t line = 0;
        std::size_t rows = 0;
    };
    std::vector<Of> by_id;
    void met(TextId id, std::uint32_t line) {
        auto& s = by_id[id];
        if (!s.unknown) return;
        if (s.rows++ == 0) s.line = line;
    }
};

}  // namespace

MovementRegister::MovementRegister(const Book& book, std::vector<ListedEntry> listed, const MovementRows& rows,
                                   const std::string& movements_name, const ImportOptions& options)
    : book_(book), rows_(rows), name_(movements_name), could_be_added_(!options.add_to_register && !listed.empty()) {
    if (!options.add_to_register) return;
    std::map<std::string, unsigned, std::less<>> filled;
    std::vector<std::uint32_t> technician_line(rows.technicians.size(), 0);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const auto& row = rows[i];
        if (technician_line[row.technician] == 0) technician_line[row.technician] = row.line;
        if (row.kind != RowKind::purchase && row.kind != RowKind::recover) continue;
        const unsigned way = row.kind == RowKind::purchase ? by_purchase : by_recovery;
        const auto cylinder = rows.cylinders[row.cylinder];
        const auto it = filled.find(cylinder);
        if (it == filled.end())
            filled.emplace(cylinder, way);
        else
            it->second |= way;
    }
    const auto add = [&](ListedEntry entry) {
        if (book_.entries().find(entry.kind, entry.code)) return;  // an entry that is on record stays as it is
        if (!new_.try_emplace({entry.kind, entry.code}, added_.size()).second) return;
        if (entry.kind == EntryKind::site && !options.owner.empty()) entry.values["owner"] = {options.owner, {}};
        if (entry.kind == EntryKind::cylinder) say_use(entry, filled);
        if (entry.values.empty()) entry.values["name"] = {entry.code, {}};
        added_.push_back(std::move(entry));
    };
    for (auto& entry : listed) add(std::move(entry));
    for (TextId id = 1; id < technician_line.size(); ++id)
        // A name with blanks is no code, and stays a text.
        if (const auto who = rows.technicians[id]; is_code_part(who))
            add({EntryKind::technician, std::string(who), {}, technician_line[id], name_});
}

// The use of a cylinder follows from how it was filled: a cylinder that was recovered into even once is a recovery
// cylinder; one that was only bought full is supply. If the rows never fill it, its use stays open.
void MovementRegister::say_use(ListedEntry& cylinder,
                               const std::map<std::string, unsigned, std::less<>>& filled) const {
    const auto it = filled.find(cylinder.code);
    if (it == filled.end()) return;
    cylinder.values["use"] = {(it->second & by_recovery) != 0 ? "recovery" : "supply", {}};
}

bool MovementRegister::known(EntryKind kind, std::string_view code) const {
    return new_.contains(Key(kind, code)) || book_.entries().find(kind, code) != nullptr;
}

bool MovementRegister::place_known(std::string_view place) const {
    return known(place_kind(place), place);
}

// The designation that the register has for an appliance or cylinder; `changes` is set if it has had several.
std::string MovementRegister::gas_of(EntryKind kind, const std::string& code, Instant at, bool& changes) const {
    changes = false;
    if (const auto it = new_.find(Key(kind, code)); it != new_.end()) {
        const auto& values = added_[it->second].values;
        const auto gas = values.find("refrigerant");
        return gas == values.end() ? std::string() : gas->second.text;
    }
    const auto* entry = book_.entries().find(kind, code);
    if (!entry) return {};
    const auto dated = entry->fields().find(std::string_view("refrigerant"));
    changes = dated != entry->fields().end() && dated->second.size() > 1;
    return entry->text("refrigerant", {at, {}, INT64_MAX}).value_or("");
}

void MovementRegister::check(FileProblems& problems) const {
    struct Expected {
        std::string gas;
        bool changes = false;
    };
    UnknownCodes places{std::vector<UnknownCodes::Of>(rows_.places.size())};
    UnknownCodes cylinders{std::vector<UnknownCodes::Of>(rows_.cylinders.size())};
    std::vector<Expected> of_place(rows_.places.size());
    std::vector<Expected> of_cylinder(rows_.cylinders.size());
    for (TextId id = 1; id < rows_.places.size(); ++id) {
        const auto place = rows_.places[id];
        places.by_id[id].unknown = !place_known(place);
        if (place_kind(place) != EntryKind::site)
            of_place[id].gas = gas_of(EntryKind::appliance, appliance_of(place), {}, of_place[id].changes);
    }
    for (TextId id = 1; id < rows_.cylinders.size(); ++id) {
        const std::string code(rows_.cylinders[id]);
        cylinders.by_id[id].unknown = !known(EntryKind::cylinder, code);
        of_cylinder[id].gas = gas_of(EntryKind::cylinder, code, {}, of_cylinder[id].changes);
    }

    std::vector<FileProblem> found;
    const auto tell = [&](std::uint32_t line, const char* field, Error error) {
        found.push_back({name_, line, field, std::move(error)});
    };
    std::size_t contradictions = 0;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
        const auto& row = rows_[i];
        places.met(row.place, row.line);
        cylinders.met(row.cylinder, row.line);
        if (row.gas == 0) continue;
        // A circuit has one refrigerant. The cylinder's is compared if the row is not at a circuit; else the checks on
        // mixing report it.
        const bool at_circuit = row.kind == RowKind::charge || row.kind == RowKind::recover;
        const auto& expected = at_circuit ? of_place[row.place] : of_cylinder[row.cylinder];
        if (expected.gas.empty()) continue;
        const auto said = rows_.gases[row.gas]->designation;
        if (expected.gas == said) continue;
        const std::string code(at_circuit ? std::string_view(appliance_of(rows_.places[row.place]))
                                          : rows_.cylinders[row.cylinder]);
        if (expected.changes) {
            bool changes = false;
            if (gas_of(at_circuit ? EntryKind::appliance : EntryKind::cylinder, code, row.at, changes) == said)
                continue;
        }
        constexpr std::size_t enough = 1000;
        if (++contradictions <= enough)
            tell(row.line, "refrigerant",
                 {ErrorKind::refused, "refrigerant-differs",
                  fmt::format("the row says {}, and {} is on record with {}", said, code, expected.gas),
                  std::string(said), expected.gas, "correct the row, or the register"});
    }

    std::size_t asked = 0;  // "did you mean" for the first of them: a thousand would take their time
    const auto candidates = [&](EntryKind kind) {
        auto codes = book_.codes(kind);
        for (const auto& entry : added_)
            if (entry.kind == kind) codes.push_back(entry.code);
        return codes;
    };
    const auto unknown_codes = [&](const UnknownCodes& all, const TextPool& pool, const char* field, auto kind_of) {
        std::map<EntryKind, std::vector<std::string>> near_by_kind;
        for (TextId id = 1; id < all.by_id.size(); ++id) {
            const auto& s = all.by_id[id];
            if (!s.unknown || s.rows == 0) continue;
            const auto code = pool[id];
            const EntryKind kind = kind_of(code);
            auto [codes, fresh] = near_by_kind.try_emplace(kind);
            if (fresh) codes->second = candidates(kind);
            const auto near = asked++ < 50 ? nearest(code, codes->second) : std::string();
            const auto word = text_of(kind);
            std::string next = near.empty() ? fmt::format("tarebook {} add {} ...", word, code)
                                            : fmt::format("did you mean {}?", near);
            if (near.empty() && could_be_added_) next += "; or --register, which adds what the files list";
            tell(s.line, field,
                 {ErrorKind::refused, fmt::format("unknown-{}", word),
                  fmt::format("there is no {} {} on record{}", word, code,
                              s.rows > 1 ? fmt::format(" ({} rows)", s.rows) : std::string()),
                  std::string(code), "a code of the register", std::move(next)});
        }
    };
    unknown_codes(places, rows_.places, "circuit", place_kind);
    unknown_codes(cylinders, rows_.cylinders, "cylinder", [](std::string_view) { return EntryKind::cylinder; });
    std::stable_sort(found.begin(), found.end(),
                     [](const FileProblem& a, const FileProblem& b) { return a.line < b.line; });
    const auto listed = std::min<std::size_t>(contradictions, 1000);
    for (auto& problem : found) problems.add(std::move(problem));
    problems.count += contradictions - listed;
}

std::vector<Event> MovementRegister::events(Instant now) const {
    std::vector<Event> out;
    if (added_.empty()) return out;
    Instant first = now;
    for (std::size_t i = 0; i < rows_.size(); ++i) first = std::min(first, rows_[i].at);
    const auto when = moment_in_zone(first - std::chrono::minutes(1), book_.info().zone);
    if (!when)
        throw StorageError("the time zone of the book is not known on this machine: " + book_.info().zone,
                           "install the time zones (package tzdata)");
    const auto head = book_.head().seq;
    for (const auto& entry : added_) {
        Event e;
        e.when = *when;
        e.recorded = now;
        // An entry that was voided and comes again is another event: the number of the book's head makes its name
        // another one.
        e.own_id = fmt::format("entry:{}:{}@{}", text_of(entry.kind), entry.code, head);
        e.what = kinds::Entry{entry.kind, entry.code, true, entry.values};
        out.push_back(std::move(e));
    }
    return out;
}

}  // namespace tarebook
