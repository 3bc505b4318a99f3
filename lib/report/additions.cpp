#include "additions.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tarebook::report {

void Sums::take(const Flow& flow) {
    if (flow.kind == "recover") recovered -= flow.mass;
    if (flow.kind == "reuse") reused += flow.mass;
    if (flow.kind == "charge") charged += flow.mass;
    if (flow.kind == "release") released -= flow.mass;
    if (flow.kind == "pumpdown") (flow.mass.is_negative() ? moved_out : moved_in) += flow.mass.magnitude();
}
namespace {

struct Group {
    Sums before, until;
    std::map<std::string, Mass> net_in;  // by refrigerant
    Date last{};
};

Mass positive(Mass mass) {
    return std::max(mass, Mass());
}

}  // namespace

std::vector<Addition> additions(const std::vector<Flow>& flows, Date from, Date to) {
    // The key says whether it is a job, so that a job named like a day is not taken for that day.
    struct Key {
        std::string appliance;
        std::optional<std::string> job;
        Date day{};
        auto operator<=>(const Key&) const = default;
    };
    std::map<Key, Group> groups;
    for (const auto& flow : flows) {
        if (flow.date > to) continue;
        auto& group = groups[{appliance_of(flow.circuit), flow.job, flow.job ? Date{} : flow.date}];
        group.until.take(flow);
        if (flow.date < from) {
            group.before.take(flow);
            continue;
        }
        if (flow.kind != "release") group.net_in[flow.refrigerant] += flow.mass;
        group.last = std::max(group.last, flow.date);
    }
    std::vector<Addition> out;
    for (const auto& [key, group] : groups) {
        const Mass mass = positive(positive(group.until.net()) - positive(group.before.net()));
        if (mass.is_zero() || group.net_in.empty()) continue;
        const auto most = std::max_element(group.net_in.begin(), group.net_in.end(),
                                           [](const auto& a, const auto& b) { return a.second < b.second; });
        out.push_back({key.appliance, key.job, group.last, most->first, mass});
    }
    return out;
}

std::string pumped_text(std::string_view circuit, const Sums& sums, DisplayUnits units) {
    if (sums.moved_in.is_zero() && sums.moved_out.is_zero()) return {};
    return fmt::format("{}: pumped over, by estimate: in {}, out {}", circuit, mass_text(sums.moved_in, units),
                       mass_text(sums.moved_out, units));
}

const Columns<Sums>& sums_columns() {
    using C = Column<Sums>;
    static const Columns<Sums> columns{
        C("recovered", "recovered", &Sums::recovered).moved(),   C("reused", "reused", &Sums::reused).moved(),
        C("charged", "charged", &Sums::charged).moved(),         C("pumped_in", "pumped in", &Sums::moved_in).moved(),
        C("pumped_out", "pumped out", &Sums::moved_out).moved(), C("net", "net in", &Sums::net).moved(),
        C("released", "released", &Sums::released).moved()};
    return columns;
}
const Columns<CircuitSums>& circuit_columns() {
    static const auto columns =
        Columns<CircuitSums>{{"circuit", "circuit", &CircuitSums::first}}.with(sums_columns(), &CircuitSums::second);
    return columns;
}

}  // namespace tarebook::report
