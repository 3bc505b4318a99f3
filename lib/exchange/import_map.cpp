#include "import_map.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "job_sheet_fields.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {

std::string plain_word(std::string_view text) {
    std::string out;
    bool blank = false;
    for (const char c : text) {
        if (c == ' ' || c == '\t' || c == '\n' || c == '\r') {
            blank = !out.empty();
            continue;
        }
        if (blank) out += ' ';
        blank = false;
        out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    return out;
}

const MappedField* ImportMap::find(std::string_view name) const {
    const auto it =
        std::find_if(fields.begin(), fields.end(), [&](const MappedField& f) { return f.field->name == name; });
    return it == fields.end() ? nullptr : &*it;
}

namespace {

using exchange::SheetFields;
using exchange::SheetNode;
using exchange::slip;

constexpr std::string_view map_keys[] = {"import", "weights", "dates",  "nothing",
                                         "skip",   "fields",  "ignore", "header_line"};
constexpr std::string_view field_keys[] = {"column", "value", "words", "unit", "dates"};

class MapReader {
 public:
    MapReader(ImportMap& map, const std::string& name, FileProblems& problems)
        : map_(map), name_(name), problems_(problems) {}

    void read(const SheetNode& root) {
        if (root.kind != SheetNode::Kind::map) {
            add(root.line, {}, slip("sheet-shape", "a mapping is a set of keys", {}, "import, fields ...", blank()));
            return;
        }
        SheetFields top(root, name_, problems_);
        top.only(map_keys, {}, "a mapping");
        const auto said = top.need("import", std::string(text_of(map_.kind)));
        if (!said.empty() && said != text_of(map_.kind))
            top.wrong("import", slip("map-other-kind", "this mapping is for another kind of file", said,
                                     std::string(text_of(map_.kind)), fmt::format("tarebook import {} ...", said)));
        weights_ = unit(top, "weights", false).value_or(ColumnUnit::as_written);
        dates_ = dates(top);
        for (const auto& word : top.texts("nothing")) map_.nothing.insert(plain_word(word));
        ignored(top);
        skipped(top);
        if (const auto at = top.whole("header_line", 1000)) map_.header_line = *at;
        const auto* fields = top.find("fields");
        if (!fields || fields->kind != SheetNode::Kind::map) {
            top.wrong("fields",
                      slip("sheet-key-missing", "fields is missing", {}, "our fields, each with its column", blank()));
            return;
        }
        for (std::size_t i = 0; i < fields->keys.size(); ++i) one(fields->keys[i], fields->items[i]);
        whole(top);
    }

 private:
    void add(std::int64_t line, std::string field, Error error) {
        problems_.add({name_, line, std::move(field), std::move(error)});
    }
    [[nodiscard]] std::string blank() const {
        return fmt::format("tarebook import blank {} FILE.csv writes one to start from", text_of(map_.kind));
    }
    static std::optional<ColumnUnit> unit(SheetFields& keys, const char* key, bool is_water_capacity) {
        const auto word = keys.text(key);
        return word ? keys.take(key, column_unit_from(*word, is_water_capacity)) : std::nullopt;
    }
    static std::optional<DayPattern> dates(SheetFields& keys) {
        const auto text = keys.text("dates");
        return text ? keys.take("dates", DayPattern::read(*text)) : std::nullopt;
    }
    void ignored(SheetFields& top) {
        const auto* list = top.find("ignore");
        if (!list) return;
        if (list->kind == SheetNode::Kind::text) map_.ignored.push_back({list->text, list->line});
        if (list->kind == SheetNode::Kind::map)
            top.wrong("ignore", slip("sheet-shape", "a list of columns is expected", "keys", "ignore: [\"Price\"]"));
        if (list->kind != SheetNode::Kind::list) return;
        for (const auto& item : list->items)
            if (item.kind == SheetNode::Kind::text) map_.ignored.push_back({item.text, item.line});
    }

    // Reads skip: {"Cyl #": [Total, Sum]}.
    void skipped(SheetFields& top) {
        const auto* columns = top.find("skip");
        if (!columns) return;
        if (columns->kind != SheetNode::Kind::map) {
            top.wrong("skip",
                      slip("sheet-shape", "columns and their words are expected", {}, "skip: {Cylinder: [Total]}"));
            return;
        }
        SheetFields keys(*columns, name_, problems_);
        for (const auto& column : columns->keys) {
            SkippedRows rows{column.text, {}, column.line};
            for (const auto& word : keys.texts(column.text)) rows.words.insert(plain_word(word));
            map_.skipped.push_back(std::move(rows));
        }
    }

    void one(const exchange::SheetKey& key, const SheetNode& node) {
        MappedField mapped;
        mapped.line = key.line;
        mapped.field = map_field(map_.kind, key.text);
        if (!mapped.field) {
            std::vector<std::string> names;
            for (const auto& f : map_fields(map_.kind)) names.push_back(f.name);
            add(key.line, key.text,
                slip("map-field-unknown", fmt::format("there is no field {}", key.text), key.text, joined(names),
                     did_you_mean(key.text, names)));
            return;
        }
        if (node.empty()) return;  // left empty, as in a blank mapping
        const bool is_water = mapped.field->rule.type == FieldType::water_capacity;
        if (mapped.field->rule.type == FieldType::mass || is_water) mapped.unit = weights_;
        if (mapped.field->form == CellForm::day) mapped.dates = dates_;
        if (node.kind == SheetNode::Kind::text) {
            mapped.column = node.text;
        } else if (node.kind == SheetNode::Kind::map) {
            SheetFields keys(node, name_, problems_);
            keys.only(field_keys, {}, key.text);
            mapped.column = keys.text("column").value_or("");
            mapped.value = keys.text("value");
            for (auto& [theirs, ours] : keys.named_texts("words")) mapped.words[plain_word(theirs)] = std::move(ours);
            if (const auto u = unit(keys, "unit", is_water)) mapped.unit = *u;
            if (auto d = dates(keys)) mapped.dates = std::move(d);
            if (mapped.column.empty() == !mapped.value) {
                add(key.line, key.text,
                    slip("map-source", "a field comes from a column, or has one value for all rows",
                         mapped.value ? "both" : "neither",
                         fmt::format("{}: \"Column\", or {}: {{value: X}}", key.text, key.text)));
                return;
            }
        } else {
            add(key.line, key.text,
                slip("sheet-shape", "the name of a column is expected", "a list",
                     fmt::format("{}: \"Column\"", key.text)));
            return;
        }
        map_.fields.push_back(std::move(mapped));
    }

    // Checks what a mapping needs as a whole.
    void whole(SheetFields& top) {
        for (const auto& field : map_fields(map_.kind))
            if (field.needed && !map_.find(field.name))
                top.wrong("fields",
                          slip("map-field-missing", fmt::format("nothing says where {} comes from", field.name), {},
                               fmt::format("{}: \"Column\"", field.name)));
        const auto together = [&](const char* a, const char* b, const char* what, const char* expected) {
            if (map_.find(a) && map_.find(b))
                add(map_.find(b)->line, b, slip("map-together", what, fmt::format("{} and {}", a, b), expected));
        };
        const auto needs = [&](const char* a, const char* b) {
            if (map_.find(a) && !map_.find(b))
                add(map_.find(a)->line, a,
                    slip("map-together", fmt::format("{} says something together with {}", a, b), a,
                         fmt::format("{}: \"Column\"", b)));
        };
        if (map_.kind == MapKind::cylinders) {
            together("gross", "net", "what a cylinder holds is told by its gross weight or by its net", "one of them");
            needs("gross", "counted_on");
            needs("net", "counted_on");
            needs("counted_at", "counted_on");
        } else if (map_.kind == MapKind::sites) {
            needs("circuit", "appliance");
        } else if (map_.kind == MapKind::work) {
            needs("circuit", "appliance");
            needs("appliance", "site");
        } else {
            needs("circuit", "appliance");
            needs("appliance", "site");
            needs("gross_before", "gross_after");
            if (!map_.find("gross_after") && !map_.find("net"))
                top.wrong("fields", slip("map-field-missing", "nothing says where the weights come from", {},
                                         "gross_before and gross_after, or net"));
        }
    }

    ImportMap& map_;
    const std::string& name_;
    FileProblems& problems_;
    ColumnUnit weights_ = ColumnUnit::as_written;
    std::optional<DayPattern> dates_;
};

}  // namespace

ImportMap read_import_map(std::string_view text, const std::string& name, MapKind kind, FileProblems& problems) {
    ImportMap map;
    map.kind = kind;
    FileProblems found;
    if (const auto root = exchange::read_sheet_tree(text, name, found)) MapReader(map, name, found).read(*root);
    for (auto& p : found.listed) {
        if (p.error.name == "sheet-empty") {  // the guarded reader's words are made for job sheets
            p.error.what = "there is nothing in the mapping";
            p.error.expected = "import, fields ...";
            p.error.next = fmt::format("tarebook import blank {} FILE.csv writes one to start from", text_of(kind));
        }
        problems.add(std::move(p));
    }
    return map;
}

}  // namespace tarebook
