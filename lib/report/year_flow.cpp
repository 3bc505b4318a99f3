#include "year_flow.hpp"

#include <map>

namespace tarebook::report {
namespace {

using Kind = FlowBand::Kind;

struct TermWords {
    Term term;
    const char* in;
    const char* out;
    Kind kind_in = Kind::moved, kind_out = Kind::moved;
};
// All terms but those between cylinders and equipment. What reads odd is odd: a negative receipt is a correction.
constexpr TermWords term_words[] = {
    {Term::received, "from suppliers", "taken from receipts"},
    {Term::taken_over, "taken over by weight", "less taken over"},
    {Term::by_others, "put in by others", "less put in by others"},
    {Term::pumped_over, "pumped over into", "pumped over out of"},
    {Term::returned, "came back", "returned, to reclaim"},
    {Term::destroyed, "back from destruction", "to destruction"},
    {Term::released, "less released", "released to the air", Kind::moved, Kind::lost},
    {Term::lost, "found again", "lost with cylinders", Kind::moved, Kind::lost},
    {Term::unaccounted, "unaccounted, more", "unaccounted", Kind::lost, Kind::lost},
    {Term::scale, "scales, within limits", "scales, within limits"},
    {Term::reclassified, "was another gas", "turned out another gas"},
    {Term::other, "other", "other"},
};

void put(FlowNode& node, Mass mass, const char* in, const char* out, Kind kind_in, Kind kind_out) {
    if (mass > Mass()) node.in.push_back({kind_in, in, mass});
    if (mass < Mass()) node.out.push_back({kind_out, out, -mass});
}

void put_terms(FlowNode& node, const YearLine& line) {
    for (const auto& t : term_words) put(node, line.sum(t.term), t.in, t.out, t.kind_in, t.kind_out);
    const auto joint = [&](Mass mass) { (mass > Mass() ? node.joint_in : node.joint_out) += mass.magnitude(); };
    joint(line.sum(Term::charged) + line.sum(Term::reused));
    joint(line.sum(Term::recovered));
}

FlowNode cylinders_of(const YearLine& line) {
    FlowNode out;
    put(out, line.opening(), "at the start", "below zero at start", Kind::kept, Kind::kept);
    put_terms(out, line);
    put(out, -line.closing(), "below zero at end", "at the end", Kind::kept, Kind::kept);
    return out;
}

FlowNode equipment_of(const YearLine& line) {
    FlowNode out;
    put_terms(out, line);
    put(out, line.opening() - line.closing(), "net taken out", "net put in", Kind::kept, Kind::kept);
    return out;
}

bool has_moved(const YearLine& line) {
    for (const auto term : all_terms())
        if (!line.sum(term).is_zero()) return true;
    return false;
}

}  // namespace

Mass FlowNode::through() const {
    Mass sum = joint_in;
    for (const auto& band : in) sum += band.mass;
    return sum;
}

std::vector<GasFlow> gas_flows(const YearBalance& balance) {
    struct Lines {
        YearLine stock, equipment;
    };
    std::map<std::string, Lines> gases;
    for (const auto& [key, s] : balance.stock) gases[key.refrigerant].stock += s.line;
    for (const auto& [key, line] : balance.equipment) gases[key.refrigerant].equipment += line;
    std::vector<GasFlow> out;
    for (const auto& [gas, lines] : gases) {
        if (!has_moved(lines.stock) && !has_moved(lines.equipment)) continue;
        const bool has_stock = !lines.stock.is_empty();
        out.push_back({gas, cylinders_of(lines.stock), equipment_of(lines.equipment),
                       has_stock ? -lines.stock.sum(Term::charged) : lines.equipment.sum(Term::charged),
                       has_stock ? -lines.stock.sum(Term::reused) : lines.equipment.sum(Term::reused)});
    }
    return out;
}

}  // namespace tarebook::report
