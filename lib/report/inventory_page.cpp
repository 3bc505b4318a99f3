// Where every cylinder is, what it holds, whose gas it is, what it should weigh now. Cylinders that left are left out.
#include <fmt/format.h>

#include <map>

#include "fill.hpp"

namespace tarebook {
namespace report {
namespace {

struct Item {
    std::string code;
    RoomQuestion question;
    Content content;
    std::optional<std::string> place;
    std::optional<Mass> gross;
    std::optional<FillView> fill;
    std::vector<std::string> flags;
};
struct Total {
    Mass net;
    std::int64_t cylinders = 0;
};
struct InventoryView {
    std::vector<Item> items;
    std::map<LotKey, Total> totals;  // by refrigerant, owner, condition
};

InventoryView view_of(const Book& book, const PageOptions& options) {
    InventoryView view;
    for (const auto& code : book.codes(EntryKind::cylinder)) {
        auto question = room_question_for(book, code);
        if (!question || question->state.gone) continue;
        Item item;
        item.code = code;
        item.content = content_of(question->state, question->facts);
        item.place = question->state.place.empty() ? question->facts.place : question->state.place;
        item.gross = question->state.gross;
        if (!item.gross && question->facts.tare) item.gross = *question->facts.tare + question->state.contents();
        item.flags = flags_of(question->state);
        if (test_is_over(question->facts, options.now)) item.flags.emplace_back("out-of-test");
        if (auto fill = fill_view(*question, options.format == Format::text ? options.units : DisplayUnits::lb)) {
            if (!fill->draw_down.is_zero()) item.flags.emplace_back("over-limit");
            item.fill = std::move(*fill);
        }
        for (const auto& lot : question->state.lots) {
            auto& total = view.totals[lot.key];
            total.net += lot.mass;
            ++total.cylinders;
        }
        item.question = std::move(*question);
        view.items.push_back(std::move(item));
    }
    return view;
}

std::optional<Mass> stop_of(const Item& item) {
    return item.fill ? std::optional(item.fill->weights.stop_gross) : std::nullopt;
}
std::optional<Mass> room_of(const Item& item) {
    return item.fill ? std::optional(item.fill->weights.room) : std::nullopt;
}
std::string due_of(const Item& item) {
    const auto due = test_due(item.question.facts);
    return due ? month_text(*due) : std::string();
}

Json inventory_json(const InventoryView& v) {
    Json page = versioned();
    Json cylinders = Json::array();
    for (const auto& item : v.items) {
        Json j = Json::object();
        j.add("cylinder", Json::text(item.code))
            .add("use", Json::text(item.question.facts.use))
            .add("refrigerant", Json::text_or_null(item.content.refrigerant))
            .add("owner", Json::text_or_null(item.content.owner))
            .add("condition", Json::text_or_null(item.content.condition))
            .add("belongs_to", Json::text_or_null(item.question.facts.belongs_to))
            .add("place", Json::text_or_null(item.place))
            .add_mass("net", item.question.state.contents())
            .add_mass("gross", item.gross)
            .add_mass("stop_gross", stop_of(item))
            .add_mass("room", room_of(item))
            .add("test_due", due_of(item).empty() ? Json::null() : Json::text(due_of(item)));
        Json flags = Json::array();
        for (const auto& flag : item.flags) flags.push(Json::text(flag));
        cylinders.push(std::move(j.add("flags", std::move(flags))));
    }
    page.add("cylinders", std::move(cylinders));
    Json totals = Json::array();
    for (const auto& [key, total] : v.totals) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(key.refrigerant))
            .add("owner", Json::text(key.owner))
            .add("condition", Json::text(tarebook::text_of(key.condition)))
            .add_mass("net", total.net)
            .add("cylinders", Json::whole(total.cylinders));
        totals.push(std::move(j));
    }
    return std::move(page.add("totals", std::move(totals)));
}

std::string inventory_csv(const InventoryView& v) {
    Csv csv({"cylinder", "use", "refrigerant", "owner", "condition", "belongs_to", "place", "net_lb", "gross_lb",
             "stop_gross_lb", "room_lb", "test_due", "flags"});
    for (const auto& item : v.items)
        csv.row({item.code, item.question.facts.use, item.content.refrigerant.value_or(""),
                 item.content.owner.value_or(""), item.content.condition.value_or(""),
                 item.question.facts.belongs_to.value_or(""), item.place.value_or(""),
                 pounds_cell(item.question.state.contents()), pounds_cell(item.gross), pounds_cell(stop_of(item)),
                 pounds_cell(room_of(item)), due_of(item), joined(item.flags, " ")});
    return csv.page();
}

std::string inventory_text(const InventoryView& v, DisplayUnits units) {
    if (v.items.empty()) return "no cylinders in the shop\n";
    Table table;
    table.column("cylinder").column("gas").column("net", Side::right).column("gross", Side::right);
    table.column("stop at", Side::right)
        .column("owner")
        .column("condition")
        .column("place")
        .column("test")
        .column("marked");
    for (const auto& item : v.items) {
        const auto stop = stop_of(item);
        table.row({item.code, or_dash(item.content.refrigerant), mass_text(item.question.state.contents(), units),
                   mass_or(item.gross, units), stop ? mass_text_down(*stop, units) : "-",
                   or_dash(owner_word(item.content)), or_dash(item.content.condition), or_dash(item.place),
                   or_dash(due_of(item)), joined(item.flags)});
    }
    std::string out = table.text();
    Table totals;
    totals.column("total", Side::right)
        .column("gas")
        .column("owner")
        .column("condition")
        .column("cylinders", Side::right);
    for (const auto& [key, total] : v.totals)
        totals.row({mass_text(total.net, units), key.refrigerant, key.owner,
                    std::string(tarebook::text_of(key.condition)), std::to_string(total.cylinders)});
    if (!totals.empty()) out += "\n" + totals.text();
    return out;
}

}  // namespace
}  // namespace report

Page inventory_page(const Book& book, const PageOptions& options) {
    const auto view = report::view_of(book, options);
    switch (options.format) {
        case Format::json:
            return Page{report::inventory_json(view).page()};
        case Format::csv:
            return Page{report::inventory_csv(view)};
        case Format::text:
            break;
    }
    return Page{report::inventory_text(view, options.units)};
}

}  // namespace tarebook
