// From cells to rules: checks every word, and reports all problems of a pack in one run.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "fields.hpp"

namespace tarebook {
namespace rules {
namespace {

// In a function, because a pack may be asked for before main.
const std::vector<std::string_view>& class_words() {
    static const std::vector<std::string_view> words = {"ods",         "hfc",     "pfc",  "unsaturated",
                                                        "hydrocarbon", "natural", "other"};
    return words;
}

class Builder {
 public:
    Builder(std::string file, const std::vector<Cell>& cells, const Catalogue& catalogue)
        : file_(std::move(file)), cells_(cells), catalogue_(catalogue) {}

    RulePack build() {
        attempt([&] { head(); });
        each_entry("scopes", [&](const std::string& id, Fields& f) {
            // Added even if it has errors, so that rules that name it have none for that.
            pack_.scopes.emplace_back().id = id;
            pack_.scopes.back() = scope(id, f);
        });
        each_entry("rules", [&](const std::string& id, Fields& f) { pack_.rules.push_back(rule(id, f)); });
        if (!problems_.empty()) throw BadPack(problems_);
        return std::move(pack_);
    }

 private:
    template <class Do>
    void attempt(Do&& work) {
        try {
            work();
        } catch (const BadPack& e) {
            problems_ += fmt::format("{}{}", problems_.empty() ? "" : "\n", e.what());
        }
    }
    template <class Visit>
    void each_entry(const std::string& section, Visit&& visit) {
        for (auto it = cells_.begin(); it != cells_.end();) {
            const auto end = std::find_if(
                it, cells_.end(), [&](const Cell& cell) { return cell.section != it->section || cell.id != it->id; });
            if (it->section == section) {
                Fields fields(file_, section + "." + it->id, catalogue_);
                std::for_each(it, end, [&](const Cell& cell) { fields.add(cell); });
                attempt([&] {
                    visit(it->id, fields);
                    fields.nothing_else();
                });
            }
            it = end;
        }
    }
    void head() {
        Fields f(file_, "", catalogue_);
        for (const auto& cell : cells_)
            if (cell.section == "head") f.add(cell);
        pack_.id = f.text("pack");
        pack_.title = f.text("title");
        pack_.jurisdiction = f.text("jurisdiction");
        pack_.source = f.text("source");
        pack_.date = f.date("date");
        f.nothing_else();
    }

    // A value from memory, or from our own reading of a text, is never "confirmed".
    RuleStatus status(Fields& f) {
        const auto basis = f.word("basis", {"clause", "secondary", "memory", "reading"});
        const auto status = f.word("status", {"confirmed", "to-confirm"});
        if (status == 0 && basis > 1) f.bad("status", "what rests on memory or a reading is to-confirm");
        if (status == 1) return RuleStatus::to_confirm;
        return basis == 0 ? RuleStatus::read : RuleStatus::read_in_print;
    }
    template <class Entry>
    void common(Entry& e, Fields& f) {
        e.clause = f.text("clause");
        e.note = f.text_or_empty("note");
        e.status = status(f);
        e.from = f.optional("from", [&] { return f.date("from"); });
        e.to = f.optional("to", [&] { return f.date("to"); });
        if (e.from && e.to && *e.to < *e.from) f.bad("to", "ends before it begins");
        e.full_charge_from = f.optional("full_charge_from", [&] { return f.mass("full_charge_from"); });
        e.full_charge_above = f.optional("full_charge_above", [&] { return f.mass("full_charge_above"); });
        e.full_charge_below = f.optional("full_charge_below", [&] { return f.mass("full_charge_below"); });
        if (e.full_charge_from && e.full_charge_above) f.bad("full_charge_above", "beside full_charge_from");
        e.categories = categories(f, "categories");
    }
    static std::vector<ApplianceCategory> categories(Fields& f, std::string_view key) {
        std::vector<ApplianceCategory> out;
        if (!f.has(key)) return out;
        for (const auto& word : f.list(key)) {
            const auto category = appliance_category_from(word);
            if (!category) f.bad(key, fmt::format("\"{}\" is not a category of appliances", word));
            out.push_back(*category);
        }
        return out;
    }
    static std::vector<SubstanceClass> substances(Fields& f, std::string_view key) {
        std::vector<SubstanceClass> out;
        if (!f.has(key)) return out;
        for (const auto& word : f.list(key))
            out.push_back(static_cast<SubstanceClass>(f.word_in(key, word, class_words())));
        return out;
    }

    RuleScope scope(const std::string& id, Fields& f) {
        RuleScope s;
        s.id = id;
        common(s, f);
        s.any_of = substances(f, "any_of");
        s.none_of = substances(f, "none_of");
        s.gwp_above = f.optional("gwp_above", [&] { return f.number("gwp_above"); });
        s.gwp_set = f.text_or_empty("gwp_set");
        s.gwp_from = f.optional("gwp_from", [&] { return f.number("gwp_from"); });
        if (s.gwp_above && s.gwp_from) f.bad("gwp_above", "beside gwp_from");
        if ((s.gwp_above || s.gwp_from) == s.gwp_set.empty())
            f.bad("gwp_set", "goes with gwp_from or gwp_above, and only with one of them");
        s.not_categories = categories(f, "not_categories");
        return s;
    }
    Rule rule(const std::string& id, Fields& f) {
        Rule r;
        r.id = id;
        common(r, f);
        if (f.has("scope"))
            for (const auto& name : f.list("scope")) {
                const auto it = std::find_if(pack_.scopes.begin(), pack_.scopes.end(),
                                             [&](const RuleScope& s) { return s.id == name; });
                if (it == pack_.scopes.end()) f.bad("scope", fmt::format("\"{}\" is not a scope of this pack", name));
                r.scopes.push_back(static_cast<std::size_t>(it - pack_.scopes.begin()));
            }
        r.terms = read_terms(f.text("kind"), f);
        return r;
    }

    std::string file_;
    const std::vector<Cell>& cells_;
    const Catalogue& catalogue_;
    RulePack pack_;
    std::string problems_;
};

}  // namespace

RulePack build_pack(const std::string& file, const std::vector<Cell>& cells, const Catalogue& catalogue) {
    return Builder(file, cells, catalogue).build();
}

}  // namespace rules

namespace {
constexpr std::array<std::string_view, 6> category_words = {
    "commercial-refrigeration",        "industrial-process",     "comfort-cooling",
    "residential-light-commercial-ac", "refrigerated-transport", "other"};
}
std::string_view text_of(ApplianceCategory category) {
    return category_words[static_cast<std::size_t>(category)];
}
std::optional<ApplianceCategory> appliance_category_from(std::string_view text) {
    for (std::size_t i = 0; i < category_words.size(); ++i)
        if (category_words[i] == text) return static_cast<ApplianceCategory>(i);
    return std::nullopt;
}

}  // namespace tarebook
