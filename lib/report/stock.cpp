#include "stock.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "money_field.hpp"
#include "shared_text.hpp"
#include "tarebook/book/stocktakes.hpp"
#include "tarebook/units/by_code.hpp"

namespace tarebook::report {
namespace {

constexpr std::int64_t farthest_receipt = 1000;

// The shop's gas in one cylinder.
struct HeldGas {
    const CylinderNow& cylinder;
    const Lot& lot;
    std::string place;
    std::vector<std::string> flags;
    /// Whether it can go into anybody's equipment.
    [[nodiscard]] bool can_be_charged() const { return flags.empty() && lot.key.condition <= Condition::reclaimed; }
};

void each_held_gas(const Book& book, const std::function<void(const HeldGas&)>& visit) {
    book.each_cylinder([&](CylinderNow&& cylinder) {
        if (cylinder.state.gone || cylinder.state.lost) return;
        for (const auto& lot : cylinder.state.lots)
            if (lot.key.owner == shop_owner && Mass() < lot.mass)
                visit({cylinder, lot, place_of(cylinder.state, cylinder.facts),
                       flags_of(book.reference_data().catalogue, cylinder.state)});
    });
}

std::vector<StockLevel> levels_set(const Book& book) {
    std::vector<StockLevel> out;
    const auto now = order_at(Instant::max());
    book.each_entry(EntryKind::stock, [&](const Entry& entry) {
        const auto at_least = entry.mass("at_least", now);
        if (!at_least || at_least->is_zero()) return;
        out.push_back({entry.code(), entry.text("refrigerant", now).value_or(""), entry.text("place", now).value_or(""),
                       *at_least, Mass()});
    });
    std::stable_sort(out.begin(), out.end(), [](const StockLevel& a, const StockLevel& b) {
        const CodeOrder before;
        return a.refrigerant != b.refrigerant ? before(a.refrigerant, b.refrigerant) : before(a.place, b.place);
    });
    return out;
}

void count_for(std::vector<StockLevel>& levels, const HeldGas& held) {
    if (!held.can_be_charged()) return;
    for (auto& level : levels)
        if (level.refrigerant == held.lot.key.refrigerant && (level.place.empty() || level.place == held.place))
            level.there += held.lot.mass;
}

}  // namespace

std::optional<Paid> paid_for(const Book& book, std::string_view cylinder, const OrderKey& before) {
    const auto steps = book.steps_before(cylinder, before, farthest_receipt);
    for (auto step = steps.rbegin(); step != steps.rend(); ++step) {
        const auto stored = book.event(step->event_id);
        const auto* received = stored ? std::get_if<kinds::Receive>(&stored->event.what) : nullptr;
        if (!received) continue;
        return received->price ? std::optional(Paid{*received->price, step->moved}) : std::nullopt;
    }
    return std::nullopt;
}

std::optional<Price> asked_for(const Register& entries, std::string_view refrigerant, const OrderKey& when) {
    const auto* entry = entries.find(EntryKind::stock, stock_code(refrigerant, {}));
    const auto typed = entry ? entry->text("price", when) : std::nullopt;
    const auto price = typed ? parse_price(*typed) : Result<Price>(tl::unexpected<Error>(Error()));
    return price ? std::optional(*price) : std::nullopt;
}

StockView stock_view(const Book& book, DisplayUnits units) {
    StockView out;
    out.levels = levels_set(book);
    std::map<std::tuple<std::string, std::string, std::string, std::vector<std::string>, std::string>, PricedStock>
        lines;
    each_held_gas(book, [&](const HeldGas& held) {
        count_for(out.levels, held);
        const auto paid = paid_for(book, held.cylinder.code, order_at(Instant::max()));
        const auto unit = units == DisplayUnits::kg ? PricePer::kg : PricePer::lb;
        const auto price = !paid                              ? std::nullopt
                           : paid->price.per == PricePer::all ? paid->price.for_each(unit, paid->whole)
                                                              : std::optional(paid->price);
        const std::string condition(tarebook::text_of(held.lot.key.condition));
        auto& line = lines[{held.lot.key.refrigerant, held.place, condition, held.flags,
                            price ? price_text(*price) : std::string()}];
        const bool first = line.cylinders == 0;
        line.refrigerant = held.lot.key.refrigerant, line.place = held.place, line.condition = condition;
        line.flags = held.flags, line.price = price;
        ++line.cylinders;
        line.mass += held.lot.mass;
        const auto value = paid ? paid->of(held.lot.mass) : std::nullopt;
        if (!value || (!first && !line.value))
            line.value.reset();
        else if (first)
            line.value = value;
        else
            line.value->minor += value->minor;
    });
    for (auto& [key, line] : lines) out.lines.push_back(std::move(line));
    std::stable_sort(out.lines.begin(), out.lines.end(), [](const PricedStock& a, const PricedStock& b) {
        const CodeOrder before;
        return a.refrigerant != b.refrigerant ? before(a.refrigerant, b.refrigerant) : before(a.place, b.place);
    });
    return out;
}

std::vector<StockLevel> levels_not_met(const Book& book) {
    auto levels = levels_set(book);
    if (levels.empty()) return levels;
    each_held_gas(book, [&](const HeldGas& held) { count_for(levels, held); });
    std::erase_if(levels, [](const StockLevel& level) { return !level.under(); });
    return levels;
}

const Columns<StockLevel>& level_columns() {
    static const Columns<StockLevel> columns{
        {"stock", "", &StockLevel::code},
        {"refrigerant", "gas", &StockLevel::refrigerant},
        Column<StockLevel>("place", "place", &StockLevel::place).shown([](const StockLevel& l, DisplayUnits) {
            return Cell(l.place.empty() ? "whole shop" : l.place);
        }),
        {"at_least", "at least", &StockLevel::at_least},
        {"in_stock", "there", &StockLevel::there},
        Column<StockLevel>("missing", "missing", &StockLevel::missing).blank_zero(),
        Column<StockLevel>("under", "", &StockLevel::under).shown([](const StockLevel& l, DisplayUnits) {
            return Cell(l.under() ? "under" : "");
        })};
    return columns;
}

std::string level_text(const StockLevel& level, DisplayUnits units) {
    return fmt::format("{} {}: {}, at least {}", level.refrigerant,
                       level.place.empty() ? "in the whole shop" : "at " + level.place, mass_text(level.there, units),
                       mass_text(level.at_least, units));
}

}  // namespace tarebook::report
