// The result of a stocktake: verdicts, scales that are off, gaps per refrigerant, cylinders that were not weighed.
#include "tarebook/report/stocktake_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "document.hpp"
#include "stocktake_view.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr std::string_view rate_words =
    "a gap is more than two weighings explain: of 100 counts in which all is in order, at most one shows a gap or "
    "names a "
    "scale; figures with +- hold in about 95 of 100 cases";

// What is estimated is shown to hundredths: more would be noise.
Mass hundredth(DisplayUnits units) {
    return units == DisplayUnits::lb ? Mass::thousandths_of_a_pound(10) : Mass::from_count(10 * Mass::counts_per_gram);
}
std::string up_text(Mass mass, DisplayUnits units) {
    return mass_text(-((-mass).rounded_down_to(hundredth(units))), units);
}
std::string near_text(Mass mass, DisplayUnits units) {
    const Mass step = hundredth(units);
    return mass_text((mass + scaled(step, 1, 2)).rounded_down_to(step), units);
}
std::string plus_minus(Mass mass, DisplayUnits units) {
    return "+-" + up_text(mass, units);
}
std::string signed_text(Mass mass, DisplayUnits units) {
    const auto text = near_text(mass, units);
    return Mass() < mass && text.find_first_of("123456789") != std::string::npos ? "+" + text : text;
}

std::string verdict_words(const StocktakeRow& c) {
    std::vector<std::string> out;
    if (c.missing) out.emplace_back("MISSING");
    if (!c.seen()) out.emplace_back("not counted");
    if (c.verdict.weight == StocktakeWeight::gap)
        out.push_back(c.verdict.may_be.empty() ? "GAP" : fmt::format("GAP ({})", c.verdict.may_be));
    else if (c.verdict.weight != StocktakeWeight::not_weighed && c.in_the_book)
        out.emplace_back(tarebook::text_of(c.verdict.weight));
    for (const auto mark : c.verdict.marks) {
        std::string words(tarebook::text_of(mark));
        if (mark == StocktakeMark::found)
            words += c.before.lost ? ": was lost"
                                   : fmt::format(": had left{}", c.before.place.empty() ? "" : " to " + c.before.place);
        if (mark == StocktakeMark::wrong_place) {
            const auto place = place_of(c.before, c.facts);
            words += place.empty() ? ": none on record" : ": book had it at " + place;
        }
        if (mark == StocktakeMark::wrong_gas) {
            if (c.label && c.content.refrigerant != c.label) words += ": label says " + *c.label;
            if (c.pressure == "below" || c.pressure == "excess") words += ": pressure is " + c.pressure;
        }
        out.push_back(std::move(words));
    }
    return joined(out);
}

std::string when_words(OffsetWhen when) {
    switch (when) {
        case OffsetWhen::in_count:
            return "in this count";
        case OffsetWhen::before:
            return "before this count";
        case OffsetWhen::always:
            return "in this count and before it";
    }
    return "";
}
std::string_view key_of(OffsetWhen when) {
    return when == OffsetWhen::in_count ? "in-count" : when == OffsetWhen::before ? "before" : "always";
}

// "S2 read 0.50 lb high in this count (+-0.12 lb, 18 readings)"
std::string offset_words(const ScaleOffset& o, DisplayUnits units) {
    const bool low = o.offset.is_negative();
    std::string out = fmt::format("{} read ", o.scale);
    if (o.shape == OffsetShape::proportional)
        out += fmt::format("{:.2f} % {}, {} at {}, ", std::abs(o.share) * 100, low ? "low" : "high",
                           near_text(o.offset.magnitude(), units), near_text(o.at_load, units));
    else
        out += fmt::format("{} {} ", near_text(o.offset.magnitude(), units), low ? "low" : "high");
    out += fmt::format("{} ({}, {})", when_words(o.when), plus_minus(o.uncertainty, units),
                       counted(static_cast<std::int64_t>(o.readings), "reading"));
    if (!o.shape_is_clear)
        out +=
            o.shape == OffsetShape::constant ? "; it may be a share of the load" : "; it may be the same at every load";
    for (const auto& [scale, when] : o.or_else) out += fmt::format("; or {} was off {}", scale, when_words(when));
    out += o.beyond_tolerance ? ". BEYOND what scales within their tolerance explain"
                              : ". Within what scales within their tolerance explain";
    return out;
}

Document scales_part(const StocktakeView& v, DisplayUnits units) {
    Document out;
    if (v.offsets.empty()) return out;
    out.gap().heading("Scales:");
    bool beyond = false;
    for (const auto& o : v.offsets) {
        out.bullet(offset_words(o, units));
        beyond = beyond || o.beyond_tolerance;
    }
    out.paragraph(
        "The cylinders are judged with these offsets taken out; the book keeps the weights as they were read.");
    if (beyond)
        out.paragraph("A like loss from most of these cylinders would look the same: put a test weight on the scale.");
    return out;
}

std::string handled_text(const StocktakeGas& g) {
    const auto percent = g.percent_of_handled();
    return percent ? fmt::format("{:.1f} %", *percent) : "-";
}

Document gases_part(const StocktakeView& v, DisplayUnits units) {
    Document out;
    if (v.gases.empty()) return out;
    Table table;
    table.column("gas").column("cylinders", Side::right).column("bought", Side::right).column("charged", Side::right);
    table.column("recovered", Side::right).column("sent", Side::right).column("counted net", Side::right);
    table.column("missing", Side::right).column("gaps", Side::right).column("in gaps", Side::right);
    table.column("+-", Side::right).column("of handled", Side::right).column("the rest", Side::right);
    table.column("+-", Side::right).column("note");
    for (const auto& [gas, g] : v.gases)
        table.row({gas, std::to_string(g.cylinders), mass_text(g.bought.value(), units),
                   mass_text(g.charged.value(), units), mass_text(g.recovered.value(), units),
                   mass_text(g.sent.value(), units), mass_text(g.net.value(), units),
                   mass_text(g.missing.value(), units), std::to_string(g.gaps), signed_text(g.in_gaps.gap(), units),
                   up_text(g.in_gaps.uncertainty(), units), handled_text(g), signed_text(g.rest.gap(), units),
                   up_text(g.rest.uncertainty(), units), g.rest.beyond() ? "REST BEYOND" : ""});
    out.gap().heading(v.last ? fmt::format("By gas, in these cylinders, since the count of {} ({}):",
                                           date_text(v.last->begin.event.when.date()), v.last->begin.name)
                             : "By gas, in these cylinders, since the book began (no count of this place before):");
    out.table(std::move(table), "Gaps by gas", 2);
    return out;
}

std::string head_words(const StocktakeView& v) {
    const auto& e = v.count.begin.event;
    std::string out = fmt::format("{}, begun {}{}", event_name(e.seq), moment_text(e.when), e.by ? " by " + *e.by : "");
    if (v.count.what().blind) out += ", blind";
    if (!v.count.close) return out + ", open";
    const auto& closed = v.count.close->event;
    const auto& second = std::get<kinds::StocktakeClose>(closed.what).second_person;
    return out + fmt::format(", closed {}{}, {}", moment_text(closed.when), closed.by ? " by " + *closed.by : "",
                             second ? "second person " + *second : "no second person on record");
}
std::string progress_words(const StocktakeView& v) {
    std::string out = fmt::format("{} of {} on the sheet counted", v.to_count - v.not_counted, v.to_count);
    const auto more = [&](std::int64_t n, const char* one) {
        if (n > 0) out += fmt::format(", {} {}", n, one);
    };
    if (!v.veiled()) {
        more(v.agree, v.agree == 1 ? "agrees" : "agree");
        more(v.gaps, v.gaps == 1 ? "gap" : "gaps");
    }
    more(v.missing, "missing");
    more(v.unknown, "unknown to the book");
    return out;
}
std::vector<std::string> not_counted(const StocktakeView& v) {
    std::vector<std::string> out;
    for (const auto& c : v.cylinders)
        if (c.listed && !c.seen()) out.push_back(c.code);
    return out;
}

// What asks for a person comes first.
std::vector<const StocktakeRow*> in_order(const StocktakeView& v) {
    std::vector<const StocktakeRow*> out;
    for (const auto& c : v.cylinders)
        if (c.seen()) out.push_back(&c);
    std::stable_partition(out.begin(), out.end(), [](const StocktakeRow* c) { return c->asks(); });
    return out;
}

Document stocktake_document(const StocktakeView& v, DisplayUnits units) {
    Document page(fmt::format("Count of {}", v.count.what().place), head_words(v), ": ");
    page.paragraph(progress_words(v));
    const auto left = not_counted(v);
    if (v.veiled()) {
        if (!left.empty()) page.gap().paragraph("Not counted yet: " + joined(left));
        page.gap().paragraph("A blind count: what the book expects is shown once it is closed.");
        return page;
    }
    page.add(scales_part(v, units));
    Table table;
    table.column("cylinder").column("gas").column("book", Side::right).column("scale", Side::right);
    table.column("by").column("gap", Side::right).column("+-", Side::right).column("verdict").column("reason");
    bool judged = false;
    for (const auto* c : in_order(v)) {
        const bool weighed = c->verdict.weight == StocktakeWeight::agrees || c->verdict.weight == StocktakeWeight::gap;
        judged = judged || weighed;
        table.row(
            {c->code, or_dash(c->content.refrigerant), mass_or(c->expected, units),
             c->gross ? mass_text(c->gross->mass, units) : "-", c->reading ? or_dash(c->reading->event.scale) : "-",
             weighed ? signed_text(c->verdict.gap, units) : "-", weighed ? up_text(c->verdict.uncertainty, units) : "-",
             verdict_words(*c), c->reasons.empty() ? c->note.value_or("") : joined(c->reasons, "; ")});
    }
    if (!table.empty()) page.gap().table(std::move(table), "Cylinders");
    page.add(gases_part(v, units));
    if (!left.empty())
        page.gap().paragraph(fmt::format("Not counted{}: {}", v.count.close ? "" : " yet", joined(left)));
    for (const auto& c : v.cylinders)
        if (c.missing) {
            page.gap().paragraph(fmt::format(
                "What is missing stays in the book until somebody says more: tarebook lost {} --why TEXT, or "
                "tarebook move {} --to PLACE",
                c.code, c.code));
            break;
        }
    if (judged) page.gap().paragraph(std::string(rate_words));
    return page;
}

Json offset_json(const ScaleOffset& o) {
    Json j = Json::object();
    j.add("scale", Json::text(o.scale))
        .add("when", Json::text(key_of(o.when)))
        .add("shape", Json::text(o.shape == OffsetShape::constant ? "constant" : "proportional"))
        .add("shape_is_clear", Json::boolean(o.shape_is_clear))
        .add_mass("offset", o.offset)
        .add_mass("at_load", o.at_load)
        .add("percent_of_load", o.shape == OffsetShape::constant ? Json::null() : Json::decimal(o.share * 100, 3))
        .add_mass("uncertainty", o.uncertainty)
        .add("readings", Json::whole(static_cast<std::int64_t>(o.readings)))
        .add("beyond_tolerance", Json::boolean(o.beyond_tolerance));
    Json others = Json::array();
    for (const auto& [scale, when] : o.or_else) {
        Json other = Json::object();
        others.push(std::move(other.add("scale", Json::text(scale)).add("when", Json::text(key_of(when)))));
    }
    return std::move(j.add("or_else", std::move(others)));
}

std::string_view standing_of(const StocktakeRow& c) {
    return c.missing ? "missing" : !c.in_the_book ? "unknown" : c.gross ? "counted" : "not-counted";
}
std::string_view key_of(StocktakeWeight verdict) {
    switch (verdict) {
        case StocktakeWeight::not_weighed:
            return "not-weighed";
        case StocktakeWeight::not_expected:
            return "not-expected";
        case StocktakeWeight::agrees:
            return "agrees";
        case StocktakeWeight::gap:
            return "gap";
    }
    return "";
}
std::vector<std::string> mark_keys(const StocktakeRow& c) {
    std::vector<std::string> out;
    for (const auto mark : c.verdict.marks) {
        std::string key(tarebook::text_of(mark));
        std::replace(key.begin(), key.end(), ' ', '-');
        out.push_back(std::move(key));
    }
    return out;
}

Json cylinder_json(const Book& book, const StocktakeRow& c) {
    const bool judged = c.verdict.weight == StocktakeWeight::agrees || c.verdict.weight == StocktakeWeight::gap;
    const auto only = [&](Mass mass) { return judged ? std::optional(mass) : std::nullopt; };
    Json j = Json::object();
    j.add("cylinder", Json::text(c.code))
        .add("refrigerant", Json::text_or_null(c.content.refrigerant))
        .add("on_sheet", Json::boolean(c.listed))
        .add("standing", Json::text(standing_of(c)))
        .add("event", c.reading ? Json::text(event_ref(book, *c.reading)) : Json::null())
        .add("scale", c.reading ? Json::text_or_null(c.reading->event.scale) : Json::null())
        .add("cap", Json::text_or_null(c.cap))
        .add("label", Json::text_or_null(c.label))
        .add_mass("expected_gross", c.expected)
        .add_mass("gross", c.gross ? std::optional(c.gross->mass) : std::nullopt)
        .add_mass("difference", only(c.verdict.difference))
        .add_mass("gap", only(c.verdict.gap))
        .add_mass("uncertainty", only(c.verdict.uncertainty))
        .add("verdict", Json::text(key_of(c.verdict.weight)))
        .add("may_be", c.verdict.may_be.empty() ? Json::null() : Json::text(c.verdict.may_be));
    Json marks = Json::array(), reasons = Json::array();
    for (const auto& key : mark_keys(c)) marks.push(Json::text(key));
    for (const auto& reason : c.reasons) reasons.push(Json::text(reason));
    return std::move(
        j.add("marks", std::move(marks)).add("reasons", std::move(reasons)).add("note", Json::text_or_null(c.note)));
}

Json stocktake_json(const Book& book, const StocktakeView& v) {
    Json page = versioned();
    const auto& begun = v.count.begin.event;
    page.add("count", Json::text(event_name(begun.seq)))
        .add("digest", Json::text(v.count.id()))
        .add("place", Json::text(v.count.what().place))
        .add("blind", Json::boolean(v.count.what().blind))
        .add("begun", Json::text(moment_text(begun.when)))
        .add("by", Json::text_or_null(begun.by));
    const auto* closed = v.count.close ? &v.count.close->event : nullptr;
    page.add("closed", closed ? Json::text(moment_text(closed->when)) : Json::null())
        .add("closed_by", closed ? Json::text_or_null(closed->by) : Json::null())
        .add("second_person",
             closed ? Json::text_or_null(std::get<kinds::StocktakeClose>(closed->what).second_person) : Json::null())
        .add("last_count", v.last ? Json::text(v.last->begin.name) : Json::null())
        .add("to_count", Json::whole(v.to_count))
        .add("not_counted", Json::whole(v.not_counted))
        .add("missing", Json::whole(v.missing))
        .add("unknown", Json::whole(v.unknown));
    Json left = Json::array();
    for (const auto& code : not_counted(v)) left.push(Json::text(code));
    page.add("left", std::move(left));
    if (v.veiled()) return page;
    page.add("agree", Json::whole(v.agree)).add("gaps", Json::whole(v.gaps));
    page.add("false_alarms_per_count", Json::decimal(stocktake_false_alarms, 2));
    Json offsets = Json::array(), cylinders = Json::array(), gases = Json::array();
    for (const auto& o : v.offsets) offsets.push(offset_json(o));
    for (const auto& c : v.cylinders) cylinders.push(cylinder_json(book, c));
    for (const auto& [gas, g] : v.gases) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(gas))
            .add("cylinders", Json::whole(g.cylinders))
            .add_mass("bought", g.bought.value())
            .add_mass("charged", g.charged.value())
            .add_mass("recovered", g.recovered.value())
            .add_mass("sent", g.sent.value())
            .add_mass("counted_net", g.net.value())
            .add_mass("missing_net", g.missing.value())
            .add("gaps", Json::whole(g.gaps))
            .add_mass("in_gaps", g.in_gaps.gap())
            .add_mass("in_gaps_uncertainty", g.in_gaps.uncertainty())
            .add("in_gaps_percent_of_handled",
                 g.percent_of_handled() ? Json::decimal(*g.percent_of_handled(), 1) : Json::null())
            .add_mass("rest", g.rest.gap())
            .add_mass("rest_uncertainty", g.rest.uncertainty())
            .add("rest_beyond", Json::boolean(g.rest.beyond()));
        gases.push(std::move(j));
    }
    return std::move(page.add("scales", std::move(offsets))
                         .add("cylinders", std::move(cylinders))
                         .add("refrigerants", std::move(gases)));
}

std::string stocktake_csv(const StocktakeView& v) {
    const bool veiled = v.veiled();
    std::vector<std::string> head{"count", "cylinder", "standing"};
    if (!veiled)
        head.insert(head.end(),
                    {"refrigerant", "expected_gross_lb", "gross_lb", "scale", "cap", "label", "difference_lb", "gap_lb",
                     "uncertainty_lb", "verdict", "may_be", "marks", "reasons", "note"});
    Csv csv(head);
    for (const auto& c : v.cylinders) {
        std::vector<std::string> row{v.count.begin.name, c.code, std::string(standing_of(c))};
        if (!veiled) {
            const bool judged = c.verdict.weight == StocktakeWeight::agrees || c.verdict.weight == StocktakeWeight::gap;
            const auto only = [&](Mass mass) { return judged ? pounds_cell(mass) : std::string(); };
            row.insert(row.end(),
                       {c.content.refrigerant.value_or(""), pounds_cell(c.expected),
                        c.gross ? pounds_cell(c.gross->mass) : "", c.reading ? c.reading->event.scale.value_or("") : "",
                        c.cap.value_or(""), c.label.value_or(""), only(c.verdict.difference), only(c.verdict.gap),
                        only(c.verdict.uncertainty), std::string(key_of(c.verdict.weight)), c.verdict.may_be,
                        joined(mark_keys(c), " "), joined(c.reasons, "; "), c.note.value_or("")});
        }
        csv.row(row);
    }
    return csv.page();
}

// A reason that somebody gave is what the page is for; without one it stays open.
bool asks_for_a_reason(const StocktakeView& v) {
    if (v.veiled()) return false;
    if (v.count.close && v.not_counted > 0) return true;
    return std::any_of(v.cylinders.begin(), v.cylinders.end(),
                       [](const StocktakeRow& c) { return c.asks() && c.reasons.empty(); });
}

}  // namespace
}  // namespace report

Page stocktake_page(const Book& book, const KnownStocktake& count, const PageOptions& options) {
    const auto view = report::stocktake_view(book, count);
    Page page;
    page.has_exceptions = report::asks_for_a_reason(view);
    switch (options.format) {
        case Format::json:
            page.body = report::stocktake_json(book, view).page();
            return page;
        case Format::csv:
            page.body = report::stocktake_csv(view);
            return page;
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            break;
    }
    page.body = report::page_body(report::stocktake_document(view, options.units), book, options);
    return page;
}

std::string stocktake_progress(const Book& book, const KnownStocktake& count, std::string_view cylinder,
                               const PageOptions& options) {
    const auto view = report::stocktake_view(book, count);
    std::string out;
    for (const auto& c : view.cylinders) {
        if (c.code != cylinder || view.veiled()) continue;
        const auto words = report::verdict_words(c);
        const bool judged = c.verdict.weight == StocktakeWeight::agrees || c.verdict.weight == StocktakeWeight::gap;
        if (!words.empty())
            out += report::wrapped(
                fmt::format("count: {}{}", words,
                            judged ? fmt::format(" ({} {})", report::signed_text(c.verdict.gap, options.units),
                                                 report::plus_minus(c.verdict.uncertainty, options.units))
                                   : ""),
                0);
    }
    return out + report::progress_words(view) + "\n";
}

}  // namespace tarebook
