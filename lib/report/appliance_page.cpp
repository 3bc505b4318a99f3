// An appliance: each addition with its rate, against the rule of its day, and how much more may be added now and later
// without exceeding it. It informs: it never says that a rule is met, and the clause decides.
#include <fmt/format.h>

#include <algorithm>

#include "charge_by_book.hpp"
#include "clock_cards.hpp"
#include "gathered.hpp"
#include "leak_rates.hpp"
#include "shared_text.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/units/country.hpp"

namespace tarebook {
namespace report {
namespace {

struct MarginLine {
    Margin margin;
    RuleMatch threshold;
    std::optional<int> day;  ///< since gas was last added
};
struct ApplianceView {
    LeakRecord record;
    std::optional<std::string> refrigerant;
    std::vector<MarginLine> margins;
    std::vector<Clock> clocks;
    RepairTimes repairs;
    std::optional<ChargeByBook> expected;
    std::string owner;
    Date today{};
};

std::optional<RuleMatch> threshold_on(const LeakRecord& r, Date on) {
    std::optional<RuleMatch> out;
    for (const auto& m : matching<terms::LeakRateThreshold>(r.packs, r.now, on))
        if (!out || m.as<terms::LeakRateThreshold>().threshold < out->as<terms::LeakRateThreshold>().threshold) out = m;
    return out;
}

// Today, and the days on which a round number of days has passed since gas was last added.
void find_margins(ApplianceView& view) {
    const auto& r = view.record;
    const auto add = [&](Date on) {
        const auto threshold = threshold_on(r, on);
        if (!threshold) return;
        const auto margin =
            margin_on(r.additions, on, r.full_charge, r.options, threshold->as<terms::LeakRateThreshold>());
        if (!margin) return;
        std::optional<int> day;
        if (!r.additions.empty()) day = static_cast<int>((on - r.additions.back().on).count());
        view.margins.push_back({*margin, *threshold, day});
    };
    add(view.today);
    if (r.additions.empty()) return;
    for (const int days : {30, 60, 90, 180, 365})
        if (const Date on = r.additions.back().on + std::chrono::days(days); on > view.today) add(on);
}

ApplianceView view_of(const Book& book, std::string_view code, const PageOptions& options) {
    const Date today = today_of(book, options.now);
    auto record = options.gathered ? options.gathered->record_of(book, code) : leak_record(book, code, last_day_of_all);
    const ApplianceClocks clocks(book, record, today);
    ApplianceView view{std::move(record), {}, {}, clocks.on(today), RepairTimes(clocks), {}, {}, today};
    if (options.gathered) options.gathered->keep(view.record, view.clocks, today);
    view.expected = charge_by_book(book, view.record);
    if (const auto* entry = book.entries().find(EntryKind::appliance, code))
        view.refrigerant = entry->text("refrigerant", order_at(Instant::max()));
    if (const auto* site = book.entries().find(EntryKind::site, site_of(code)))
        view.owner = site->text("owner", order_at(Instant::max())).value_or("");
    find_margins(view);
    return view;
}

std::string_view status_word(const RuleMatch& match) {
    return key_of(match.status());
}
// Of the appliance as it is now, and of what each of its additions and clocks rests on.
SpokenRules spoken_about(const ApplianceView& v) {
    SpokenRules out;
    add_rules_of_clocks(v.record.packs, v.record.now, v.today, out);
    for (const auto& a : v.record.rated) {
        if (a.regime) out.add(*a.regime);
        if (a.threshold) out.add(*a.threshold);
        if (a.purged) out.add(*a.purged);
    }
    for (const auto& clock : v.clocks)
        for (const auto* rule : {&clock.rule, &clock.also})
            if (*rule) out.add(**rule);
    return out;
}
std::string reasons(const LeakAddition& a) {
    std::vector<std::string> words;
    for (const auto reason : a.excluded_reasons) words.emplace_back(tarebook::text_of(reason));
    return joined(words);
}

const Columns<RatedAddition>& addition_columns() {
    using Row = RatedAddition;
    using C = Column<Row>;
    const auto of = [](auto LeakAddition::*which) { return [which](const Row& r) { return r.addition.*which; }; };
    const auto rate = [](auto get) { return [get](const Row& r) { return r.rate ? Field(get(*r.rate)) : Field(); }; };
    const auto threshold = [](auto get) {
        return [get](const Row& r) { return r.threshold ? Field(get(*r.threshold)) : Field(); };
    };
    const auto exceeded = [](const Row& r) { return r.threshold && r.rate ? std::optional(r.exceeded) : std::nullopt; };
    static const Columns<Row> columns{
        {"event", "event", &Row::event},
        C("at", "when", &Row::when).no_csv(),
        C("date", "", of(&LeakAddition::on)).no_json(),
        {"job", "job", of(&LeakAddition::job)},
        {"added", "added", of(&LeakAddition::mass)},
        {"excluded", "no addition", of(&LeakAddition::excluded)},
        {"excluded_for", "because", [](const Row& r) { return reasons(r.addition); }},
        {"days", "days", rate([](const LeakRate& l) { return l.days; })},
        {"method", "method", rate([](const LeakRate& l) { return tarebook::text_of(l.method); })},
        {"rate_percent", "rate, %", rate([](const LeakRate& l) { return Field::decimal(l.rate.in_percent(), 6); })},
        C("formula", "formula", rate([](const LeakRate& l) { return formula_text(l); })).no_csv(),
        C("threshold_percent", "threshold, %", threshold([](const RuleMatch& m) {
              const auto percent = m.as<terms::LeakRateThreshold>().threshold;
              return Field::decimal(static_cast<double>(percent.in_thousandths()) / 1000, 3);
          }))
            .csv_as([](const Row& r) {
                return r.threshold ? r.threshold->as<terms::LeakRateThreshold>().threshold.text() : "";
            }),
        C("exceeded", "exceeded", exceeded).csv_as([exceeded](const Row& r) {
            const auto is = exceeded(r);
            return !is ? "" : *is ? "yes" : "no";
        }),
        {"rule", "clause", threshold([](const RuleMatch& m) { return m.rule->clause; })},
        C("rule_id", "", threshold([](const RuleMatch& m) { return m.rule->id; })).no_csv(),
        {"status", "", threshold([](const RuleMatch& m) { return status_word(m); })}};
    return columns;
}
const Columns<MarginLine>& margin_columns() {
    const auto room = [](const MarginLine& m) {
        return m.margin.mass.rounded_down_to(Mass::thousandths_of_a_pound(1));
    };
    static const Columns<MarginLine> columns{
        {"may_be_added", "may be added", room},
        {"on", "on", [](const MarginLine& m) { return m.margin.on; }},
        {"day", "", [](const MarginLine& m) { return m.day ? Field(*m.day) : Field(); }},
        {"exceeded", "exceeded", [](const MarginLine& m) { return m.margin.already_over; }},
        {"rule", "", [](const MarginLine& m) { return m.threshold.rule->clause; }}};
    return columns;
}
const Columns<ClockRow>& clock_columns_with_open() {
    const auto open = [](const ClockRow& r) { return r.clock.open_on(r.on); };
    static const auto columns = Columns<ClockRow>(clock_columns()).with({{"open", "", open}});
    return columns;
}
const Columns<TakenOut>& still_out_columns() {
    static const Columns<TakenOut> columns{{"event", "event", &TakenOut::source},
                                           {"on", "on", &TakenOut::on},
                                           {"job", "", &TakenOut::job},
                                           {"taken_out", "taken out", &TakenOut::mass},
                                           {"still_out", "still out", &TakenOut::left}};
    return columns;
}
// What was taken out for a repair, and is no leak once it is back.
std::vector<TakenOut> still_out(const LeakRecord& r) {
    std::vector<TakenOut> out;
    std::copy_if(r.taken_out.begin(), r.taken_out.end(), std::back_inserter(out),
                 [](const TakenOut& one) { return !one.left.is_zero(); });
    return out;
}

const RatedAddition* last_rated(const LeakRecord& r) {
    const auto it =
        std::find_if(r.rated.rbegin(), r.rated.rend(), [](const RatedAddition& a) { return a.rate.has_value(); });
    return it == r.rated.rend() ? nullptr : &*it;
}
Json appliance_json(const ApplianceView& v) {
    const auto& r = v.record;
    std::vector<ClockRow> clocks;
    for (const auto& clock : v.clocks) clocks.push_back({clock, v.today, v.owner});
    return page_of(
        "appliance",
        {{"appliance", r.appliance},
         {"refrigerant", v.refrigerant},
         {"leak_rate_percent", last_rated(r) ? Field::decimal(last_rated(r)->rate->rate.in_percent(), 6) : Field()},
         {"number_late", std::count_if(clocks.begin(), clocks.end(),
                                       [](const ClockRow& c) { return days_late(c.clock, c.on).has_value(); })},
         {"category", r.now.category ? tarebook::text_of(*r.now.category) : ""},
         {"full_charge", r.now.full_charge},
         {"charge_by_book", v.expected ? std::optional(v.expected->mass) : std::nullopt},
         {"charge_by_book_since", v.expected ? v.expected->since : ""},
         {"method", tarebook::text_of(r.options.method)},
         {"method_on_record", r.method_on_record},
         {"additions", addition_columns().json(r.rated)},
         {"still_out", still_out_columns().json(still_out(r))},
         {"margin", margin_columns().json(v.margins)},
         {"clocks", clock_columns_with_open().json(clocks)},
         {"rule_packs", pack_columns().json(r.packs)}});
}

std::string addition_text(const ApplianceView& v, const RatedAddition& a, DisplayUnits units) {
    std::string head =
        fmt::format("{}  {}{}", a.event, date_text(a.addition.on), a.addition.job ? ", job " + *a.addition.job : "");
    std::string out;
    if (a.addition.counts()) out = head + fmt::format(": {} added\n", mass_text(a.addition.mass, units));
    if (!a.addition.put_back_uncovered.is_zero())
        out +=
            wrapped(fmt::format("{} of it counts as put back: the record has no more that was recovered for a repair",
                                mass_text(a.addition.put_back_uncovered, units)),
                    2);
    if (!a.addition.excluded.is_zero()) {
        const auto words = fmt::format(
            ": {} put in, no addition ({}{})\n", mass_text(a.addition.excluded, units), reasons(a.addition),
            a.purged ? fmt::format("; {}, {}", a.purged->rule->clause, tarebook::text_of(a.purged->status())) : "");
        out += out.empty() ? head + words : "  beside it" + words;
    }
    if (!a.addition.counts()) return out;
    if (!a.rate) return out + "  rate not known: the full charge is not on record\n";
    std::optional<Percent> limit;
    if (a.threshold) limit = a.threshold->as<terms::LeakRateThreshold>().threshold;
    out += wrapped(formula_text(*a.rate, limit, units), 2) + wrapped(verdict_text(a), 2);
    if (!a.exceeded) return out;
    for (const auto& clock : v.repairs.of_addition(a.addition.on)) {
        const auto& rule = clock.rule->as<terms::RepairDeadline>();
        out += wrapped(repair_text(clock, rule.longer_text(), a.addition.sources, v.today), 2);
    }
    return out;
}

// What is on record of its leaks, the newest last.
std::string leak_words(const LeakEvent& e) {
    switch (e.kind) {
        case LeakEvent::Kind::found:
            return fmt::format("{} found: {}", e.leak, e.text);
        case LeakEvent::Kind::inspected:
            return fmt::format("inspected ({}): {}", e.text, e.good ? "no leak" : "leak");
        case LeakEvent::Kind::audited:
            return fmt::format("its detection system audited ({}): {}", e.text, e.good ? "pass" : "fail");
        case LeakEvent::Kind::repaired:
            return fmt::format("{} repaired: {}", e.leak, e.text);
        case LeakEvent::Kind::tested:
            return fmt::format("{} {} test: {}", e.leak, e.follow_up ? "follow-up" : "initial",
                               e.good ? "passed" : "FAILED");
        case LeakEvent::Kind::planned:
            return fmt::format("planned to {}{}", e.text, e.by ? " by " + date_text(*e.by) : "");
        case LeakEvent::Kind::mothballed:
            return "mothballed" + (e.text.empty() ? "" : ", evacuated to " + e.text);
        case LeakEvent::Kind::in_use:
            return "in use again";
        case LeakEvent::Kind::extended:
            return e.text;
        case LeakEvent::Kind::disposed:
            return "recovered for disposal";
        case LeakEvent::Kind::converted:
            return "";
    }
    return "";
}

std::string all_of(const ApplianceView& v) {
    return fmt::format("tarebook report appliance {} --all", v.record.appliance);
}
void add_leaks(Document& page, const std::vector<LeakEvent>& events) {
    if (events.empty()) return;
    page.gap().heading("its leaks on record:");
    for (const auto& e : events) page.paragraph(fmt::format("{}  {}  {}", e.source, date_text(e.on), leak_words(e)), 2);
}
void add_still_out(Document& page, const ApplianceView& v, DisplayUnits units, bool all) {
    constexpr std::size_t most = 30;
    const auto out = still_out(v.record);
    if (out.empty()) return;
    page.gap().heading("recovered for a repair, and not recorded as put back:");
    const auto older = all || out.size() <= most ? 0 : out.size() - most;
    if (older > 0) {
        MassTotal sum;
        for (std::size_t i = 0; i < older; ++i) sum += out[i].left;
        page.line(fmt::format("{}, {} in all: {}", counted(static_cast<std::int64_t>(older), "older one"),
                              mass_text(sum.value(), units), all_of(v)),
                  2);
    }
    for (auto i = older; i < out.size(); ++i)
        page.line(fmt::format("{}  {}{}: {}", out[i].source, date_text(out[i].on),
                              out[i].job ? ", job " + *out[i].job : "", mass_text(out[i].left, units)),
                  2);
}
std::vector<ClockRow> open_rows(const ApplianceView& v) {
    std::vector<ClockRow> out;
    for (const auto& clock : v.clocks)
        if (clock.open_on(v.today)) out.push_back({clock, v.today, v.owner});
    return out;
}
// A busy appliance has hundreds: a page for people has the first ones.
void add_clocks(Document& page, const ApplianceView& v, bool all) {
    constexpr std::size_t most = 30;
    const auto open = [&](const Clock& clock) { return clock.open_on(v.today); };
    auto rows = by_day(open_rows(v));
    const auto more = all || rows.size() <= most ? 0 : rows.size() - most;
    while (!all && rows.size() > most) rows.pop_back();
    if (!rows.empty()) page.gap().heading("open, and due:").cards(clock_cards(rows));
    if (more > 0) page.gap().paragraph(fmt::format("{} more, after these in order: {}", more, all_of(v)));
    const auto closed = std::count_if(v.clocks.begin(), v.clocks.end(),
                                      [&](const Clock& clock) { return !open(clock) && clock.closed_on; });
    if (closed > 0)
        page.gap().line(fmt::format("closed on record: {} (--format json lists each)", counted(closed, "clock")));
}
void add_margins(Document& page, const ApplianceView& v, DisplayUnits units) {
    page.gap();
    if (v.margins.empty()) {
        page.line("how much may be added: no threshold applies now, or a figure for it is not on record");
        return;
    }
    page.heading(fmt::format("may be added without exceeding {}:", threshold_text(v.margins.front().threshold)));
    for (const auto& m : v.margins)
        page.line(fmt::format("{}{}{}: {}", date_text(m.margin.on), m.margin.on == v.today ? ", today" : "",
                              m.day ? fmt::format(", day {}", *m.day) : "",
                              m.margin.already_over ? "nothing: over already" : mass_text_down(m.margin.mass, units)),
                  2);
    if (v.record.additions.empty())
        page.line("(no addition on record: 365 days are taken, own reading, to confirm)", 2);
}
void add_rates(Document& page, const LeakRecord& r) {
    std::vector<RateAt> rates;
    for (const auto& a : r.rated) {
        if (!a.rate) continue;
        auto& rate = rates.emplace_back(RateAt{a.addition.on, a.rate->rate, a.exceeded, {}});
        if (a.threshold) rate.threshold = a.threshold->as<terms::LeakRateThreshold>().threshold;
    }
    const auto over = std::count_if(rates.begin(), rates.end(), [](const RateAt& rate) { return rate.over; });
    if (auto picture = rate_history(
            "Leak rate at each addition",
            fmt::format("{}, {} over the threshold of the day (squares)", counted(std::ssize(rates), "rate"), over),
            rates))
        page.picture(std::move(*picture));
}

// "leak rate 608.3 % on 2026-03-11, OVER its threshold of 20 %; 3 LATE, oldest 79 days"
std::string appliance_answer(const ApplianceView& v) {
    std::string out;
    if (const auto* last = last_rated(v.record)) {
        std::optional<Percent> limit;
        if (last->threshold) limit = last->threshold->as<terms::LeakRateThreshold>().threshold;
        out = fmt::format("leak rate {} on {}", percent_text(last->rate->rate, limit), date_text(last->addition.on));
        if (limit)
            out += fmt::format("{} threshold of {} %", last->exceeded ? ", OVER its" : ", of a", limit->text());
        else
            out += ", no threshold by the packs";
    } else {
        const bool added = std::any_of(v.record.rated.begin(), v.record.rated.end(),
                                       [](const RatedAddition& a) { return a.addition.counts(); });
        out = added ? "leak rate not known: the full charge is not on record" : "no addition on record";
    }
    if (auto late = late_answer(open_rows(v)); !late.empty()) out = late + "; " + out;
    return out;
}

void add_additions(Document& page, const ApplianceView& v, DisplayUnits units, bool all) {
    constexpr std::size_t most = 30;
    const auto& rated = v.record.rated;
    if (rated.empty()) page.gap().line("nothing was added");
    const auto older = all || rated.size() <= most ? 0 : rated.size() - most;
    if (older > 0)
        page.gap().paragraph(
            fmt::format("{} not shown: {}", counted(static_cast<std::int64_t>(older), "older addition"), all_of(v)));
    for (auto i = older; i < rated.size(); ++i) page.gap().item(addition_text(v, rated[i], units));
}

Document appliance_document(const Book& book, const ApplianceView& v, const PageOptions& options) {
    const auto units = options.units;
    const auto& r = v.record;
    Document page(r.appliance, appliance_answer(v));
    page.line(fmt::format("{}, {}, full charge {}", v.refrigerant.value_or("gas not on record"),
                          r.now.category ? with_blanks(tarebook::text_of(*r.now.category)) : "category not on record",
                          mass_or(r.now.full_charge, units, "not on record")));
    if (v.expected) page.paragraph(charge_by_book_text(*v.expected, r.now.full_charge, units));
    add_clocks(page, v, options.whole_history);
    add_rates(page, r);
    add_additions(page, v, units, options.whole_history);
    add_still_out(page, v, units, options.whole_history);
    add_margins(page, v, units);
    add_leaks(page, r.events);
    page.gap().paragraph(
        r.method_on_record
            ? fmt::format("leak rates {}, as on record for site {}", tarebook::text_of(r.options.method),
                          site_of(r.appliance))
            : fmt::format(
                  "leak rates annualizing: no method on record for site {}; to set it: tarebook site correct {} "
                  "--leak-rate-method annualizing|rolling",
                  site_of(r.appliance), site_of(r.appliance)));
    page.paragraph("rules applied: " + spoken_about(v).text());
    if (auto none = no_pack_text(book.rules(), r.country); !none.empty()) page.paragraph(std::move(none));
    if (!r.packs_elsewhere.empty())
        page.paragraph(fmt::format("rule packs of another country than {}, which do not apply here: {}",
                                   country_text(r.country), joined(r.packs_elsewhere)));
    if (!r.unknown_packs.empty()) page.paragraph("rule packs not known here: " + joined(r.unknown_packs));
    page.paragraph(
        "figures from the book, not a statement that a rule is met: the clause, local codes and a licensed person "
        "decide");
    return page;
}

// For a spreadsheet: each addition, margin and clock in a row.
Document appliance_sheets(const ApplianceView& v, DisplayUnits units) {
    const auto& r = v.record;
    Document page(r.appliance, appliance_answer(v));
    page.table(addition_columns().table(r.rated, units), "Additions")
        .table(margin_columns().table(v.margins, units), "May be added")
        .table(still_out_columns().table(still_out(r), units), "Not put back")
        .cards(clock_cards(by_day(open_rows(v))))
        .paragraph("rules applied: " + spoken_about(v).text())
        .paragraph(
            "figures from the book, not a statement that a rule is met: the clause, local codes and a licensed person "
            "decide");
    return page;
}

}  // namespace
}  // namespace report

Result<Page> appliance_page(const Book& book, std::string_view code, const PageOptions& options) {
    if (auto known = report::entry_exists(book, EntryKind::appliance, code); !known) return fail(known.error());
    const auto view = report::view_of(book, code, options);
    if (options.format == Format::json) return Page{report::appliance_json(view).page()};
    if (options.format == Format::csv)
        return Page{report::addition_columns().csv(view.record.rated, "appliance", code)};
    return Page{report::page_body(options.format == Format::xlsx ? report::appliance_sheets(view, options.units)
                                                                 : report::appliance_document(book, view, options),
                                  book, options)};
}

}  // namespace tarebook
