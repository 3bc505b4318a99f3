// One cylinder: contents, expected weight, and all its events.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "check_text.hpp"
#include "cylinder_contents.hpp"
#include "exception_cards.hpp"
#include "statements.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr std::int64_t lines_of_a_text_page = 30;

struct Line {
    Step step;
    StoredEvent event;
    std::vector<std::string> exceptions;
};

struct CylinderView {
    RoomQuestion question;
    Content content;
    std::optional<std::string> place;
    std::optional<FillView> fill;
    std::vector<Line> lines;
    std::vector<ReturnView> returns;         // of the lines
    std::int64_t older = 0;                  // events that have no line
    std::vector<ShownException> exceptions;  // of all events

    [[nodiscard]] const CylinderState& state() const { return question.state; }
    [[nodiscard]] Mass net() const { return question.state.contents(); }
    [[nodiscard]] std::optional<Mass> gross() const {
        if (question.state.gross) return question.state.gross;
        if (question.facts.tare && !question.state.gone) return *question.facts.tare + net();
        return std::nullopt;
    }
    [[nodiscard]] std::vector<std::string> flags() const {
        auto out = flags_of(question.data.catalogue, state());
        if (!question.in_register) out.emplace_back(not_in_register_flag);
        return out;
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
    const bool newest = text && !options.whole_history && options.format != Format::xlsx;
    auto steps = newest ? book.last_steps(code, lines_of_a_text_page) : book.steps(code);
    if (std::ssize(steps) == lines_of_a_text_page) view.older = book.step_count(code) - lines_of_a_text_page;
    for (auto& step : steps)
        if (auto event = book.event(step.event_id)) view.lines.push_back({std::move(step), std::move(*event), {}});
    std::vector<StoredEvent> events;
    for (const auto& line : view.lines) events.push_back(line.event);
    view.returns = returns_among(book, events);
    auto open = book.open_findings_on(code);
    std::erase_if(open, [&](const OpenFinding& f) { return about_another(book, f, code); });
    view.exceptions = shown_exceptions(book, std::move(open));
    for (auto& line : view.lines)
        for (const auto& exception : view.exceptions)
            if (exception.open.event_id == line.step.event_id) line.exceptions.push_back(exception.open.id);
    return view;
}

const Columns<Lot>& lot_columns() {
    static const Columns<Lot> columns{
        {"refrigerant", "gas", [](const Lot& lot) { return lot.key.refrigerant; }},
        Column<Lot>("owner", "owner",
                    [](const Lot& lot) { return std::string(told_owner(lot.key.refrigerant, lot.key.owner)); })
            .shown([](const Lot& lot, DisplayUnits) { return Cell(owner_text(lot.key.refrigerant, lot.key.owner)); }),
        {"condition", "condition", [](const Lot& lot) { return tarebook::text_of(lot.key.condition); }},
        Column<Lot>("net", "net", &Lot::mass).summed()};
    return columns;
}
const Columns<Line>& line_columns() {
    using C = Column<Line>;
    const auto name = [](const Line& l) { return l.event.name; };
    static const Columns<Line> columns{
        C("event", "", name).no_csv(),
        C("event", "event", name).no_json(),
        {"at", "when", [](const Line& l) { return l.event.event.when; }},
        {"kind", "", [](const Line& l) { return l.event.event.kind(); }},
        {"", "act", [](const Line& l) { return act_of(l.event.event); }},
        C("net_change", "change", [](const Line& l) { return l.step.moved; }).blank_zero(),
        {"gross_after", "gross", [](const Line& l) { return l.step.after.gross; }},
        C("gap", "gap", [](const Line& l) { return l.step.gap; }).blank_zero(),
        C("net_after", "", [](const Line& l) { return l.step.after.contents(); }).no_json(),
        C("job", "job", [](const Line& l) { return l.event.event.job; }).blank(),
        {"exceptions", "", &Line::exceptions}};
    return columns;
}

Json cylinder_json(const CylinderView& v) {
    const auto& known = v.question.facts;
    const auto* weights = v.fill ? &v.fill->weights : nullptr;
    Json returns = Json::array();
    for (const auto& view : v.returns) returns.push(return_json(view));
    return page_of("cylinder",
                   {{"cylinder", v.question.code},
                    {"use", known.use},
                    {"refrigerant", v.content.refrigerant},
                    {"owner", v.content.owner},
                    {"condition", v.content.condition},
                    {"belongs_to", known.belongs_to},
                    {"place", v.place},
                    {"tare", known.tare},
                    {"net", contents_unknown(v.question.state, known) ? std::nullopt : std::optional(v.net())},
                    {"gross", v.gross()},
                    {"stop_gross", weights ? std::optional(weights->stop_gross) : std::nullopt},
                    {"room", weights ? std::optional(weights->room) : std::nullopt},
                    {"inside", inside_json(v.question, v.fill)},
                    {"test_due", test_due(v.question.data.rules, known)},
                    {"flags", v.flags()},
                    {"entry_voided_by", v.question.entry_voided_by},
                    {"lots", lot_columns().json(v.state().lots)},
                    {"events", line_columns().json(v.lines)},
                    {"returns", std::move(returns)}});
}

// Where the liquid stands: only of one gas with a table, as only its density is known.
std::optional<Picture> levels_picture(std::string_view code, const CylinderView& v, DisplayUnits units) {
    const auto view = v.fill ? inside_view(v.question, *v.fill) : std::nullopt;
    if (!view || !v.question.facts.tare || v.net().is_negative()) return std::nullopt;
    const auto& w = v.fill->weights;
    const auto warm = Temperature::celsius(25), hot = Temperature::celsius(55);
    const auto level = [&](Mass net, Temperature at) -> std::optional<double> {
        const auto state = fill_state_at(*view->gas, net, *v.question.facts.water_capacity, at);
        return state ? std::optional(state->liquid_share) : std::nullopt;
    };
    const auto percent = [](double share) {
        return share > 0 ? fmt::format("{:.0f} %", std::ceil(share * 100 - 1e-9)) : "0 %";
    };
    std::vector<LiquidLevel> levels;
    if (const auto share = level(v.net(), warm))
        levels.push_back(
            {*share, fmt::format("now {}: {} liquid", degrees(warm, units), percent(*share)), LiquidLevel::Kind::now});
    if (const auto share = level(v.net(), hot); share && v.net() > Mass())
        levels.push_back({*share,
                          fmt::format("at {}: {}", degrees(hot, units), *share >= 1 ? "LIQUID-FULL" : percent(*share)),
                          LiquidLevel::Kind::hot});
    if (const auto share = level(w.stop_gross - *v.question.facts.tare, warm))
        levels.push_back({*share, "STOP AT " + mass_text_down(w.stop_gross, units), LiquidLevel::Kind::stop});
    const bool over = !v.fill->draw_down.is_zero();
    const auto gross = mass_text(*v.question.facts.tare + v.net(), units);
    return cylinder_picture(fmt::format("How full {} is", code),
                            fmt::format("{} gross; the weight to stop at is {}{}", gross,
                                        mass_text_down(w.stop_gross, units), over ? ": OVER" : ""),
                            levels, over, fmt::format("weighs {} now", gross));
}

// Beside the words: how full it is, and what it weighed.
void add_pictures(Document& page, std::string_view code, const CylinderView& v, DisplayUnits units) {
    if (auto levels = levels_picture(code, v, units)) page.picture(std::move(*levels));
    std::vector<WeightAt> weights;
    for (const auto& line : v.lines)
        if (line.step.after.gross) weights.push_back({line.event.event.when, *line.step.after.gross});
    if (weights.empty()) return;
    std::vector<WeightLine> lines;
    if (v.question.facts.tare)
        lines.push_back({*v.question.facts.tare, "tare " + mass_text(*v.question.facts.tare, units)});
    if (v.fill)
        lines.push_back({v.fill->weights.stop_gross, "STOP AT " + mass_text_down(v.fill->weights.stop_gross, units)});
    if (auto history =
            weight_history("Gross weight", "now " + mass_text(weights.back().gross, units), weights, lines, units))
        page.picture(std::move(*history));
}

Document cylinder_document(std::string_view code, const CylinderView& v, const PageOptions& options) {
    const auto bars = fill_bars(v.question, options.now, options.units);
    auto answer = contents_unknown(v.question.state, v.question.facts)
                      ? std::string(contents_unknown_text)
                      : held(v.net(), v.content, v.question.facts, options.units);
    if (v.fill && !v.fill->draw_down.is_zero())
        answer = fmt::format("OVER its limit by {}; {}", mass_text_up(v.fill->draw_down, options.units), answer);
    else if (!bars.empty())
        answer = "DO NOT FILL; " + answer;
    else if (v.fill && !v.fill->weights.room.is_negative())
        answer += fmt::format("; room {}", mass_text_down(v.fill->weights.room, options.units));
    Document page(std::string(code), answer);
    page.fact("should weigh", fmt::format("{}   tare {}", mass_or(v.gross(), options.units, "not known"),
                                          mass_or(v.question.facts.tare, options.units, "not on record")));
    for (const auto& bar : bars) page.warning("DO NOT FILL: " + bar.text);
    if (v.fill) {
        const auto& w = v.fill->weights;
        if (bars.empty())
            page.fact("STOP AT",
                      fmt::format("{}   {}", watched_text(w.stop_gross, *v.fill, options.units),
                                  w.room.is_negative()
                                      ? fmt::format("OVER by {}", mass_text_up(-w.room, options.units))
                                      : fmt::format("room {}", watched_text(w.room, *v.fill, options.units))));
        page.line(liquid_full_text(*v.fill, options.units));
        if (!v.fill->draw_down.is_zero())
            page.warning(fmt::format("OVER THE LIMIT: do not transport; draw down {}",
                                     mass_text_up(v.fill->draw_down, options.units)));
    } else if (bars.empty()) {
        page.fact("STOP AT", fmt::format("not known: `tarebook room {}` says what is missing", code));
    }
    page.fact("place", or_dash(v.place));
    std::vector<std::string> marks;
    for (const auto& flag : flags_of(v.question.data.catalogue, v.state())) marks.push_back(words_of_flag(flag));
    if (!v.question.in_register) marks.push_back(not_in_register(v.question));
    if (!marks.empty()) page.fact("marked", joined(marks));
    page.line(test_text(v.question.data.rules, v.question.facts, options.now));
    add_pictures(page, code, v, options.units);
    if (v.fill)
        if (const auto inside = inside_view(v.question, *v.fill)) page.gap().add(inside_part(*inside, options.units));
    if (v.state().lots.size() > 1) {
        page.gap().heading("Lots:").table(
            lot_columns().table({"net", "gas", "owner", "condition"}, v.state().lots, options.units),
            "Lots in " + std::string(code), 2);
    }
    page.gap();
    if (v.older > 0)
        page.line(
            fmt::format("{} not shown: tarebook report cylinder {} --all", counted(v.older, "older event"), code));
    page.table(line_columns().table(v.lines, options.units), "Events of " + std::string(code));
    if (!v.returns.empty()) page.gap().heading("Returned:").table(returns_table(v.returns, options.units), "Returned");
    if (!v.exceptions.empty()) {
        page.gap().heading("Exceptions:").cards(exception_cards(v.exceptions, options.units));
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
            page.body = report::cylinder_json(view).page();
            break;
        case Format::csv:
            page.body = report::line_columns().csv(view.lines, "cylinder", code);
            break;
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            page.body = page_body(report::cylinder_document(code, view, options), book, options);
            break;
    }
    return page;
}

}  // namespace tarebook
