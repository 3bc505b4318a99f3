#include "tarebook/rules/rulebook.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "compiled.hpp"
#include "fields.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

using Packs = std::vector<const RulePack*>;

// Codes beside US where the acts of the United States hold: the territories that the definitions of "State" in 42 USC
// 7602(d) and 49 CFR 171.8 name (from memory, to be confirmed).
constexpr auto us = std::to_array<std::string_view>({"US", "AS", "GU", "MP", "PR", "VI"});

// The member states of the European Union, and territories with a code of their own that belong to it (Treaty on the
// Functioning of the European Union, Art. 355(1) and (4), from memory, to be confirmed). Iceland, Liechtenstein and
// Norway apply many of its acts by another treaty: which of them, and from when, was not read, so no pack applies
// there.
constexpr auto eu = std::to_array<std::string_view>(
    {"AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT",
     "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK", "AX", "GF", "GP", "MF", "MQ", "RE", "YT"});

constexpr auto default_ids = std::to_array<std::string_view>({"us-82f", "us-84c", "us-49cfr"});

template <std::size_t N>
bool among(const std::array<std::string_view, N>& codes, std::string_view country) {
    return std::find(codes.begin(), codes.end(), country) != codes.end();
}

// The name that packs have for the country.
std::string_view jurisdiction_of(std::string_view country) {
    if (country.empty() || among(us, country)) return "US";
    if (among(eu, country)) return "EU";
    return country;
}

std::string_view id_of(const rules::CompiledSource& source) {
    return source.file.substr(0, source.file.find('.'));
}
bool is_compiled(std::string_view id) {
    return std::any_of(rules::compiled_sources.begin(), rules::compiled_sources.end(),
                       [&](const auto& source) { return id_of(source) == id; });
}
// Each pack is built when it is first asked for, so that a command that applies three does not build all.
const RulePack* find_compiled(std::string_view id) {
    for (const auto& source : rules::compiled_sources)
        if (id_of(source) == id) return &source.pack();
    return nullptr;
}

using PacksOfLaw = std::map<std::string, Packs, std::less<>>;
PacksOfLaw by_law(RulePacks packs) {
    PacksOfLaw out;
    for (const auto* pack : packs) out[pack->jurisdiction].push_back(pack);
    return out;
}
template <class Find>
Packs all_of(Find find) {
    Packs out;
    for (const auto& source : rules::compiled_sources) out.push_back(find(id_of(source)));
    return out;
}
template <class Find>
Packs defaults_of(Find find) {
    Packs out;
    for (const auto id : default_ids) out.push_back(find(id));
    return out;
}

}  // namespace

RulePack rules::build_compiled(const CompiledSource& source) {
    std::vector<Cell> cells;
    cells.reserve(source.count);
    for (const auto& c : std::span(source.cells, source.count))
        cells.push_back({std::string(c.section), std::string(c.id), std::string(c.key), std::string(c.name),
                         std::string(c.value), c.line});
    return build_pack(std::string(source.file), cells, {});
}

struct Rulebook::Files {
    std::vector<std::shared_ptr<const RulePack>> read;
    Packs beside;  // those of them whose id no compiled pack has
    Packs all, defaults;
    PacksOfLaw of_law;  // each list with those beside, which hold everywhere

    [[nodiscard]] const RulePack* find(std::string_view id) const {
        for (const auto& pack : read)
            if (pack->id == id) return pack.get();
        return find_compiled(id);
    }
};

Rulebook Rulebook::with(RulePack pack) const {
    auto files = std::make_shared<Files>();
    if (files_) files->read = files_->read;
    files->read.push_back(std::make_shared<const RulePack>(std::move(pack)));
    for (const auto& one : files->read)
        if (!is_compiled(one->id)) files->beside.push_back(one.get());
    const auto find_here = [&](std::string_view id) { return files->find(id); };
    files->all = all_of(find_here);
    files->defaults = defaults_of(find_here);
    files->of_law = by_law(files->all);
    const auto add_beside = [&](Packs& packs) {
        packs.insert(packs.end(), files->beside.begin(), files->beside.end());
    };
    for (auto& [law, packs] : files->of_law) add_beside(packs);
    add_beside(files->defaults);
    add_beside(files->all);
    return Rulebook(std::move(files));
}

RulePacks Rulebook::packs() const {
    static const Packs compiled = all_of(find_compiled);
    return files_ ? files_->all : compiled;
}

const RulePack* Rulebook::find(std::string_view id) const {
    return files_ ? files_->find(id) : find_compiled(id);
}

Result<const RulePack*> Rulebook::parse(std::string_view name) const {
    if (const auto* pack = find(name)) return pack;
    std::vector<std::string> known;
    std::string expected;
    for (const auto& source : rules::compiled_sources) {
        known.emplace_back(id_of(source));
        expected += fmt::format("{}{}", expected.empty() ? "" : ", ", known.back());
    }
    const auto near = nearest(name, known);
    return usage("rule-pack-unknown", fmt::format("there is no rule pack {}", name), std::string(name), expected,
                 near.empty() ? "" : fmt::format("did you mean {}?", near));
}

RulePacks Rulebook::default_packs() const {
    static const Packs compiled = defaults_of(find_compiled);
    return files_ ? files_->defaults : compiled;
}

RulePacks Rulebook::packs_of_country(std::string_view country) const {
    const auto law = jurisdiction_of(country);
    if (law == "US") return default_packs();
    static const PacksOfLaw compiled = by_law(Rulebook().packs());
    const auto& of_law = files_ ? files_->of_law : compiled;
    if (const auto it = of_law.find(law); it != of_law.end()) return it->second;
    if (files_) return files_->beside;
    return {};
}

bool Rulebook::speaks_in(const RulePack& pack, std::string_view country) const {
    if (files_ && std::find(files_->beside.begin(), files_->beside.end(), &pack) != files_->beside.end()) return true;
    const auto law = jurisdiction_of(country);
    const std::string_view of_pack = pack.jurisdiction;
    return of_pack.starts_with(law) && (of_pack.size() == law.size() || of_pack[law.size()] == '-');
}

bool law_of_the_us(std::string_view country) {
    return jurisdiction_of(country) == "US";
}

std::vector<std::string> rule_pack_names(std::string_view text) {
    std::vector<std::string> out;
    for (const auto part : split(text, ','))
        if (const auto name = trimmed(part); !name.empty()) out.emplace_back(name);
    return out;
}

Result<RulePack> load_rule_pack(const std::filesystem::path& file, const Catalogue& catalogue) {
    try {
        return rules::build_pack(file.string(), rules::read_cells(file.string()), catalogue);
    } catch (const rules::BadPack& e) {
        const std::string all = e.what();
        auto problems = split(all, '\n');
        const std::string first(problems.front());
        problems.erase(problems.begin());
        return usage("rule-pack", first, problems.empty() ? "" : "also " + joined(problems, "; "),
                     "a rule pack in the form of schema/rules", "mend the file; no rule of it was taken");
    }
}

}  // namespace tarebook
