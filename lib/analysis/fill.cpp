#include "fill.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>

#include "appliance_rows.hpp"
#include "event_rows.hpp"
#include "level_rows.hpp"
#include "register_rows.hpp"
#include "report/additions.hpp"
#include "report/shared_text.hpp"
#include "report/touched_appliances.hpp"
#include "report/year_view.hpp"
#include "tarebook/report/practice.hpp"
#include "tarebook/units/word_list.hpp"
#include "tarebook/version.hpp"

namespace tarebook::analysis {
namespace {

constexpr std::string_view base_tables[] = {
    "base_ineffective", "base_book",           "base_event", "base_movement",  "base_manifest", "base_finding",
    "base_settlement",  "base_settlement_lot", "base_level", "base_equipment", "base_addition", "base_loss",
    "base_gwp",         "base_register"};

// What the figures hang on beside the book: the program with its catalogue and its packs.
std::string rests_on(const Book& book, const BookMark& mark) {
    return fmt::format("program {}; {}\n{}", version, packs_text(book.rules().packs()), mark.rests_on);
}

void note(AnalystsDb& file, const char* name, const std::string& value) {
    file.db.run("INSERT OR REPLACE INTO about(name, value) VALUES (?, ?)", std::string_view(name), value);
}
std::string noted(AnalystsDb& file, const char* name) {
    return file.db.text("SELECT value FROM about WHERE name = ?", std::string_view(name)).value_or("");
}
std::int64_t noted_number(AnalystsDb& file, const char* name) {
    const auto text = noted(file, name);
    std::int64_t out = 0;
    std::from_chars(text.data(), text.data() + text.size(), out);
    return out;
}

class Filling {
 public:
    Filling(const Book& book, AnalystsDb& file, const BookMark& mark)
        : book_(book),
          file_(file),
          mark_(mark),
          reading_(book),
          events_(book, file),
          levels_(book, file),
          registers_(book, file),
          appliances_(book, file, years_of(mark)) {}

    AnalystsFileWritten all(const Progress& progress) {
        const auto known = static_cast<double>(std::max<std::int64_t>(mark_.events, 1));
        AnalystsFileWritten out;
        out.all = true;
        book_.each_booked([&](const BookedEvent& e) {
            const auto read = reading_.read(e);
            events_.write(e, read);
            appliances_.take(e, read);
            if (++out.events % 4096 == 0 && progress) progress(0.6 * static_cast<double>(out.events) / known);
        });
        out.looked_at = out.events;
        std::vector<KnownException> of_one;
        const auto write = [&] {
            if (!of_one.empty()) events_.write_findings(of_one.front().event_id, of_one);
            of_one.clear();
        };
        book_.each_exception(report::beginning, Date(std::chrono::year(9999) / 12 / 31), [&](KnownException&& x) {
            if (!of_one.empty() && of_one.front().event_id != x.event_id) write();
            of_one.push_back(std::move(x));
        });
        write();
        if (progress) progress(0.65);
        levels_.write_all();
        if (progress) progress(0.85);
        registers_.write_all();
        appliances_.write_all();
        write_potentials();
        finish(out);
        return out;
    }

    AnalystsFileWritten changed(const BookChanges& changes) {
        AnalystsFileWritten out;
        out.looked_at = static_cast<std::int64_t>(changes.events.size());
        const std::unordered_set<std::int64_t> events(changes.events.begin(), changes.events.end());
        std::unordered_set<std::int64_t> here;
        std::set<std::string> appliances, sites;
        const report::TouchedAppliances touched(book_);
        const auto touched_by = [&](const Event& event) -> const std::set<std::string>& {
            appliances.clear();
            touched.of(event, appliances, sites);
            return appliances;
        };
        book_.each_booked_of(changes.events, [&](const BookedEvent& e) {
            here.insert(e.stored.id);
            const auto read = reading_.read(e);
            events_.write(e, read);
            const auto event = tarebook::read(e.stored).event;
            appliances_.change(event, touched_by(event), &e, &read);
        });
        for (const auto id : changes.events) {
            if (here.contains(id)) {
                events_.write_findings(id, book_.exceptions_of(id));
                continue;
            }
            events_.remove(id);  // its book is not trusted any more
            if (const auto stored = book_.event(id))
                appliances_.change(stored->event, touched_by(stored->event), nullptr, nullptr);
        }
        for (const auto& [cylinder, from] : changes.cylinders) levels_.update(cylinder, from, events);
        for (const auto& [kind, code] : changes.entries) registers_.write(kind, code);
        look_at_all_of(sites);
        appliances_.write_changed();
        if (!sites.empty()) write_potentials();
        finish(out);
        out.events = noted_number(file_, "events");
        return out;
    }

 private:
    // The additions and losses of all appliances at these sites.
    void look_at_all_of(const std::set<std::string>& sites) {
        if (sites.empty()) return;
        const auto look_at = [&](const std::string& code) {
            if (sites.contains(site_of(code))) appliances_.change(code);
        };
        for (const auto& code : book_.codes(EntryKind::appliance)) look_at(code);
        for (auto s = file_.db.ask("SELECT DISTINCT appliance FROM base_loss"); s.next();) look_at(s.text(0));
    }

    void write_potentials() {
        report::YearView view;
        report::take_packs(book_, {}, view);
        const report::GwpSets sets(book_.catalogue(), view.packs);
        Table potentials(file_, "base_gwp", {"gwp_set", "refrigerant", "gwp", "at_least"}, 1, 2);
        for (const auto& set : sets.sets()) {
            potentials.begin(set.set);
            for (const auto list : {Catalogue::compiled(), book_.catalogue().own()})
                for (const auto& gas : list)
                    if (const auto gwp = sets.gwp(std::string(gas.designation), set))
                        potentials.row(set.set, gas.designation, gwp->value, gwp->at_least);
            potentials.end();
        }
        potentials.finish();
    }

    void write_ineffective() {
        std::set<std::pair<std::int64_t, std::int64_t>> before;
        for (auto s = file_.db.ask("SELECT event, by FROM base_ineffective ORDER BY event"); s.next();)
            before.emplace_hint(before.end(), s.integer(0), s.integer(1));
        for (const auto& one : before)
            if (!mark_.ineffective.contains(one))
                file_.db.run("DELETE FROM base_ineffective WHERE event = ?", one.first);
        for (const auto& [event, by] : mark_.ineffective) {
            if (before.contains({event, by})) continue;
            const auto stored = by == 0 ? std::nullopt : book_.event(by);
            file_.db.run("INSERT INTO base_ineffective(event, by, void) VALUES (?, ?, ?)", event, by,
                         stored ? std::optional(bytes_of(stored->digest)) : std::nullopt);
            ++file_.changed_rows;
        }
    }

    void finish(AnalystsFileWritten& out) {
        events_.finish();
        levels_.finish();
        registers_.finish();
        appliances_.finish();
        write_ineffective();
        out.changed_rows = file_.changed_rows;
        const auto years = years_of(mark_);
        note(file_, "book", hex(book_.info().id));
        note(file_, "company", book_.info().company);
        note(file_, "zone", book_.info().zone);
        note(file_, "program", "tarebook " + std::string(version));
        if (book_.info().practice()) note(file_, "practice", std::string(practice_cell(book_.info())));
        note(file_, "reserve", report::year_reserve());
        note(file_, "rests_on", rests_on(book_, mark_));
        note(file_, "events", std::to_string((out.all ? 0 : noted_number(file_, "events")) + events_.more()));
        note(file_, "last_event", fmt::format("{}", fmt::join(mark_.last_ids, " ")));
        note(file_, "last_digest", hex(mark_.last));
        note(file_, "first_year", std::to_string(years.first));
        note(file_, "last_year", std::to_string(years.last));
    }

    const Book& book_;
    AnalystsDb& file_;
    const BookMark& mark_;
    EventReading reading_;
    EventRows events_;
    LevelRows levels_;
    RegisterRows registers_;
    ApplianceRows appliances_;
};

void make_schema(AnalystsDb& file) {
    file.db.script(base_tables_sql());
    for (const auto& view : views()) file.db.script(sql_of(view));
    file.db.script(
        "CREATE TABLE column_list (view_name TEXT NOT NULL, n INTEGER NOT NULL, column_name TEXT NOT NULL, type TEXT "
        "NOT NULL, "
        "description TEXT NOT NULL, PRIMARY KEY (view_name, n)) STRICT, WITHOUT ROWID");
    for (const auto& view : views()) {
        std::int64_t n = 0;
        for (const auto& c : view.columns)
            file.db.run("INSERT INTO column_list VALUES (?, ?, ?, ?, ?)", view.name, ++n, c.name, c.type,
                        c.description);
    }
    file.db.script(
        fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", analysts_application_id, analysts_schema));
}

}  // namespace

std::string made_of(AnalystsDb& file) {
    const bool ours = file.db.integer("PRAGMA application_id") == analysts_application_id &&
                      file.db.integer("PRAGMA user_version") == analysts_schema;
    return ours ? noted(file, "book") : std::string();
}

AnalystsFileWritten make_tables(const Book& book, AnalystsDb& file, const Progress& progress) {
    make_schema(file);
    const auto mark = book.mark();
    return Filling(book, file, mark).all(progress);
}

AnalystsFileWritten update_tables(const Book& book, AnalystsDb& file, const Progress& progress) {
    const auto now = book.mark();
    const auto years = years_of(now);
    BookMark then;
    then.rests_on = now.rests_on;
    const auto last_events = noted(file, "last_event");
    for (const auto& last : split(last_events, ' ')) then.last_ids.push_back(std::atoll(std::string(last).c_str()));
    then.events = now.events;
    then.last = digest_from_hex(noted(file, "last_digest")).value_or(Digest{});
    for (auto s = file.db.ask("SELECT event, by FROM base_ineffective ORDER BY event"); s.next();)
        then.ineffective.emplace_hint(then.ineffective.end(), s.integer(0), s.integer(1));
    BookChanges changes;
    // A file of own refrigerants says nothing by which two of them could be told apart.
    changes.all = noted(file, "rests_on") != rests_on(book, now) || !book.catalogue().own().empty() ||
                  noted_number(file, "first_year") != years.first || noted_number(file, "last_year") != years.last;
    if (!changes.all)
        changes = book.changes_since(then, [&](std::string_view cylinder, const PlaceInFile& from) {
            return LevelRows::seen(file, cylinder, from);
        });
    file.fresh = changes.all;
    if (!changes.all) return Filling(book, file, now).changed(changes);
    for (const auto table : base_tables) file.db.script(fmt::format("DELETE FROM {}", table));
    return Filling(book, file, now).all(progress);
}

}  // namespace tarebook::analysis
