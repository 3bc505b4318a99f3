#include "tarebook/report/retention_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "shared_text.hpp"
#include "year_view.hpp"

namespace tarebook {
namespace report {
namespace {

struct KeptRecords {
    const RulePack* pack = nullptr;
    const Rule* rule = nullptr;
    [[nodiscard]] const terms::Retention& terms() const { return std::get<terms::Retention>(rule->terms); }
    [[nodiscard]] std::string_view status() const { return key_of(rule->status); }
};
struct KeptYear {
    int year = 0;
    std::int64_t events = 0;
    std::optional<Date> until;  ///< the last day on which they must be kept; nothing where no rule says
    const KeptRecords* by = nullptr;
    bool archivable = false;
};
struct RetentionView {
    YearView packs;
    std::vector<KeptRecords> records;
    std::vector<KeptYear> years;
    struct Left {
        std::string technician;
        Date on{}, until{};
    };
    std::vector<Left> left;  ///< technicians who left: a copy of the certificate is kept for a time
};

RetentionView retention_of(const Book& book, Instant now) {
    RetentionView view;
    take_packs(book, {}, view.packs);
    for (const auto* pack : view.packs.packs)
        for (const auto& rule : pack->rules)
            if (std::holds_alternative<terms::Retention>(rule.terms)) view.records.push_back({pack, &rule});
    std::map<int, std::int64_t> events;
    book.each_booked(
        [&](const BookedEvent& e) { ++events[static_cast<int>(std::chrono::year_month_day(e.day).year())]; });
    const auto moment = moment_in_zone(now, book.info().zone);
    const Date today = moment ? moment->date() : std::chrono::floor<std::chrono::days>(now);
    for (const auto& [year, count] : events) {
        KeptYear kept{year, count, {}, nullptr, false};
        const Date last(std::chrono::year(year) / 12 / 31);  // a record of the last day of the year is kept longest
        for (const auto& r : view.records) {
            if (r.terms().counted_from != "record") continue;
            const Date until = after(last, r.terms().keep);
            if (!kept.until || *kept.until < until) kept.until = until, kept.by = &r;
        }
        kept.archivable = kept.until && *kept.until < today;
        view.years.push_back(kept);
    }
    const auto leaving = std::find_if(view.records.begin(), view.records.end(),
                                      [](const KeptRecords& r) { return r.terms().counted_from == "leaving"; });
    if (leaving != view.records.end())
        book.each_entry(EntryKind::technician, [&](const Entry& entry) {
            const auto day = entry.text("left", order_at(Instant::max()));
            if (!day) return;
            if (const auto read = parse_date(*day))
                view.left.push_back({entry.code(), *read, after(*read, leaving->terms().keep)});
        });
    return view;
}

std::string_view status_of(const KeptYear& y) {
    return !y.until ? "no rule of the packs says" : y.archivable ? "may be archived" : "must be kept";
}

std::string retention_text(const RetentionView& v) {
    SpokenRules spoken;
    for (const auto& r : v.records) spoken.add(*r.pack, *r.rule, r.rule->status);
    Table rules, years;
    rules.column("records").column("keep").column("from").column("clause").column("status");
    for (const auto& r : v.records)
        rules.row(
            {r.terms().what, r.terms().keep.text(), r.terms().counted_from, r.rule->clause, std::string(r.status())});
    years.column("year").column("events", Side::right).column("until").column("").column("longest by");
    for (const auto& y : v.years)
        years.row({std::to_string(y.year), std::to_string(y.events), y.until ? date_text(*y.until) : "-",
                   std::string(status_of(y)), y.by ? y.by->rule->clause : ""});
    Table left;
    left.column("technician").column("left").column("certificate kept until");
    for (const auto& l : v.left) left.row({l.technician, date_text(l.on), date_text(l.until)});
    return "How long records are to be kept\n" + rules.text() + "\n" + years.text() + "\n" +
           (v.left.empty() ? "" : left.text() + "\n") +
           wrapped(
               "A year is kept by the longest period that counts from a record. What counts from a retirement (full "
               "charges and their revisions) is kept while the appliance is in use, and that long afterwards. Nothing "
               "is ever deleted from the book; to archive is to keep a copy elsewhere (export year, seal).",
               0) +
           wrapped("rules applied: " + spoken.text(), 0) + wrapped(year_reserve(), 0);
}

Json retention_json(const RetentionView& v) {
    Json page = versioned(), rules = Json::array(), years = Json::array();
    for (const auto& r : v.records) {
        Json j = Json::object();
        j.add("records", Json::text(r.terms().what))
            .add("keep", Json::text(r.terms().keep.text()))
            .add("counted_from", Json::text(r.terms().counted_from))
            .add("pack", Json::text(r.pack->id))
            .add("rule", Json::text(r.rule->id))
            .add("clause", Json::text(r.rule->clause))
            .add("status", Json::text(r.status()));
        rules.push(std::move(j));
    }
    for (const auto& y : v.years) {
        Json j = Json::object();
        j.add("year", Json::whole(y.year))
            .add("events", Json::whole(y.events))
            .add("until", y.until ? Json::text(date_text(*y.until)) : Json::null())
            .add("may_be_archived", Json::boolean(y.archivable))
            .add("rule", y.by ? Json::text(y.by->rule->id) : Json::null());
        years.push(std::move(j));
    }
    Json left = Json::array();
    for (const auto& l : v.left) {
        Json j = Json::object();
        j.add("technician", Json::text(l.technician))
            .add("left", Json::text(date_text(l.on)))
            .add("certificate_kept_until", Json::text(date_text(l.until)));
        left.push(std::move(j));
    }
    page.add("rules", std::move(rules)).add("years", std::move(years)).add("technicians_left", std::move(left));
    return page;
}

std::string retention_csv(const RetentionView& v) {
    Csv csv({"year", "events", "until", "may_be_archived", "rule", "clause", "status"});
    for (const auto& y : v.years)
        csv.row({std::to_string(y.year), std::to_string(y.events), y.until ? date_text(*y.until) : "",
                 y.archivable ? "true" : "false", y.by ? y.by->rule->id : "", y.by ? y.by->rule->clause : "",
                 y.by ? std::string(y.by->status()) : ""});
    return csv.page();
}

}  // namespace
}  // namespace report

Page retention_page(const Book& book, const PageOptions& options) {
    const auto view = report::retention_of(book, options.now);
    if (options.format == Format::json) return Page{report::retention_json(view).page()};
    if (options.format == Format::csv) return Page{report::retention_csv(view)};
    return Page{report::retention_text(view)};
}

}  // namespace tarebook
