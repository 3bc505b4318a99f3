// visit: opens one, shows what was done and what is missing, switches between two, ends one with the customer's sheet.
#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct OpenVisitOptions {
    Text site, with, place, job_to_switch_to;
    bool discard = false;
};

[[noreturn]] void none_open() {
    throw Stop{{ErrorKind::refused,
                "visit-unknown",
                "no visit is open",
                {},
                "an open visit",
                "tarebook visit SITE --job J --by PERSON"}};
}

VisitQuestion question_of(const Session& s, const OpenVisit& visit) {
    VisitQuestion q;
    q.site = visit.site;
    q.job = visit.job;
    for (const auto& person : {visit.by, visit.with})
        if (person) q.people.push_back(*person);
    q.from = visit.opened.at;
    q.begun = begun_recoveries(s);
    return q;
}

bool is_text(const Session& s) {
    return !s.format || *s.format == "text";
}

void must_be_on_record(const Book& book, EntryKind kind, const Text& code) {
    if (code && !book.entries().find(kind, *code)) throw Stop{unknown_code(book, kind, *code)};
}

Text scale_in_use(const Session& s, const Book& book) {
    Question q{"--scale", "scale in use: bare weights take its unit (- leaves it open)"};
    q.may_be_empty = true;
    for (const auto& code : book.codes(EntryKind::scale)) q.offers.push_back({code, ""});
    if (!s.has_terminal || q.offers.empty()) return {};
    auto scale = s.need({}, q);
    return scale.empty() ? Text() : Text(std::move(scale));
}

int open(const Session& s, const OpenVisitOptions& o) {
    const auto book = s.open(Access::read);
    OpenVisit visit;
    for (const auto& code : book.codes(EntryKind::site))  // small letters for capitals
        if (code.size() == o.site->size() && std::equal(code.begin(), code.end(), o.site->begin(), [](char a, char b) {
                return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
            }))
            visit.site = code;
    if (visit.site.empty()) throw Stop{unknown_code(book, EntryKind::site, *o.site)};
    visit.job = s.need(s.job, "--job", "job number, as on the invoice");
    Question who{"--by", "who does the work (- leaves it open)", latest_persons(book)};
    who.may_be_empty = true;
    visit.by = s.by;
    if (!visit.by && s.has_terminal)
        if (auto by = s.need(s.by, who); !by.empty()) visit.by = std::move(by);
    visit.with = o.with;
    visit.scale = s.scale ? s.scale : scale_in_use(s, book);
    visit.place = o.place;
    must_be_on_record(book, EntryKind::technician, visit.by);
    must_be_on_record(book, EntryKind::technician, visit.with);
    must_be_on_record(book, EntryKind::scale, visit.scale);
    visit.opened = s.draft(book, kinds::Note{}, visit.site).when;
    must(open_visit(s.book_path(), visitor(), visit));
    s.asked.done();
    if (!is_text(s)) return s.tell(visit_page(book, question_of(s, visit), s.report_options(book)));
    std::cout << fmt::format("visit to {} opened at {}: job {}{}{}{}\n", visit.site,
                             moment_text(visit.opened).substr(11), visit.job, visit.by ? ", by " + *visit.by : "",
                             visit.with ? " with " + *visit.with : "", visit.scale ? ", scale " + *visit.scale : "")
              << "commands at a terminal take these from it until: tarebook visit end\n";
    return exit_done;
}

int show(const Session& s, const OpenVisitOptions& o) {
    if (o.site) return open(s, o);
    const auto book = s.open(Access::read);
    const auto visits = open_visits(s.book_path(), visitor());
    if (visits.empty()) none_open();
    const int code = s.tell(visit_page(book, question_of(s, visits.front()), s.report_options(book)));
    if (visits.size() > 1 && is_text(s))
        std::cout << fmt::format("\nalso open: {}, job {}: tarebook visit switch {}\n", visits[1].site, visits[1].job,
                                 visits[1].job);
    return code;
}

int switch_to(const Session& s, const OpenVisitOptions& o) {
    const auto book = s.open(Access::read);
    const auto visits = open_visits(s.book_path(), visitor());
    if (visits.empty()) none_open();
    Text job = o.job_to_switch_to;
    if (!job && visits.size() == 2) job = visits[1].job;  // the other one
    for (const auto& visit : visits)
        if (job == visit.site) job = visit.job;  // the site says as much
    must(switch_visit(s.book_path(), visitor(), s.need(job, "JOB", "job of the visit to go on with")));
    const auto current = open_visits(s.book_path(), visitor()).front();
    if (!is_text(s)) return s.tell(visit_page(book, question_of(s, current), s.report_options(book)));
    std::cout << fmt::format("now: the visit to {}, job {}, open since {}\n", current.site, current.job,
                             moment_text(current.opened));
    return exit_done;
}

int end(const Session& s, const OpenVisitOptions& o) {
    const auto book = s.open(Access::read);
    const auto visits = open_visits(s.book_path(), visitor());
    if (visits.empty()) none_open();
    const auto& visit = visits.front();
    auto question = question_of(s, visit);
    const auto gaps = missing_of_visit(book, question);
    std::vector<std::string> open;
    for (const auto& gap : gaps) {
        open.push_back(gap.what);
        if (is_text(s)) std::cerr << fmt::format("missing: {}\n  {}\n", gap.what, gap.next);
    }
    if (!gaps.empty() && !o.discard && !(s.has_terminal && ask_yes("End the visit anyway?")))
        throw Stop{{ErrorKind::refused, "visit-gaps",
                    fmt::format("the visit to {}, job {}, is not ended: something is missing", visit.site, visit.job),
                    is_text(s) ? fmt::format("{} missing", gaps.size()) : joined(open, "; "),
                    "nothing missing, or --discard", "record what is missing; or tarebook visit end --discard"}};
    question.to = s.now;
    const auto sheet = visit_sheet(book, question, s.report_options(book));
    end_visit(s.book_path(), visitor(), visit.job);
    std::cout << sheet.body;
    if (is_text(s)) std::cerr << fmt::format("the visit to {}, job {}, is ended\n", visit.site, visit.job);
    return exit_done;
}

}  // namespace

std::vector<BegunRecovery> begun_recoveries(const Session& s) {
    std::vector<BegunRecovery> out;
    for (const auto& name : begun_entries(s.book_path(), "begun-"))
        if (const auto entry = begun_entry(s.book_path(), name))
            out.push_back({entry->at("--circuit").value_or(""), entry->at("--into").value_or(""),
                           entry->at("--before").value_or(""), entry->begun});
    return out;
}

void setup_open_visit_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<OpenVisitOptions>();
    auto* c = root.add_subcommand("visit", "one presence at a site: open it, see what is missing, end it with a sheet")
                  ->fallthrough()
                  ->require_subcommand(0, 1);
    c->add_option("site", o->site, "site: opens a visit there; without it the open one is shown");
    c->add_option("--job", s.job, "job number, as on the invoice");
    c->add_option("--by", s.by, "who does the work, as registered");
    c->add_option("--with", o->with, "a second technician");
    c->add_option("--scale", s.scale, "scale, as registered");
    c->add_option("--place", o->place, "where the cylinders at hand are: truck-2");
    c->add_option("--at", s.at, "when it began (now)");
    const auto run = [&s, o](CLI::App* command, int (*what)(const Session&, const OpenVisitOptions&)) {
        command->callback([&s, o, what] {
            if (!s.run) s.run = [&s, o, what] { return what(s, *o); };
        });
    };
    auto* ended = c->add_subcommand("end", "end it: what is missing, and the customer's sheet")->fallthrough();
    ended->add_flag("--discard", o->discard, "end it although something is missing");
    run(ended, end);
    auto* switched = c->add_subcommand("switch", "go on with the other open visit")->fallthrough();
    switched->add_option("to", o->job_to_switch_to, "its job number, or its site");
    run(switched, switch_to);
    run(c, show);  // behind its sub-commands, whose callbacks come first
}

}  // namespace tarebook::cli
