#include "year_view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "shared_text.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/year/seal.hpp"

namespace tarebook::report {

std::string YearScope::text() const {
    if (owner) return ", owner " + *owner;
    if (site) return ", site " + *site;
    return {};
}

namespace {

// All that ever owned a site, or gas in a cylinder.
std::set<std::string> owners_of(const Book& book) {
    std::set<std::string> out;
    for (const auto& code : book.codes(EntryKind::site)) {
        const auto* site = book.entries().find(EntryKind::site, code);
        if (!site) continue;
        if (const auto owner = site->fields().find("owner"); owner != site->fields().end())
            for (const auto& value : owner->second) out.insert(value.value.text);
    }
    for (const auto& balance : book.balances()) out.insert(balance.lot.owner);
    out.erase("");
    return out;
}

}  // namespace

Result<YearScope> scope_of(const Book& book, const YearQuestion& q) {
    if (q.owner && q.site)
        return usage("flags-together", "an owner, or a site, not both", *q.site, "--owner O, or --site S");
    if (q.site)
        if (auto known = entry_exists(book, EntryKind::site, *q.site); !known) return fail(known.error());
    if (q.owner) {
        const auto owners = owners_of(book);
        if (!owners.contains(*q.owner))
            return fail({ErrorKind::refused, "unknown-owner", "the book has no such owner", *q.owner,
                         "an owner of a site, word for word",
                         did_you_mean(*q.owner, owners, "`tarebook site list` shows them")});
    }
    return YearScope{q.owner, q.site};
}

GwpSets::GwpSets(Catalogue catalogue, RulePacks packs) : catalogue_(std::move(catalogue)) {
    for (const auto* name : {"aim", "ar4", "ar5", "eu-2024-573"})
        if (auto set = find_gwp_set(packs, name)) sets_.push_back(std::move(*set));
}
std::string known_part_text(const std::optional<KnownPart>& figure) {
    return figure ? fmt::format("{}{:.3f}", figure->at_least ? "at least " : "", figure->value) : "not known";
}
std::optional<KnownPart> GwpSets::gwp(const std::string& refrigerant, const GwpValues& set) const {
    const auto* known = catalogue_.find(refrigerant);
    if (!known || known->composition.empty()) return std::nullopt;
    const auto gwp = gwp_of(*known, set);
    if (gwp.without_value.size() == known->composition.size()) return std::nullopt;
    return KnownPart{gwp.value, !gwp.without_value.empty()};
}
std::string GwpSets::gap_text(const std::string& refrigerant, const GwpValues& set) const {
    if (const auto known = gwp(refrigerant, set); known && !known->at_least) return {};
    const auto* known = catalogue_.find(refrigerant);
    if (!known || known->composition.empty()) return fmt::format("{} by {} (no such gas)", refrigerant, set.set);
    return fmt::format("{} by {} (no value for {})", refrigerant, set.set, joined(gwp_of(*known, set).without_value));
}
std::optional<KnownPart> GwpSets::tonnes(const std::string& refrigerant, Mass mass, const GwpValues& set) const {
    const auto potential = gwp(refrigerant, set);
    if (!potential || (potential->at_least && mass.is_negative())) return std::nullopt;
    return KnownPart{carbon_dioxide_equivalent(mass, potential->value, set.set).tonnes, potential->at_least};
}

Instant midnight(const Book& book, Date day) {
    const auto moment = parse_moment(date_text(day) + "T00:00:00", book.info().zone, Instant(day));
    return moment ? moment->at : Instant(day);
}

void take_packs(const Book& book, const YearScope& scope, YearView& view) {
    const auto last = order_at(Instant::max());
    const auto add = [&](RulePacks packs) {
        for (const auto* pack : packs)
            if (std::find(view.packs.begin(), view.packs.end(), pack) == view.packs.end()) view.packs.push_back(pack);
    };
    if (scope.all()) add(book.rules().packs_of_country(book.info().country));
    for (const auto& code : book.codes(EntryKind::site)) {
        const auto* site = book.entries().find(EntryKind::site, code);
        if (!site || !scope.shows_place(code, site->text("owner", last).value_or(""))) continue;
        const auto named = packs_of_site(book.rules(), site, last);
        add(named.packs);
        view.unknown_packs.insert(view.unknown_packs.end(), named.unknown.begin(), named.unknown.end());
        if (named.packs.empty() && !named.country.empty()) view.countries_without_pack.insert(named.country);
    }
    if (view.packs.empty() && view.countries_without_pack.empty())
        add(book.rules().packs_of_country(book.info().country));
}

std::map<EquipmentKey, YearLine> by_site(const YearBalance& balance) {
    std::map<EquipmentKey, YearLine> out;
    for (const auto& [key, line] : balance.equipment) out[{key.refrigerant, key.owner, site_of(key.appliance)}] += line;
    return out;
}

namespace {

// Whether nothing was on record of an appliance before `start`.
bool known_only_since(const Book& book, const std::string& appliance, Instant start) {
    const auto* entry = book.entries().find(EntryKind::appliance, appliance);
    if (!entry) return true;
    const auto& fields = entry->fields();
    return std::all_of(fields.begin(), fields.end(), [start](const auto& field) {
        return field.second.empty() || field.second.front().from.at >= start;
    });
}

// Puts the stock of which it is not on record whose it is under one key.
void tell_owners(std::map<StockKey, StockLine>& stock) {
    const auto shop = stock.find({std::string(gas_unknown), std::string(shop_owner)});
    if (shop == stock.end()) return;
    auto& told = stock[{std::string(gas_unknown), std::string(owner_unassigned)}];
    told.line += shop->second.line;
    told.counted += shop->second.counted;
    told.not_counted += shop->second.not_counted;
    stock.erase(shop);
}

}  // namespace

YearView year_view_of(const Book& book, const YearScope& scope, const YearSums& sums, const ReclaimWatch& reclaim,
                      const StockWatch& stock) {
    YearView view;
    view.stock_days = stock.gases();
    view.stock_until = stock.until();
    view.scope = scope;
    view.catalogue = book.catalogue();
    view.balance = sums.balance();
    view.whole_digest = digest_of(view.balance);
    take_packs(book, scope, view);
    tell_owners(view.balance.stock);
    for (const auto& [key, line] : reclaim.lines())
        if (const auto told = told_owner(key.refrigerant, key.owner); !line.is_empty() && scope.shows_stock_of(told))
            view.reclaim[{key.refrigerant, std::string(told)}] += line;
    std::erase_if(view.balance.stock, [&](const auto& p) { return !scope.shows_stock_of(p.first.owner); });
    std::erase_if(view.balance.equipment,
                  [&](const auto& p) { return !scope.shows_place(p.first.appliance, p.first.owner); });

    // An appliance that lost nothing by its weighings may have lost by its full charge: all on record are asked.
    auto equipment = view.balance.equipment;
    const auto start = midnight(book, sums.first_day());
    const auto end = midnight(book, sums.last_day() + std::chrono::days(1));
    const auto at_end = order_at(end - std::chrono::seconds(1));
    SiteOwners owners(book.entries());
    for (const auto& code : book.codes(EntryKind::appliance)) {
        const auto* entry = book.entries().find(EntryKind::appliance, code);
        const auto owner = owners.owner_of(code, at_end);
        if (!entry || !scope.shows_place(code, owner)) continue;
        for (const auto& when : {OrderKey{start, {}, 0}, at_end})
            if (const auto gas = entry->text("refrigerant", when))
                equipment.try_emplace(EquipmentKey{*gas, std::string(owner), code});
    }
    struct Loss {
        YearLoss loss;
        Mass charge_unknown_before;
    };
    std::map<std::tuple<std::string, std::string, std::string>, Loss> losses;
    for (const auto& [key, line] : equipment) {
        const auto lost = equipment_loss(key, line, book.entries(), start, end - std::chrono::seconds(1));
        auto& sum = losses[{key.refrigerant, key.owner, site_of(key.appliance)}];
        sum.loss += lost;
        if (Mass() < lost.material.loss() && lost.simplified.full_charge_of_new.is_zero() &&
            known_only_since(book, key.appliance, start))
            sum.charge_unknown_before += lost.material.loss();
    }
    std::erase_if(view.balance.equipment, [](const auto& p) { return p.second.is_empty(); });
    for (const auto& [key, line] : view.balance.stock)
        losses[{key.refrigerant, key.owner, ""}].loss += stock_loss(line.line);
    for (const auto& [key, sum] : losses)
        view.losses.push_back(
            {std::get<0>(key), std::get<1>(key), std::get<2>(key), sum.loss, sum.charge_unknown_before});
    return view;
}

std::string year_reserve() {
    return "figures from the book, not a statement that a rule is met: the clause, local codes and a licensed person "
           "decide";
}

}  // namespace tarebook::report
