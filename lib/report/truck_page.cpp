// What rides in a truck: every cylinder at a place with its gross weight, and what to look at before it moves.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "cautions.hpp"
#include "inside.hpp"

namespace tarebook {
namespace report {
namespace {

// Materials of trade, 49 CFR 173.6, from memory: each cylinder, and all such materials of a vehicle, gross.
const auto per_cylinder = Mass::thousandths_of_a_pound(220'000);
const auto per_vehicle = Mass::thousandths_of_a_pound(440'000);
constexpr Temperature transport_limit = Temperature::celsius(55);

struct Aboard {
    std::string code;
    Content content;
    Mass net;
    std::optional<Mass> gross;
    std::string shipping;  ///< "UN1078", where the catalogue has it
    std::vector<std::string> look;
};
struct TruckView {
    std::string place;
    std::vector<Aboard> aboard;
    MassTotal gross;
    std::int64_t not_weighed = 0;
    std::vector<const Refrigerant*> gases;

    [[nodiscard]] bool over() const { return gross.value() > per_vehicle; }
};

// Not a verdict: reasons that the book knows of why this one must not ride as it is.
std::vector<std::string> look_at(const RoomQuestion& question, const std::optional<Mass>& gross,
                                 const PageOptions& options) {
    std::vector<std::string> out;
    const auto& s = question.state;
    if (!question.in_register) out.push_back(not_in_register(question));
    if (s.leaking) out.emplace_back("LEAKING: do not transport");
    if (s.condemned) out.emplace_back("CONDEMNED");
    if (gross && *gross > per_cylinder) out.push_back("over " + mass_text(per_cylinder, options.units));
    if (const auto fill = fill_view(question, options.units)) {
        const auto& full = fill->liquid_full_now;
        const bool early =
            full && (*full ? **full < transport_limit : full->error().side == OutsideTable::Side::colder);
        if (early)
            out.push_back(fmt::format("LIQUID-FULL {}: do not transport", liquid_full_words(*full, options.units)));
        if (!fill->draw_down.is_zero())
            out.push_back("OVER ITS LIMIT: draw down " + mass_text_up(fill->draw_down, options.units));
    } else if (question.facts.use != "supply") {
        out.emplace_back("limit not known");
    }
    if (test_is_over(question.facts, options.now) && question.facts.use != "supply") out.emplace_back("out of test");
    if (!gross) out.emplace_back("gross not known: weigh it");
    return out;
}

std::string shipping_of(const RoomQuestion& question) {
    if (question.contents.size() != 1 || question.mixed) return question.state.lots.empty() ? "" : "look it up";
    const auto& gas = *question.contents.front();
    return gas.un_number ? fmt::format("UN{:04}", *gas.un_number) : "look it up";
}

// The places on record, for "did you mean"; and those at one of them.
Result<TruckView> view_of(const Book& book, std::string_view place, const PageOptions& options) {
    TruckView view;
    view.place = std::string(place);
    std::set<std::string> places;
    const auto division = coarsest_division(book);
    book.each_cylinder([&](CylinderNow&& cylinder) {
        const auto question = room_question_of(std::move(cylinder), division);
        if (question.state.gone || question.state.lost) return;
        const auto where = question.state.place.empty() ? question.facts.place.value_or("") : question.state.place;
        if (!where.empty()) places.insert(where);
        if (where != place) return;
        Aboard a;
        a.code = question.code;
        a.content = content_of(question.state, question.facts);
        a.net = question.state.contents();
        a.gross = question.state.gross;
        if (!a.gross && question.facts.tare) a.gross = *question.facts.tare + a.net;
        a.shipping = shipping_of(question);
        a.look = look_at(question, a.gross, options);
        if (a.gross)
            view.gross += *a.gross;
        else
            ++view.not_weighed;
        for (const auto* gas : question.contents)
            if (std::find(view.gases.begin(), view.gases.end(), gas) == view.gases.end()) view.gases.push_back(gas);
        view.aboard.push_back(std::move(a));
    });
    if (view.aboard.empty()) {
        const std::vector<std::string> known(places.begin(), places.end());
        return fail({ErrorKind::refused, "place-empty", fmt::format("the book has no cylinder at {}", place),
                     std::string(place), known.empty() ? "a place where a cylinder is" : joined(known),
                     "tarebook move ID --to PLACE records where a cylinder is"});
    }
    return view;
}

constexpr std::string_view clause =
    "49 CFR 173.6, materials of trade (from memory, to be confirmed): the shop's other hazardous materials aboard "
    "count, too";

Json truck_json(const TruckView& v) {
    Json page = versioned();
    page.add("place", Json::text(v.place));
    Json cylinders = Json::array();
    for (const auto& a : v.aboard) {
        Json look = Json::array();
        for (const auto& one : a.look) look.push(Json::text(one));
        Json j = Json::object();
        j.add("cylinder", Json::text(a.code))
            .add("refrigerant", Json::text_or_null(a.content.refrigerant))
            .add_mass("net", a.net)
            .add_mass("gross", a.gross)
            .add("un_number", a.shipping.empty() ? Json::null() : Json::text(a.shipping))
            .add("look_at", std::move(look));
        cylinders.push(std::move(j));
    }
    page.add("cylinders", std::move(cylinders));
    page.add_mass("gross", v.gross.value())
        .add("not_weighed", Json::whole(v.not_weighed))
        .add_mass("limit_per_cylinder", per_cylinder)
        .add_mass("limit_per_vehicle", per_vehicle)
        .add("over", Json::boolean(v.over()));
    return std::move(page.add("clause", Json::text(std::string(clause))));
}

std::string truck_csv(const TruckView& v) {
    Csv csv({"place", "cylinder", "refrigerant", "net_lb", "gross_lb", "un_number", "look_at"});
    for (const auto& a : v.aboard)
        csv.row({v.place, a.code, a.content.refrigerant.value_or(""), pounds_cell(a.net), pounds_cell(a.gross),
                 a.shipping, joined(a.look, "; ")});
    return csv.page();
}

Document truck_document(const TruckView& v, DisplayUnits units) {
    Document page(v.place,
                  fmt::format("{}, {} gross{}", counted(static_cast<std::int64_t>(v.aboard.size()), "cylinder"),
                              mass_text_up(v.gross.value(), units),
                              v.not_weighed ? fmt::format(", and {} not weighed", v.not_weighed) : ""),
                  ": ");
    if (v.over())
        page.warning(fmt::format("OVER {} FOR A VEHICLE WITHOUT SHIPPING PAPERS", mass_text(per_vehicle, units)));
    page.paragraph(fmt::format("limits: {} each, {} in all; {}", mass_text(per_cylinder, units),
                               mass_text(per_vehicle, units), clause));
    Table table;
    table.column("cylinder").column("gas").column("net", Side::right).column("gross", Side::right);
    table.column("UN").column("look at");
    for (const auto& a : v.aboard)
        table.row({a.code, or_dash(a.content.refrigerant), mass_text(a.net, units), mass_or(a.gross, units),
                   a.shipping.empty() ? "-" : a.shipping, joined(a.look)});
    page.gap().table(std::move(table), "Cylinders at " + v.place).gap().heading("Cautions:");
    page.bullet("valves closed, the body ventilated").bullet(heat_caution());
    for (const auto& caution : gas_cautions(v.gases)) page.bullet(caution);
    return page;
}

}  // namespace
}  // namespace report

Result<Page> truck_page(const Book& book, std::string_view place, const PageOptions& options) {
    const auto view = report::view_of(book, place, options);
    if (!view) return fail(view.error());
    switch (options.format) {
        case Format::json:
            return Page{report::truck_json(*view).page()};
        case Format::csv:
            return Page{report::truck_csv(*view)};
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            break;
    }
    return Page{report::page_body(report::truck_document(*view, options.units), book, options)};
}

}  // namespace tarebook
