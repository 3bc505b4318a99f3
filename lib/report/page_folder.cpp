#include "tarebook/report/page_folder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <deque>
#include <functional>
#include <set>

#include "document.hpp"
#include "gathered.hpp"
#include "morning.hpp"
#include "page_links.hpp"
#include "shared_text.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/report/books_page.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/new_file.hpp"
#include "year_reading.hpp"

namespace tarebook {
namespace report {
namespace {

namespace fs = std::filesystem;
constexpr std::string_view list_name = ".tarebook-pages", index_name = "index.html";
constexpr std::string_view list_head = "tarebook pages 1";

// What the folder has, by the last run.
struct PageList {
    std::string about;                    // book, question, program: another one's pages are not mixed with these
    std::string day;                      // the day of that run: later ones see other things late
    std::vector<std::int64_t> last_rows;  // of the book then; none: that run did not come to its end
    std::int64_t latest = 0;              // seconds of the latest event then
    std::set<std::string> files;
};

std::optional<PageList> read_list(const fs::path& folder) {
    constexpr std::size_t longest = 64U << 20U;
    const auto text = read_whole((folder / list_name).string(), longest);
    if (!text) return std::nullopt;
    const auto lines = split(*text, '\n');
    PageList out;
    if (lines.size() < 5 || lines[0] != list_head) return out;
    out.about = lines[1];
    out.day = lines[2];
    const auto number = [](std::string_view words, std::int64_t& into) {
        return std::from_chars(words.data(), words.data() + words.size(), into).ec == std::errc();
    };
    for (const auto word : split(lines[3], ' ')) {
        std::int64_t row = 0;
        if (number(word, row) && row > 0) out.last_rows.push_back(row);
    }
    if (!number(lines[4], out.latest)) out.last_rows.clear();
    // The folder may be on a share, and the list with it: only a page's own name is ever removed.
    for (std::size_t i = 5; i < lines.size(); ++i)
        if (lines[i].ends_with(".html") && lines[i].find_first_of("/\\") == std::string_view::npos)
            out.files.emplace(lines[i]);
    return out;
}

struct Failed {
    Error error;
};

[[noreturn]] void not_written(const fs::path& path) {
    throw Failed{{ErrorKind::refused, "pages-folder", fmt::format("a page cannot be written: {}", std::strerror(errno)),
                  path.string(), "a folder that can be written to, with room",
                  "what is written stays; the same command goes on with the rest"}};
}

void write_file(const fs::path& path, std::string_view bytes) {
    NewFile file(path, Readers::by_umask);
    file.write(bytes);
    if (file.replace_for_now() != Named::yes) not_written(path);
}

void write_list(const fs::path& folder, const PageList& list) {
    std::string text = fmt::format("{}\n{}\n{}\n{}\n{}\n", list_head, list.about, list.day,
                                   fmt::join(list.last_rows, " "), list.latest);
    for (const auto& file : list.files) text += file + "\n";
    write_file(folder / list_name, text);
}

bool has_bytes(const fs::path& path, std::string_view bytes) {
    std::error_code error;
    if (fs::file_size(path, error) != bytes.size() || error) return false;
    const auto there = read_whole(path.string(), bytes.size());
    return there && *there == bytes;
}

// One page of the folder.
struct Planned {
    std::string file;
    std::string subject;  // the code that it is about; empty: of the whole book, made at each run
    std::function<Result<Page>(const PageOptions&)> make;
    std::function<std::optional<StoredEvent>()> last_event;
};

struct Plan {
    PageLinks links;
    std::vector<Planned> pages;
    std::vector<std::pair<std::string, std::string>> lists;  // file and words, for the index
    std::vector<std::chrono::year> years;
    std::vector<std::string> older_jobs;  // without a page, the newest first; some of them
};

std::string event_words(const std::optional<StoredEvent>& stored) {
    return stored ? fmt::format("{}, {}", stored->name, moment_text(stored->event.when)) : std::string();
}

std::optional<StoredEvent> last_flow_at(const Book& book, std::string_view prefix) {
    const auto day = book.last_flow_day(prefix);
    if (!day) return std::nullopt;
    const auto flows = book.flows(prefix, *day, *day);
    return flows.empty() ? std::nullopt : book.event(flows.back().event_id);
}

// As many jobs have a page: the newest ones. A book may have hundreds of thousands.
constexpr std::size_t most_jobs = 2000;
// How many older ones are looked at for what had a page before.
constexpr std::size_t jobs_behind = 1000;

constexpr std::chrono::days days_ahead{400};

// What pages have in common. Its parts are read once the pages to make are known.
struct Common {
    Common(const Book& book, const YearScope& scope) : book_(book), scope_(scope) {}

    // `years`: whose pages are to be made. `all`: most appliances are.
    void read(const std::vector<std::chrono::year>& years, bool all, const PagesQuestion& q, Date today) {
        const auto seals = years.empty() ? std::vector<StoredEvent>() : book_.events_of_kind(kinds::Seal::name);
        for (const auto year : years) readings_.emplace_back(book_, scope_, year, seals);
        if (all || !years.empty()) walk_.emplace(book_, readings_);
        for (std::size_t i = 0; i < years.size(); ++i) year_.emplace(years[i], &readings_[i]);
        gathered_.emplace(Gathered{{}, LeakLog(book_), walk_ ? &walk_->equipment : nullptr});
        gathered_->findings = findings_by_event(book_);
        gathered_->clocks = clock_summary(
            book_, {today, today + days_ahead, clocks_of_a_page, q.day.kept, walk_ ? &walk_->equipment : nullptr});
    }
    [[nodiscard]] const Gathered& gathered() const { return *gathered_; }
    [[nodiscard]] Page year_page(std::chrono::year year, const PageOptions& options) const {
        return year_.at(year)->page(walk_->equipment, gathered_->log, options);
    }

 private:
    const Book& book_;
    const YearScope& scope_;
    std::deque<YearReading> readings_;
    std::map<std::chrono::year, YearReading*> year_;
    std::optional<YearWalk> walk_;
    std::optional<Gathered> gathered_;
};

// A year of a large book is read for seconds: its page is made with the first folder of a day, and names the event that
// was the last one then.
bool years_once_a_day(std::int64_t events) {
    constexpr std::int64_t large_book = 200'000;
    return events >= large_book;
}

std::string year_file(std::chrono::year year) {
    return fmt::format("year-{}.html", static_cast<int>(year));
}

class Planner {
 public:
    Planner(const Book& book, const PagesQuestion& q, const YearScope& scope, Date today, const Common& common)
        : book_(book), question_(q), scope_(scope), today_(today), common_(common) {}

    Plan made() {
        plan_.links.file_for("", "");  // no page has an empty name
        if (scope_.all()) add_cylinders();
        add_equipment();
        if (!scope_.owner) add_jobs();
        add_lists();
        return std::move(plan_);
    }

 private:
    [[nodiscard]] bool in_scope(const std::string& site) const {
        if (scope_.site) return site == *scope_.site;
        if (!scope_.owner) return true;
        const auto* entry = book_.entries().find(EntryKind::site, site);
        return entry && entry->text("owner", order_at(Instant::max())) == scope_.owner;
    }
    std::string add(std::string_view kind, const std::string& code,
                    std::function<Result<Page>(const PageOptions&)> make,
                    std::function<std::optional<StoredEvent>()> last) {
        auto file = plan_.links.file_for(kind, code);
        plan_.pages.push_back({file, code, std::move(make), std::move(last)});
        return file;
    }
    void add_list(const char* file, std::string words, std::function<Result<Page>(const PageOptions&)> make) {
        plan_.pages.push_back({file, "", std::move(make), [] { return std::nullopt; }});
        plan_.lists.emplace_back(file, std::move(words));
    }

    void add_cylinders() {
        std::set<std::string> places;
        book_.each_cylinder([&](CylinderNow&& cylinder) {
            const auto& code = cylinder.code;
            const auto place = cylinder.place();
            if (!place.empty() && !cylinder.state.gone) places.insert(place);
            plan_.links.add(code, add(
                                      "cylinder", code,
                                      [this, code](const PageOptions& o) { return cylinder_page(book_, code, o); },
                                      [this, code]() -> std::optional<StoredEvent> {
                                          const auto step = book_.last_step(code);
                                          return step ? book_.event(step->event_id) : std::nullopt;
                                      }));
        });
        for (const auto& place : places)
            plan_.links.add(
                place, add(
                           "place", place, [this, place](const PageOptions& o) { return truck_page(book_, place, o); },
                           [] { return std::nullopt; }));
    }
    void add_equipment() {
        const auto new_year = Date(std::chrono::year_month_day(today_).year() / 1 / 1);
        for (const auto& site : book_.codes(EntryKind::site)) {
            if (!in_scope(site)) continue;
            sites_.push_back(site);
            plan_.links.add(site, add(
                                      "site", site,
                                      [this, site, new_year](const PageOptions& o) {
                                          return site_page(book_, site, new_year, new_year + std::chrono::days(365), o);
                                      },
                                      [this, site] { return last_flow_at(book_, site); }));
        }
        for (const auto& appliance : book_.codes(EntryKind::appliance)) {
            if (!in_scope(site_of(appliance))) continue;
            const auto file = add(
                "appliance", appliance,
                [this, appliance](const PageOptions& o) { return appliance_page(book_, appliance, o); },
                [this, appliance] { return last_flow_at(book_, appliance); });
            plan_.links.add(appliance, file);
            files_[appliance] = file;
        }
        for (const auto& circuit : book_.codes(EntryKind::circuit))
            if (const auto file = files_.find(appliance_of(circuit)); file != files_.end())
                plan_.links.add(circuit, file->second);
    }
    [[nodiscard]] bool job_is_in_scope(const std::string& job) const {
        if (!scope_.site) return true;
        const auto events = book_.events_of_job(job);
        return std::all_of(events.begin(), events.end(), [&](const StoredEvent& stored) {
            const auto circuit = circuit_named_by(stored.event);
            return !circuit.empty() && site_of(circuit) == *scope_.site;
        });
    }
    void add_jobs() {
        auto jobs = book_.jobs(most_jobs + jobs_behind);
        for (const auto& job : jobs)
            if (job_is_in_scope(job.job)) jobs_.emplace_back(job.job, job.last);
        if (jobs_.size() > most_jobs) {
            for (auto i = most_jobs; i < jobs_.size(); ++i) plan_.older_jobs.push_back(jobs_[i].first);
            jobs_.resize(most_jobs);
        }
        std::erase_if(jobs, [&](const Book::KnownJob& known) {
            return std::none_of(jobs_.begin(), jobs_.end(), [&](const auto& job) { return job.first == known.job; });
        });
        // files by code, so that a job's file does not hang on which one was busy last
        std::sort(jobs.begin(), jobs.end(), [](const auto& a, const auto& b) { return a.job < b.job; });
        for (const auto& known : jobs) {
            const auto& job = known.job;
            plan_.links.add_job(job,
                                add(
                                    "job", job, [this, job](const PageOptions& o) { return job_page(book_, job, o); },
                                    [this, job]() -> std::optional<StoredEvent> {
                                        auto events = book_.events_of_job(job);
                                        if (events.empty()) return std::nullopt;
                                        return std::move(events.back());
                                    }));
        }
    }
    void add_lists() {
        if (scope_.all()) {
            add_list("cylinders.html", "every cylinder",
                     [this](const PageOptions& o) { return inventory_page(book_, o); });
            add_list("due.html", "what is open and due", [this](const PageOptions& o) {
                return due_page(book_, {static_cast<int>(days_ahead.count()), {}, false, question_.day.kept}, o);
            });
            add_list("exceptions.html", "what is recorded and not resolved",
                     [this](const PageOptions& o) { return exceptions_page(book_, o); });
            add_list("books.html", "the books that this one knows",
                     [this](const PageOptions& o) { return books_page(book_, o); });
        }
        add_list("equipment.html", "sites and appliances", [this](const PageOptions& o) { return equipment_page(o); });
        if (!scope_.owner)
            add_list("jobs.html", "jobs, the newest first", [this](const PageOptions& o) { return jobs_list(o); });
        const auto this_year = std::chrono::year_month_day(today_).year();
        for (auto year = first_year(); year <= this_year; ++year) add_list_of_year(year);
    }
    void add_list_of_year(std::chrono::year year) {
        const auto name = year_file(year);
        plan_.years.push_back(year);
        plan_.pages.push_back(
            {name, name, [this, year](const PageOptions& o) -> Result<Page> { return common_.year_page(year, o); },
             [this]() -> std::optional<StoredEvent> {
                 return years_once_a_day(book_.event_count()) ? book_.newest_event() : std::nullopt;
             }});
        plan_.lists.emplace_back(name, fmt::format("the year {} in balances", static_cast<int>(year)));
    }
    [[nodiscard]] std::chrono::year first_year() const {
        const auto first = book_.event(1);
        return first ? std::chrono::year_month_day(first->event.when.date()).year()
                     : std::chrono::year_month_day(today_).year();
    }

    [[nodiscard]] Page equipment_page(const PageOptions& o) const {
        Document page("Sites and appliances", "");
        const auto last = order_at(Instant::max());
        Table sites;
        sites.column("site").column("name").column("owner");
        for (const auto& code : sites_) {
            const auto* site = book_.entries().find(EntryKind::site, code);
            const auto text = [&](const char* name) {
                return site ? site->text(name, last).value_or("") : std::string();
            };
            sites.row({code, text("name"), text("owner")});
        }
        page.table(std::move(sites), "Sites");
        Table appliances;
        appliances.column("appliance").column("gas").column("full charge", Side::right);
        for (const auto& [code, file] : files_) {
            const auto place = place_facts(book_.entries(), code, last);
            appliances.typed_row(
                {code, place ? place->refrigerant : "", mass_cell(place ? place->full_charge : std::nullopt, o.units)});
        }
        page.table(std::move(appliances), "Appliances");
        return {page_body(page, book_, o)};
    }
    [[nodiscard]] Page jobs_list(const PageOptions& o) const {
        Document page("Jobs", "the newest first");
        Table table;
        table.column("job").column("last event");
        for (const auto& [job, last] : jobs_) {
            const auto when = moment_in_zone(last, book_.info().zone);
            table.row({job, when ? date_text(when->date()) : ""});
        }
        page.table(std::move(table), "Jobs");
        if (!plan_.older_jobs.empty())
            page.paragraph(fmt::format("the newest {} have a page; an older one: tarebook report job JOB", most_jobs));
        return {page_body(page, book_, o)};
    }

    const Book& book_;
    const PagesQuestion& question_;
    const YearScope& scope_;
    Date today_;
    const Common& common_;
    Plan plan_;
    std::vector<std::string> sites_;
    std::map<std::string, std::string, CodeOrder> files_;  // of appliances
    std::vector<std::pair<std::string, Instant>> jobs_;
};

// Adds what links to a job that has no page any more. False if it is not known which jobs those are.
bool leave_out_old_jobs(const Book& book, const PageList& list, const Plan& plan, std::set<std::string>& out) {
    std::set<std::string_view> now;
    for (const auto& page : plan.pages) now.insert(page.file);
    std::size_t gone = 0;
    for (const auto& file : list.files) gone += file.starts_with("job-") && !now.contains(file) ? 1 : 0;
    for (const auto& job : plan.older_jobs) {
        if (!list.files.contains(page_file("job", job))) continue;
        --gone;
        for (const auto& stored : book.events_of_job(job)) {
            for (auto& code : cylinders_of(stored.event)) out.insert(std::move(code));
            if (const auto circuit = circuit_named_by(stored.event); !circuit.empty()) {
                out.insert(appliance_of(circuit));
                out.insert(site_of(circuit));
            }
        }
    }
    return gone == 0;
}

// The codes whose pages the events since the last run concern; nothing: all pages may be others now.
std::optional<std::set<std::string>> concerned_since(const Book& book, const PageList& list, const Plan& plan) {
    constexpr std::size_t most = 1000;
    if (list.last_rows.empty()) return std::nullopt;
    const auto count = book.event_count();
    const auto rows = book.rows_since(list.last_rows, most);
    if (!rows) return std::nullopt;
    std::set<std::string> out;
    for (const auto row : *rows) {
        const auto stored = book.event(row);
        if (!stored) return std::nullopt;
        const auto& e = stored->event;
        // what is told late, corrects, resolves or comes from elsewhere may change any page
        const bool plain =
            std::holds_alternative<kinds::Recover>(e.what) || std::holds_alternative<kinds::Reuse>(e.what) ||
            std::holds_alternative<kinds::Charge>(e.what) || std::holds_alternative<kinds::Weigh>(e.what) ||
            std::holds_alternative<kinds::Transfer>(e.what) || std::holds_alternative<kinds::Move>(e.what);
        if (!plain || stored->quarantined || e.when.at.time_since_epoch().count() < list.latest || e.branch != 0)
            return std::nullopt;
        if (!years_once_a_day(count))
            for (auto year = std::chrono::year_month_day(e.when.date()).year(); year <= plan.years.back(); ++year)
                out.insert(year_file(year));
        for (auto& code : cylinders_of(e)) out.insert(std::move(code));
        if (const auto circuit = circuit_named_by(e); !circuit.empty()) {
            out.insert(appliance_of(circuit));
            out.insert(site_of(circuit));
        }
        if (e.job) out.insert(*e.job);
    }
    if (!leave_out_old_jobs(book, list, plan, out)) return std::nullopt;
    // places are few, and what rides there is on the pages of its cylinders
    book.each_cylinder([&](CylinderNow&& cylinder) { out.insert(cylinder.place()); });
    return out;
}

std::int64_t latest_of(const Book& book) {
    std::int64_t out = 0;
    book.each_event_back(Instant::max(), 1, "", [&](const StoredEvent& stored) {
        out = stored.event.when.at.time_since_epoch().count();
        return Walk::stop;
    });
    return out;
}

Page index_page(const Book& book, const PagesQuestion& q, const YearScope& scope, const Plan& plan,
                const PageOptions& o) {
    const auto lines = scope.all() ? day_lines(book, q.day, o) : std::vector<DayLine>();
    const auto first_line = scope.all() ? morning_answer(lines) : "pages of the book" + scope.text();
    Document page(book.info().company, first_line);
    if (scope.all()) page.add(morning(book, lines, q.day, o)).heading("All pages");
    Table lists;
    lists.column("pages");
    for (const auto& [file, words] : plan.lists) lists.row({words});
    page.table(std::move(lists), "Pages");
    return {page_body(page, book, o)};
}

class FolderWriter {
 public:
    FolderWriter(fs::path folder, PagesMade& made) : folder_(std::move(folder)), made_(made) {}
    void put(const std::string& file, std::string_view bytes) {
        ++made_.pages;
        if (has_bytes(folder_ / file, bytes)) return;
        write_file(folder_ / file, bytes);
        ++made_.written;
    }

 private:
    fs::path folder_;
    PagesMade& made_;
};

// Who asks for other pages in the same folder, or for those of another book, is told before anything is written.
PageList list_to_begin_with(const fs::path& folder, const std::string& about, const Plan& plan) {
    std::error_code error;
    fs::create_directories(folder, error);
    if (!fs::is_directory(folder, error))
        throw Failed{{ErrorKind::refused,
                      "pages-folder",
                      "there is no such folder, and none can be made",
                      folder.string(),
                      "a folder, or a name for a new one",
                      {}}};
    auto list = read_list(folder);
    if (list && !list->about.empty() &&
        list->about.substr(0, list->about.rfind(" by ")) != about.substr(0, about.rfind(" by ")))
        throw Failed{{ErrorKind::refused, "pages-other", "the pages in this folder are of another book, owner or site",
                      folder.string(), "a folder of its own for each", "name another folder: --to FOLDER"}};
    if (!list) list.emplace();
    const auto is_strange = [&](const std::string& file) {
        return !list->files.contains(file) && fs::exists(fs::symlink_status(folder / file, error));
    };
    for (const auto& page : plan.pages)
        if (is_strange(page.file))
            throw Failed{{ErrorKind::refused, "pages-file", "a file that Tarebook did not make has the name of a page",
                          (folder / page.file).string(), "no such file",
                          "move that file, or name another folder: --to FOLDER"}};
    if (is_strange(std::string(index_name)))
        throw Failed{{ErrorKind::refused, "pages-file", "a file that Tarebook did not make has the name of a page",
                      (folder / index_name).string(), "no such file",
                      "move that file, or name another folder: --to FOLDER"}};
    if (list->about != about) list->last_rows.clear();  // another version of the program: all anew
    return std::move(*list);
}

PagesMade make(const Book& book, const PagesQuestion& q, const YearScope& scope, const fs::path& to,
               const PageOptions& options) {
    const auto today = today_of(book, options.now);
    Common common(book, scope);
    Planner planner(book, q, scope, today, common);
    auto plan = planner.made();
    const auto about = fmt::format("book {}{} in {} by {}", hex(book.info().id), scope.text(),
                                   options.units == DisplayUnits::kg ? "kg" : "lb", q.program);
    auto list = list_to_begin_with(to, about, plan);
    auto concerned = list.day == date_text(today) ? concerned_since(book, list, plan) : std::nullopt;
    // of two codes that differ by capitals alone a third one may change the files
    if (std::any_of(plan.pages.begin(), plan.pages.end(),
                    [](const Planned& page) { return page.file.find("~~") != std::string::npos; }))
        concerned.reset();
    const auto is_to_be_made = [&](const std::string& file, const std::string& subject) {
        std::error_code error;
        return !concerned || subject.empty() || concerned->contains(subject) || !list.files.contains(file) ||
               !fs::exists(to / file, error);
    };
    std::set<std::string_view> to_be_made;
    for (const auto& page : plan.pages)
        if (is_to_be_made(page.file, page.subject)) to_be_made.insert(page.file);
    std::vector<std::chrono::year> years;
    for (const auto year : plan.years)
        if (to_be_made.contains(year_file(year))) years.push_back(year);
    common.read(years, !concerned, q, today);
    const auto before = list.files;
    std::set<std::string> now{std::string(index_name)};
    for (const auto& page : plan.pages) now.insert(page.file);
    list.about = about;
    list.last_rows.clear();
    list.files.insert(now.begin(), now.end());
    write_list(to, list);

    PagesMade made;
    made.index = to / index_name;
    FolderWriter writer(to, made);
    auto& links = plan.links;
    auto linked = options;
    linked.format = Format::html;
    linked.links = &links;
    linked.gathered = &common.gathered();
    for (const auto& page : plan.pages) {
        if (!to_be_made.contains(page.file)) {
            ++made.pages;
            continue;
        }
        links.here = page.file;
        links.concerns = event_words(page.last_event());
        const auto body = page.make(linked);
        if (body) writer.put(page.file, body->body);
    }
    links.here = index_name;
    links.is_index = true;
    for (const auto& [file, words] : plan.lists) links.add_phrase(words, file);
    // the words of the first screen lead to the page that has the rest
    for (const auto& [word, file] : {std::pair{"late", "due.html"},
                                     {"due", "due.html"},
                                     {"OVER", "cylinders.html"},
                                     {"missing", "cylinders.html"},
                                     {"exceptions", "exceptions.html"},
                                     {"book", "books.html"},
                                     {"not sent", "books.html"}})
        if (scope.all()) links.add_phrase(word, file);
    writer.put(std::string(index_name), index_page(book, q, scope, plan, linked).body);

    std::set<std::string> small;
    for (const auto& file : now) small.insert(in_small_letters(file));
    for (const auto& file : before) {
        if (small.contains(in_small_letters(file))) continue;  // one file for a disk that sees no difference
        std::error_code error;
        if (fs::remove(to / file, error)) ++made.removed;
    }
    list.files = now;
    list.day = date_text(today);
    // Events that are judged anew may change any page, and none of them is new.
    if (!being_judged_anew(book)) list.last_rows = book.last_rows();
    list.latest = latest_of(book);
    sync_folder(to);
    write_list(to, list);
    return made;
}

}  // namespace
}  // namespace report

Result<PagesMade> make_pages(const Book& book, const PagesQuestion& question, const std::filesystem::path& to,
                             const PageOptions& options) {
    const auto scope = report::scope_of(book, {{}, question.owner, question.site});
    if (!scope) return fail(scope.error());
    try {
        return report::make(book, question, *scope, to, options);
    } catch (const report::Failed& failed) {
        return fail(failed.error);
    }
}

Page pages_made_page(const PagesMade& made, const PageOptions& options) {
    if (options.format == Format::json)
        return {report::page_of("pages", {{"index", made.index.string()},
                                          {"number_of_pages", made.pages},
                                          {"pages_written", made.written},
                                          {"pages_removed", made.removed}})
                    .page()};
    return {fmt::format("{}: {} pages, {} written{}\n", made.index.string(), made.pages, made.written,
                        made.removed > 0 ? fmt::format(", {} removed", made.removed) : "")};
}

}  // namespace tarebook
