// Questions to the book: room, report, list exceptions, check.
#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <iostream>
#include <memory>

#include "analysis_commands.hpp"
#include "exit_code.hpp"
#include "passphrase.hpp"
#include "session.hpp"
#include "sheets.hpp"
#include "tarebook/report/proof.hpp"
#include "tarebook/units/country.hpp"
#include "year_commands.hpp"

namespace tarebook::cli {
namespace {

struct RoomOptions {
    Text id, refrigerant, wc, tare, gross, could_be, division, spec, country, stamped_limit, stored_at, amount, owner,
        place, job;
    PageFile file;
    bool suspected = false;
};

// `room --for`: which cylinders could take a mass.
int taking(const Session& s, const RoomOptions& o) {
    if (!o.refrigerant)
        throw slip("flag-missing", "which gas are they to take", {}, "room --for 62lb --refrigerant R-448A");
    if (o.id || o.wc || o.tare || o.gross || o.could_be || o.stamped_limit || o.spec || o.country)
        throw slip("flags-together", "--for asks for the cylinders of the book, not for one", {},
                   "room --for 62lb --refrigerant R-448A [--owner O] [--place P] [--job J] [--stored-at T]");
    const auto book = s.open(Access::read);
    TakingQuestion q;
    q.amount = must(parse_weight(*o.amount, ScaleReads::unknown)).mass;
    q.gas = s.refrigerant(*o.refrigerant);
    q.owner = o.owner;
    q.place = o.place;
    q.job = o.job;
    if (o.stored_at) q.stored_at = must(parse_temperature(*o.stored_at));
    return s.tell(taking_page(book, q, s.page_options(&book)));
}

int room(const Session& s, const RoomOptions& o) {
    if (o.amount) return taking(s, o);
    auto mass = [&](const Text& t) -> std::optional<Mass> {
        if (!t) return std::nullopt;
        return must(parse_weight(*t, ScaleReads::unknown)).mass;
    };
    std::optional<Book> book;
    RoomQuestion q;
    q.data = s.looking_data();
    Text id;
    if (o.id || (s.has_terminal && !o.wc && !o.tare && !o.refrigerant && !o.could_be)) {
        book.emplace(s.open(Access::read));
        id = s.need_cylinder(*book, o.id, "ID", "cylinder", {});
        s.asked.done();  // a look-up leaves no answer for the next one
        q = must(room_question_for(*book, *id, s.scale));
    }
    if (o.refrigerant || o.could_be) q.unnamed = false;  // the person names the contents
    if (o.refrigerant) {
        const auto* gas = s.refrigerant(*o.refrigerant);
        const auto& lots = q.state.lots;
        const auto* held = lots.empty() ? nullptr : s.data.catalogue.find(lots.front().key.refrigerant);
        if (held && held != gas)
            throw Stop{{ErrorKind::refused, "room-holds-other",
                        fmt::format("{} holds {}: DO NOT FILL with {}", *id, held->designation, gas->designation),
                        std::string(gas->designation), std::string(held->designation),
                        fmt::format("another cylinder: tarebook room --for W --refrigerant {}", gas->designation)}};
        q.contents = {gas};
    }
    if (o.could_be) {
        q.mixed = true;
        q.contents.clear();  // of nothing that is known
        if (!o.could_be->empty()) q.contents = refrigerants_in(s, *o.could_be);
    }
    if (o.suspected) q.hydrocarbon_or_ammonia_suspected = true;
    if (o.wc) q.facts.water_capacity = must(parse_water_capacity(*o.wc, ScaleReads::unknown));
    if (o.tare) q.facts.tare = mass(o.tare);
    if (o.gross) q.gross = mass(o.gross);
    if (o.division) {
        q.division = mass(o.division);
        q.scale_reads.reset();
    }
    if (o.stored_at) q.stored_at = must(parse_temperature(*o.stored_at));
    if (o.spec) q.facts.spec = o.spec;
    if (o.country) q.facts.country = must(parse_country(*o.country));
    if (o.stamped_limit) q.facts.stamped_limit = mass(o.stamped_limit);
    if (!id && (!o.wc || !o.tare))
        throw slip("flag-missing", "room needs a cylinder of the book, or its figures", {},
                   "room ID, or room --refrigerant R --wc W --tare W");
    const auto* of_book = book ? &*book : nullptr;
    const auto options = o.file.options(s, of_book, Has::browser);
    return o.file.tell(s, must(room_page(q, options, of_book)));
}

struct ReportOptions {
    std::string subject;
    Text cylinder, job;
    Text year, from, to;
    PageFile file;
    bool all = false;
};

std::pair<Date, Date> days_of(const Session& s, const Book& book, const ReportOptions& o) {
    using namespace std::chrono;
    if (o.year && (o.from || o.to))
        throw slip("year-and-days", "a year, or days, not both", *o.year, "--year, or --from and --to");
    if (o.from || o.to) {
        const auto from = o.from ? must(parse_date(*o.from)) : Date(std::chrono::year(1900) / 1 / 1);
        const auto to = o.to ? must(parse_date(*o.to)) : Date(std::chrono::year(9999) / 12 / 31);
        if (to < from)
            throw slip("days-backwards", "the last day is before the first", *o.to,
                       "--from 2026-01-01 --to 2026-12-31");
        return {from, to};
    }
    int y = static_cast<int>(year_month_day(must(moment_in_zone(s.now, book.info().zone)).date()).year());
    if (o.year) y = static_cast<int>(year_typed(*o.year));
    return {Date(year(y) / 1 / 1), Date(year(y) / 12 / 31)};
}

// A head as words, or a file with one.
NotedHead head_typed(const std::string& typed) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(typed, ignored)) return must(parse_noted_head(typed));
    std::ifstream in(typed);
    std::string line;
    std::getline(in, line);
    return must(parse_noted_head(line));
}

int check(const Session& s, bool rebuild, bool quiet, const std::vector<std::string>& against) {
    std::vector<NotedHead> noted;
    for (const auto& typed : against) noted.push_back(head_typed(typed));
    s.refuse_own_rules();
    const Judge judge(s.data, Notes::left_out);
    if (rebuild) {
        auto book = s.open(Access::write);
        book.rebuild(judge);
    }
    auto book = s.open(Access::read);
    // A locked key needs its passphrase; reading does not ask for one.
    if (const auto given = passphrase_set("TAREBOOK_PASSPHRASE")) book.use_passphrase(*given);
    auto result = book.check(judge);
    for (const auto& head : noted) {
        if (auto wrong = contradiction(book, head))
            result.not_as_noted.push_back(*wrong);
        else
            result.remarks.push_back(
                fmt::format("unchanged up to event {}: its digest is the one that was noted", head.seq));
    }
    const bool good = result.problems.empty() && result.not_as_noted.empty();
    if (!good || !quiet) std::cout << check_page(result, s.page_options(&book)).body;
    return good ? exit_done : exit_storage;
}

}  // namespace

void setup_report_commands(CLI::App& root, Session& s) {
    auto r = std::make_shared<RoomOptions>();
    auto* c = root.add_subcommand("room", "how much still fits: STOP AT")->fallthrough();
    c->add_option("id", r->id, "cylinder");
    c->add_option("--refrigerant", r->refrigerant, "what is or goes in it");
    c->add_option("--wc", r->wc, "water capacity, as stamped: 47.6lb, 21.6kg, 21.6L");
    c->add_option("--tare", r->tare, "tare, as stamped");
    c->add_option("--gross", r->gross, "what the scale shows now");
    c->add_option("--could-be", r->could_be, "what it may be: R-22,R-404A");
    c->add_option("--division", r->division, "division of the scale");
    c->add_option("--scale", s.scale, "scale in use: its division, in its unit (that of the last weighing)");
    c->add_option("--stored-at", r->stored_at, "how warm it gets where it will stand: 140F");
    c->add_option("--for", r->amount, "which cylinders take this much: 62lb");
    c->add_option("--owner", r->owner, "with --for: whose gas it is");
    c->add_option("--place", r->place, "with --for: only cylinders there");
    c->add_option("--job", r->job, "with --for: what is held for this job counts, too");
    c->add_option("--spec", r->spec, "specification mark");
    c->add_option("--country", r->country, "country in which it is filled, two letters: DE (US, or as on record)");
    c->add_option("--stamped-limit", r->stamped_limit, "net limit stamped on the cylinder for this gas");
    r->file.add_option(*c);
    c->add_flag("--hydrocarbon-or-ammonia-suspected", r->suspected, "what is in it may be one of these");
    c->callback([&s, r] { s.run = [&s, r] { return room(s, *r); }; });

    auto o = std::make_shared<ReportOptions>();
    auto* report =
        root.add_subcommand("report", "a cylinder, a job, an appliance, a site, a year, the inventory, the stock")
            ->require_subcommand(1)
            ->fallthrough();
    c = report->add_subcommand("cylinder", "what is in it, whose, and how it came there")->fallthrough();
    c->add_option("id", o->cylinder, "cylinder");
    o->file.add_option(*c);
    c->add_flag("--all", o->all, "every event, not the newest thirty (JSON and CSV always have all)");
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            auto options = o->file.options(s, book);
            options.whole_history = o->all;
            const auto code = s.need_cylinder(book, o->cylinder, "ID", "cylinder", {});
            s.asked.done();
            return o->file.tell(s, must(cylinder_page(book, code, options)));
        };
    });
    c = report->add_subcommand("job", "what the owner gets at the end of the visit")->fallthrough();
    c->add_option("job", o->job, "job number");
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto job = s.need(o->job, {"JOB", "job number", latest_jobs(book)});
            s.asked.done();
            const auto options = o->file.options(s, book, Has::browser);
            return o->file.tell(s, must(job_page(book, job, options)));
        };
    });
    c = report->add_subcommand("visit", "the customer's sheet of a job's last day, to print and sign")->fallthrough();
    c->add_option("job", o->job, "job number");
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto job = s.need(o->job, {"JOB", "job number", latest_jobs(book)});
            s.asked.done();
            const auto options = o->file.options(s, book, Has::browser);
            return o->file.tell(s, visit_sheet(book, must(last_visit_of_job(book, job)), options));
        };
    });
    c = report->add_subcommand("invoice", "what an invoice of a job lists: gas, credits, parts, hours")->fallthrough();
    c->add_option("job", o->job, "job number");
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto job = s.need(o->job, {"JOB", "job number", latest_jobs(book)});
            s.asked.done();
            const auto options = o->file.options(s, book);
            return o->file.tell(s, must(invoice_page(book, job, options)));
        };
    });
    c = report->add_subcommand("event", "all that is to be said of one event")->fallthrough();
    c->add_option("event", o->subject, "event: E12 (this book's newest)");
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto event = o->subject.empty() ? fmt::format("E{}", book.head().seq) : o->subject;
            return s.tell(must(event_page(book, event, s.page_options(&book))));
        };
    });
    c = report->add_subcommand("appliance", "its additions, their leak rates, and how much more may be added")
            ->fallthrough();
    c->add_option("appliance", o->subject, "appliance: SITE/APPLIANCE")->required();
    c->add_flag("--all", o->all, "every addition and clock, not thirty of each (JSON and CSV always have all)");
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            auto options = o->file.options(s, book);
            options.whole_history = o->all;
            return o->file.tell(s, must(appliance_page(book, o->subject, options)));
        };
    });
    c = report->add_subcommand("site", "recovered, reused, charged, net in; per circuit and appliance")->fallthrough();
    c->add_option("site", o->subject, "site")->required();
    c->add_option("--year", o->year, "a calendar year (this one)");
    c->add_option("--from", o->from, "first day");
    c->add_option("--to", o->to, "last day");
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto [from, to] = days_of(s, book, *o);
            const auto options = o->file.options(s, book);
            return o->file.tell(s, must(site_page(book, o->subject, from, to, options)));
        };
    });
    add_report_year(*report, s);
    c = report->add_subcommand("truck", "what rides there, gross, and what to look at before it moves")->fallthrough();
    c->add_option("place", o->subject, "place of the cylinders")->required();
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto options = o->file.options(s, book, Has::browser);
            return o->file.tell(s, must(truck_page(book, o->subject, options)));
        };
    });
    c = report->add_subcommand("inventory", "every cylinder, and totals by refrigerant and owner")->fallthrough();
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto options = o->file.options(s, book);
            return o->file.tell(s, inventory_page(book, options));
        };
    });
    c = report->add_subcommand("stock", "the shop's own gas by place and price, and what is under its level")
            ->fallthrough();
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto options = o->file.options(s, book);
            return o->file.tell(s, stock_page(book, options));
        };
    });
    auto count = std::make_shared<Text>();
    c = report->add_subcommand("count", "a count against the scale: gaps per cylinder and per refrigerant")
            ->fallthrough();
    c->add_option("count", *count, "the event that began it: E31 (the one that is open, else the latest)");
    c->callback([&s, count] { s.run = [&s, count] { return show_stocktake(s, *count); }; });
    auto* list = root.add_subcommand("list", "lists: exceptions")->require_subcommand(1)->fallthrough();
    c = list->add_subcommand("exceptions", "exceptions that are not resolved")->fallthrough();
    o->file.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto book = s.open(Access::read);
            const auto options = o->file.options(s, book);
            return o->file.tell(s, exceptions_page(book, options));
        };
    });
    auto* exported = root.add_subcommand("export", "what leaves the book as files: events, a year, tables")
                         ->require_subcommand(1)
                         ->fallthrough();
    auto since = std::make_shared<Text>();
    c = exported
            ->add_subcommand("events",
                             "every event in order of time, one a line: CSV, or JSON Lines with --format json")
            ->fallthrough();
    c->add_option("--since", *since, "YYYY-MM-DD: without the events of earlier local days");
    c->callback([&s, since] {
        s.run = [&s, since] {
            const auto first = *since ? std::optional(must(parse_date(**since))) : std::nullopt;
            // The JSON lines are the events themselves, and the first one states that the book is for practice.
            const auto book = s.open(Access::read, s.format == "json" ? Shown::as_it_is : Shown::headed);
            export_events(
                book, s.page_options(&book).format, [](std::string_view piece) { std::cout << piece; }, first);
            return exit_done;
        };
    });
    add_export_year(*exported, s);
    add_analysis_exports(*exported, s);
    auto rebuild = std::make_shared<bool>(false);
    c = root.add_subcommand("check", "verify the book: digests, chain, fold, balances; silence is good news")
            ->fallthrough();
    c->add_flag("--rebuild", *rebuild, "first make all balances anew from the events");
    auto against = std::make_shared<std::vector<std::string>>();
    c->add_option(
        "--against", *against,
        "a head that was noted, number and digest in one word (E12:9f2c41d07a55e0b1), or a file of books head");
    auto quiet = std::make_shared<bool>(false);
    c->add_flag("--quiet", *quiet, "print nothing where the book is in order: for a job that mails what is printed");
    c->callback([&s, rebuild, quiet, against] {
        s.run = [&s, rebuild, quiet, against] { return check(s, *rebuild, *quiet, *against); };
    });
}

}  // namespace tarebook::cli
