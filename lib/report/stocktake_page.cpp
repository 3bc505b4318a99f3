// The result of a stocktake: verdicts, scales that are off, gaps per refrigerant, cylinders that were not weighed.
#include "tarebook/report/stocktake_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "columns.hpp"
#include "document.hpp"
#include "layout.hpp"
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
Mass up(Mass mass, DisplayUnits units) {
    return -((-mass).rounded_down_to(hundredth(units)));
}
Mass near(Mass mass, DisplayUnits units) {
    const Mass step = hundredth(units);
    return (mass + scaled(step, 1, 2)).rounded_down_to(step);
}
std::string up_text(Mass mass, DisplayUnits units) {
    return mass_text(up(mass, units), units);
}
std::string near_text(Mass mass, DisplayUnits units) {
    return mass_text(near(mass, units), units);
}
std::string plus_minus(Mass mass, DisplayUnits units) {
    return "+-" + up_text(mass, units);
}
std::string signed_text(Mass mass, DisplayUnits units) {
    const auto text = near_text(mass, units);
    return Mass() < mass && text.find_first_of("123456789") != std::string::npos ? "+" + text : text;
}

// Columns of estimated masses: what differs has its sign, and how far it may be off is rounded up.
template <class Row, class Get>
Column<Row> difference(const char* name, const char* heading, Get get) {
    return Column<Row>(name, heading, get).shown([get](const Row& row, DisplayUnits units) {
        const std::optional<Mass> mass = get(row);
        if (!mass) return no_cell();
        return Cell(signed_text(*mass, units), ShownMass{near(*mass, units), units, true});
    });
}
template <class Row, class Get>
Column<Row> uncertainty(const char* name, const char* heading, Get get) {
    return Column<Row>(name, heading, get).shown([get](const Row& row, DisplayUnits units) {
        const std::optional<Mass> mass = get(row);
        return mass ? mass_cell(up(*mass, units), units) : no_cell();
    });
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
        out.paragraph(
            "The same loss from most of these cylinders would look like this, too: put a test weight on the scale.");
    return out;
}

using Gas = std::pair<const std::string, StocktakeGas>;
const Columns<Gas>& gas_columns() {
    using C = Column<Gas>;
    static const Columns<Gas> columns{
        {"refrigerant", "gas", &Gas::first},
        {"number_of_cylinders", "cylinders", [](const Gas& g) { return g.second.cylinders; }},
        C("bought", "bought", [](const Gas& g) { return g.second.bought.value(); }).moved(),
        C("charged", "charged", [](const Gas& g) { return g.second.charged.value(); }).moved(),
        C("recovered", "recovered", [](const Gas& g) { return g.second.recovered.value(); }).moved(),
        C("sent", "sent", [](const Gas& g) { return g.second.sent.value(); }).moved(),
        C("counted_net", "counted net", [](const Gas& g) { return g.second.net.value(); }).summed(),
        C("missing_net", "missing", [](const Gas& g) { return g.second.missing.value(); }).moved(),
        {"cylinders_with_gap", "gaps", [](const Gas& g) { return g.second.gaps; }},
        difference<Gas>("gap", "in gaps", [](const Gas& g) { return g.second.in_gaps.gap(); }),
        uncertainty<Gas>("gap_uncertainty", "+-", [](const Gas& g) { return g.second.in_gaps.uncertainty(); }),
        Column<Gas>("gap_percent_of_handled", "of handled",
                    [](const Gas& g) { return Field::decimal(g.second.percent_of_handled(), 1); })
            .right()
            .shown([](const Gas& g, DisplayUnits) {
                const auto percent = g.second.percent_of_handled();
                return percent ? fmt::format("{:.1f} %", *percent) : "-";
            }),
        difference<Gas>("rest", "the rest", [](const Gas& g) { return g.second.rest.gap(); }),
        uncertainty<Gas>("rest_uncertainty", "+-", [](const Gas& g) { return g.second.rest.uncertainty(); }),
        Column<Gas>("rest_beyond", "note", [](const Gas& g) {
            return g.second.rest.beyond();
        }).shown([](const Gas& g, DisplayUnits) { return g.second.rest.beyond() ? "REST BEYOND" : ""; })};
    return columns;
}

Document gases_part(const StocktakeView& v, DisplayUnits units) {
    Document out;
    if (v.gases.empty()) return out;
    out.gap().heading(v.last ? fmt::format("By gas, in these cylinders, since the count of {} ({}):",
                                           date_text(v.last->begin.event.when.date()), v.last->begin.name)
                             : "By gas, in these cylinders, since the book began (no count of this place before):");
    out.table(gas_columns().table(v.gases, units), "Gaps by gas", 2);
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
// What asks for a person comes first.
std::string progress_words(const StocktakeView& v) {
    std::vector<std::string> asks, parts;
    const auto of = [](std::int64_t n, const char* what, std::vector<std::string>& out) {
        if (n > 0) out.push_back(fmt::format("{} {}", n, what));
    };
    if (!v.veiled()) of(v.gaps, v.gaps == 1 ? "GAP" : "GAPS", asks);
    of(v.missing, "MISSING", asks);
    of(v.unknown, "unknown to the book", asks);
    parts.push_back(fmt::format("{} of {} on the sheet counted", v.to_count - v.not_counted, v.to_count));
    if (!v.veiled()) of(v.agree, v.agree == 1 ? "agrees" : "agree", parts);
    return (asks.empty() ? "" : joined(asks) + "; ") + joined(parts);
}
std::vector<std::string> not_counted(const StocktakeView& v) {
    std::vector<std::string> out;
    for (const auto& c : v.cylinders)
        if (c.listed && !c.seen()) out.push_back(c.code);
    return out;
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

std::optional<Mass> where_judged(const StocktakeRow& c, Mass mass) {
    return c.judged() ? std::optional(mass) : std::nullopt;
}

const Columns<StocktakeRow>& row_columns() {
    using Row = StocktakeRow;
    static const Columns<Row> columns{
        {"cylinder", "cylinder", &Row::code},
        {"refrigerant", "gas", [](const Row& c) { return c.content.refrigerant; }},
        Column<Row>("on_sheet", "", &Row::listed).no_csv(),
        {"status", "", standing_of},
        Column<Row>("event", "", [](const Row& c) { return c.reading ? c.reading->name : ""; }).no_csv(),
        {"scale", "by", [](const Row& c) { return c.reading ? c.reading->event.scale : std::nullopt; }},
        {"cap", "", &Row::cap},
        {"label", "", &Row::label},
        Column<Row>("expected_gross", "book", &Row::expected).shown([](const Row& c, DisplayUnits units) {
            return c.expected_cell(units);
        }),
        {"expected_net", "", &Row::expected_net},
        {"gross", "scale", [](const Row& c) { return c.gross ? std::optional(c.gross->mass) : std::nullopt; }},
        {"difference", "", [](const Row& c) { return where_judged(c, c.verdict.difference); }},
        difference<Row>("gap", "gap", [](const Row& c) { return where_judged(c, c.verdict.gap); }),
        uncertainty<Row>("uncertainty", "+-", [](const Row& c) { return where_judged(c, c.verdict.uncertainty); }),
        Column<Row>("verdict", "verdict", [](const Row& c) { return key_of(c.verdict.weight); })
            .shown([](const Row& c, DisplayUnits) { return verdict_words(c); }),
        {"may_be", "", [](const Row& c) { return c.verdict.may_be; }},
        {"marks", "", mark_keys},
        Column<Row>("reasons", "reason", &Row::reasons)
            .csv_as([](const Row& c) { return joined(c.reasons, "; "); })
            .shown([](const Row& c, DisplayUnits) {
                return c.reasons.empty() ? c.note.value_or("") : joined(c.reasons, "; ");
            }),
        {"note", "", &Row::note}};
    return columns;
}

// What asks for a person comes first.
std::vector<std::reference_wrapper<const StocktakeRow>> in_order(const StocktakeView& v) {
    std::vector<std::reference_wrapper<const StocktakeRow>> out;
    for (const auto& c : v.cylinders)
        if (c.seen()) out.emplace_back(c);
    std::stable_partition(out.begin(), out.end(), [](const StocktakeRow& c) { return c.asks(); });
    return out;
}

Document stocktake_document(const StocktakeView& v, DisplayUnits units) {
    Document page(fmt::format("Count of {}", v.count.what().place), progress_words(v), ": ");
    page.paragraph(head_words(v));
    const auto left = not_counted(v);
    if (v.veiled()) {
        if (!left.empty()) page.gap().paragraph("Not counted yet: " + joined(left));
        page.gap().paragraph("A blind count: what the book expects is shown once it is closed.");
        return page;
    }
    page.add(scales_part(v, units));
    auto table = row_columns().table({"cylinder", "gas", "book", "scale", "by", "gap", "+-", "verdict", "reason"},
                                     in_order(v), units);
    if (!table.empty()) page.gap().table(std::move(table), "Cylinders");
    page.add(gases_part(v, units));
    if (!left.empty())
        page.gap().paragraph(fmt::format("Not counted{}: {}", v.count.close ? "" : " yet", joined(left)));
    for (const auto& c : v.cylinders)
        if (c.missing) {
            page.gap().paragraph(fmt::format(
                "A missing cylinder stays in the book until one of these is recorded: tarebook lost {} --why TEXT, or "
                "tarebook move {} --to PLACE",
                c.code, c.code));
            break;
        }
    if (std::any_of(v.cylinders.begin(), v.cylinders.end(), [](const StocktakeRow& c) { return c.judged(); }))
        page.gap().paragraph(std::string(rate_words));
    return page;
}

const Columns<ScaleOffset>& offset_columns() {
    using Other = std::pair<std::string, OffsetWhen>;
    static const Columns<Other> others{{"scale", "", &Other::first},
                                       {"when", "", [](const Other& o) { return key_of(o.second); }}};
    static const Columns<ScaleOffset> columns{
        {"scale", "", &ScaleOffset::scale},
        {"when", "", [](const ScaleOffset& o) { return key_of(o.when); }},
        {"shape", "",
         [](const ScaleOffset& o) { return o.shape == OffsetShape::constant ? "constant" : "proportional"; }},
        {"shape_is_clear", "", &ScaleOffset::shape_is_clear},
        {"offset", "", &ScaleOffset::offset},
        {"at_load", "", &ScaleOffset::at_load},
        {"percent_of_load", "",
         [](const ScaleOffset& o) {
             return o.shape == OffsetShape::constant ? Field() : Field::decimal(o.share * 100, 3);
         }},
        {"uncertainty", "", &ScaleOffset::uncertainty},
        {"readings", "", &ScaleOffset::readings},
        {"beyond_tolerance", "", &ScaleOffset::beyond_tolerance},
        {"or_else", "", [](const ScaleOffset& o) { return others.json(o.or_else); }}};
    return columns;
}

Json stocktake_json(const StocktakeView& v) {
    const auto& begun = v.count.begin.event;
    const auto* closed = v.count.close ? &v.count.close->event : nullptr;
    Json page =
        page_of("count",
                {{"count", event_name(begun.seq)},
                 {"digest", v.count.id()},
                 {"place", v.count.what().place},
                 {"blind", v.count.what().blind},
                 {"begun_at", moment_text(begun.when)},
                 {"technician", begun.by},
                 {"closed_at", closed ? moment_text(closed->when) : ""},
                 {"closing_technician", closed ? closed->by : std::nullopt},
                 {"second_person", closed ? std::get<kinds::StocktakeClose>(closed->what).second_person : std::nullopt},
                 {"last_count", v.last ? v.last->begin.name : ""},
                 {"cylinders_to_count", v.to_count},
                 {"cylinders_not_counted", v.not_counted},
                 {"cylinders_missing", v.missing},
                 {"cylinders_unknown", v.unknown},
                 {"cylinders_left", not_counted(v)}});
    if (v.veiled()) return page;
    return std::move(add_facts(page, {{"cylinders_agreeing", v.agree},
                                      {"cylinders_with_gap", v.gaps},
                                      {"false_alarms_per_count", Field::decimal(stocktake_false_alarms, 2)},
                                      {"scales", offset_columns().json(v.offsets)},
                                      {"cylinders", row_columns().json(v.cylinders)},
                                      {"refrigerants", gas_columns().json(v.gases)}}));
}

std::string stocktake_csv(const StocktakeView& v) {
    static const Columns<StocktakeRow> veiled{{"cylinder", "", &StocktakeRow::code}, {"status", "", standing_of}};
    return (v.veiled() ? veiled : row_columns()).csv(v.cylinders, "count", v.count.begin.name);
}

// The reasons that were given are what the page is for; without one it stays open.
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
            page.body = report::stocktake_json(view).page();
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
        if (!words.empty())
            out += report::wrapped(
                fmt::format("count: {}{}", words,
                            c.judged() ? fmt::format(" ({} {})", report::signed_text(c.verdict.gap, options.units),
                                                     report::plus_minus(c.verdict.uncertainty, options.units))
                                       : ""),
                0);
    }
    return report::laid_out(out + report::progress_words(view) + "\n", options.width);
}

}  // namespace tarebook
