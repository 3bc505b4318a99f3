#include "tarebook/refrigerant/catalogue.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>
#include <utility>

#include "compiled_refrigerants.hpp"
#include "own_refrigerants.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook {
namespace {

// A designation without case, blanks, hyphens, brackets and the leading R, which people leave out or write differently.
// Of fixed size, because this runs for every event that is read.
class Bare {
 public:
    explicit Bare(std::string_view typed) {
        for (char c : typed) {
            if (c == ' ' || c == '\t' || c == '-' || c == '(' || c == ')') continue;
            if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
            if (size_ == text_.size()) {
                too_long_ = true;
                return;
            }
            text_[size_++] = c;
        }
        // ISO 817 and ANSI/ASHRAE 34 have two ways to begin: R, and letters that tell the composition (HFC-134a).
        for (const std::string_view begins : {"r", "cfc", "hcfc", "hfc", "hfo", "hcfo", "pfc", "hc"})
            if (view().starts_with(begins) && size_ > begins.size() && text_[begins.size()] >= '0' &&
                text_[begins.size()] <= '9') {
                start_ = begins.size();
                return;
            }
    }
    [[nodiscard]] std::string_view view() const { return {text_.data() + start_, size_ - start_}; }
    [[nodiscard]] bool usable() const { return !too_long_ && size_ > start_; }

 private:
    std::array<char, 24> text_{};
    std::size_t size_ = 0;
    std::size_t start_ = 0;
    bool too_long_ = false;
};

// What the trade calls some of them. Names of the substances as in ISO 817 (from memory), without blanks and hyphens.
constexpr std::array<std::pair<std::string_view, std::string_view>, 9> substance_names{{{"propane", "R-290"},
                                                                                        {"butane", "R-600"},
                                                                                        {"nbutane", "R-600"},
                                                                                        {"isobutane", "R-600a"},
                                                                                        {"propylene", "R-1270"},
                                                                                        {"propene", "R-1270"},
                                                                                        {"ammonia", "R-717"},
                                                                                        {"carbondioxide", "R-744"},
                                                                                        {"co2", "R-744"}}};

}  // namespace

// Visits the compiled refrigerants and those of the own file. None of these has a name or short form of a compiled one
// (own_source.cpp).
template <class Visit>
void Catalogue::each(Visit visit) const {
    for (const auto& r : compiled()) visit(r);
    for (const auto& r : own()) visit(r);
}

std::string catalogue::bare_designation(std::string_view as_typed) {
    const Bare bare(as_typed);
    return bare.usable() ? std::string(bare.view()) : std::string();
}

bool Refrigerant::flammable() const {
    return safety_group.find_first_of("23") != std::string_view::npos;
}
bool Refrigerant::toxic() const {
    return safety_group.starts_with('B');
}
bool Refrigerant::hydrocarbon() const {
    return class_name == "natural (HC)";
}
ValueStatus Refrigerant::status_of(std::string_view field) const {
    return std::find(verified_fields.begin(), verified_fields.end(), field) == verified_fields.end()
               ? ValueStatus::from_memory
               : ValueStatus::verified;
}

std::span<const Refrigerant> Catalogue::compiled() {
    return catalogue::refrigerants;
}
std::span<const Refrigerant> Catalogue::own() const {
    if (!own_) return {};
    return own_->refrigerants;
}

const Refrigerant* Catalogue::find(std::string_view as_typed) const {
    static const auto compiled_by_designation = [] {
        std::unordered_map<std::string_view, const Refrigerant*> index;
        for (const auto& r : catalogue::refrigerants) index.emplace(r.designation, &r);
        return index;
    }();
    if (const auto exact = compiled_by_designation.find(as_typed); exact != compiled_by_designation.end())
        return exact->second;
    const Bare wanted(as_typed);
    if (!wanted.usable()) return nullptr;
    for (const auto& [name, designation] : substance_names)
        if (wanted.view() == name) return compiled_by_designation.at(designation);
    const Refrigerant* found = nullptr;
    bool several = false;
    each([&](const Refrigerant& r) {
        if (Bare(r.designation).view() != wanted.view()) return;
        several = several || found;
        found = &r;
    });
    return several ? nullptr : found;
}

const Refrigerant* find_by_composition(std::span<const Component> components, double tolerance_percent) {
    const auto share = [](std::span<const Component> all, std::string_view designation) {
        double percent = 0;
        for (const auto& c : all)
            if (c.designation == designation) percent += c.mass_percent;
        return percent;
    };
    const auto near = [&](std::span<const Component> of, std::span<const Component> to) {
        return std::all_of(of.begin(), of.end(), [&](const Component& c) {
            return std::abs(share(of, c.designation) - share(to, c.designation)) <= tolerance_percent;
        });
    };
    const auto all = Catalogue::compiled();
    const auto found = std::find_if(all.begin(), all.end(), [&](const Refrigerant& r) {
        return near(components, r.composition) && near(r.composition, components);
    });
    return found == all.end() || components.empty() ? nullptr : &*found;
}

std::vector<std::string> Catalogue::like(std::string_view as_typed, std::size_t most) const {
    const Bare wanted(as_typed);
    if (!wanted.usable()) return {};
    std::vector<std::pair<std::size_t, std::string_view>> near;
    each([&](const Refrigerant& r) {
        const Bare bare(r.designation);
        // A designation cut short is nearer than one with a wrong digit: "448" means R-448A before R-408A.
        const bool cut_short = bare.view().starts_with(wanted.view()) || wanted.view().starts_with(bare.view());
        const std::size_t edits = edit_distance(wanted.view(), bare.view());
        if (cut_short && wanted.view().size() > 1)
            near.emplace_back(edits, r.designation);
        else if (edits <= 2 && edits < bare.view().size())
            near.emplace_back(edits * 4, r.designation);
    });
    std::stable_sort(near.begin(), near.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    if (near.size() > most) near.resize(most);
    std::vector<std::string> names;
    names.reserve(near.size());
    for (const auto& [edits, name] : near) names.emplace_back(name);
    return names;
}

Result<const Refrigerant*> Catalogue::parse(std::string_view as_typed) const {
    constexpr const char* expected = "a designation such as R-448A, r448a or 448A";
    if (const Refrigerant* found = find(as_typed)) return found;
    if (as_typed.find_first_not_of(" \t") == std::string_view::npos)
        return usage("refrigerant-empty", "a refrigerant is missing", std::string(as_typed), expected);
    const auto near = like(as_typed);
    return usage("refrigerant-unknown", fmt::format("\"{}\" is not a refrigerant of the catalogue", as_typed),
                 std::string(as_typed), expected,
                 near.empty() ? "read the designation on the nameplate or the cylinder"
                              : fmt::format("did you mean {}?", fmt::join(near, " or ")));
}

}  // namespace tarebook
