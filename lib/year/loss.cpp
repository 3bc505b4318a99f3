// The two balances of the EPA guidance from a year's lines.
#include <algorithm>
#include <limits>

#include "tarebook/year/year.hpp"

namespace tarebook {

YearLoss& YearLoss::operator+=(const YearLoss& o) {
    auto& m = material;
    m.stock_at_start += o.material.stock_at_start, m.stock_at_end += o.material.stock_at_end;
    m.acquired += o.material.acquired, m.disbursed += o.material.disbursed;
    m.full_charge_at_start += o.material.full_charge_at_start, m.full_charge_at_end += o.material.full_charge_at_end;
    m.left_out_at_start += o.material.left_out_at_start, m.left_out_at_end += o.material.left_out_at_end;
    auto& s = simplified;
    s.charged_into_new += o.simplified.charged_into_new, s.full_charge_of_new += o.simplified.full_charge_of_new;
    s.used_in_service += o.simplified.used_in_service;
    s.left_out_at_start += o.simplified.left_out_at_start, s.left_out_at_end += o.simplified.left_out_at_end;
    s.full_charge_of_disposed += o.simplified.full_charge_of_disposed;
    s.recovered_from_disposed += o.simplified.recovered_from_disposed;
    return *this;
}

namespace {

// The full charge of an appliance at a moment; zero where the appliance has another gas.
Mass charge_of(const EquipmentKey& key, const Register& reg, const OrderKey& when) {
    const auto* entry = reg.find(EntryKind::appliance, key.appliance);
    if (!entry || entry->text("refrigerant", when).value_or("") != key.refrigerant) return {};
    return full_charge(*entry, when).value_or(Mass());
}

// Of what was left out, as much as the appliance could hold of this gas; all of it where no full charge is on record.
Mass missing_from(const EquipmentKey& key, Mass left_out, const Register& reg, const OrderKey& when) {
    const auto* entry = reg.find(EntryKind::appliance, key.appliance);
    if (!entry) return left_out;
    if (entry->text("refrigerant", when).value_or("") != key.refrigerant) return std::min(left_out, Mass());
    const auto full = full_charge(*entry, when);
    return full ? std::min(left_out, *full) : left_out;
}

// What moved for this reason, less what moved back.
Mass net_in(const YearLine& line, Reason reason) {
    return line.put_in(reason) - line.taken_out(reason);
}

}  // namespace

YearLoss equipment_loss(const EquipmentKey& key, const YearLine& line, const Register& reg, Instant start,
                        Instant end) {
    OrderKey at_end{end, {}, std::numeric_limits<std::int64_t>::max()};
    at_end.book.fill(0xff);
    const OrderKey at_start{start, {}, 0};
    const Mass initial = net_in(line, Reason::initial);
    const Mass converted = net_in(line, Reason::conversion);
    const Mass disposed = -net_in(line, Reason::disposal);
    const bool is_new = Mass() < initial || Mass() < converted;
    const bool is_gone = Mass() < disposed || converted.is_negative();

    YearLoss out;
    auto& m = out.material;
    m.acquired = line.sum(Term::charged) + line.sum(Term::reused) + line.sum(Term::by_others);
    m.disbursed = -line.sum(Term::recovered) - line.sum(Term::pumped_over) - line.sum(Term::other);
    if (!is_new) {
        m.full_charge_at_start = charge_of(key, reg, at_start);
        m.left_out_at_start = missing_from(key, line.left_out_at_start(), reg, at_start);
    }
    if (!is_gone) {
        m.full_charge_at_end = charge_of(key, reg, at_end);
        m.left_out_at_end = missing_from(key, line.left_out_at_end(), reg, at_end);
    }

    auto& s = out.simplified;
    s.left_out_at_start = m.left_out_at_start, s.left_out_at_end = m.left_out_at_end;
    if (is_new) {
        s.charged_into_new = initial + std::max(converted, Mass());
        s.full_charge_of_new = charge_of(key, reg, at_end);
    }
    for (const auto reason :
         {Reason::open, Reason::put_back, Reason::leak, Reason::seasonal, Reason::overcharge, Reason::purged})
        s.used_in_service += net_in(line, reason);
    s.used_in_service += line.sum(Term::pumped_over);
    if (!is_new) s.used_in_service += initial;  // taken out under the name of a first charge
    if (is_gone) {
        s.full_charge_of_disposed = charge_of(key, reg, at_start);
        s.recovered_from_disposed = disposed - std::min(converted, Mass());
    } else {
        s.used_in_service -= disposed;
    }
    return out;
}

YearLoss stock_loss(const YearLine& line) {
    YearLoss out;
    auto& m = out.material;
    m.stock_at_start = line.opening();
    m.stock_at_end = line.closing();
    m.acquired = line.sum(Term::taken_over) + line.sum(Term::received) + line.sum(Term::recovered) +
                 line.sum(Term::reclassified) + line.sum(Term::other);
    m.disbursed =
        -(line.sum(Term::charged) + line.sum(Term::reused) + line.sum(Term::returned) + line.sum(Term::destroyed));
    return out;
}

}  // namespace tarebook
