#include "session.hpp"

#include <fmt/format.h>
#include <unistd.h>
#include <algorithm>

#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "clock.hpp"
#include "exit_code.hpp"
#include "passphrase.hpp"
#include "progress.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/units/refused.hpp"
#include "terminal.hpp"
#include "wait.hpp"

namespace tarebook::cli {
namespace {

// A word of the shell, quoted if the shell needs it.
std::string quoted(const std::string& word) {
    if (!word.empty() &&
        word.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./:=,+@%") ==
            std::string::npos)
        return word;
    std::string out = "'";
    for (const char c : word) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

Purpose purpose_of(const Book& book) {
    return book.info().practice() ? Purpose::practice : Purpose::real;
}

}  // namespace

void tell_remarks(const Book& book) {
    for (const auto& remark : book.info().remarks) std::cerr << "remark: " << remark << "\n";
}

bool ask_finding(const Finding& finding) {
    return ask_yes(finding.question);
}

bool ask_yes(const std::string& question) {
    std::cerr << question << " [y/N] ";
    std::string answer;
    if (!std::getline(std::cin, answer)) return false;
    return answer == "y" || answer == "Y" || answer == "yes";
}

Stop slip(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {
        {ErrorKind::usage, std::move(name), std::move(what), std::move(seen), std::move(expected), std::move(next)}};
}

void Session::take_reference_data() {
    if (refrigerants)
        data.catalogue = must(Catalogue::with_own(*refrigerants));
    else if (const char* env = std::getenv("TAREBOOK_REFRIGERANTS"); env && *env)
        data.catalogue = must(Catalogue::with_own(env));
    else if (config.refrigerants)
        data.catalogue = must(Catalogue::with_own(*config.refrigerants));
    data.rules = rules_to_begin_with();
    if (rules) data.rules = data.rules.with(must(load_rule_pack(*rules, data.catalogue)));
}

void Session::take_config(const CLI::App& used) {
    if (!units) units = config.units;
    const auto may_say = [&](const char* option) { return used.get_option_no_throw(option) != nullptr; };
    if (!by && may_say("--by")) by = config.by;
    if (!scale && may_say("--scale") && config.scale) scale = config.scale, scale_from_config = true;
}

const ReferenceData& Session::looking_data() const {
    // What checks a book, or copies it checked, finds what every program finds.
    if (rules || !config.packs || command == "check" || command == "backup") return data;
    if (!with_packs) {
        with_packs = data;
        with_packs->rules = data.rules.with(must(load_rule_pack(*config.packs, data.catalogue)));
    }
    return *with_packs;
}

void Session::refuse_own_rules() const {
    if (rules)
        throw slip("rules-for-looking", "a rule pack of your own is for looking", *rules,
                   "due, why, report or export year", "the same without --rules");
}

Text Session::book_named() const {
    if (book_file) return book_file;
    if (const char* env = std::getenv("TAREBOOK"); env && *env) return env;
    return config.book;
}

std::string Session::book_path() const {
    if (const auto named = book_named()) {
        const auto scheme = named->find("://");
        if (scheme != std::string::npos && scheme > 1 && !is_server_address(*named))
            throw slip("book-is-address", "a book is a file, or on a PostgreSQL server, and this is another address",
                       *named, "a file of this machine, or postgresql://HOST/DB",
                       "--book FILE; devices share what they record by `tarebook sync FOLDER`");
        return *named;
    }
    std::filesystem::path folder;
    if (const char* shared = std::getenv("XDG_DATA_HOME"); shared && *shared)
        folder = shared;
    else if (const char* home = std::getenv("HOME"); home && *home)
        folder = std::filesystem::path(home) / ".local" / "share";
    else
        throw slip("no-book", "no book was named and there is no home folder", {}, "--book FILE");
    return (folder / "tarebook" / "shop.tarebook").string();
}

std::optional<SyncFolder> Session::sync_folder(const Book& book) const {
    if (const char* env = std::getenv("TAREBOOK_SYNC"); env && *env)
        return SyncFolder{std::filesystem::absolute(env).lexically_normal(), false};
    if (auto kept = sync_folder_of(book_path())) return kept;
    // The folder of real books is no place for a book to learn with.
    if (config.sync && !book.info().practice()) return SyncFolder{*config.sync, false};
    return std::nullopt;
}

SyncFolder Session::need_sync_folder(const Book& book) const {
    auto out = sync_folder(book);
    if (!out)
        throw slip("sync-folder-unset", "this device has no folder yet", {},
                   "a folder that the other devices see as well",
                   "name it once, it is kept: tarebook sync FOLDER; or in the configuration: sync = FOLDER");
    return *out;
}

void Session::take_clock(Purpose purpose) const {
    if (!clock_set) return;
    if (purpose != Purpose::practice)
        throw slip("clock-set", "TAREBOOK_NOW sets the clock, and that is for practice books alone",
                   instant_text(*clock_set), "this machine's clock, or a practice book",
                   "unset TAREBOOK_NOW; what happened earlier is recorded with --at; a practice book is made with: "
                   "tarebook start --practice");
    now = *clock_set;
}

void Session::take_clock_for(const std::filesystem::path& book) const {
    if (!clock_set) return;
    if (const auto purpose = Book::purpose_of(book)) take_clock(*purpose);
}

void Session::write_heading(Purpose purpose) const {
    if (purpose != Purpose::practice || is_headed) return;
    is_headed = true;
    if (format == "html" || format == "ics") return;  // lib/report writes their heading itself
    if (format == "json" || format == "csv")
        head_stdout(*format == "json" ? Format::json : Format::csv);
    else
        std::cout << fitted_text(practice_words, line_width(STDOUT_FILENO).value_or(unbroken)) << '\n'
                  << std::flush;  // flushed, to appear before the first question
}

Book Session::open(Access access, Shown shown) const {
    if (access == Access::write) {
        refuse_format(format, Has::no_more);  // before anything is recorded
        return open_for_page();
    }
    if (shown == Shown::as_it_is) leave_stdout_as_it_is();
    take_clock_for(book_path());
    auto book = Book::open(book_path(), access, looking_data(), wait_for_book);
    tell_remarks(book);
    if (shown == Shown::headed) write_heading(purpose_of(book));
    say_visit();
    book.hold_still();  // a page shows one moment
    if (shown == Shown::headed) say_judged_anew(book);
    asked.show_times_in(book.info().zone);
    return book;
}

void Session::say_judged_anew(const Book& book) const {
    const auto how_far = being_judged_anew(book);
    if (!how_far) return;
    if (!format || format == "text")
        std::cout << how_far->text() << "\n\n";  // above all else: the page may be of before
    else if (format == "json")
        begin_stdout_with("judged_anew", how_far->text());
    else if (format == "csv")
        std::cerr << how_far->text() << "\n";
}

namespace {
// Shows how far it is, for work that a person waits for.
void judge_all(Book& book) {
    ProgressLine progress("judging anew");
    const auto shown = progress.shown();
    judge_anew(book, Judge(book.reference_data(), Notes::left_out), [&](const JudgedAnew& now) {
        if (shown) shown(1.0 - static_cast<double>(now.waiting) / static_cast<double>(now.at_first));
        return true;
    });
    progress.clear();
}
}  // namespace

void Session::judge_on(Book& book) const {
    if (!is_server_address(book.path())) return;
    try {
        std::cout.flush();
        if (has_put_off(book)) return judge_all(book);
        const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(1);
        judge_anew(
            book, Judge(book.reference_data(), Notes::left_out),
            [&](const JudgedAnew&) { return std::chrono::steady_clock::now() < end; }, WhenHeld::leave);
    } catch (const std::exception& e) {  // what was recorded stays so
        if (!has_put_off(book)) return;  // what others made wait
        std::string_view why = e.what();
        if (const auto nothing = why.find(" Nothing was written."); nothing != why.npos) why = why.substr(0, nothing);
        std::cerr << fmt::format("remark: it is recorded, but not all is judged anew yet ({}); next: tarebook refold\n",
                                 why);
    }
}

void Session::judge_first(Book& book) const {
    if (is_server_address(book.path())) judge_all(book);
}

void Session::judge_first_if_it_can(Book& book) const {
    try {
        judge_first(book);
    } catch (const Refused&) {  // NOLINT(bugprone-empty-catch): the recording judges all of the book
    }
}

Book Session::open_for_page() const {
    refuse_own_rules();
    means_to_write = true;
    take_clock_for(book_path());
    auto book = Book::open(book_path(), Access::write, data, wait_for_book, when_older());
    tell_remarks(book);
    write_heading(purpose_of(book));
    say_visit();
    must(book.set_typing(typing()));
    give_passphrase(book);
    asked.show_times_in(book.info().zone);
    return book;
}

Typing Session::typing() const {
    Typing out{typist, {}};
    if (const char* env = std::getenv("TAREBOOK_TYPIST"); !out.name && env && *env) out.name = env;
    if (!out.name) out.name = config.typist;
    if (out.name) out.device = config.device ? *config.device : visitor().device;
    return out;
}

WhenOlder Session::when_older() const {
    WhenOlder when;
    if (has_terminal)
        when.may_upgrade = [](const UpgradePlan& plan) {
            return ask_yes(
                fmt::format("an older Tarebook wrote the book {}. It must be upgraded before anything is recorded: {}. "
                            "What it is now is kept in {}, without the signing key. Upgrade it now?",
                            plan.book.string(), cost_text(plan), plan.copy.string()));
        };
    return when;
}

void Session::give_passphrase(Book& book) const {
    if (!book.key_is_locked()) return;
    if (const auto given = passphrase_set("TAREBOOK_PASSPHRASE"))
        book.use_passphrase(*given);
    else if (has_terminal)
        book.use_passphrase(ask_passphrase("passphrase of the book"));
}

void Session::refuse_format(const Text& format_asked, Has has) const {
    const auto* formats = has == Has::no_more   ? "text|json|csv"
                          : has == Has::browser ? "text|json|csv|html"
                                                : "text|json|csv|html|xlsx";
    if (format_asked == "html" && has == Has::no_more)
        throw slip("format-html", "there is no page of this for a browser", "html", formats,
                   "report, due, list exceptions, room, pt, circuit show, why and books have one");
    if (format_asked == "xlsx" && has != Has::sheets)
        throw slip("format-xlsx", "there are no sheets of this for a spreadsheet", "xlsx", formats,
                   "due, list exceptions, and of report: inventory, cylinder, appliance, site, year, stock and invoice "
                   "have them");
}

PageOptions Session::options_in(const Text& format_asked, const Book* book, Has has) const {
    refuse_format(format_asked, has);
    PageOptions o{Format::text, book ? book->info().units : DisplayUnits::lb, now};
    if (units) o.units = *units == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
    if (format_asked == "json") o.format = Format::json;
    if (format_asked == "csv") o.format = Format::csv;
    if (format_asked == "html") o.format = Format::html;
    if (format_asked == "xlsx") o.format = Format::xlsx;
    if (o.format != Format::html && o.format != Format::xlsx) o.width = line_width(STDOUT_FILENO).value_or(usual_text);
    return o;
}

PageOptions Session::report_options(const Book& book) const {
    return options_in(format, &book, Has::browser);
}

PageOptions Session::options_without_book_in(const Text& format_asked, Has has) const {
    auto o = options_in(format_asked, nullptr, has);
    if (units) return o;
    try {
        const auto path = book_path();
        if (is_server_address(path) || std::filesystem::exists(path))
            o.units = Book::open(path, Access::read, data).info().units;
    } catch (const Stop&) {          // no book is named, or its folder is not known
    } catch (const StorageError&) {  // a book that cannot be read has its own commands to say so
    } catch (const std::filesystem::filesystem_error&) {
    }
    return o;
}
PageOptions Session::page_options_without_book() const {
    return options_without_book_in(format, Has::no_more);
}

PageOptions Session::page_options(const Book* book) const {
    return options_in(format, book, Has::no_more);
}

Event Session::draft(const Book& book, What what, const std::string& site) const {
    check_site(site);
    Event e;
    e.what = std::move(what);
    e.recorded = now;
    e.by = by;
    e.job = job;
    // The scale of a visit, or of the configuration, is of what was weighed alone.
    const bool was_typed = !scale_from_config && !(visit && visit->scale == scale);
    if (scale_used || was_typed) e.scale = scale_of_event();
    e.own_id = own_id;
    e.note = note;
    e.when = moment(book, site);
    return e;
}

Moment Session::moment(const Book& book, const std::string& site) const {
    std::string zone = book.info().zone;
    if (!site.empty())
        if (const auto* entry = book.entries().find(EntryKind::site, site))
            if (const auto z = entry->text("zone", {now, {}, 0})) zone = *z;
    if (!at) return must(moment_in_zone(now, zone));
    auto when = parse_moment(*at, zone, now);
    if (!when && when.error().name == "time-ambiguous" && has_terminal) {
        std::cerr << when.error().what << "\n";
        when = parse_moment(need({}, "--at", when.error().expected), zone, now);
    }
    return must(std::move(when));
}

Event Session::like(const Event& draft, What what) const {
    Event out = draft;
    out.what = std::move(what);
    return out;
}

Weight Session::weight(const Book& book, const std::string& text) const {
    scale_used = true;
    return must(parse_weight(text, scale ? reads_of_scale(book, *scale) : ScaleReads::unknown));
}
std::optional<Weight> Session::weight(const Book& book, const Text& text) const {
    if (!text) return std::nullopt;
    return weight(book, *text);
}

std::string Session::need(const Text& value, const Question& q) const {
    if (value) return *value;
    if (has_terminal) {
        asked.begin(book_path(), command, words, now);
        if (auto answer = asked.answer(q)) return *answer;
    }
    throw slip("flag-missing", fmt::format("{} is missing", q.flag), {}, q.text,
               asked.holds_answers() ? "what was answered is kept: the same command goes on with it"
                                     : fmt::format("tarebook {} --help", command));
}

std::string Session::reason(const Text& value, const char* flag, const std::string& question) const {
    auto given = need(value, flag, question);
    if (given.find_first_not_of(" \t") == std::string::npos)
        throw slip("reason-empty", fmt::format("{} is empty", flag), {}, question);
    return given;
}

int Session::record_and_tell(Book& book, std::vector<Event> drafts) const {
    return record_and_tell(book, [&]() -> Result<std::vector<Event>> { return drafts; });
}

int Session::record_and_tell(Book& book, const MakeDrafts& make) const {
    RecordOptions options{.anyway = anyway};
    if (has_terminal) options.ask = ask_finding;
    const auto recorded = record_made(book, make, options);
    if (!recorded) {
        auto error = recorded.error();
        const bool overridable = error.name == "entry-holds-gas" || [&] {
            for (const auto& check : all_checks())
                if (check.name == error.name) return true;
            return false;
        }();
        if (error.kind == ErrorKind::refused && overridable && !anyway) {
            std::string line;
            for (const auto& word : words) line += quoted(word) + " ";
            error.next += fmt::format("{}if it did happen, record it with the reason:\n        {}--anyway \"reason\"",
                                      error.next.empty() ? "" : "\n        ", line);
        }
        throw Stop{error};
    }
    asked.done();
    if (recorded.only_already()) {
        std::cout << "already recorded as " << recorded.first().name << "; nothing was written\n";
        return exit_done;
    }
    tell_recorded(book, recorded);
    judge_on(book);
    return recorded.has_exceptions() ? exit_exceptions : exit_done;
}

// The next person who uses a cylinder is told of a recovery into it that was begun and is not finished.
std::string Session::begun_notes(const Book& book, const Recorded& recorded) const {
    std::string out;
    std::vector<std::string> told;
    for (const auto& stored : recorded.events)
        for (const auto& code : cylinders_of(stored.event)) {
            if (code == finishes || std::find(told.begin(), told.end(), code) != told.end()) continue;
            told.push_back(code);
            const auto entry = begun_entry(book_path(), begun_name(code));
            if (!entry) continue;
            const auto when = must(moment_in_zone(entry->begun, book.info().zone));
            out += fmt::format(
                "note: a recovery into {0} was begun at {1} and is not finished: tarebook recover finish "
                "{0} --after W, or drop {0}\n",
                code, moment_text(when));
        }
    return out;
}

void Session::tell_recorded(Book& book, const Recorded& recorded) const {
    try {
        book.hold_still();
        auto options = page_options(&book);
        if (visit) options.cautions_seen = &visit->cautions;
        const auto page = recorded_page(book, recorded.events, recorded.outcomes, options);
        std::cout << page.body;
        if (visit && !page.cautions.empty()) {
            try {
                keep_cautions(book_path(), visitor(), visit->job, page.cautions);
            } catch (const StorageError&) {  // the next command shows them in full again
            }
        }
        if (page_options(&book).format == Format::text) std::cerr << begun_notes(book, recorded);
    } catch (const StorageError& e) {
        throw StorageError(fmt::format("it is recorded (as {}), but what the book makes of it cannot be shown: {}",
                                       recorded.events.front().name, e.what()),
                           e.next(), Written::yes);
    }
}

int Session::tell(const Page& page) const {
    std::cout << page.body;
    return page.has_exceptions ? exit_exceptions : exit_done;
}

void add_recording_options(CLI::App& command, Session& session, const char* technician, Work work) {
    auto* group = command.add_option_group("every recording command");
    group->add_option("--at", session.at, "when it happened: 2026-11-25 14:30, or 14:30 today (now)");
    group->add_option(technician, session.by, "technician, as registered");
    group->add_option("--job", session.job, "job or visit number");
    group->add_option(
        "--scale", session.scale,
        "scale, as registered; a bare number takes its unit, and the weight `scale` is read from its port");
    group->add_option("--anyway", session.anyway, "reason: record what would be refused, because it did happen");
    group->add_option("--own-id", session.own_id, "your own id: the same again is recorded once");
    group->add_option("--note", session.note, "a remark");
    if (work == Work::at_the_desk) return;
    group->add_flag("--visit", session.visit_named,
                    "take job, person and scale from the open visit (at a terminal: always)");
    session.field_commands.push_back(&command);
}

}  // namespace tarebook::cli
