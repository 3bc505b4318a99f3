#include "register_lists.hpp"

#include <fmt/format.h>

#include <array>
#include <set>

#include "csv_guard.hpp"
#include "movements_cells.hpp"

namespace tarebook {
namespace {

// Reads one register list: its rows, and the cells that several of them share.
class ListReader {
 public:
    ListReader(const Catalogue& catalogue, ByteSource& source, const std::string& name, FileProblems& problems,
               std::span<const CsvColumn> columns)
        : catalogue_(catalogue),
          csv_(source, name, problems),
          columns_(columns),
          open_(CsvColumns::read_header(csv_, columns, cells_)) {}

    bool next() {
        good_ = true;
        return open_ && cells_.next(csv_);
    }
    [[nodiscard]] bool good() const { return good_; }
    [[nodiscard]] std::int64_t line() const { return csv_.line(); }
    [[nodiscard]] const std::string& file() const { return csv_.name(); }
    [[nodiscard]] std::string_view cell(std::size_t column) const { return cells_.cell(column); }

    void problem(std::size_t column, Error error) {
        csv_.problem(csv_.line(), columns_[column].name, std::move(error));
        good_ = false;
    }
    std::string code(std::size_t column) {
        const auto typed = cell(column);
        if (typed.empty())
            problem(column, missing(fmt::format("the {} is missing", columns_[column].name), "its code"));
        else if (!is_code_part(typed))
            problem(column, no_code(columns_[column].name, typed));
        return std::string(typed);
    }
    /// Empty if the cell is empty.
    std::string refrigerant(std::size_t column) {
        const auto typed = cell(column);
        if (typed.empty()) return {};
        const auto gas = catalogue_.parse(typed);
        if (gas) return std::string((*gas)->designation);
        problem(column, gas.error());
        return {};
    }
    std::optional<Weight> pounds(std::size_t column) {
        const auto typed = cell(column);
        if (typed.empty()) return std::nullopt;
        const auto thousandths = pounds_cell(typed);
        if (!thousandths) {
            problem(column, thousandths.error());
            return std::nullopt;
        }
        Weight weight{Mass::thousandths_of_a_pound(*thousandths), {}};
        write_pounds(*thousandths, weight.typed);
        return weight;
    }
    ListedEntry entry(EntryKind kind, std::string entry_code) const {
        return {kind, std::move(entry_code), {}, csv_.line(), csv_.name()};
    }
    Error twice(const std::string& entry_code) const {
        return csv_guard::error("entry-twice", fmt::format("{} is there twice", entry_code), entry_code,
                                "each one once", "take one of them out");
    }

 private:
    const Catalogue& catalogue_;
    CsvReader csv_;
    CsvColumns cells_;
    std::span<const CsvColumn> columns_;
    bool open_;
    bool good_ = true;
};

void put(FieldValues& values, const char* field, const std::optional<Weight>& weight) {
    if (weight) values[field] = {weight->typed, weight->mass};
}
void put(FieldValues& values, const char* field, const std::string& text) {
    if (!text.empty()) values[field] = {text, {}};
}

}  // namespace

std::vector<ListedEntry> read_cylinders(const Catalogue& catalogue, ByteSource& source, const std::string& name,
                                        FileProblems& problems) {
    enum Column : std::size_t { cylinder, size, refrigerant, water_capacity, tare, max_net };
    static constexpr std::array<CsvColumn, 6> columns = {
        {{"cylinder"}, {"size", false}, {"refrigerant"}, {"water_capacity_lb"}, {"tare_lb"}, {"max_net_lb", false}}};
    ListReader file(catalogue, source, name, problems, columns);
    std::vector<ListedEntry> out;
    std::set<std::string> seen;
    while (file.next()) {
        auto entry = file.entry(EntryKind::cylinder, file.code(cylinder));
        put(entry.values, "refrigerant", file.refrigerant(refrigerant));
        put(entry.values, "wc", file.pounds(water_capacity));
        put(entry.values, "tare", file.pounds(tare));
        static_cast<void>(file.pounds(max_net));
        if (file.good() && !seen.insert(entry.code).second) file.problem(cylinder, file.twice(entry.code));
        if (file.good()) out.push_back(std::move(entry));
    }
    return out;
}

std::vector<ListedEntry> read_circuits(const Catalogue& catalogue, ByteSource& source, const std::string& name,
                                       FileProblems& problems) {
    enum Column : std::size_t { site, appliance, circuit, refrigerant, nameplate };
    static constexpr std::array<CsvColumn, 5> columns = {
        {{"site"}, {"appliance"}, {"circuit"}, {"refrigerant"}, {"nameplate_lb"}}};
    ListReader file(catalogue, source, name, problems, columns);
    struct Charge {
        std::size_t entry = 0;  // index of the appliance in `out`
        std::int64_t thousandths = 0;
        bool whole = true;
    };
    std::vector<ListedEntry> out;
    std::map<std::string, Charge> appliances;
    std::set<std::string> sites;
    std::set<std::string> circuits;
    while (file.next()) {
        const auto site_code = file.code(site);
        const auto appliance_code = site_code + "/" + file.code(appliance);
        const auto circuit_code = appliance_code + "/" + file.code(circuit);
        const auto gas = file.refrigerant(refrigerant);
        const auto charge = file.pounds(nameplate);
        if (!file.good()) continue;
        if (!circuits.insert(circuit_code).second) {
            file.problem(circuit, file.twice(circuit_code));
            continue;
        }
        if (sites.insert(site_code).second) out.push_back(file.entry(EntryKind::site, site_code));
        const auto [it, fresh] = appliances.try_emplace(appliance_code, Charge{out.size()});
        if (fresh) {
            out.push_back(file.entry(EntryKind::appliance, appliance_code));
            put(out.back().values, "refrigerant", gas);
        }
        auto& values = out[it->second.entry].values;
        const auto before = values.find("refrigerant");
        if (!gas.empty() && before == values.end()) {
            put(values, "refrigerant", gas);
        } else if (!gas.empty() && before->second.text != gas) {
            file.problem(
                refrigerant,
                csv_guard::error("refrigerant-differs",
                                 fmt::format("two circuits of {} hold different refrigerants", appliance_code),
                                 fmt::format("{} and {}", before->second.text, gas), "one refrigerant in an appliance",
                                 "an appliance is one refrigerant loop: give the other one its own code"));
            continue;
        }
        if (charge)
            it->second.thousandths += charge->mass.count() / (Mass::counts_per_pound / 1000);
        else
            it->second.whole = false;
        out.push_back(file.entry(EntryKind::circuit, circuit_code));
        out.back().values["name"] = {circuit_code, {}};
    }
    for (const auto& [code, charge] : appliances) {
        if (!charge.whole || charge.thousandths <= 0) continue;  // the charge of some circuits is not the full charge
        auto& values = out[charge.entry].values;
        const Mass sum = Mass::thousandths_of_a_pound(charge.thousandths);
        values["full_charge"] = {pounds_text(sum) + "lb", sum};
        values["charge_basis"] = {"maker", {}};  // the maker's nameplates, added up
    }
    return out;
}

}  // namespace tarebook
