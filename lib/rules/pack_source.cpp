// From YAML to cells: the checked reader of the catalogue walks every map.
#include "pack_source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "refrigerant/checked_yaml.hpp"

namespace tarebook::rules {
namespace {

using catalogue::BadSource;
using catalogue::CheckedMap;

int line_of(const YAML::Node& node) {
    return node.Mark().line + 1;
}

class CellReader {
 public:
    CellReader(const std::string& file, std::vector<Cell>& out) : file_(file), out_(out) {}

    void value(const std::string& section, const std::string& id, const std::string& key, const YAML::Node& node,
               const CheckedMap& where) {
        if (node.IsScalar()) {
            plain(section, id, key, "", node, where);
        } else if (node.IsSequence()) {
            if (node.size() == 0) where.bad(node, key, "an empty list");
            std::vector<std::string> seen;
            for (const auto& item : node) {
                plain(section, id, key, "", item, where);
                if (std::find(seen.begin(), seen.end(), item.Scalar()) != seen.end())
                    where.bad(item, key, fmt::format("{} is listed twice", item.Scalar()));
                seen.push_back(item.Scalar());
            }
        } else if (node.IsMap()) {
            const CheckedMap map(file_, where.path_of(key), node, {});
            if (node.size() == 0) where.bad(node, key, "an empty map");
            map.each(
                [&](const std::string& name, const YAML::Node& item) { plain(section, id, key, name, item, where); });
        } else {
            where.bad(key, "expected a value");
        }
    }
    void entry(const std::string& section, const std::string& id, const YAML::Node& node, const std::string& path) {
        const CheckedMap map(file_, path, node, {});
        if (node.size() == 0) map.bad(node, "", "an entry without keys");
        map.each([&](const std::string& key, const YAML::Node& item) { value(section, id, key, item, map); });
    }

 private:
    void plain(const std::string& section, const std::string& id, const std::string& key, const std::string& name,
               const YAML::Node& node, const CheckedMap& where) {
        if (!node.IsScalar() || node.Scalar().empty()) where.bad(node, key, "expected a text");
        out_.push_back({section, id, key, name, node.Scalar(), line_of(node)});
    }
    const std::string& file_;
    std::vector<Cell>& out_;
};

}  // namespace

std::vector<Cell> read_cells(const std::string& file) {
    std::vector<Cell> out;
    try {
        CellReader reader(file, out);
        const CheckedMap top(file, "", catalogue::load_yaml(file),
                             {"pack", "title", "jurisdiction", "source", "date", "scopes", "rules"});
        for (const auto* key : {"pack", "title", "jurisdiction", "source", "date"})
            reader.value("head", "", key, top.required(key), top);
        for (const std::string section : {"scopes", "rules"}) {
            if (section == "scopes" && !top.has(section)) continue;
            const CheckedMap entries(file, section, top.required(section), {});
            entries.each([&](const std::string& id, const YAML::Node& node) {
                reader.entry(section, id, node, entries.path_of(id));
            });
        }
    } catch (const BadSource& e) {
        throw BadPack(e.what());
    } catch (const YAML::Exception& e) {
        throw BadPack(fmt::format("{}:{}: {}", file, e.mark.line + 1, e.msg));
    }
    return out;
}

}  // namespace tarebook::rules
