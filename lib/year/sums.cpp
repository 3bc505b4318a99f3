#include <algorithm>

#include "tarebook/year/year.hpp"

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
    return opening_.is_zero() && std::all_of(moved_.begin(), moved_.end(), [](const auto& bases) {
               return std::none_of(bases.begin(), bases.end(), [](bool moved) { return moved; });
           });
}
YearLine& YearLine::operator+=(const YearLine& other) {
    opening_ += other.opening();
    for (std::size_t t = 0; t < term_count; ++t)
        for (std::size_t b = 0; b < basis_count; ++b) {
            terms_[t][b] += other.terms_[t][b].value();
            moved_[t][b] = moved_[t][b] || other.moved_[t][b];
        }
    left_out_at_start_ += other.left_out_at_start();
    left_out_ += other.left_out_at_end();
    for (std::size_t side = 0; side < by_reason_.size(); ++side)
        for (std::size_t r = 0; r < by_reason_[side].size(); ++r)
            by_reason_[side][r] += other.by_reason_[side][r].value();
    return *this;
}

YearSums::YearSums(std::chrono::year year, const Register& reg)
    : reg_(reg), year_(year), first_(year / 1 / 1), last_(year / 12 / 31), movements_(reg) {}

YearLine& YearSums::stock_line(const YearMovement& m) {
    auto*& known = known_lines_[{m.refrigerant.data(), m.owner.data(), nullptr}];
    if (!known) known = &stock_[StockKey{std::string(m.refrigerant), std::string(m.owner)}];
    return *known;
}
YearLine& YearSums::equipment_line(const YearMovement& m) {
    auto*& known = known_lines_[{m.refrigerant.data(), m.site_owner.data(), m.place.data()}];
    if (!known)
        known = &equipment_[EquipmentKey{std::string(m.refrigerant), std::string(m.site_owner), appliance_of(m.place)}];
    return *known;
}
YearSums::Cylinder& YearSums::cylinder(const Account* account) {
    auto*& known = known_cylinders_[account];
    if (!known) known = &cylinders_[account->code];
    return *known;
}

const std::vector<YearMovement>& YearSums::take(const YearEvent& event) {
    if (event.day > last_) {
        static const std::vector<YearMovement> none;
        words_ = {};
        return none;
    }
    words_ = reader_.read(event);
    const auto& movements = movements_.of(event, words_);
    take(event, words_, movements);
    return movements;
}

void YearSums::take(const YearEvent& event, const YearWords& words, const std::vector<YearMovement>& movements) {
    if (event.day > last_) return;
    const bool before = event.day < first_;
    if (!before) ++events_;
    for (const auto& m : movements) {
        if (m.stock) add(stock_line(m), m, *m.stock, before);
        if (m.equipment) add_equipment(m, event.order, before);
    }
    look_into_cylinders(event, words);
}

void YearSums::add(YearLine& line, const YearMovement& m, Mass mass, bool before) {
    if (before) {
        line.opening_ += mass;
        return;
    }
    line.terms_[static_cast<std::size_t>(m.term)][static_cast<std::size_t>(m.basis)] += mass;
    line.moved_[static_cast<std::size_t>(m.term)][static_cast<std::size_t>(m.basis)] = true;
}

void YearSums::add_equipment(const YearMovement& m, const OrderKey& order, bool before) {
    auto& line = equipment_line(m);
    add(line, m, *m.equipment, before);
    leave_out(line, m, order);
    if (before) line.left_out_at_start_ = line.left_out_;
    if (before || m.term == Term::released || m.term == Term::pumped_over) return;
    line.by_reason_[m.equipment->is_negative() ? 1 : 0][static_cast<std::size_t>(m.reason)] += m.equipment->magnitude();
}

void YearSums::take_equipment(const OrderKey& order, Date day, const std::vector<YearMovement>& movements) {
    if (day > last_) return;
    for (const auto& m : movements)
        if (m.equipment) add_equipment(m, order, day < first_);
}

void YearSums::leave_out(YearLine& line, const YearMovement& m, const OrderKey& when) const {
    const Mass out = -*m.equipment;
    Mass now = line.left_out_.value();
    switch (m.term) {
        case Term::pumped_over:
            now += out;
            break;
        case Term::recovered:
            if (m.reason == Reason::overcharge) return;
            now = m.reason == Reason::disposal || m.reason == Reason::conversion ? Mass() : now + out;
            break;
        case Term::charged:
        case Term::reused:
        case Term::by_others:
            if (m.reason == Reason::purged) return;
            if (m.reason == Reason::initial || m.reason == Reason::conversion)
                now = {};
            else if (!out.is_negative())  // the cylinder got heavier
                now += out;
            else if (Mass() < now)
                now = std::max(Mass(), now + out);
            break;
        default:
            return;
    }
    // More than it takes cannot be missing from it: the rest was too much.
    if (!out.is_negative())
        if (const auto* entry = reg_.find(EntryKind::appliance, appliance_of(m.place)))
            if (const auto full = full_charge(*entry, when)) now = std::min(now, *full);
    line.left_out_ = {};
    line.left_out_ += now;
}

void YearSums::look_into_cylinders(const YearEvent& event, const YearWords& words) {
    const auto weighed = [&](const Account* account, std::string_view code) {
        if (code.empty()) return;
        const auto* facts = cylinder_facts(reg_, code, event.order);
        if (!facts || !facts->tare) return;  // without a tare a gross weight tells no contents
        auto& c = account ? cylinder(account) : cylinders_[std::string(code)];
        c.weighed_on = event.day;
        c.weighing = event.reference;
        for (auto& h : c.holdings) h.counted = h.now;
    };
    // Contents that leave with their cylinder are not counted, though its last weighing may have found some.
    const bool leaves = std::any_of(event.postings.begin(), event.postings.end(), [](const YearPosting& p) {
        return p.account->kind == AccountKind::reclaimer || p.account->kind == AccountKind::destroyer ||
               p.account->kind == AccountKind::lost || p.account->kind == AccountKind::supplier;
    });
    std::array<const Account*, 2> accounts{};  // of the cylinders that were weighed
    for (const auto& p : event.postings) {
        if (p.account->kind != AccountKind::cylinder) continue;
        for (std::size_t i = 0; i < accounts.size(); ++i)
            if (words.weighed[i] == p.account->code) accounts[i] = p.account;
        auto& holdings = cylinder(p.account).holdings;
        auto h = std::find_if(holdings.begin(), holdings.end(),
                              [&](const Holding& x) { return x.lot == p.lot || *x.lot == *p.lot; });
        if (h == holdings.end()) h = holdings.insert(holdings.end(), Holding{p.lot, {}, {}});
        h->now += p.mass;
        if (leaves && h->now.is_zero()) h->counted = {};
    }
    for (std::size_t i = 0; i < accounts.size(); ++i) weighed(accounts[i], words.weighed[i]);
}

bool YearSums::holds_gas_of_others(std::string_view cylinder, std::string_view owner) const {
    const auto it = cylinders_.find(cylinder);
    return it != cylinders_.end() &&
           std::any_of(it->second.holdings.begin(), it->second.holdings.end(), [&](const Holding& h) {
               return !h.now.is_zero() && h.lot->owner != owner && h.lot->owner != shop_owner &&
                      h.lot->owner != owner_unassigned;
           });
}

YearBalance YearSums::balance() const {
    YearBalance out;
    out.year = year_;
    out.events = events_;
    for (const auto& [key, line] : stock_)
        if (!line.is_empty()) out.stock[key].line = line;
    for (const auto& [key, line] : equipment_)
        if (!line.is_empty() || !line.left_out_at_end().is_zero()) out.equipment.emplace(key, line);
    for (const auto& [code, cylinder] : cylinders_) {
        CylinderLine line;
        line.weighed_on = cylinder.weighed_on;
        line.weighing = cylinder.weighing;
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
