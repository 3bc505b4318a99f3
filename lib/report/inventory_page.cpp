// Where every cylinder is, what it holds, whose gas it is, what it should weigh now. Cylinders that left are left out.
#include <fmt/format.h>

#include <deque>
#include <map>

#include "document.hpp"
#include "fill.hpp"

namespace tarebook {
namespace report {
namespace {

// What the page shows of a cylinder, and no more: a shop may have ten thousand.
struct Item {
    std::string code, use;
    std::optional<std::string> belongs_to, place;
    Content content;
    std::optional<Mass> net, gross, stop, room;
    std::optional<std::chrono::year_month> due;
    std::vector<std::string> flags;
    std::string not_in_register;  // why, for people; empty where it is
    std::string entry_voided_by;
};
struct Total {
    Mass net;
    std::int64_t cylinders = 0;
};
struct InventoryView {
    std::deque<Item> items;
    std::map<LotKey, Total> totals;  // by refrigerant, owner, condition
    // Free for recovery, by refrigerant: in cylinders that hold it, or are kept for it, and that nothing bars.
    std::map<std::string, Total, std::less<>> room;
};

bool free_to_fill(const RoomQuestion& question, Instant now) {
    const auto& s = question.state;
    return question.facts.use != "supply" && !s.mixed && s.spoiled.empty() && s.held_for.empty() &&
           fill_bars(question, now).empty();
}

InventoryView view_of(const Book& book, const PageOptions& options) {
    InventoryView view;
    FillLimitMemo limits;
    const auto units = for_people(options.format) ? options.units : DisplayUnits::lb;
    const auto division = coarsest_division(book);
    book.each_cylinder([&](CylinderNow&& cylinder) {
        if (cylinder.state.gone) return;
        const auto question = room_question_of(std::move(cylinder), division);
        const auto& state = question.state;
        const auto& facts = question.facts;
        auto& item = view.items.emplace_back();
        item.code = question.code;
        item.use = facts.use;
        item.belongs_to = facts.belongs_to;
        item.place = state.place.empty() ? facts.place : state.place;
        item.content = content_of(state, facts);
        if (!contents_unknown(state, facts)) item.net = state.contents();
        item.gross = state.gross;
        if (!item.gross && facts.tare) item.gross = *facts.tare + state.contents();
        item.due = test_due(facts);
        item.flags = flags_of(state);
        item.not_in_register = not_in_register(question);
        item.entry_voided_by = question.entry_voided_by;
        if (test_is_over(facts, options.now)) item.flags.emplace_back("out-of-test");
        if (const auto fill = fill_weights_of(limits, question, units)) {
            item.stop = fill->weights.stop_gross;
            item.room = fill->weights.room;
            if (!fill->draw_down.is_zero()) item.flags.emplace_back("over-limit");
            if (item.room > Mass() && free_to_fill(question, options.now)) {
                auto& total = view.room[item.content.refrigerant.value_or("")];
                total.net += *item.room;
                ++total.cylinders;
            }
        }
        for (const auto& lot : state.lots) {
            auto& total = view.totals[lot.key];
            total.net += lot.mass;
            ++total.cylinders;
        }
    });
    return view;
}

std::vector<std::string> machine_flags(const Item& item) {
    auto out = item.flags;
    if (!item.not_in_register.empty()) out.emplace_back(not_in_register_flag);
    return out;
}
std::vector<std::string> marks(const Item& item) {
    auto out = item.flags;
    if (!item.not_in_register.empty()) out.push_back(item.not_in_register);
    return out;
}

Json inventory_json(const InventoryView& v) {
    Json page = versioned();
    Json cylinders = Json::array();
    for (const auto& item : v.items) {
        Json j = Json::object();
        j.add("cylinder", Json::text(item.code))
            .add("use", Json::text(item.use))
            .add("refrigerant", Json::text_or_null(item.content.refrigerant))
            .add("owner", Json::text_or_null(item.content.owner))
            .add("condition", Json::text_or_null(item.content.condition))
            .add("belongs_to", Json::text_or_null(item.belongs_to))
            .add("place", Json::text_or_null(item.place))
            .add_mass("net", item.net)
            .add_mass("gross", item.gross)
            .add_mass("stop_gross", item.stop)
            .add_mass("room", item.room)
            .add("test_due", item.due ? Json::text(month_text(*item.due)) : Json::null());
        Json flags = Json::array();
        for (const auto& flag : machine_flags(item)) flags.push(Json::text(flag));
        j.add("flags", std::move(flags));
        if (!item.entry_voided_by.empty()) j.add("entry_voided_by", Json::text(item.entry_voided_by));
        cylinders.push(std::move(j));
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
    page.add("totals", std::move(totals));
    Json room = Json::array();
    for (const auto& [refrigerant, total] : v.room) {
        Json j = Json::object();
        j.add("refrigerant", refrigerant.empty() ? Json::null() : Json::text(refrigerant))
            .add_mass("room", total.net)
            .add("cylinders", Json::whole(total.cylinders));
        room.push(std::move(j));
    }
    return std::move(page.add("room", std::move(room)));
}

std::string inventory_csv(const InventoryView& v) {
    Csv csv({"cylinder", "use", "refrigerant", "owner", "condition", "belongs_to", "place", "net_lb", "gross_lb",
             "stop_gross_lb", "room_lb", "test_due", "flags"});
    for (const auto& item : v.items)
        csv.row({item.code, item.use, item.content.refrigerant.value_or(""), item.content.owner.value_or(""),
                 item.content.condition.value_or(""), item.belongs_to.value_or(""), item.place.value_or(""),
                 pounds_cell(item.net), pounds_cell(item.gross), pounds_cell(item.stop), pounds_cell(item.room),
                 item.due ? month_text(*item.due) : "", joined(machine_flags(item), " ")});
    return csv.page();
}

Document inventory_document(const InventoryView& v, DisplayUnits units) {
    if (v.items.empty()) return Document("no cylinders in the shop", "");
    Table table;
    table.column("cylinder").column("gas").column("net", Side::right).column("gross", Side::right);
    table.column("stop at", Side::right)
        .column("owner")
        .column("condition")
        .column("place")
        .column("test")
        .column("marked");
    for (const auto& item : v.items) {
        table.typed_row({item.code, words_or(item.content.refrigerant), mass_cell(item.net, units),
                         mass_cell(item.gross, units), mass_cell_down(item.stop, units),
                         words_or(owner_word(item.content)), words_or(item.content.condition), words_or(item.place),
                         month_cell(item.due), joined(marks(item))});
    }
    Document out = Document::named("Inventory");
    out.table(std::move(table), "Every cylinder");
    Table totals;
    totals.column("total", Side::right)
        .column("gas")
        .column("owner")
        .column("condition")
        .column("cylinders", Side::right);
    for (const auto& [key, total] : v.totals)
        totals.typed_row({mass_cell(total.net, units), key.refrigerant, key.owner,
                          std::string(tarebook::text_of(key.condition)), count_cell(total.cylinders)});
    if (!totals.empty()) out.gap().table(std::move(totals), "By gas, owner and condition");
    Table room;
    room.column("room for", Side::right).column("gas").column("cylinders", Side::right);
    for (const auto& [refrigerant, total] : v.room)
        room.typed_row({mass_cell_down(total.net, units), refrigerant.empty() ? "not set" : refrigerant,
                        count_cell(total.cylinders)});
    if (!room.empty()) out.gap().table(std::move(room), "Room by gas");
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
        case Format::html:
        case Format::xlsx:
            break;
    }
    return Page{page_body(report::inventory_document(view, options.units), book, options)};
}

}  // namespace tarebook
