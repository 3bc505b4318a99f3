#include <fmt/format.h>

#include <algorithm>

#include "cautions.hpp"
#include "check_text.hpp"
#include "cylinder_contents.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {

Result<RoomQuestion> room_question_for(const Book& book, std::string_view cylinder,
                                       const std::optional<std::string>& scale) {
    // What the register says last: a tare corrected a minute ago is the one that counts at the scale.
    auto now = book.cylinder_now(cylinder);
    if (!now) return fail(report::entry_exists(book, EntryKind::cylinder, cylinder).error());
    if (scale)
        if (const auto known = report::entry_exists(book, EntryKind::scale, *scale); !known) return fail(known.error());
    const auto division = report::ScalesInUse(book).of(cylinder, scale);
    return report::room_question_of(book.reference_data(), std::move(*now), division);
}

std::string gas_caution(const Book& book, const std::vector<std::string>& equipment,
                        const std::vector<std::string>& cylinders, std::size_t width) {
    std::string burning, toxic;
    bool unknown = false;
    const auto add = [](std::string& list, const Refrigerant& gas) {
        if (list.find(gas.designation) == std::string::npos) add_word(list, gas.designation);
    };
    const auto take = [&](const std::string& name) {
        const auto* gas = book.catalogue().find(name);
        if (!gas) unknown = unknown || !name.empty();
        if (gas && gas->flammable()) add(burning, *gas);
        if (gas && gas->toxic()) add(toxic, *gas);
    };
    for (const auto& code : equipment)
        if (const auto place = place_facts(book.entries(), code, report::order_at(Instant::max())))
            take(place->refrigerant);
    for (const auto& code : cylinders)
        for (const auto& lot : book.state(code).lots) take(lot.key.refrigerant);
    std::string out;
    if (!burning.empty()) out += fmt::format("caution: flammable ({}): {}\n", burning, report::flammable_rule);
    if (!toxic.empty())
        out += fmt::format("caution: toxic ({}): {}\n", toxic,
                           toxic == "R-717" ? report::ammonia_rule : report::toxic_rule);
    if (out.empty() && unknown)
        out = fmt::format("caution: may be flammable (a gas is not known): {}\n", report::flammable_rule);
    return fitted_text(out, width);
}

std::string over_the_limit(const Book& book, std::string_view cylinder, const PageOptions& options) {
    const auto fill = report::fill_view_of(book, cylinder, options.units);
    if (!fill || fill->draw_down.is_zero()) return {};
    return fitted_text(fmt::format("OVER THE LIMIT: {}: do not transport; draw down {}, to {} gross\n", cylinder,
                                   report::mass_text_up(fill->draw_down, options.units),
                                   report::mass_text_down(fill->weights.stop_gross, options.units)),
                       options.width);
}

namespace report {

RoomQuestion room_question_of(const ReferenceData& data, CylinderNow&& cylinder,
                              const std::optional<ScaleDivision>& scale) {
    RoomQuestion q;
    static_cast<FillContents&>(q) = fill_contents(data.catalogue, cylinder.facts, cylinder.state);
    static_cast<CylinderNow&>(q) = std::move(cylinder);
    if (scale) {
        q.division = scale->division;
        q.scale_reads = scale->reads;
    }
    q.data = data;
    return q;
}

namespace {

std::string content_name(const RoomQuestion& q) {
    std::vector<std::string> names;
    for (const auto* gas : q.contents) names.emplace_back(gas->designation);
    for (const auto& strange : not_in_catalogue(q)) names.push_back(strange + " (not in the catalogue)");
    if (holds_unknown(q) && !names.empty()) names.emplace_back("unknown");
    if (names.empty()) return q.state.mixed ? "mixed, not known of what" : "unknown";
    if (names.size() == 1 && !q.mixed) return names.front();
    return (q.state.mixed ? "mixed: " : "could be: ") + joined(names);
}

// One of the limits, and for a spreadsheet what comes of all of them.
struct LimitRow {
    const RoomQuestion& question;
    const FillView& fill;
    const FillCandidate& limit;
    std::string do_not_fill;
};
std::vector<LimitRow> limit_rows(const RoomQuestion& q, const FillView& v, Instant now) {
    std::vector<std::string> bars;
    for (const auto& bar : fill_bars(q, now)) bars.push_back(bar.brief);
    std::vector<LimitRow> out;
    for (const auto& limit : v.limits.candidates) out.push_back({q, v, limit, joined(bars, "; ")});
    return out;
}
const Columns<LimitRow>& limit_columns() {
    using C = Column<LimitRow>;
    const auto weight = [](Mass StopWeights::*which) {
        return [which](const LimitRow& r) { return r.fill.weights.*which; };
    };
    static const Columns<LimitRow> columns{
        C("cylinder", "", [](const LimitRow& r) { return r.question.code; }).no_json(),
        C("refrigerant", "", [](const LimitRow& r) { return content_name(r.question); }).no_json(),
        {"rule", "", [](const LimitRow& r) { return r.limit.rule; }},
        {"net", "", [](const LimitRow& r) { return r.limit.net; }},
        C("binding", "",
          [](const LimitRow& r) {
              return &r.limit == &r.fill.limits.candidates[r.fill.limits.binding] ? "yes" : "no";
          }).no_json(),
        {"source", "", [](const LimitRow& r) { return r.limit.source; }},
        C("limit_gross", "", weight(&StopWeights::limit_gross)).no_json(),
        C("slow_gross", "", weight(&StopWeights::slow_gross)).no_json(),
        C("stop_gross", "", weight(&StopWeights::stop_gross)).no_json(),
        C("room", "", weight(&StopWeights::room)).no_json(),
        C("do_not_fill", "", &LimitRow::do_not_fill).no_json()};
    return columns;
}

Json room_json(const RoomQuestion& q, const FillView& v, const PageOptions& options) {
    std::vector<std::string> could_be, bars;
    for (const auto* gas : q.contents) could_be.emplace_back(gas->designation);
    for (const auto& bar : fill_bars(q, options.now)) bars.push_back(bar.text);
    auto cautions = bars;
    for (const auto& caution : fill_cautions(q, v, options)) cautions.push_back(caution);
    Json page = versioned("room");
    add_facts(page, {{"cylinder", q.code},
                     {"place", q.place()},
                     {"refrigerant", could_be.size() == 1 && !q.mixed ? could_be.front() : ""},
                     {"could_be", could_be},
                     {"mixed", q.mixed},
                     {"limits", limit_columns().json(limit_rows(q, v, options.now))},
                     {"binding_rule", v.rule()},
                     {"limit_net", v.limits.net()},
                     {"limit_gross", v.weights.limit_gross},
                     {"slow_gross", v.weights.slow_gross},
                     {"stop_gross", v.weights.stop_gross},
                     {"room", v.weights.room},
                     {"tare", q.facts.tare},
                     {"gross", v.gross_now},
                     {"net", v.net_now}});
    add_liquid_full(page, v.limits.liquid_full);
    return std::move(add_facts(
        page,
        {{"inside", inside_json(q, v)},
         {"stored_at_c", Field::decimal(q.stored_at ? std::optional(q.stored_at->in_celsius()) : std::nullopt, 2)},
         {"test_due", test_due(q.data.rules, q.facts)},
         {"rating", rating_text(q, DisplayUnits::lb)},
         {"limit_notes", v.limits.notes},
         {"do_not_fill", bars},
         {"cautions", cautions}}));
}

Table limits_table(const FillView& v, DisplayUnits units) {
    Table out;
    out.column("binds").column("net", Side::right).column("limit").column("rests on");
    for (std::size_t i = 0; i < v.limits.candidates.size(); ++i) {
        const auto& c = v.limits.candidates[i];
        out.typed_row({i == v.limits.binding ? "yes" : "", mass_cell_down(c.net, units),
                       with_plain_words(limit_name(c.rule, units)), c.source});
    }
    return out;
}

Document room_document(const RoomQuestion& q, const FillView& v, const PageOptions& options) {
    const auto watched = [&](Mass m) { return watched_text(m, v, options.units); };
    const auto bars = fill_bars(q, options.now, options.units);
    auto page = Document::named(q.code.empty() ? "Room in a cylinder" : "Room in " + q.code);
    // A weight to stop at would invite what shall not begin at all.
    const auto stop_at = "STOP AT  " + watched(v.weights.stop_gross);
    page.box(!bars.empty() ? fmt::format("DO NOT FILL{}{}", q.code.empty() ? "" : " ", q.code)
             : v.draw_down.is_zero()
                 ? stop_at
                 : fmt::format("OVER by {}, {}", mass_text_up(v.draw_down, options.units), stop_at));
    if (bars.empty()) page.fact("SLOW DOWN AT", watched(v.weights.slow_gross));
    for (const auto& bar : bars) page.bullet(bar.text);
    if (!bars.empty())
        page.fact("room", v.draw_down.is_zero() ? "none"
                                                : fmt::format("none: {} over the stop weight of {}",
                                                              mass_text_up(-v.weights.room, options.units),
                                                              watched(v.weights.stop_gross)));
    else if (v.weights.room.is_negative())
        page.fact("room", fmt::format("none: {} over the stop weight", mass_text_up(-v.weights.room, options.units)));
    else
        page.fact("room", watched(v.weights.room));
    page.fact(q.code.empty() ? "now" : q.code, fmt::format("{}{}", mass_text(v.gross_now, options.units),
                                                           !v.gross_is_expected ? " on the scale"
                                                           : !q.code.empty()    ? " gross expected by the book"
                                                                                : " (the tare: no gross was given)"));
    const auto content = content_of(q.state, q.facts);
    page.fact("gas", fmt::format("{}{}", content_name(q),
                                 q.state.lots.empty() ? ""
                                 : v.net_now.is_negative()
                                     ? fmt::format(", {} under its tare", mass_text(-v.net_now, options.units))
                                     : fmt::format(", {} {}", mass_text(v.net_now, options.units), whose(content))));
    if (q.stored_at) page.fact("stored at", degrees_up(*q.stored_at, options.units));
    page.line(liquid_full_text(v, options.units));
    page.line(test_text(q.data.rules, q.facts, options.now));
    page.paragraph("rating: " + rating_text(q, options.units));
    if (const auto inside = inside_view(q, v))
        page.gap().add(inside_part(*inside, options.units));
    else if (const auto highest = highest_candidate_text(q, options.units); !highest.empty())
        page.paragraph(highest);
    page.gap().heading("Limits, net (the smallest binds):").table(limits_table(v, options.units), "Limits");
    for (const auto& note : v.limits.notes) page.paragraph("note: " + note);
    page.gap().heading("Cautions:");
    for (const auto& caution : fill_cautions(q, v, options)) page.bullet(caution);
    return page;
}

}  // namespace
}  // namespace report

Result<Page> room_page(const RoomQuestion& question, const PageOptions& options, const Book* book) {
    auto view = report::fill_view(question, for_people(options.format) ? options.units : DisplayUnits::lb);
    if (!view) return fail(view.error());
    switch (options.format) {
        case Format::json:
            return Page{report::room_json(question, *view, options).page()};
        case Format::csv:
            return Page{report::limit_columns().csv(report::limit_rows(question, *view, options.now))};
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            break;
    }
    const auto document = report::room_document(question, *view, options);
    return Page{book ? report::page_body(document, *book, options) : report::page_body(document, options)};
}

}  // namespace tarebook
