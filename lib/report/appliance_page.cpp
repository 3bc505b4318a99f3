// An appliance: each addition with its rate, against the rule of its day, and how much more may be added now and later
// without exceeding it. It informs: it never says that a rule is met, and the clause decides.
#include <fmt/format.h>

#include <algorithm>

#include "clock_text.hpp"
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

ApplianceView view_of(const Book& book, std::string_view code, Instant now) {
    const Date today = today_of(book, now);
    ApplianceView view{leak_record(book, code, Date(std::chrono::days(2'900'000))),
                       {},
                       {},
                       {},
                       RepairTimes(book, code, today),
                       {},
                       today};
    if (const auto* entry = book.entries().find(EntryKind::appliance, code))
        view.refrigerant = entry->text("refrigerant", order_at(Instant::max()));
    if (const auto* site = book.entries().find(EntryKind::site, site_of(code)))
        view.owner = site->text("owner", order_at(Instant::max())).value_or("");
    find_margins(view);
    view.clocks = clocks_of_appliance(book, code, view.today);
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

Json addition_json(const RatedAddition& a) {
    Json j = Json::object();
    j.add("event", Json::text(a.event)).add("at", Json::text(moment_iso(a.when)));
    j.add("job", Json::text_or_null(a.addition.job));
    j.add_mass("added", a.addition.mass).add_mass("excluded", a.addition.excluded);
    j.add("excluded_for", a.addition.excluded_reasons.empty() ? Json::null() : Json::text(reasons(a.addition)));
    j.add("days", a.rate ? Json::whole(a.rate->days) : Json::null())
        .add("method", a.rate ? Json::text(tarebook::text_of(a.rate->method)) : Json::null())
        .add("rate_percent", a.rate ? Json::decimal(a.rate->rate.in_percent(), 6) : Json::null())
        .add("formula", a.rate ? Json::text(formula_text(*a.rate)) : Json::null());
    const bool known = a.threshold.has_value();
    j.add("threshold_percent",
          known
              ? Json::decimal(
                    static_cast<double>(a.threshold->as<terms::LeakRateThreshold>().threshold.in_thousandths()) / 1000,
                    3)
              : Json::null())
        .add("exceeded", known && a.rate ? Json::boolean(a.exceeded) : Json::null())
        .add("rule", known ? Json::text(a.threshold->rule->clause) : Json::null())
        .add("rule_id", known ? Json::text(a.threshold->rule->id) : Json::null())
        .add("status", known ? Json::text(status_word(*a.threshold)) : Json::null());
    return j;
}

Json appliance_json(const ApplianceView& v) {
    const auto& r = v.record;
    Json page = versioned();
    page.add("appliance", Json::text(r.appliance))
        .add("refrigerant", Json::text_or_null(v.refrigerant))
        .add("category", r.now.category ? Json::text(tarebook::text_of(*r.now.category)) : Json::null())
        .add_mass("full_charge", r.now.full_charge)
        .add("method", Json::text(tarebook::text_of(r.options.method)))
        .add("method_on_record", Json::boolean(r.method_on_record));
    Json additions = Json::array(), clocks = Json::array(), margin = Json::array(), packs = Json::array();
    for (const auto& a : r.rated) additions.push(addition_json(a));
    for (const auto& clock : v.clocks) {
        auto j = clock_json({clock, v.owner}, v.today);
        clocks.push(std::move(j.add("open", Json::boolean(clock.open_on(v.today)))));
    }
    for (const auto& m : v.margins) {
        Json j = Json::object();
        j.add("lb", Json::pounds(m.margin.mass.rounded_down_to(Mass::thousandths_of_a_pound(1))))
            .add("on", Json::text(date_text(m.margin.on)))
            .add("day", m.day ? Json::whole(*m.day) : Json::null())
            .add("already_over", Json::boolean(m.margin.already_over))
            .add("rule", Json::text(m.threshold.rule->clause));
        margin.push(std::move(j));
    }
    for (const auto* pack : r.packs) {
        Json j = Json::object();
        packs.push(std::move(j.add("pack", Json::text(pack->id)).add("date", Json::text(date_text(pack->date)))));
    }
    Json out = Json::array();
    for (const auto& one : r.taken_out) {
        if (one.left.is_zero()) continue;
        Json j = Json::object();
        j.add("event", Json::text(one.source)).add("on", Json::text(date_text(one.on)));
        j.add("job", Json::text_or_null(one.job)).add_mass("taken_out", one.mass).add_mass("still_out", one.left);
        out.push(std::move(j));
    }
    page.add("additions", std::move(additions))
        .add("still_out", std::move(out))
        .add("margin", std::move(margin))
        .add("clocks", std::move(clocks))
        .add("rule_packs", std::move(packs));
    return page;
}

std::string appliance_csv(const ApplianceView& v) {
    Csv csv({"appliance", "event", "date", "job", "added_lb", "excluded_lb", "excluded_for", "days", "method",
             "rate_percent", "threshold_percent", "exceeded", "rule", "status"});
    for (const auto& a : v.record.rated) {
        const bool known = a.threshold.has_value();
        csv.row({v.record.appliance, a.event, date_text(a.addition.on), a.addition.job.value_or(""),
                 pounds_cell(a.addition.mass), pounds_cell(a.addition.excluded), reasons(a.addition),
                 a.rate ? std::to_string(a.rate->days) : "",
                 a.rate ? std::string(tarebook::text_of(a.rate->method)) : "",
                 a.rate ? fmt::format("{:.6f}", a.rate->rate.in_percent()) : "",
                 known ? a.threshold->as<terms::LeakRateThreshold>().threshold.text() : "",
                 known && a.rate ? (a.exceeded ? "yes" : "no") : "", known ? a.threshold->rule->clause : "",
                 known ? std::string(status_word(*a.threshold)) : ""});
    }
    return csv.page();
}

std::string addition_text(const ApplianceView& v, const RatedAddition& a, DisplayUnits units) {
    std::string head =
        fmt::format("{}  {}{}", a.event, date_text(a.addition.on), a.addition.job ? ", job " + *a.addition.job : "");
    std::string out;
    if (a.addition.counts()) out = head + fmt::format(": {} added\n", mass_text(a.addition.mass, units));
    if (!a.addition.put_back_uncovered.is_zero())
        out += wrapped(fmt::format("{} of it was said to be put back: the record has no more that was taken out",
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
            return fmt::format("looked over ({}): {}", e.text, e.good ? "no leak" : "leak");
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

void add_leaks(Document& page, const std::vector<LeakEvent>& events) {
    if (events.empty()) return;
    page.gap().heading("its leaks on record:");
    for (const auto& e : events) page.paragraph(fmt::format("{}  {}  {}", e.source, date_text(e.on), leak_words(e)), 2);
}
// What was taken out for a repair, and is no leak once it is back.
void add_still_out(Document& page, const LeakRecord& r, DisplayUnits units) {
    bool first = true;
    for (const auto& one : r.taken_out) {
        if (one.left.is_zero()) continue;
        if (first) page.gap().heading("taken out for a repair, and not back on record:");
        first = false;
        page.line(fmt::format("{}  {}{}: {}", one.source, date_text(one.on), one.job ? ", job " + *one.job : "",
                              mass_text(one.left, units)),
                  2);
    }
}
void add_clocks(Document& page, const ApplianceView& v) {
    const auto open = [&](const Clock& clock) { return clock.open_on(v.today); };
    if (std::any_of(v.clocks.begin(), v.clocks.end(), open)) page.gap().heading("open, and due:");
    for (const auto& clock : v.clocks)
        if (open(clock)) page.item(clock_text({clock, {}}, v.today));
    const auto closed = std::count_if(v.clocks.begin(), v.clocks.end(),
                                      [&](const Clock& clock) { return !open(clock) && clock.closed_on; });
    if (closed > 0)
        page.gap().line(fmt::format("closed on record: {} (--format json lists each)", counted(closed, "clock")));
}
void add_margins(Document& page, const ApplianceView& v, DisplayUnits units) {
    page.gap();
    if (v.margins.empty()) {
        page.line("how much may be added: no threshold speaks to it now, or a figure for it is not on record");
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

Document appliance_document(const ApplianceView& v, DisplayUnits units) {
    const auto& r = v.record;
    Document page(r.appliance,
                  fmt::format("{}, {}, full charge {}", v.refrigerant.value_or("gas not on record"),
                              r.now.category ? tarebook::text_of(*r.now.category) : "category not on record",
                              mass_or(r.now.full_charge, units, "not on record")));
    page.paragraph(r.method_on_record
                       ? fmt::format("leak rates {}, as on record for site {}", tarebook::text_of(r.options.method),
                                     site_of(r.appliance))
                       : fmt::format("leak rates annualizing: no method on record for site {}; to set it: tarebook "
                                     "site correct {} --leak-rate-method annualizing|rolling",
                                     site_of(r.appliance), site_of(r.appliance)));
    add_rates(page, r);
    if (r.rated.empty()) page.gap().line("nothing was added");
    for (const auto& a : r.rated) page.gap().item(addition_text(v, a, units));
    add_still_out(page, r, units);
    add_margins(page, v, units);
    add_leaks(page, r.events);
    add_clocks(page, v);
    page.gap().paragraph("rules applied: " + spoken_about(v).text());
    if (auto none = no_pack_text(r.country); !none.empty()) page.paragraph(std::move(none));
    if (!r.packs_elsewhere.empty())
        page.paragraph(fmt::format("rule packs of another country than {}, which do not speak here: {}",
                                   country_text(r.country), joined(r.packs_elsewhere)));
    if (!r.unknown_packs.empty()) page.paragraph("rule packs not known here: " + joined(r.unknown_packs));
    page.paragraph(
        "figures from the book, no statement that a rule is met: the clause, local codes and a licensed person decide");
    return page;
}

}  // namespace
}  // namespace report

Result<Page> appliance_page(const Book& book, std::string_view code, const PageOptions& options) {
    if (auto known = report::entry_exists(book, EntryKind::appliance, code); !known) return fail(known.error());
    const auto view = report::view_of(book, code, options.now);
    if (options.format == Format::json) return Page{report::appliance_json(view).page()};
    if (options.format == Format::csv) return Page{report::appliance_csv(view)};
    return Page{report::page_body(report::appliance_document(view, options.units), book, options)};
}

}  // namespace tarebook
