#include "map_fields.hpp"

#include <algorithm>
#include <array>

namespace tarebook {
namespace {

struct Names {
    std::string_view field, alike;
    bool matters = false;
};
// Names of columns as the trade writes them (common practice, no source). They only fill in a blank mapping.
constexpr auto alike_names = std::to_array<Names>({
    {"cylinder", "cylinder|cyl|cyl no|cylinder no|cylinder id|cylinder number|tank|bottle|id"},
    {"refrigerant", "refrigerant|gas|type of gas|refrigerant type", true},
    {"use", "use|kind|type|new or recovery", true},
    {"wc", "wc|water capacity|water cap|stamped wc|volume", true},
    {"tare", "tare|tw|tare weight|empty weight|stamped tare", true},
    {"spec", "spec|mark|stamp|dot|specification", true},
    {"serial", "serial|serial no|serial number|sn"},
    {"tested", "tested|test|test date|last test|requal|requalified|retest", true},
    {"belongs_to", "belongs to|cylinder owner|property of"},
    {"place", "place|location|truck|where|shelf"},
    {"held_for", "held for|reserved for"},
    {"stamped_limit", "stamped limit|max net|maximum net"},
    {"cap", "cap"},
    {"gross", "gross|gross weight|weight now|scale|on scale|weight"},
    {"net", "net|net weight|contents|gas weight"},
    {"counted_on", "counted on|counted|count date|weighed on|day"},
    {"owner", "owner|customer|client|whose", true},
    {"condition", "condition|quality"},
    {"site", "site|store|site no|store no|location"},
    {"site_name", "site name|store name|name"},
    {"owner_group", "group|owner group|parent"},
    {"address", "address|street"},
    {"zone", "zone|time zone"},
    {"country", "country|country code"},
    {"appliance", "appliance|rack|system|unit|equipment"},
    {"category", "category|use|application", true},
    {"full_charge", "full charge|charge|system charge|nameplate", true},
    {"charge_basis", "charge basis|basis", true},
    {"model", "model|model no"},
    {"circuit", "circuit|ckt|circuit no"},
    {"serves", "serves|case|cases|cools"},
    {"kind", "kind|type|what|action|in out"},
    {"date", "date|day|service date"},
    {"time", "time"},
    {"gross_before", "gross before|before|start weight|weight before"},
    {"gross_after", "gross after|after|end weight|weight after"},
    {"technician", "technician|tech|by|who"},
    {"job", "job|job no|wo|work order|ticket|invoice"},
    {"note", "note|notes|remark|remarks|comment|comments"},
    {"from", "from|supplier|vendor"},
    {"to", "to|reclaimer|returned to"},
    {"price", "price|cost|paid|amount paid"},
});

constexpr std::string_view conditions = "virgin|reclaimed|recycled|recovered";

class FieldTable {
 public:
    void code(const char* name, bool needed, std::optional<EntryKind> of = {}) {
        add({name, CellForm::code, {name, FieldType::text, {}}, of, needed});
    }
    void of_entry(EntryKind kind, std::string_view prefix_of_name = {}) {
        for (const auto& rule : field_rules(kind)) {
            const bool list = rule.name == "close" || rule.name == "pipes" || rule.name == "volumes";
            const auto name = (rule.name == "name" ? std::string(prefix_of_name) : std::string()).append(rule.name);
            add({name, list ? CellForm::several_lines : CellForm::entry_field, rule, kind});
        }
    }
    void field(const char* name, FieldType type, std::string_view words = {}, bool needed = false) {
        add({name, CellForm::entry_field, {name, type, words}, {}, needed});
    }
    void when(const char* name, CellForm form, bool needed = false) {
        add({name, form, {name, FieldType::text, {}}, {}, needed});
    }
    std::vector<MapField> fields;

 private:
    void add(MapField field) {
        for (const auto& names : alike_names)
            if (names.field == field.name) {
                field.alike = names.alike;
                field.matters = names.matters && field.of;
            }
        fields.push_back(std::move(field));
    }
};

std::vector<MapField> of_cylinders() {
    FieldTable t;
    t.code("cylinder", true);
    t.of_entry(EntryKind::cylinder);
    t.field("gross", FieldType::mass);
    t.field("net", FieldType::mass);
    t.when("counted_on", CellForm::day);
    t.when("counted_at", CellForm::time_of_day);
    t.field("owner", FieldType::text);
    t.field("condition", FieldType::word, conditions);
    t.field("technician", FieldType::text);
    t.field("note", FieldType::text);
    return std::move(t.fields);
}

std::vector<MapField> of_sites() {
    FieldTable t;
    t.code("site", true);
    t.of_entry(EntryKind::site, "site_");
    t.code("appliance", false);
    t.of_entry(EntryKind::appliance, "appliance_");
    t.code("circuit", false);
    t.of_entry(EntryKind::circuit);
    return std::move(t.fields);
}

std::vector<MapField> of_movements() {
    FieldTable t;
    t.field("kind", FieldType::word, "purchase|charge|reuse|recover|return|loss|weigh", true);
    t.when("date", CellForm::day, true);
    t.when("time", CellForm::time_of_day);
    t.code("site", false);
    t.code("appliance", false);
    t.code("circuit", false);
    t.code("cylinder", true);
    t.field("refrigerant", FieldType::refrigerant);
    t.field("gross_before", FieldType::mass);
    t.field("gross_after", FieldType::mass);
    t.field("net", FieldType::mass);
    t.field("reason", FieldType::word, "open|put-back|leak|initial|conversion|seasonal|overcharge|disposal");
    t.field("from", FieldType::text);
    t.field("to", FieldType::text);
    t.field("price", FieldType::price);
    t.field("technician", FieldType::text);
    t.field("job", FieldType::text);
    t.field("note", FieldType::text);
    return std::move(t.fields);
}

// The keys of a job sheet's lines, with _ for -; the oil of a compressor and of a machine is `oil`.
std::vector<MapField> of_work() {
    FieldTable t;
    t.field("kind", FieldType::word, work_kinds, true);
    t.when("date", CellForm::day, true);
    t.when("time", CellForm::time_of_day);
    for (const char* part : {"site", "appliance", "circuit", "cylinder", "machine"}) t.code(part, false);
    for (const char* text : {"pressure", "end", "held", "temperature", "end_temperature", "gas"})
        t.field(text, FieldType::text);
    t.field("result", FieldType::word, "pass|fail");
    t.field("out", FieldType::text);
    t.field("in", FieldType::text);
    t.field("oil", FieldType::word, oil_words);
    t.field("grade", FieldType::text);
    t.field("acid_test", FieldType::word, "pass|fail");
    for (const char* text : {"fitted", "fitted_serial", "removed", "removed_serial"}) t.field(text, FieldType::text);
    t.field("refrigerant", FieldType::refrigerant);
    for (const char* text : {"parts", "air", "instrument", "of", "why", "technician", "job", "note"})
        t.field(text, FieldType::text);
    return std::move(t.fields);
}

}  // namespace

const std::vector<MapField>& map_fields(MapKind kind) {
    static const std::array<std::vector<MapField>, 4> all = {of_cylinders(), of_sites(), of_movements(), of_work()};
    return all[static_cast<std::size_t>(kind)];
}

const MapField* map_field(MapKind kind, std::string_view name) {
    const auto& fields = map_fields(kind);
    const auto it = std::find_if(fields.begin(), fields.end(), [&](const MapField& f) { return f.name == name; });
    return it == fields.end() ? nullptr : &*it;
}

std::string_view text_of(MapKind kind) {
    constexpr std::array<std::string_view, 4> words = {"cylinders", "sites", "movements", "work"};
    return words[static_cast<std::size_t>(kind)];
}

std::optional<MapKind> map_kind_from(std::string_view word) {
    for (const auto kind : {MapKind::cylinders, MapKind::sites, MapKind::movements, MapKind::work})
        if (text_of(kind) == word) return kind;
    return std::nullopt;
}

}  // namespace tarebook
