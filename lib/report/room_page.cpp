#include <fmt/format.h>

#include <algorithm>

#include "cylinder_contents.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook {

Result<RoomQuestion> room_question_for(const Book& book, std::string_view cylinder) {
    // What the register says last: a tare corrected a minute ago is the one that counts at the scale.
    auto now = book.cylinder_now(cylinder);
    if (!now) return fail(report::entry_exists(book, EntryKind::cylinder, cylinder).error());
    return report::room_question_of(std::move(*now), report::coarsest_division(book));
}

std::string weights_to_watch(const Book& book, std::string_view cylinder, const PageOptions& options) {
    const auto question = room_question_for(book, cylinder);
    if (!question) return {};
    if (const auto bars = report::fill_bars(*question, options.now); !bars.empty())
        return fmt::format("{}: DO NOT FILL: {}\n", cylinder, bars.front().text);
    const auto fill = report::fill_view(*question, options.units);
    if (!fill) return {};
    return fmt::format("{}: STOP AT {}, slow down at {}; room {}\n", cylinder,
                       report::mass_text_down(fill->weights.stop_gross, options.units),
                       report::mass_text_down(fill->weights.slow_gross, options.units),
                       report::mass_text_down(std::max(fill->weights.room, Mass()), options.units));
}

std::string over_the_limit(const Book& book, std::string_view cylinder, const PageOptions& options) {
    const auto fill = report::fill_view_of(book, cylinder, options.units);
    if (!fill || fill->draw_down.is_zero()) return {};
    return report::wrapped(fmt::format("OVER THE LIMIT: {}: do not transport; draw down {}, to {} gross", cylinder,
                                       report::mass_text_up(fill->draw_down, options.units),
                                       report::mass_text_down(fill->weights.stop_gross, options.units)),
                           0);
}

namespace report {

std::optional<Mass> coarsest_division(const Book& book) {
    std::optional<Mass> coarsest;
    const auto last = order_at(Instant::max());
    for (const auto& code : book.codes(EntryKind::scale))
        if (const auto* scale = book.entries().find(EntryKind::scale, code))
            if (const auto division = scale->mass("division", last); division && *division > Mass())
                coarsest = std::max(coarsest.value_or(Mass()), *division);
    return coarsest;
}

RoomQuestion room_question_of(CylinderNow&& cylinder, const std::optional<Mass>& division) {
    RoomQuestion q;
    static_cast<FillContents&>(q) = fill_contents(cylinder.facts, cylinder.state);
    static_cast<CylinderNow&>(q) = std::move(cylinder);
    q.division = division;
    return q;
}

namespace {

std::string content_name(const RoomQuestion& q) {
    std::vector<std::string> names;
    for (const auto* gas : q.contents) names.emplace_back(gas->designation);
    for (const auto& strange : not_in_catalogue(q)) names.push_back(strange + " (not in the catalogue)");
    if (holds_unknown(q) && !names.empty()) names.emplace_back("unknown");
    if (names.empty()) return "unknown";
    if (names.size() == 1 && !q.mixed) return names.front();
    return (q.state.mixed ? "mixed: " : "could be: ") + joined(names);
}

Json room_json(const RoomQuestion& q, const FillView& v, const PageOptions& options) {
    Json page = versioned();
    page.add("cylinder", q.code.empty() ? Json::null() : Json::text(q.code));
    page.add("refrigerant",
             q.contents.size() == 1 && !q.mixed ? Json::text(q.contents.front()->designation) : Json::null());
    Json could_be = Json::array();
    for (const auto* gas : q.contents) could_be.push(Json::text(gas->designation));
    page.add("could_be", std::move(could_be)).add("mixed", Json::boolean(q.mixed));
    Json limits = Json::array();
    for (const auto& c : v.limits.candidates) {
        Json limit = Json::object();
        limit.add("rule", Json::text(c.rule)).add_mass("net", c.net).add("source", Json::text(c.source));
        limits.push(std::move(limit));
    }
    page.add("limits", std::move(limits));
    page.add("binding_rule", Json::text(v.limits.candidates[v.limits.binding].rule));
    page.add_mass("limit_net", v.limits.net())
        .add_mass("limit_gross", v.weights.limit_gross)
        .add_mass("slow_gross", v.weights.slow_gross)
        .add_mass("stop_gross", v.weights.stop_gross)
        .add_mass("room", v.weights.room)
        .add_mass("tare", q.facts.tare)
        .add_mass("gross", v.gross_now)
        .add_mass("net", v.net_now);
    const auto& full = v.limits.liquid_full;
    page.add("liquid_full_c", full && *full ? Json::decimal((*full)->in_celsius(), 2) : Json::null());
    if (full && !*full && full->error().side == OutsideTable::Side::hotter)
        page.add("liquid_full_above_c", Json::decimal(full->error().high.in_celsius(), 2));
    if (full && !*full && full->error().side == OutsideTable::Side::colder)
        page.add("liquid_full_below_c", Json::decimal(full->error().low.in_celsius(), 2));
    const auto inside = inside_view(q, v);
    page.add("inside", inside ? inside_json(*inside) : Json::null());
    page.add("stored_at_c", q.stored_at ? Json::decimal(q.stored_at->in_celsius(), 2) : Json::null());
    const auto due = test_due(q.facts);
    page.add("test_due", due ? Json::text(month_text(*due)) : Json::null());
    page.add("rating", Json::text(rating_text(q)));
    Json notes = Json::array();
    for (const auto& note : v.limits.notes) notes.push(Json::text(note));
    Json bars = Json::array();
    Json cautions = Json::array();
    for (const auto& bar : fill_bars(q, options.now)) {
        bars.push(Json::text(bar.text));
        cautions.push(Json::text(bar.text));
    }
    for (const auto& caution : fill_cautions(q, v, options)) cautions.push(Json::text(caution));
    page.add("notes", std::move(notes)).add("do_not_fill", std::move(bars)).add("cautions", std::move(cautions));
    return page;
}

std::string room_csv(const RoomQuestion& q, const FillView& v, const PageOptions& options) {
    std::vector<std::string> bars;
    for (const auto& bar : fill_bars(q, options.now)) bars.push_back(bar.brief);
    Csv csv({"cylinder", "refrigerant", "rule", "net_lb", "binding", "source", "limit_gross_lb", "slow_gross_lb",
             "stop_gross_lb", "room_lb", "do_not_fill"});
    for (std::size_t i = 0; i < v.limits.candidates.size(); ++i) {
        const auto& c = v.limits.candidates[i];
        csv.row({q.code, content_name(q), c.rule, pounds_cell(c.net), i == v.limits.binding ? "yes" : "no", c.source,
                 pounds_cell(v.weights.limit_gross), pounds_cell(v.weights.slow_gross),
                 pounds_cell(v.weights.stop_gross), pounds_cell(v.weights.room), joined(bars, "; ")});
    }
    return csv.page();
}

std::string room_text(const RoomQuestion& q, const FillView& v, const PageOptions& options) {
    const auto down = [&](Mass m) { return mass_text_down(m, options.units); };
    const std::string rule(40, '=');
    const auto bars = fill_bars(q, options.now);
    std::string out = rule + "\n";
    if (bars.empty()) {
        out += fmt::format("  STOP AT  {}\n{}\n", down(v.weights.stop_gross), rule);
        out += fmt::format("SLOW DOWN AT  {}\n", down(v.weights.slow_gross));
    } else {
        // A weight to stop at would invite what shall not begin at all.
        out += fmt::format("  DO NOT FILL{}\n{}\n", q.code.empty() ? "" : " " + q.code, rule);
        for (const auto& bar : bars) out += bulleted(bar.text);
    }
    if (!bars.empty())
        out += v.draw_down.is_zero()
                   ? "room          none\n"
                   : fmt::format("room          none: {} over the stop weight of {}\n",
                                 mass_text_up(-v.weights.room, options.units), down(v.weights.stop_gross));
    else if (v.weights.room.is_negative())
        out +=
            fmt::format("room          none: {} over the stop weight\n", mass_text_up(-v.weights.room, options.units));
    else
        out += fmt::format("room          {}\n", down(v.weights.room));
    out += fmt::format("{:<14}{}{}\n", q.code.empty() ? "now" : q.code, mass_text(v.gross_now, options.units),
                       !v.gross_is_expected ? " on the scale"
                       : !q.code.empty()    ? " gross expected by the book"
                                            : " (the tare: no gross was given)");
    const auto content = content_of(q.state, q.facts);
    out += fmt::format("gas           {}{}\n", content_name(q),
                       q.state.lots.empty() ? ""
                       : v.net_now.is_negative()
                           ? fmt::format(", {} under its tare", mass_text(-v.net_now, options.units))
                           : fmt::format(", {} {}", mass_text(v.net_now, options.units), whose(content)));
    if (q.stored_at) out += fmt::format("stored at     {}\n", degrees_up(*q.stored_at, options.units));
    out += liquid_full_text(v, options.units) + "\n";
    out += test_text(q.facts, options.now) + "\n";
    out += wrapped("rating: " + rating_text(q), 0);
    if (const auto inside = inside_view(q, v))
        out += "\n" + inside_part(*inside, options.units).text();
    else if (const auto highest = highest_candidate_text(q, options.units); !highest.empty())
        out += wrapped(highest, 0);
    out += "\nLimits, net (the smallest binds, marked >):\n";
    for (std::size_t i = 0; i < v.limits.candidates.size(); ++i) {
        const auto& c = v.limits.candidates[i];
        out += fmt::format("{} {:>12}  {}\n", i == v.limits.binding ? '>' : ' ', down(c.net), c.rule);
        out += wrapped(c.source, 6);
    }
    for (const auto& note : v.limits.notes) out += wrapped("note: " + note, 0);
    out += "\nCautions:\n";
    for (const auto& caution : fill_cautions(q, v, options)) out += bulleted(caution);
    return out;
}

}  // namespace
}  // namespace report

Result<Page> room_page(const RoomQuestion& question, const PageOptions& options) {
    auto view = report::fill_view(question, options.format == Format::text ? options.units : DisplayUnits::lb);
    if (!view) return fail(view.error());
    switch (options.format) {
        case Format::json:
            return Page{report::room_json(question, *view, options).page()};
        case Format::csv:
            return Page{report::room_csv(question, *view, options)};
        case Format::text:
        case Format::html:  // the command line refuses both for this page
        case Format::xlsx:
            break;
    }
    return Page{report::room_text(question, *view, options)};
}

}  // namespace tarebook
