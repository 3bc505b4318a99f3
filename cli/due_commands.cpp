// due: what is open and until when. why: the figures, formula, clause and events behind a value of a page.
#include <charconv>
#include <cstdlib>
#include <filesystem>
#include <memory>

#include "sheets.hpp"

namespace tarebook::cli {
namespace {

struct DueOptions {
    Text within, on, since, form;
    std::string finding;
    PageFile file;
};

// "30d" or "30" as 30.
int days_of(const std::string& typed) {
    constexpr int most = 36'500;
    int days = 0;
    const auto* end = typed.data() + typed.size();
    const auto [stop, error] = std::from_chars(typed.data(), end, days);
    const bool rest_good = stop == end || (stop + 1 == end && *stop == 'd');
    if (error != std::errc() || !rest_good || days < 0 || days > most)
        throw slip("within-format", "cannot read how many days", typed, "0 to 36500 days, such as 30d");
    return days;
}

int due(const Session& s, const DueOptions& o) {
    if (o.since && (o.within || o.on || s.format == "ics" || s.format == "csv"))
        throw slip("flags-together", "a comparison has the day and the days of the earlier page", *o.since,
                   "--since FILE, as text, json or html");
    const auto book = s.open(Access::read);
    if (o.since) {
        const auto options = o.file.options(s, book, Has::browser);
        return o.file.tell(s, must(due_since_page(book, *o.since, options)));
    }
    DueQuestion question;
    if (o.within) question.within_days = days_of(*o.within);
    if (o.on) question.on = must(parse_date(*o.on));
    question.calendar = s.format == "ics";
    if (!s.rules) question.kept = cache_file(book, ".clocks");
    const auto options = o.file.options(s, book);
    auto page = due_page(book, question, options);
    if (const auto last = cache_file(book, ".due.json");
        !s.rules && !o.on && options.format == Format::text && !question.calendar && !last.empty())
        if (const auto changed = due_since_update(book, last, question.kept, options))
            page.body = "this program has other rules than when due was last run on this machine: " + changed->body +
                        "\n" + page.body;
    return o.file.tell(s, page);
}

int why(const Session& s, const DueOptions& o) {
    const auto book = s.open(Access::read);
    const auto options = o.file.options(s, book, Has::browser);
    return o.file.tell(s, must(why_page(book, o.finding, options)));
}

}  // namespace

std::filesystem::path cache_file(const Book& book, const char* ending) {
    std::filesystem::path folder;
    if (const char* cache = std::getenv("XDG_CACHE_HOME"); cache && *cache)
        folder = cache;
    else if (const char* home = std::getenv("HOME"); home && *home)
        folder = std::filesystem::path(home) / ".cache";
    else
        return {};
    return folder / "tarebook" / (hex(book.info().id) + ending);
}

void setup_due_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<DueOptions>();
    auto* c = root.add_subcommand("due", "what is open on record, and until when")->fallthrough();
    c->add_option("--within", o->within, "due within so many days: 30d (what is late, or has no day, always shows)");
    c->add_option("--on", o->on, "as of this day: 2026-11-25 (today)");
    c->add_option("--since", o->since,
                  "a file with an earlier due --format json: which clocks opened, closed or moved since, and why");
    c->add_option("--format", s.format, "text|json|csv|html|xlsx|ics")
        ->check(CLI::IsMember({"text", "json", "csv", "html", "xlsx", "ics"}));
    o->file.add_option(*c);
    c->callback([&s, o] { s.run = [&s, o] { return due(s, *o); }; });
    c = root.add_subcommand("why", "the figures, formula, clause and events behind it")->fallthrough();
    c->add_option("finding", o->finding, "an id that list exceptions or due shows, or the event of an addition: E12")
        ->required();
    o->file.add_option(*c);
    c->callback([&s, o] { s.run = [&s, o] { return why(s, *o); }; });
}

}  // namespace tarebook::cli
