// stock: how much of a gas the shop wants at a place, and what it is sold for.
#include <fmt/format.h>

#include <memory>

#include "session.hpp"
#include "tarebook/checks/entry_field.hpp"

namespace tarebook::cli {
namespace {

struct StockOptions {
    Text gas, place, at_least, price;
    std::string code;
};

// Adds or corrects the entry; which of the two is known under the lock alone.
int set(const Session& s, Book& book, const std::string& gas, const Text& place, FieldValues values) {
    const auto code = stock_code(gas, place.value_or(""));
    must(check_code(EntryKind::stock, code));
    const auto draft = s.draft(book, kinds::Entry{EntryKind::stock, code, false, {}});
    return s.record_and_tell(book, [&]() -> Result<std::vector<Event>> {
        auto entry = std::get<kinds::Entry>(draft.what);
        entry.adds = !book.entries().find(EntryKind::stock, code);
        entry.values = values;
        if (entry.adds) {
            entry.values["refrigerant"] = {gas, {}};
            if (place) entry.values["place"] = {*place, {}};
        }
        return std::vector{s.like(draft, std::move(entry))};
    });
}

int level(const Session& s, const StockOptions& o) {
    auto book = s.open(Access::write);
    const std::string gas(s.refrigerant(s.need(o.gas, "GAS", "refrigerant"))->designation);
    const auto at_least =
        s.need_weight(book, o.at_least, "--at-least", "how much of it the shop wants there, for example 20lb");
    FieldValues values;
    values["at_least"] = at_least.mass.is_zero() ? FieldValue{} : FieldValue{at_least.typed, at_least.mass};
    return set(s, book, gas, o.place, std::move(values));
}

int price(const Session& s, const StockOptions& o) {
    auto book = s.open(Access::write);
    const std::string gas(s.refrigerant(s.need(o.gas, "GAS", "refrigerant"))->designation);
    const auto typed = s.need(o.price, "PRICE", "what the shop asks for it, for example 32.00 USD/lb");
    FieldValues values;
    if (typed.empty()) {
        values["price"] = {};
        return set(s, book, gas, {}, std::move(values));
    }
    const auto asked = must(parse_price(typed));
    if (asked.per == PricePer::all)
        throw slip("price-unit", "a price that is asked is for a unit of mass", typed, "32.00 USD/lb, 70 EUR/kg");
    values["price"] = {price_text(asked), {}};
    return set(s, book, gas, {}, std::move(values));
}

}  // namespace

void setup_stock_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<StockOptions>();
    auto* group = root.add_subcommand("stock", "how much of a gas the shop wants at a place, and what it is sold for")
                      ->require_subcommand(1)
                      ->fallthrough();
    const auto recording = [&](const char* name, const char* help, int (*run)(const Session&, const StockOptions&)) {
        auto* c = group->add_subcommand(name, help)->fallthrough();
        c->add_option("gas", o->gas, "refrigerant");
        add_recording_options(*c, s);
        c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
        return c;
    };
    auto* c = recording("level", "how much of it the shop wants: report stock and due tell when it is less", level);
    c->add_option("--at-least", o->at_least, "how much: 20lb; 0lb takes the level back");
    c->add_option("--place", o->place, "where: truck-2 (the whole shop)");
    c = recording("price", "what the shop asks a customer for it", price);
    c->add_option("price", o->price, "for a unit of mass: 32.00 USD/lb; \"\" takes it back");
    group->add_subcommand("list", "all levels and prices")->fallthrough()->callback([&s] {
        s.run = [&s] {
            const auto book = s.open(Access::read);
            return s.tell(register_page(book, EntryKind::stock, s.page_options(&book)));
        };
    });
    c = group->add_subcommand("show", "one level or price, with its earlier values")->fallthrough();
    c->add_option("code", o->code, "its code: truck-2/R-448A, or R-448A")->required();
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            return s.tell(must(entry_page(book, EntryKind::stock, o->code, s.page_options(&book))));
        };
    });
}

}  // namespace tarebook::cli
