// The cylinders in a truck: each with its gross weight, and what to check before it moves.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "cautions.hpp"
#include "cylinder_contents.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr Temperature transport_limit = Temperature::celsius(55);

struct Aboard {
    std::string code;
    Content content;
    Mass net;
    std::optional<Mass> gross;
    std::string shipping;  ///< "UN1078", where the catalogue has it
    std::vector<std::string> look;
};
// One of the conditions of 49 CFR 173.6, and who can say whether it holds. The record never says more than that nothing
// on record is against it.
struct Duty {
    std::string_view what, clause;
    RuleStatus status = RuleStatus::read;
    std::vector<std::string> against;  ///< of the record
    bool seen_by_driver = false;       ///< the record cannot say it
};
struct TruckView {
    std::string place;
    std::optional<RuleMatch> trade, poison;
    std::vector<Duty> duties;
    [[nodiscard]] Mass each() const { return trade->as<terms::MaterialsOfTrade>().each; }
    [[nodiscard]] Mass vehicle() const { return trade->as<terms::MaterialsOfTrade>().vehicle; }
    std::vector<Aboard> aboard;
    MassTotal gross;
    std::int64_t not_weighed = 0;
    std::vector<const Refrigerant*> gases;

    [[nodiscard]] bool over() const { return trade && gross.value() > vehicle(); }
};

// Not a verdict: reasons that the book knows of why this one must not ride as it is.
std::vector<std::string> look_at(const RoomQuestion& question, const std::optional<Mass>& gross,
                                 const std::optional<Mass>& each, const PageOptions& options) {
    std::vector<std::string> out;
    const auto& s = question.state;
    if (!question.in_register) out.push_back(not_in_register(question));
    if (s.leaking) out.emplace_back("LEAKING: do not transport");
    if (s.condemned) out.emplace_back("CONDEMNED");
    if (each && gross && *gross > *each) out.push_back("over " + mass_text(*each, options.units));
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
    if (test_is_over(question.data.rules, question.facts, options.now) && question.facts.use != "supply")
        out.emplace_back("out of test");
    if (!gross) out.emplace_back("gross not known: weigh it");
    return out;
}

std::string shipping_of(const RoomQuestion& question) {
    if (question.contents.size() != 1 || question.mixed) return question.state.lots.empty() ? "" : "look it up";
    const auto& gas = *question.contents.front();
    return gas.un_number ? fmt::format("UN{:04}", *gas.un_number) : "look it up";
}

// The conditions, in the order of the clause; what of them the record knows is gathered while the cylinders are read.
struct At {
    enum : std::size_t { each_weight, all_weight, poison, tight, secured, in_test, marked, told };
};
std::vector<Duty> duties_of(const TruckView& view) {
    std::vector<Duty> out(8);
    out[At::each_weight] = {"each cylinder within the weight", "49 CFR 173.6(a)(2)", view.trade->status(), {}, false};
    out[At::all_weight] = {"all of them within the weight", "49 CFR 173.6(d)", view.trade->status(), {}, false};
    out[At::poison] = {"none poisonous by inhalation",
                       "49 CFR 173.6(a)(5)",
                       view.poison ? view.poison->status() : RuleStatus::to_confirm,
                       {},
                       false};
    out[At::tight] = {"leak-tight", "49 CFR 173.6(b)", RuleStatus::read, {}, true};
    out[At::secured] = {
        "closed, secured against moving and against damage", "49 CFR 173.6(b)", RuleStatus::read, {}, true};
    out[At::in_test] = {"in test where a test is asked for", "49 CFR 173.6(b)(5)", RuleStatus::read, {}, false};
    out[At::marked] = {"marked with its name and labelled", "49 CFR 173.6(c)(3)", RuleStatus::read, {}, true};
    out[At::told] = {
        "the driver was told what is aboard, and these conditions", "49 CFR 173.6(c)(4)", RuleStatus::read, {}, true};
    return out;
}
void judge_duties(const RoomQuestion& question, const Aboard& a, TruckView& view, const PageOptions& options) {
    if (!view.trade) return;
    auto& d = view.duties;
    if (!a.gross) {
        d[At::each_weight].against.push_back(a.code + " is not weighed");
        d[At::all_weight].against.push_back(a.code + " is not weighed");
    } else if (*a.gross > view.each()) {
        d[At::each_weight].against.push_back(fmt::format("{} weighs {}", a.code, mass_text(*a.gross, options.units)));
    }
    if (view.poison)
        for (const auto* gas : question.contents) {
            const auto& gases = view.poison->as<terms::NoMaterialOfTrade>().gases;
            if (std::find(gases.begin(), gases.end(), gas->designation) != gases.end())
                d[At::poison].against.push_back(fmt::format("{} holds {}", a.code, gas->designation));
        }
    if (holds_unknown(question) || !not_in_catalogue(question).empty())
        d[At::poison].against.push_back(fmt::format("what is in {} is not known", a.code));
    if (question.state.leaking) d[At::tight].against.push_back(a.code + " leaks");
    if (question.facts.use == "supply") return;
    if (test_is_over(question.data.rules, question.facts, options.now))
        d[At::in_test].against.push_back(a.code + " is out of test");
    else if (!question.facts.spec || !question.facts.tested)
        d[At::in_test].against.push_back(
            fmt::format("of {} the {} is not on record", a.code, question.facts.spec ? "date of its test" : "mark"));
}

// The places on record, for "did you mean"; and those at one of them.
Result<TruckView> view_of(const Book& book, std::string_view place, const PageOptions& options) {
    TruckView view;
    view.place = std::string(place);
    const Date today = today_of(book, options.now);
    const auto packs = book.rules().packs_of_country(book.info().country);
    view.trade = first_matching<terms::MaterialsOfTrade>(packs, {}, today);
    view.poison = first_matching<terms::NoMaterialOfTrade>(packs, {}, today);
    if (view.trade) view.duties = duties_of(view);
    const auto each = view.trade ? std::optional(view.each()) : std::nullopt;
    std::set<std::string> places;
    const ScalesInUse scales(book);
    book.each_cylinder([&](CylinderNow&& cylinder) {
        const auto scale = scales.of(cylinder.code);
        const auto question = room_question_of(book.reference_data(), std::move(cylinder), scale);
        if (question.state.gone || question.state.lost) return;
        const auto where = place_of(question.facts, question.state);
        if (!where.empty()) places.insert(where);
        if (where != place) return;
        Aboard a;
        a.code = question.code;
        a.content = content_of(question.state, question.facts);
        a.net = question.state.contents();
        a.gross = question.state.gross;
        if (!a.gross && question.facts.tare) a.gross = *question.facts.tare + a.net;
        a.shipping = shipping_of(question);
        a.look = look_at(question, a.gross, each, options);
        judge_duties(question, a, view, options);
        if (a.gross)
            view.gross += *a.gross;
        else
            ++view.not_weighed;
        for (const auto* gas : question.contents)
            if (std::find(view.gases.begin(), view.gases.end(), gas) == view.gases.end()) view.gases.push_back(gas);
        view.aboard.push_back(std::move(a));
    });
    if (view.aboard.empty()) return fail(place_empty(place, places));
    if (view.over())
        view.duties[At::all_weight].against.push_back(
            fmt::format("they weigh {}", mass_text_up(view.gross.value(), options.units)));
    return view;
}

std::string clause_of(const TruckView& v) {
    return fmt::format("{}, materials of trade ({}): the shop's other hazardous materials aboard count, too",
                       v.trade->rule->clause, tarebook::text_of(v.trade->status()));
}
std::string duty_text(const Duty& d) {
    const auto by = d.against.empty() ? std::string(d.seen_by_driver ? "" : ": nothing on record is against it")
                                      : ": NOT BY THE RECORD: " + joined(d.against);
    return fmt::format("{} ({}, {}){}", d.what, d.clause, tarebook::text_of(d.status), by);
}

const Columns<Aboard>& aboard_columns() {
    using C = Column<Aboard>;
    static const Columns<Aboard> columns{
        {"cylinder", "cylinder", &Aboard::code},
        {"refrigerant", "gas", [](const Aboard& a) { return a.content.refrigerant; }},
        C("net", "net", &Aboard::net).summed(),
        C("gross", "gross", &Aboard::gross).summed(),
        {"un_number", "UN", &Aboard::shipping},
        C("look_at", "look at", &Aboard::look).csv_as([](const Aboard& a) { return joined(a.look, "; "); })};
    return columns;
}
const Columns<Duty>& duty_columns() {
    static const Columns<Duty> columns{
        {"duty", "", &Duty::what},
        {"rule", "", &Duty::clause},
        {"status", "", [](const Duty& d) { return key_of(d.status); }},
        {"looked_at_by", "", [](const Duty& d) { return d.seen_by_driver ? "driver" : "record"; }},
        {"against", "", &Duty::against}};
    return columns;
}

Json truck_json(const TruckView& v) {
    return page_of("truck", {{"place", v.place},
                             {"cylinders", aboard_columns().json(v.aboard)},
                             {"gross", v.gross.value()},
                             {"not_weighed", v.not_weighed},
                             {"limit_per_cylinder", v.trade ? std::optional(v.each()) : std::nullopt},
                             {"limit_per_vehicle", v.trade ? std::optional(v.vehicle()) : std::nullopt},
                             {"exceeded", v.over()},
                             {"duties", duty_columns().json(v.duties)},
                             {"rule", v.trade ? clause_of(v) : ""}});
}

Document truck_document(const TruckView& v, DisplayUnits units) {
    const auto against =
        std::count_if(v.duties.begin(), v.duties.end(), [](const Duty& d) { return !d.against.empty(); });
    Document page(
        v.place,
        fmt::format("{}{}{}, {} gross{}{}", v.over() ? "OVER the weight without shipping papers; " : "",
                    against > 0 ? fmt::format("{} NOT BY THE RECORD; ", counted(against, "condition")) : "",
                    counted(static_cast<std::int64_t>(v.aboard.size()), "cylinder"),
                    mass_text_up(v.gross.value(), units), v.trade ? " of " + mass_text(v.vehicle(), units) : "",
                    v.not_weighed ? fmt::format(", and {} not weighed", v.not_weighed) : ""),
        ": ");
    if (v.over())
        page.warning(fmt::format("OVER {} FOR A VEHICLE WITHOUT SHIPPING PAPERS", mass_text(v.vehicle(), units)));
    if (v.trade)
        page.paragraph(fmt::format("limits: {} each, {} in all; {}", mass_text(v.each(), units),
                                   mass_text(v.vehicle(), units), clause_of(v)));
    page.gap().table(aboard_columns().table(v.aboard, units), "Cylinders at " + v.place);
    for (const bool driver : {false, true}) {
        if (v.duties.empty()) break;
        page.gap().heading(driver ? "The driver looks at:" : "By the record:");
        for (const auto& d : v.duties)
            if (d.seen_by_driver == driver) page.bullet(duty_text(d));
    }
    page.gap().heading("Cautions:");
    page.bullet("valves closed, the body ventilated").bullet(heat_caution(units));
    for (const auto& caution : gas_cautions(v.gases, units)) page.bullet(caution);
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
            return Page{report::aboard_columns().csv(view->aboard, "place", place)};
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            break;
    }
    return Page{report::page_body(report::truck_document(*view, options.units), book, options)};
}

}  // namespace tarebook
