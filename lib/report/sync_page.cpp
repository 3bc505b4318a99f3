#include "tarebook/report/sync_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "columns.hpp"
#include "layout.hpp"
#include "shared_text.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {

using namespace report;

namespace {

constexpr std::size_t most_shown = 5;

std::string day_in(const Book& book, Instant at) {
    const auto moment = moment_in_zone(at, book.info().zone);
    return moment ? date_text(moment->date()) : instant_text(at);
}
std::optional<Moment> moment_of(const Book& book, Instant at) {
    const auto moment = moment_in_zone(at, book.info().zone);
    return moment ? std::optional(*moment) : std::nullopt;
}

std::string why_text(const LeftFile& file) {
    switch (file.why) {
        case WhyLeft::unreadable:
            return "it cannot be read now";
        case WhyLeft::torn:
            return "not all of it is there yet, or it was cut";
        case WhyLeft::damaged:
            return "it is damaged: its bytes are not those that were signed";
        case WhyLeft::other_shop:
            return "it is of another shop";
        case WhyLeft::unknown:
            return fmt::format("no device that is trusted here knows its sender, book {}", file.told);
        case WhyLeft::other_key:
            return fmt::format("it says that it is of {}, and is signed with another key", file.told);
        case WhyLeft::withdrawn:
            return fmt::format("it is of {}, whose trust is withdrawn", file.told);
        case WhyLeft::sealed:
            return fmt::format("{} sealed it before it knew this device; its next sync writes it again", file.told);
        case WhyLeft::refused:
            break;
    }
    return "the book does not take it: " + file.told;
}

std::string came_text(const Synced& s) {
    std::string out;
    if (s.came.size() > most_shown) {
        std::int64_t events = 0;
        for (const auto& one : s.came) events += one.events;
        out = fmt::format("{} of {} books", counted(events, "event"), s.came.size());
    } else {
        for (const auto& one : s.came)
            add_word(out,
                     fmt::format("{}{} of {}", one.events, out.empty() ? one.events == 1 ? " event" : " events" : "",
                                 one.called),
                     ", ");
    }
    if (s.register_came) add_word(out, out.empty() ? "a register" : "and a register", ", ");
    return out.empty() ? "nothing new" : out;
}

std::string went_text(const Synced& s) {
    std::string out;
    if (s.parcels_written > 0) {
        out = s.events_sent > 0 ? counted(s.events_sent, "event") : "";
        if (s.register_sent) out += out.empty() ? "the register" : " and the register";
        const auto names = std::vector(
            s.sent_to.begin(), s.sent_to.begin() + static_cast<std::ptrdiff_t>(std::min(most_shown, s.sent_to.size())));
        out += fmt::format(
            " for {}{}", joined(names),
            s.sent_to.size() > most_shown ? fmt::format(" and {} more", s.sent_to.size() - most_shown) : "");
    } else {
        out = s.not_sent       ? "not all: see below"
              : s.devices == 0 ? "nothing: no other device is trusted here yet"
                               : "nothing new";
    }
    if (s.parcels_removed > 0)
        out += fmt::format("; {} removed, as newer ones stand for them", counted(s.parcels_removed, "older file"));
    return out;
}

std::string exceptions_text(const Synced& s) {
    if (s.new_exceptions.empty()) return fmt::format("none new, {} open", s.exceptions);
    std::vector<std::string> named;
    for (const auto& one : s.new_exceptions) {
        auto words = one.finding.check + " " + one.finding.subject;
        if (named.size() < most_shown && std::find(named.begin(), named.end(), words) == named.end())
            named.push_back(std::move(words));
    }
    return fmt::format("{} new, {} open: {}{}", s.new_exceptions.size(), s.exceptions, joined(named),
                       s.new_exceptions.size() > named.size() ? " and others" : "");
}

std::string silent_text(const Book& book, const Synced::Silent& one, Instant now) {
    const auto wait = one.events == 1 ? std::string("1 event waits") : counted(one.events, "event") + " wait";
    if (!one.heard) return fmt::format("{}: nothing was heard of it here; {} for it", one.called, wait);
    const auto days = std::chrono::floor<std::chrono::days>(now - *one.heard).count();
    return fmt::format("{}: nothing was heard of it for {} (since {}); {} for it", one.called, counted(days, "day"),
                       day_in(book, *one.heard), wait);
}

const Columns<LeftFile>& not_taken_columns() {
    static const Columns<LeftFile> columns{{"file", "file", &LeftFile::name}, {"why", "why", why_text}};
    return columns;
}
Columns<Synced::Waiting> waiting_columns(const Book& book) {
    using Waiting = Synced::Waiting;
    return {{"card_number", "number", [](const Waiting& w) { return card_number(w.card); }},
            Column<Waiting>("book", "", [](const Waiting& w) { return hex(w.card.book); }),
            Column<Waiting>("heard", "since", [&book](const Waiting& w) { return moment_of(book, w.at); })};
}
Columns<Synced::Silent> silent_columns(const Book& book) {
    using Silent = Synced::Silent;
    return {{"name", "", &Silent::called},
            Column<Silent>("heard", "",
                           [&book](const Silent& s) { return s.heard ? moment_of(book, *s.heard) : std::nullopt; }),
            {"events_waiting", "", &Silent::events}};
}
const Columns<Synced::Came>& came_columns() {
    static const Columns<Synced::Came> columns{{"name", "", &Synced::Came::called},
                                               {"events_added", "", &Synced::Came::events}};
    return columns;
}

bool shows_number(const Synced& s) {
    return s.devices == 0 || !s.awaited.empty();
}

struct SyncLine {
    std::string what, now;
};
// The page as lines, for people and as CSV.
std::vector<SyncLine> lines_of(const Book& book, const Synced& s, Instant now) {
    std::vector<SyncLine> out{{"came", came_text(s)}, {"went", went_text(s)}, {"exceptions", exceptions_text(s)}};
    for (const auto& file : s.left) out.push_back({"left", file.name + ": " + why_text(file)});
    for (const auto& one : s.silent) out.push_back({"silent", silent_text(book, one, now)});
    for (const auto& one : s.waiting) out.push_back({"waiting", card_number(one.card)});
    if (shows_number(s)) out.push_back({"number", card_number(card_of(book.info()))});
    return out;
}

std::string text_of(const Book& book, const Synced& s, Instant now) {
    std::string out;
    out += wrapped("came: " + came_text(s), 0);
    out += wrapped("went: " + went_text(s), 0);
    out += wrapped("exceptions: " + exceptions_text(s) + (s.exceptions > 0 ? ": tarebook list exceptions" : ""), 0);
    if (!s.left.empty()) {
        out += s.left.size() == 1 ? std::string("1 file is left in the folder as it is:\n")
                                  : fmt::format("{} files are left in the folder as they are:\n", s.left.size());
        for (std::size_t i = 0; i < std::min(most_shown, s.left.size()); ++i)
            out += bulleted(s.left[i].name + ": " + why_text(s.left[i]));
        if (s.left.size() > most_shown) out += bulleted("and others: tarebook sync --format csv");
    }
    for (const auto& one : s.silent) out += wrapped(silent_text(book, one, now), 0);
    if (!s.silent.empty()) out += "a device that is lost: tarebook books withdraw NAME --why REASON\n";
    if (s.waiting.size() == 1)
        out += wrapped(
            fmt::format("1 device waits to be trusted; its number is {}. Where its person reads the same number to "
                        "you: tarebook books trust NAME --number NUMBER",
                        card_number(s.waiting.front().card)),
            0);
    if (s.waiting.size() > 1)
        out += wrapped(fmt::format("{} devices wait to be trusted; tarebook books trust shows their numbers. Where a "
                                   "person reads one of these to you: tarebook books trust NAME --number NUMBER",
                                   s.waiting.size()),
                       0);
    if (shows_number(s)) {
        const auto number = card_number(card_of(book.info()));
        out +=
            wrapped(s.devices == 0 ? "the number of this book, to read to the person who adds a device:"
                                   : fmt::format("{} {} not know this book yet. Read its number to the person there:",
                                                 joined(s.awaited), s.awaited.size() == 1 ? "does" : "do"),
                    0);
        out += "  " + number + "\n";
        if (s.devices > 0) out += wrapped("who types it there: tarebook books trust NAME --number NUMBER", 0);
    }
    return out;
}

}  // namespace

Page synced_page(const Book& book, const Synced& s, const PageOptions& options) {
    Page page;
    page.has_exceptions = !s.new_exceptions.empty() || !s.left.empty() || !s.silent.empty();
    if (options.format == Format::json) {
        std::int64_t added = 0;
        for (const auto& one : s.came) added += one.events;
        page.body = page_of("sync", {{"events_added", added},
                                     {"came", came_columns().json(s.came)},
                                     {"register_came", s.register_came},
                                     {"events_sent", s.events_sent},
                                     {"sent_to", s.sent_to},
                                     {"register_sent", s.register_sent},
                                     {"files_written", s.parcels_written},
                                     {"files_removed", s.parcels_removed},
                                     {"bytes", static_cast<std::int64_t>(s.bytes_written)},
                                     {"number_of_exceptions", s.exceptions},
                                     {"new_exceptions", finding_columns().json(s.new_exceptions)},
                                     {"files_left", not_taken_columns().json(s.left)},
                                     {"silent", silent_columns(book).json(s.silent)},
                                     {"waiting", waiting_columns(book).json(s.waiting)},
                                     {"awaited", s.awaited},
                                     {"card_number", card_number(card_of(book.info()))},
                                     {"head", head_json(s.head)}})
                        .page();
        return page;
    }
    if (options.format == Format::csv) {
        static const Columns<SyncLine> columns{{"what", "", &SyncLine::what}, {"now", "", &SyncLine::now}};
        page.body = columns.csv(lines_of(book, s, options.now));
        return page;
    }
    page.body = laid_out(text_of(book, s, options.now), options.width);
    return page;
}

Page waiting_page(const Book& book, const std::vector<Synced::Waiting>& waiting, const PageOptions& options) {
    Page page;
    const auto columns = waiting_columns(book);
    if (options.format == Format::json) {
        page.body = page_of("waiting", {{"waiting", columns.json(waiting)}}).page();
    } else if (options.format == Format::csv) {
        page.body = columns.csv(waiting);
    } else if (waiting.empty()) {
        page.body = "no device waits in the folder\n";
    } else {
        std::string out = columns.table(waiting, options.units).text(0);
        out += wrapped("trust one whose number its person reads to you: tarebook books trust NAME --number NUMBER", 0);
        page.body = laid_out(out, options.width);
    }
    return page;
}

}  // namespace tarebook
