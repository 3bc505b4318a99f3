// What the shop has of its own gas, where, and at what price; and what is under the level that the shop has set.
#include <fmt/format.h>

#include <algorithm>

#include "document.hpp"
#include "money_field.hpp"
#include "shared_text.hpp"
#include "stock.hpp"

namespace tarebook {
namespace report {
namespace {

const Columns<PricedStock>& stock_columns() {
    using C = Column<PricedStock>;
    const auto price = [](const PricedStock& l) { return l.price ? price_text(*l.price) : std::string(); };
    const auto amount = [](const PricedStock& l) { return l.price ? std::optional(l.price->amount) : std::nullopt; };
    static const Columns<PricedStock> columns{
        {"refrigerant", "gas", &PricedStock::refrigerant},
        {"place", "place", &PricedStock::place},
        {"condition", "condition", &PricedStock::condition},
        C("price", "paid", price).right(),
        {"price_amount", "", [amount](const PricedStock& l) { return amount_field(amount(l)); }},
        {"price_currency", "", [amount](const PricedStock& l) { return currency_field(amount(l)); }},
        {"price_per", "", [](const PricedStock& l) { return l.price ? tarebook::text_of(l.price->per) : ""; }},
        {"number_of_cylinders", "cylinders", &PricedStock::cylinders},
        C("net", "net", &PricedStock::mass).summed(),
        C("value_amount", "value", [](const PricedStock& l) { return amount_field(l.value); }).right(),
        C("value_currency", "currency", [](const PricedStock& l) { return currency_field(l.value); }).blank(),
        C("flags", "marked", &PricedStock::flags).shown([](const PricedStock& l, DisplayUnits) {
            return Cell(joined(l.flags));
        })};
    return columns;
}

std::string value_text(const StockView& v) {
    MoneyTotal sum;
    std::int64_t without = 0;
    for (const auto& line : v.lines)
        if (line.value)
            sum += *line.value;
        else
            without += line.cylinders;
    std::string out = sum.empty() ? "" : fmt::format("In all {}, at what was paid. ", sum.text());
    if (without > 0)
        out += fmt::format("{} without a price on record: `tarebook receive` and `tarebook correct` take --price.",
                           counted(without, "cylinder"));
    return out;
}

Document stock_document(const StockView& v, const PageOptions& options, const std::string& day) {
    const auto under = std::count_if(v.levels.begin(), v.levels.end(), [](const StockLevel& l) { return l.under(); });
    Mass net;
    std::int64_t cylinders = 0;
    for (const auto& line : v.lines) net += line.mass, cylinders += line.cylinders;
    Document page("Stock of the shop's own gas, " + day,
                  fmt::format("{}{} in {}", under > 0 ? fmt::format("{} UNDER the level; ", under) : "",
                              mass_text(net, options.units), counted(cylinders, "cylinder")),
                  ": ");
    if (v.lines.empty()) page.paragraph("no gas of the shop in cylinders");
    if (!v.lines.empty()) {
        const bool marked =
            std::any_of(v.lines.begin(), v.lines.end(), [](const PricedStock& l) { return !l.flags.empty(); });
        page.gap().table(marked ? stock_columns().table({"gas", "place", "condition", "cylinders", "net", "paid",
                                                         "value", "currency", "marked"},
                                                        v.lines, options.units)
                                : stock_columns().table(
                                      {"gas", "place", "condition", "cylinders", "net", "paid", "value", "currency"},
                                      v.lines, options.units),
                         "By gas, place and price");
        if (auto value = value_text(v); !value.empty()) page.gap().paragraph(std::move(value));
    }
    if (v.levels.empty())
        return std::move(
            page.gap().paragraph("No level is set: `tarebook stock level GAS --place PLACE --at-least W` says below "
                                 "which weight to reorder."));
    page.gap().heading("Levels set by the shop:");
    page.table(level_columns().table({"gas", "place", "at least", "there", "missing"}, v.levels, options.units),
               "Levels", 2);
    page.gap();
    for (const auto& level : v.levels)
        if (level.under()) page.warning("under its level: " + level_text(level, options.units));
    return std::move(
        page.paragraph("Virgin and reclaimed gas of the shop counts for a level, unless its cylinder is leaking, "
                       "condemned or mixed."));
}

// A row of CSV: a line of stock, or a level.
struct StockRow {
    std::string part;
    PricedStock line;
    StockLevel level;
};
std::string stock_csv(const StockView& v) {
    std::vector<StockRow> rows;
    for (const auto& line : v.lines) rows.push_back({"stock", line, {}});
    for (const auto& level : v.levels) {
        PricedStock where;
        where.refrigerant = level.refrigerant, where.place = level.place;
        rows.push_back({"level", std::move(where), level});
    }
    Columns<StockRow> columns{{"part", "", &StockRow::part}};
    for (const auto& c : stock_columns().list()) {
        const bool of_both = c.name() == "refrigerant" || c.name() == "place";
        columns = std::move(columns).with({c.of<StockRow>(&StockRow::line).csv_as([&c, of_both](const StockRow& row) {
            return of_both || row.part == "stock" ? c.csv(row.line) : std::string();
        })});
    }
    for (const auto& c : level_columns().list()) {
        if (c.name() == "refrigerant" || c.name() == "place") continue;
        columns = std::move(columns).with({c.of<StockRow>(&StockRow::level).csv_as([&c](const StockRow& row) {
            return row.part == "level" ? c.csv(row.level) : std::string();
        })});
    }
    return columns.csv(rows);
}

}  // namespace
}  // namespace report

Page stock_page(const Book& book, const PageOptions& options) {
    using namespace report;
    const auto view = stock_view(book, for_people(options.format) ? options.units : DisplayUnits::lb);
    const Date today = today_of(book, options.now);
    Page page;
    page.has_exceptions =
        std::any_of(view.levels.begin(), view.levels.end(), [](const StockLevel& level) { return level.under(); });
    if (options.format == Format::json)
        page.body = page_of("stock", {{"on", today},
                                      {"lines", stock_columns().json(view.lines)},
                                      {"levels", level_columns().json(view.levels)}})
                        .page();
    else if (options.format == Format::csv)
        page.body = stock_csv(view);
    else
        page.body = page_body(stock_document(view, options, date_text(today)), book, options);
    return page;
}

}  // namespace tarebook
