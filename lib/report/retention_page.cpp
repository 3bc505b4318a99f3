#include "tarebook/report/retention_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "columns.hpp"
#include "document.hpp"
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
struct TechnicianLeft {
    std::string technician;
    Date on{}, until{};
};
struct RetentionView {
    YearView packs;
    std::vector<KeptRecords> records;
    std::vector<KeptYear> years;
    std::vector<TechnicianLeft> left;  ///< technicians who left: a copy of the certificate is kept for a time
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

std::string status_of(const KeptYear& y, DisplayUnits /*units*/) {
    return !y.until ? "no rule of the packs says" : y.archivable ? "may be archived" : "must be kept";
}

const Columns<KeptRecords>& record_columns() {
    static const Columns<KeptRecords> columns{
        {"records", "records", [](const KeptRecords& r) { return r.terms().what; }},
        {"keep", "keep", [](const KeptRecords& r) { return r.terms().keep.text(); }},
        {"counted_from", "from", [](const KeptRecords& r) { return r.terms().counted_from; }},
        {"pack", "", [](const KeptRecords& r) { return r.pack->id; }},
        {"rule_id", "", [](const KeptRecords& r) { return r.rule->id; }},
        {"rule", "clause", [](const KeptRecords& r) { return r.rule->clause; }},
        {"status", "status", &KeptRecords::status}};
    return columns;
}

const Columns<KeptYear>& year_columns() {
    static const Columns<KeptYear> columns{
        Column<KeptYear>("year", "year", &KeptYear::year).left(),
        {"number_of_events", "events", &KeptYear::events},
        {"until", "until", &KeptYear::until},
        Column<KeptYear>("may_be_archived", " ", &KeptYear::archivable).shown(status_of),
        {"rule_id", "", [](const KeptYear& y) { return y.by ? y.by->rule->id : ""; }},
        Column<KeptYear>("rule", "longest by", [](const KeptYear& y) { return y.by ? y.by->rule->clause : ""; })
            .no_json()
            .blank(),
        Column<KeptYear>("status", "", [](const KeptYear& y) { return y.by ? y.by->status() : ""; }).no_json()};
    return columns;
}

const Columns<TechnicianLeft>& left_columns() {
    static const Columns<TechnicianLeft> columns{
        {"technician", "technician", &TechnicianLeft::technician},
        {"left", "left", &TechnicianLeft::on},
        {"certificate_kept_until", "certificate kept until", &TechnicianLeft::until}};
    return columns;
}

// "2019 to 2021 may be archived, 5 years must be kept"
std::string retention_answer(const RetentionView& v) {
    std::vector<std::string> free;
    std::int64_t kept = 0, unsaid = 0;
    for (const auto& year : v.years) {
        if (year.archivable) free.push_back(std::to_string(year.year));
        kept += !year.archivable && year.until ? 1 : 0;
        unsaid += year.until ? 0 : 1;
    }
    std::vector<std::string> parts;
    parts.push_back(free.empty() ? "no year may be archived by these rules" : joined(free) + " may be archived");
    if (kept > 0) parts.push_back(fmt::format("{} must be kept", counted(kept, "year")));
    if (unsaid > 0) parts.push_back(fmt::format("no rule of the packs speaks of {}", counted(unsaid, "year")));
    return joined(parts);
}

Document retention_document(const RetentionView& v, DisplayUnits units) {
    SpokenRules spoken;
    for (const auto& r : v.records) spoken.add(*r.pack, *r.rule, r.rule->status);
    Document page("How long records are to be kept", retention_answer(v), ": ");
    page.gap().table(year_columns().table(v.years, units), "Years of the book");
    page.gap().table(record_columns().table(v.records, units), "Records by the rules");
    if (!v.left.empty()) page.gap().table(left_columns().table(v.left, units), "Technicians who left");
    return std::move(
        page.gap()
            .paragraph(
                "A year is kept by the longest period that counts from a record. What counts from a retirement (full "
                "charges and their revisions) is kept while the appliance is in use, and that long afterwards. Nothing "
                "is ever deleted from the book; to archive is to keep a copy elsewhere (export year, seal).")
            .paragraph("rules applied: " + spoken.text())
            .paragraph(year_reserve()));
}

Json retention_json(const RetentionView& v) {
    return page_of("retention", {{"kept_records", record_columns().json(v.records)},
                                 {"years", year_columns().json(v.years)},
                                 {"technicians_left", left_columns().json(v.left)}});
}

}  // namespace
}  // namespace report

Page retention_page(const Book& book, const PageOptions& options) {
    const auto view = report::retention_of(book, options.now);
    if (options.format == Format::json) return Page{report::retention_json(view).page()};
    if (options.format == Format::csv) return Page{report::year_columns().csv(view.years)};
    return Page{report::page_body(report::retention_document(view, options.units), book, options)};
}

}  // namespace tarebook
