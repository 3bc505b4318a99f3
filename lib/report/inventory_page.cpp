// Every cylinder: place, contents, owner, expected weight. Cylinders that left are left out.
#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <functional>
#include <map>

#include "check_text.hpp"
#include "columns.hpp"
#include "document.hpp"
#include "fill.hpp"
#include "tarebook/checks/mixing.hpp"

namespace tarebook {
namespace report {
namespace {

// What the page shows of a cylinder, and no more: a shop may have ten thousand.
struct Item {
    std::string code, use;
    std::optional<std::string> belongs_to, place;
    Content content;
    std::optional<Mass> net, gross, stop, room;
    Mass over;  // what is to be drawn down
    std::optional<std::chrono::year_month> due;
    std::vector<std::string> flags;
    std::vector<std::string> do_not_fill;  // why nothing may go into it, as `room` says
    bool is_jug = false;                   // its mark is for one filling: no reason of the day
    std::string not_in_register;           // the reason, for people; empty where the register has it
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

bool free_to_fill(const RoomQuestion& question) {
    const auto& s = question.state;
    return question.facts.use != "supply" && !s.mixed && s.spoiled.empty() && s.held_for.empty() &&
           !shown_otherwise(question.data.catalogue, s);
}

InventoryView view_of(const Book& book, const PageOptions& options) {
    InventoryView view;
    FillLimitMemo limits;
    const auto units = for_people(options.format) ? options.units : DisplayUnits::lb;
    const ScalesInUse scales(book);
    book.each_cylinder([&](CylinderNow&& cylinder) {
        if (cylinder.state.gone) return;
        const auto scale = scales.of(cylinder.code);
        const auto question = room_question_of(book.reference_data(), std::move(cylinder), scale);
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
        item.due = test_due(book.rules(), facts);
        item.flags = flags_of(book.reference_data().catalogue, state);
        item.not_in_register = not_in_register(question);
        item.entry_voided_by = question.entry_voided_by;
        if (test_is_over(book.rules(), facts, options.now)) item.flags.emplace_back("out-of-test");
        auto bars = fill_bars(question, options.now);
        item.is_jug = bars.size() == 1 && bars.front().one_filling;
        for (auto& bar : bars) item.do_not_fill.push_back(std::move(bar.brief));
        if (const auto fill = fill_weights_of(limits, question, units)) {
            item.stop = fill->weights.stop_gross;
            item.room = fill->weights.room;
            item.over = fill->draw_down;
            if (!fill->draw_down.is_zero()) item.flags.emplace_back("over-limit");
            if (item.room > Mass() && item.do_not_fill.empty() && free_to_fill(question)) {
                auto& total = view.room[item.content.refrigerant.value_or("")];
                total.net += *item.room;
                ++total.cylinders;
            }
        }
        for (const auto& lot : state.lots) {
            auto key = lot.key;
            key.owner = told_owner(key.refrigerant, key.owner);
            auto& total = view.totals[key];
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
// For people the reason itself, in place of the word for machines: "out of test since 2026-04".
std::vector<std::string> marks(const Item& item, DisplayUnits units) {
    std::vector<std::string> out;
    if (!item.over.is_zero()) out.push_back("OVER its limit by " + mass_text_up(item.over, units));
    for (const auto& flag : item.flags)
        if (flag != "out-of-test" && flag != "over-limit") out.push_back(words_of_flag(flag));
    for (const auto& bar : item.do_not_fill)
        if (!item.is_jug && bar != not_in_register_bar && std::find(out.begin(), out.end(), bar) == out.end())
            out.push_back(bar);
    if (!item.not_in_register.empty()) out.push_back(item.not_in_register);
    return out;
}
bool has_flag(const Item& item, std::string_view flag) {
    return std::find(item.flags.begin(), item.flags.end(), flag) != item.flags.end();
}
// What people look at first: what is over, what leaks, what else is marked; the rest as it is.
int rank_of(const Item& item) {
    return !item.over.is_zero()                                 ? 0
           : has_flag(item, "leaking")                          ? 1
           : item.flags.empty() && item.not_in_register.empty() ? 3
                                                                : 2;
}
std::vector<Item> marked_first(const InventoryView& v) {
    std::vector<Item> out(v.items.begin(), v.items.end());
    std::stable_sort(out.begin(), out.end(), [](const Item& a, const Item& b) { return rank_of(a) < rank_of(b); });
    return out;
}

struct InventoryCounts {
    std::int64_t over = 0, out_of_test = 0, leaking = 0, lost = 0;
    Mass net;
};
InventoryCounts counts_of(const InventoryView& v) {
    InventoryCounts out;
    for (const auto& item : v.items) {
        out.over += item.over.is_zero() ? 0 : 1;
        out.out_of_test += has_flag(item, "out-of-test") ? 1 : 0;
        out.leaking += has_flag(item, "leaking") ? 1 : 0;
        out.lost += has_flag(item, "lost") ? 1 : 0;
        out.net += item.net.value_or(Mass());
    }
    return out;
}
// "1 cylinder OVER, 2 out of test; 143.80 lb in 14 cylinders"
std::string inventory_answer(const InventoryView& v, DisplayUnits units) {
    const auto counts = counts_of(v);
    std::string out;
    const auto add = [&](std::int64_t number, std::string_view words) {
        if (number == 0) return;
        add_word(out, fmt::format("{} {}", out.empty() ? counted(number, "cylinder") : std::to_string(number), words));
    };
    add(counts.over, "OVER");
    add(counts.leaking, "LEAKING");
    add(counts.out_of_test, "out of test");
    add(counts.lost, "lost");
    if (out.empty()) out = "none known to be OVER or out of test";
    return fmt::format("{}; {} in {}", out, mass_text(counts.net, units), counted(std::ssize(v.items), "cylinder"));
}

const Columns<Item>& item_columns() {
    static const Columns<Item> columns{
        {"cylinder", "cylinder", &Item::code},
        {"use", "", &Item::use},
        {"refrigerant", "gas", [](const Item& i) { return i.content.refrigerant; }},
        Column<Item>("owner", "owner", [](const Item& i) { return i.content.owner; })
            .shown([](const Item& i, DisplayUnits) { return words_or(owner_word(i.content)); }),
        {"condition", "condition", [](const Item& i) { return i.content.condition; }},
        {"belongs_to", "", &Item::belongs_to},
        {"place", "place", &Item::place},
        Column<Item>("net", "net", &Item::net).summed(),
        {"gross", "gross", &Item::gross},
        // A weight to stop at would invite what shall not begin at all.
        Column<Item>("stop_gross", "stop at", [](const Item& i) { return Field::down(i.stop); })
            .mass()
            .shown([](const Item& i, DisplayUnits units) {
                const bool barred = !i.do_not_fill.empty() && !i.is_jug;
                return barred ? Cell("DO NOT FILL", ShownMass{}) : mass_cell_down(i.stop, units);
            }),
        Column<Item>("room", "", [](const Item& i) { return Field::down(i.room); }).mass(),
        {"test_due", "test", &Item::due},
        Column<Item>("flags", "marked", machine_flags).shown([](const Item& i, DisplayUnits units) {
            return Cell(joined(marks(i, units)));
        }),
        {"do_not_fill", "", &Item::do_not_fill},
        Column<Item>("entry_voided_by", "", &Item::entry_voided_by).no_csv()};
    return columns;
}

using Held = std::pair<const LotKey, Total>;
const Columns<Held>& total_columns() {
    static const Columns<Held> columns{
        {"refrigerant", "gas", [](const Held& t) { return t.first.refrigerant; }},
        Column<Held>("owner", "owner", [](const Held& t) { return t.first.owner; })
            .shown([](const Held& t, DisplayUnits) { return Cell(owner_text(t.first.refrigerant, t.first.owner)); }),
        {"condition", "condition", [](const Held& t) { return tarebook::text_of(t.first.condition); }},
        Column<Held>("net", "total", [](const Held& t) { return t.second.net; }).summed(),
        {"number_of_cylinders", "cylinders", [](const Held& t) { return t.second.cylinders; }}};
    return columns;
}

using Room = std::pair<const std::string, Total>;
const Columns<Room>& room_columns() {
    static const Columns<Room> columns{
        Column<Room>("refrigerant", "gas", &Room::first).shown([](const Room& r, DisplayUnits) {
            return Cell(r.first.empty() ? "not set" : r.first);
        }),
        Column<Room>("room", "room for", [](const Room& r) { return Field::down(r.second.net); }).mass().summed(),
        {"number_of_cylinders", "cylinders", [](const Room& r) { return r.second.cylinders; }}};
    return columns;
}

Json inventory_json(const InventoryView& v) {
    const auto counts = counts_of(v);
    Json page = page_of("inventory", {{"number_over", counts.over},
                                      {"number_out_of_test", counts.out_of_test},
                                      {"number_leaking", counts.leaking},
                                      {"number_lost", counts.lost},
                                      {"net", counts.net}});
    page.add("cylinders", item_columns().json(v.items))
        .add("totals", total_columns().json(v.totals))
        .add("room", room_columns().json(v.room));
    return page;
}

using Before = std::function<bool(const Item&, const Item&)>;
Table sorted_table(const InventoryView& v, DisplayUnits units, std::initializer_list<HeadingAs> headings,
                   const Before& before) {
    std::vector<Item> items(v.items.begin(), v.items.end());
    std::stable_sort(items.begin(), items.end(), before);
    return item_columns().table(headings, items, units);
}

constexpr std::string_view all_cylinders = "Every cylinder";

Document inventory_document(const InventoryView& v, const PageOptions& options) {
    const auto units = options.units;
    if (v.items.empty()) return Document("no cylinders in the shop", "");
    Document out("Inventory", inventory_answer(v, units), ": ");
    if (options.format == Format::xlsx)
        out.table(item_columns().sheet(v.items, units), std::string(all_cylinders));
    else
        out.gap().table(item_columns().table({"cylinder", "marked", "gas", "net", "gross", "stop at", "owner",
                                              "condition", "place", "test"},
                                             marked_first(v), units),
                        std::string(all_cylinders));
    auto totals = total_columns().table({"total", "gas", "owner", "condition", "cylinders"}, v.totals, units);
    if (!totals.empty()) out.gap().table(std::move(totals), "By gas, owner and condition");
    auto room = room_columns().table({"room for", "gas", "cylinders"}, v.room, units);
    if (!room.empty()) out.gap().table(std::move(room), "Room by gas");
    if (options.links) {  // in a browser without a program the orders that people want stand one below the other
        out.table(sorted_table(v, units, {"place", "cylinder", "gas", "net", "stop at", "marked"},
                               [](const Item& a, const Item& b) {
                                   return CodeOrder()(a.place.value_or(""), b.place.value_or(""));
                               }),
                  "By place");
        out.table(sorted_table(v, units, {"gas", "cylinder", "net", "stop at", "place", "marked"},
                               [](const Item& a, const Item& b) {
                                   return CodeOrder()(a.content.refrigerant.value_or(""),
                                                      b.content.refrigerant.value_or(""));
                               }),
                  "By gas");
    }
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
            return Page{report::item_columns().csv(view.items)};
        case Format::text:
        case Format::html:
        case Format::xlsx:
            break;
    }
    return Page{page_body(report::inventory_document(view, options), book, options)};
}

}  // namespace tarebook
