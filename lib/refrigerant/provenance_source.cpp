#include "provenance_source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>

#include "checked_yaml.hpp"

namespace tarebook::catalogue {
namespace {

using Pair = std::pair<std::string, std::string>;

// "R-32/R-125" is the same pair in either order.
Pair read_pair(const CheckedMap& map, std::string_view key, const std::string& text) {
    const auto slash = text.find('/');
    if (slash == std::string::npos || slash == 0 || slash + 1 == text.size())
        map.bad(key, fmt::format("\"{}\" is not a pair such as R-32/R-125", text));
    Pair pair{text.substr(0, slash), text.substr(slash + 1)};
    if (pair.first == pair.second) map.bad(key, fmt::format("{} is a pair of one", text));
    if (pair.second < pair.first) std::swap(pair.first, pair.second);
    return pair;
}

using Published = std::map<Pair, std::string>;

Published read_published(const CheckedMap& document) {
    Published published;
    const auto list = document.required("pairs");
    if (!list.IsSequence()) document.bad("pairs", "expected a list");
    for (const auto& node : list) {
        const CheckedMap entry(document.file(), "pairs", node, {"source", "of"});
        const auto source = entry.text("source");
        for (const auto& text : entry.list("of"))
            if (!published.emplace(read_pair(entry, "of", text), source).second)
                entry.bad("of", fmt::format("{} has a source already", text));
    }
    return published;
}

struct Estimate {
    std::set<Pair> pairs;
    std::string used, effect;
};

std::map<std::string, Estimate> read_estimated(const CheckedMap& document, const Source& source,
                                               const Published& published) {
    std::map<std::string, Estimate> estimated;
    const CheckedMap blends(document.file(), "estimated", document.required("estimated"), {});
    blends.each([&](const std::string& blend, const YAML::Node& node) {
        if (!source.saturation.contains(blend)) blends.bad(blend, "there is no table of that name");
        const CheckedMap entry(document.file(), blends.path_of(blend), node, {"pairs", "used", "effect"});
        Estimate e{{}, entry.text("used"), entry.text("effect")};
        for (const auto& text : entry.list("pairs")) {
            const auto pair = read_pair(entry, "pairs", text);
            if (published.contains(pair)) entry.bad("pairs", fmt::format("{} has published parameters", text));
            e.pairs.insert(pair);
        }
        estimated.emplace(blend, std::move(e));
    });
    return estimated;
}

std::map<std::string, std::string> read_texts(const CheckedMap& document, const char* key) {
    std::map<std::string, std::string> texts;
    const CheckedMap map(document.file(), key, document.required(key), {});
    map.each([&](const std::string& name, const YAML::Node&) { texts.emplace(name, map.text(name)); });
    return texts;
}

}  // namespace

void read_provenance(const std::string& file, Source& source) {
    const CheckedMap document(file, "", load_yaml(file),
                              {"source", "edition", "date", "method", "equations", "pairs", "estimated", "remarks"});
    for (const char* key : {"source", "edition", "date"}) (void)document.text(key);
    source.method = document.text("method");
    const auto equations = read_texts(document, "equations");
    const auto remarks = read_texts(document, "remarks");
    for (const auto& [name, text] : remarks)
        if (!source.saturation.contains(name)) document.bad("remarks", fmt::format("there is no table of {}", name));
    const auto published = read_published(document);
    const auto estimated = read_estimated(document, source, published);

    for (const auto& r : source.refrigerants) {
        if (!source.saturation.contains(r.designation)) continue;
        SourceProvenance p;
        for (const auto& part : r.composition) {
            const auto equation = equations.find(part.designation);
            if (equation == equations.end())
                document.bad("equations", fmt::format("no equation for {} in {}", part.designation, r.designation));
            p.fluids.push_back({part.designation, equation->second});
        }
        const auto estimate = estimated.find(r.designation);
        std::size_t used = 0;
        for (auto a = r.composition.begin(); a != r.composition.end(); ++a)
            for (auto b = a + 1; b != r.composition.end(); ++b) {
                const auto pair = std::minmax(a->designation, b->designation);
                if (const auto found = published.find(pair); found != published.end()) {
                    p.pairs.push_back({a->designation, b->designation, found->second, false, ""});
                } else if (estimate != estimated.end() && estimate->second.pairs.contains(pair)) {
                    ++used;
                    p.pairs.push_back(
                        {a->designation, b->designation, estimate->second.used, true, estimate->second.effect});
                } else {
                    document.bad("pairs", fmt::format("no parameters for {}/{} in {}", a->designation, b->designation,
                                                      r.designation));
                }
            }
        if (estimate != estimated.end() && used != estimate->second.pairs.size())
            document.bad("estimated", fmt::format("{} has no such pair of components", r.designation));
        if (const auto remark = remarks.find(r.designation); remark != remarks.end()) p.remark = remark->second;
        source.provenance.emplace(r.designation, std::move(p));
    }
}

}  // namespace tarebook::catalogue
