#include <algorithm>

#include "tarebook/year.hpp"

namespace tarebook {

std::string_view text_of(Basis basis) {
    static constexpr std::array<std::string_view, basis_count> words{"weighed", "stated", "estimated"};
    return words[static_cast<std::size_t>(basis)];
}

std::string_view text_of(Term term) {
    static constexpr std::array<std::string_view, term_count> words{
        "taken-over", "received", "recovered", "charged",     "reused", "by-others",    "pumped-over", "returned",
        "destroyed",  "released", "lost",      "unaccounted", "scale",  "reclassified", "other"};
    return words[static_cast<std::size_t>(term)];
}

std::span<const Term> all_terms() {
    static constexpr auto terms = [] {
        std::array<Term, term_count> out{};
        for (std::size_t i = 0; i < term_count; ++i) out[i] = static_cast<Term>(i);
        return out;
    }();
    return terms;
}

Mass YearLine::sum(Term term, Basis basis) const {
    return terms_[static_cast<std::size_t>(term)][static_cast<std::size_t>(basis)].value();
}
Mass YearLine::sum(Term term) const {
    return sum(term, Basis::weighed) + sum(term, Basis::stated) + sum(term, Basis::estimated);
}
Mass YearLine::closing() const {
    Mass out = opening();
    for (const auto term : all_terms()) out += sum(term);
    return out;
}
bool YearLine::is_empty() const {
    return opening_.is_zero() && std::all_of(terms_.begin(), terms_.end(), [](const auto& bases) {
               return std::all_of(bases.begin(), bases.end(), [](const MassTotal& t) { return t.is_zero(); });
           });
}
YearLine& YearLine::operator+=(const YearLine& other) {
    opening_ += other.opening();
    for (std::size_t t = 0; t < term_count; ++t)
        for (std::size_t b = 0; b < basis_count; ++b) terms_[t][b] += other.terms_[t][b].value();
    for (std::size_t side = 0; side < by_reason_.size(); ++side)
        for (std::size_t r = 0; r < by_reason_[side].size(); ++r)
            by_reason_[side][r] += other.by_reason_[side][r].value();
    return *this;
}

YearSums::YearSums(std::chrono::year year, const Register& reg)
    : reg_(reg), year_(year), first_(year / 1 / 1), last_(year / 12 / 31), movements_(reg) {}

YearLine& YearSums::stock_line(const YearMovement& m) {
    return stock_[StockKey{std::string(m.refrigerant), std::string(m.owner)}];
}
YearLine& YearSums::equipment_line(const YearMovement& m) {
    const auto second = m.place.find('/', std::min(m.place.size(), m.place.find('/')) + 1);
    const auto appliance = m.place.find('/') == std::string_view::npos ? m.place : m.place.substr(0, second);
    return equipment_[EquipmentKey{std::string(m.refrigerant), std::string(m.site_owner), std::string(appliance)}];
}

const std::vector<YearMovement>& YearSums::take(const YearEvent& event) {
    words_ = reader_.read(event);
    const auto& movements = movements_.of(event, words_);
    if (event.day > last_) return movements;
    const bool before = event.day < first_;
    if (!before) ++events_;
    for (const auto& m : movements) {
        const auto add = [&](YearLine& line, Mass mass) {
            if (before)
                line.opening_ += mass;
            else
                line.terms_[static_cast<std::size_t>(m.term)][static_cast<std::size_t>(m.basis)] += mass;
        };
        if (m.stock) add(stock_line(m), *m.stock);
        if (!m.equipment) continue;
        auto& line = equipment_line(m);
        add(line, *m.equipment);
        if (before || m.term == Term::released || m.term == Term::pumped_over) continue;
        line.by_reason_[m.equipment->is_negative() ? 1 : 0][static_cast<std::size_t>(m.reason)] +=
            m.equipment->magnitude();
    }
    look_into_cylinders(event);
    return movements;
}

void YearSums::look_into_cylinders(const YearEvent& event) {
    for (const auto& p : event.postings) {
        if (p.account->kind != AccountKind::cylinder) continue;
        auto it = cylinders_.find(p.account->code);
        if (it == cylinders_.end()) it = cylinders_.emplace(p.account->code, Cylinder{}).first;
        auto& holdings = it->second.holdings;
        auto h = std::find_if(holdings.begin(), holdings.end(),
                              [&](const Holding& x) { return x.lot == p.lot || *x.lot == *p.lot; });
        if (h == holdings.end()) h = holdings.insert(holdings.end(), Holding{p.lot, {}, {}});
        h->now += p.mass;
    }
    for (const auto code : words_.weighed) {
        if (code.empty()) continue;
        const auto* facts = cylinder_facts(reg_, code, event.order);
        if (!facts || !facts->tare) continue;  // without a tare a gross weight tells no contents
        auto it = cylinders_.find(code);
        if (it == cylinders_.end()) it = cylinders_.emplace(std::string(code), Cylinder{}).first;
        it->second.weighed_on = event.day;
        it->second.weighing = event.order;
        for (auto& h : it->second.holdings) h.counted = h.now;
    }
}

YearBalance YearSums::balance() const {
    YearBalance out;
    out.year = year_;
    out.events = events_;
    for (const auto& [key, line] : stock_)
        if (!line.is_empty()) out.stock[key].line = line;
    for (const auto& [key, line] : equipment_)
        if (!line.is_empty()) out.equipment.emplace(key, line);
    for (const auto& [code, cylinder] : cylinders_) {
        CylinderLine line;
        line.weighed_on = cylinder.weighed_on;
        if (cylinder.weighed_on) line.weighing = cylinder.weighing;
        for (const auto& h : cylinder.holdings) {
            if (h.now.is_zero() && h.counted.is_zero()) continue;
            line.parts.push_back({*h.lot, h.now.value(), h.counted.value()});
            auto& stock = out.stock[{h.lot->refrigerant, h.lot->owner}];
            if (cylinder.weighed_on)
                stock.counted += h.counted.value();
            else
                stock.not_counted += h.now.value();
        }
        std::sort(line.parts.begin(), line.parts.end(), [](const auto& a, const auto& b) { return a.lot < b.lot; });
        if (line.weighed_on || !line.parts.empty()) out.cylinders.emplace(code, std::move(line));
    }
    return out;
}

}  // namespace tarebook
