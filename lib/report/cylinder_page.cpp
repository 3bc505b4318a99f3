// One cylinder: contents, expected weight, and all its events.
#include <fmt/format.h>

#include <algorithm>

#include "cylinder_contents.hpp"
#include "statements.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr std::int64_t lines_of_a_text_page = 30;

struct Line {
    Step step;
    StoredEvent event;
};

struct CylinderView {
    RoomQuestion question;
    Content content;
    std::optional<std::string> place;
    std::optional<FillView> fill;
    std::vector<Line> lines;
    std::vector<ReturnView> returns;      // of the lines
    std::int64_t older = 0;               // events that have no line
    std::vector<OpenFinding> exceptions;  // of all events, in their order

    [[nodiscard]] const CylinderState& state() const { return question.state; }
    [[nodiscard]] Mass net() const { return question.state.contents(); }
    [[nodiscard]] std::optional<Mass> gross() const {
        if (question.state.gross) return question.state.gross;
        if (question.facts.tare && !question.state.gone) return *question.facts.tare + net();
        return std::nullopt;
    }
    [[nodiscard]] std::vector<std::string> exceptions_of(const Line& line) const {
        std::vector<std::string> ids;
        for (const auto& exception : exceptions)
            if (exception.event_id == line.step.event_id) ids.push_back(exception.id);
        return ids;
    }
};

// A transfer has two cylinders: what is about the other one stands on its page.
bool about_another(const Book& book, const OpenFinding& finding, std::string_view code) {
    const auto& subject = finding.finding.subject;
    if (subject == code) return false;
    const auto event = book.event(finding.event_id);
    const auto touched = event ? cylinders_of(event->event) : std::vector<std::string>();
    return std::find(touched.begin(), touched.end(), subject) != touched.end();
}

CylinderView view_of(const Book& book, std::string_view code, RoomQuestion question, const PageOptions& options) {
    CylinderView view;
    view.question = std::move(question);
    view.content = content_of(view.state(), view.question.facts);
    view.place = view.state().place.empty() ? view.question.facts.place : view.state().place;
    const bool text = for_people(options.format);
    if (auto fill = fill_view(view.question, text ? options.units : DisplayUnits::lb)) view.fill = std::move(*fill);
    auto steps = text && !options.whole_history ? book.last_steps(code, lines_of_a_text_page) : book.steps(code);
    if (std::ssize(steps) == lines_of_a_text_page) view.older = book.step_count(code) - lines_of_a_text_page;
    for (auto& step : steps)
        if (auto event = book.event(step.event_id)) view.lines.push_back({std::move(step), std::move(*event)});
    std::vector<StoredEvent> events;
    for (const auto& line : view.lines) events.push_back(line.event);
    view.returns = returns_among(book, events);
    view.exceptions = book.open_findings_on(code);
    std::erase_if(view.exceptions, [&](const OpenFinding& f) { return about_another(book, f, code); });
    return view;
}

Json cylinder_json(const Book& book, std::string_view code, const CylinderView& v) {
    Json page = versioned();
    page.add("cylinder", Json::text(code))
        .add("use", Json::text(v.question.facts.use))
        .add("refrigerant", Json::text_or_null(v.content.refrigerant))
        .add("owner", Json::text_or_null(v.content.owner))
        .add("condition", Json::text_or_null(v.content.condition))
        .add("belongs_to", Json::text_or_null(v.question.facts.belongs_to))
        .add("place", Json::text_or_null(v.place))
        .add_mass("tare", v.question.facts.tare)
        .add_mass("net", contents_unknown(v.question.state, v.question.facts) ? std::optional<Mass>() : v.net())
        .add_mass("gross", v.gross())
        .add_mass("stop_gross", v.fill ? std::optional(v.fill->weights.stop_gross) : std::nullopt)
        .add_mass("room", v.fill ? std::optional(v.fill->weights.room) : std::nullopt);
    const auto inside = v.fill ? inside_view(v.question, *v.fill) : std::nullopt;
    page.add("inside", inside ? inside_json(*inside) : Json::null());
    const auto due = test_due(v.question.facts);
    page.add("test_due", due ? Json::text(month_text(*due)) : Json::null());
    Json flags = Json::array();
    for (const auto& flag : flags_of(v.state())) flags.push(Json::text(flag));
    if (!v.question.in_register) flags.push(Json::text(std::string(not_in_register_flag)));
    page.add("flags", std::move(flags));
    if (!v.question.entry_voided_by.empty()) page.add("entry_voided_by", Json::text(v.question.entry_voided_by));
    Json lots = Json::array();
    for (const auto& lot : v.state().lots) {
        Json j = Json::object();
        j.add("refrigerant", Json::text(lot.key.refrigerant))
            .add("owner", Json::text(lot.key.owner))
            .add("condition", Json::text(tarebook::text_of(lot.key.condition)))
            .add_mass("net", lot.mass);
        lots.push(std::move(j));
    }
    page.add("lots", std::move(lots));
    Json events = Json::array();
    for (const auto& line : v.lines) {
        Json j = Json::object();
        j.add("id", Json::text(event_ref(book, line.event)))
            .add("at", Json::text(moment_iso(line.event.event.when)))
            .add("kind", Json::text(line.event.event.kind()))
            .add_mass("net_change", line.step.moved)
            .add_mass("gross_after", line.step.after.gross)
            .add_mass("gap", line.step.gap)
            .add("job", Json::text_or_null(line.event.event.job));
        Json exceptions = Json::array();
        for (const auto& id : v.exceptions_of(line)) exceptions.push(Json::text(id));
        j.add("exceptions", std::move(exceptions));
        events.push(std::move(j));
    }
    page.add("events", std::move(events));
    Json returns = Json::array();
    for (const auto& view : v.returns) returns.push(return_json(book, view));
    return std::move(page.add("returns", std::move(returns)));
}

std::string cylinder_csv(const Book& book, std::string_view code, const CylinderView& v) {
    Csv csv({"cylinder", "event", "at", "kind", "net_change_lb", "gross_after_lb", "gap_lb", "net_after_lb", "job",
             "exceptions"});
    for (const auto& line : v.lines) {
        csv.row({std::string(code), event_ref(book, line.event), moment_iso(line.event.event.when),
                 std::string(line.event.event.kind()), pounds_cell(line.step.moved), pounds_cell(line.step.after.gross),
                 pounds_cell(line.step.gap), pounds_cell(line.step.after.contents()), line.event.event.job.value_or(""),
                 joined(v.exceptions_of(line), " ")});
    }
    return csv.page();
}

// Beside the words: how full it is, and what it weighed.
void add_pictures(Document& page, std::string_view code, const CylinderView& v, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    if (v.fill && v.question.facts.tare && !v.net().is_negative()) {
        const auto& w = v.fill->weights;
        const Mass stop = w.stop_gross - *v.question.facts.tare, slow = w.slow_gross - *v.question.facts.tare;
        const auto told = fmt::format("{} of {} up to the weight to stop at", m(v.net()), mass_text_down(stop, units));
        page.picture(fill_gauge(fmt::format("How full {} is", code), told, v.net(), stop,
                                {{slow, "slow down " + mass_text_down(w.slow_gross, units)},
                                 {stop, "STOP AT " + mass_text_down(w.stop_gross, units)}}));
    }
    std::vector<WeightAt> weights;
    for (const auto& line : v.lines)
        if (line.step.after.gross) weights.push_back({line.event.event.when.at, *line.step.after.gross});
    if (weights.empty()) return;
    if (auto history = weight_history("Gross weight", "now " + m(weights.back().gross), weights, units))
        page.picture(std::move(*history));
}

Document cylinder_document(const Book& book, std::string_view code, const CylinderView& v, const PageOptions& options) {
    const auto m = [&](Mass mass) { return mass_text(mass, options.units); };
    Document page(std::string(code), contents_unknown(v.question.state, v.question.facts)
                                         ? std::string(contents_unknown_text)
                                         : held(v.net(), v.content, v.question.facts, options.units));
    page.fact("should weigh", fmt::format("{}   tare {}", mass_or(v.gross(), options.units, "not known"),
                                          mass_or(v.question.facts.tare, options.units, "not on record")));
    const auto bars = fill_bars(v.question, options.now);
    for (const auto& bar : bars) page.warning("DO NOT FILL: " + bar.text);
    if (v.fill) {
        const auto& w = v.fill->weights;
        if (bars.empty())
            page.fact("STOP AT", fmt::format("{}   {}", mass_text_down(w.stop_gross, options.units),
                                             w.room.is_negative()
                                                 ? fmt::format("OVER by {}", mass_text_up(-w.room, options.units))
                                                 : fmt::format("room {}", mass_text_down(w.room, options.units))));
        page.line(liquid_full_text(*v.fill, options.units));
        if (!v.fill->draw_down.is_zero())
            page.warning(fmt::format("OVER THE LIMIT: do not transport; draw down {}",
                                     mass_text_up(v.fill->draw_down, options.units)));
    } else if (bars.empty()) {
        page.fact("STOP AT", fmt::format("not known: `tarebook room {}` says what is missing", code));
    }
    page.fact("place", or_dash(v.place));
    auto marks = flags_of(v.state());
    if (!v.question.in_register) marks.push_back(not_in_register(v.question));
    if (!marks.empty()) page.fact("marked", joined(marks));
    page.line(test_text(v.question.facts, options.now));
    add_pictures(page, code, v, options.units);
    if (v.fill)
        if (const auto inside = inside_view(v.question, *v.fill)) page.gap().add(inside_part(*inside, options.units));
    if (v.state().lots.size() > 1) {
        Table lots;
        lots.column("net", Side::right).column("gas").column("owner").column("condition");
        for (const auto& lot : v.state().lots)
            lots.row(
                {m(lot.mass), lot.key.refrigerant, lot.key.owner, std::string(tarebook::text_of(lot.key.condition))});
        page.gap().heading("Lots:").table(std::move(lots), "Lots in " + std::string(code), 2);
    }
    Table events;
    events.column("event").column("when").column("act").column("change", Side::right).column("gross", Side::right);
    events.column("gap", Side::right).column("job");
    for (const auto& line : v.lines)
        events.row({event_ref(book, line.event), moment_text(line.event.event.when), act_of(line.event.event),
                    line.step.moved.is_zero() ? "" : m(line.step.moved), mass_or(line.step.after.gross, options.units),
                    line.step.gap.is_zero() ? "" : m(line.step.gap), line.event.event.job.value_or("")});
    page.gap();
    if (v.older > 0)
        page.line(
            fmt::format("{} not shown: tarebook report cylinder {} --all", counted(v.older, "older event"), code));
    page.table(std::move(events), "Events of " + std::string(code));
    if (!v.returns.empty())
        page.gap().heading("Returned:").table(returns_table(book, v.returns, options.units), "Returned");
    if (!v.exceptions.empty()) {
        page.gap().heading("Exceptions:");
        for (const auto& exception : v.exceptions) page.item(finding_text(exception.id, exception.finding));
    }
    return page;
}

}  // namespace
}  // namespace report

Result<Page> cylinder_page(const Book& book, std::string_view code, const PageOptions& options) {
    auto question = room_question_for(book, code);
    if (!question) return fail(question.error());
    const auto view = report::view_of(book, code, std::move(*question), options);
    Page page;
    page.has_exceptions = !view.exceptions.empty();
    switch (options.format) {
        case Format::json:
            page.body = report::cylinder_json(book, code, view).page();
            break;
        case Format::csv:
            page.body = report::cylinder_csv(book, code, view);
            break;
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            page.body = page_body(report::cylinder_document(book, code, view, options), book, options);
            break;
    }
    return page;
}

}  // namespace tarebook
