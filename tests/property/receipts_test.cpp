// Random months of one leaking rack, some of it entered late, leaks repaired or not, tests passed or failed, clocks
// settled by a word: whenever gas goes in, the screen of that recording and the list of what is due name the same days.
// And whatever was recorded, the list, the calendar, the page of the appliance and the sheet of the visit name the same
// clocks.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <random>

#include "runs.hpp"
#include "support/book_room.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/report/report.hpp"

using namespace tarebook;
using namespace tarebook::property;
namespace fs = std::filesystem;

namespace {

const Date first_day = parse_date("2026-01-10").value();

Moment at(int day, int hour) {
    Moment m;
    m.at = Instant(first_day) + std::chrono::days(day) + std::chrono::hours(hour);
    m.zone = "UTC";
    return m;
}

class Rack {
 public:
    explicit Rack(const fs::path& place, const std::string& gas = "R-448A", int charge = 100,
                  const std::string& packs = "", const std::string& detection = "")
        : book_(Book::create(place, "Pelican Refrigeration", DisplayUnits::lb, "UTC", at(-5, 0))) {
        FieldValues site{{"owner", {"Quillpost Markets", {}}}};
        if (!packs.empty()) site["rule_packs"] = {packs, {}};
        entry(EntryKind::site, "OAK", std::move(site));
        FieldValues rack{{"category", {"commercial-refrigeration", {}}},
                         {"refrigerant", {gas, {}}},
                         {"full_charge", {fmt::format("{}lb", charge), Mass::pounds(charge)}}};
        if (!detection.empty()) rack["detection_system"] = {detection, {}};
        entry(EntryKind::appliance, "OAK/R", std::move(rack));
        entry(EntryKind::circuit, "OAK/R/1", {{"serves", {"produce", {}}}});
    }
    std::optional<Recorded> take(What what, int day, int hour, int now, const std::string& job = {}) {
        Event e;
        if (!job.empty()) e.job = job;
        e.when = at(day, hour);
        e.recorded = at(now, 23).at;
        e.what = std::move(what);
        auto done = record(book_, {e}, {});
        if (!done) return std::nullopt;  // a leak that there is not
        return done;
    }
    [[nodiscard]] const Book& book() const { return book_; }

 private:
    void entry(EntryKind kind, const char* code, FieldValues values) {
        REQUIRE(take(kinds::Entry{kind, code, true, std::move(values)}, -4, 0, -4));
    }
    Book book_;
};

// On one line, as a person reads it.
std::string unwrapped(const std::string& text) {
    std::string out;
    for (const char c : text)
        if (c != '\n' && c != ' ')
            out += c;
        else if (!out.empty() && out.back() != ' ')
            out += ' ';
    return out;
}

// Open repairs by due day: whether they are late.
using Repairs = std::map<std::string, bool>;

Repairs told_by_receipt(const std::string& body, std::size_t& closed) {
    Repairs out;
    const auto text = unwrapped(body);
    for (auto p = text.find("repair due by "); p != std::string::npos; p = text.find("repair due by ", p + 1)) {
        const auto end = text.find("; details", p);
        const auto line = text.substr(p, end - p);
        if (line.find(", closed by ") != std::string::npos)
            ++closed;
        else
            out[line.substr(14, 10)] = line.ends_with(": LATE");
    }
    return out;
}

Repairs told_by_due(const Book& book, const PageOptions& options) {
    auto csv = options;
    csv.format = Format::csv;
    const auto page = due_page(book, {.within_days = 3650, .on = {}, .calendar = false, .kept = {}}, csv).body;
    Repairs out;
    for (std::size_t p = page.find("due/us-84c/repair/OAK/R/"); p != std::string::npos;
         p = page.find("due/us-84c/repair/", p + 1)) {
        // id,subject,what,leak,due_on,late
        auto field = p;
        for (int i = 0; i < 4; ++i) field = page.find(',', field) + 1;
        out[page.substr(field, 10)] = page.substr(field + 11, 3) == "yes";
    }
    return out;
}

std::string words(const Repairs& repairs) {
    std::string out;
    for (const auto& [day, late] : repairs) out += fmt::format(" {}{}", day, late ? " LATE" : "");
    return out;
}

}  // namespace

TEST_CASE("the receipt of an addition and the list of what is due name the same repairs") {
    std::size_t compared = 0, open = 0, late = 0, closed = 0;
    holds("receipts against due", 160, [&] {
        std::mt19937 dice(*rc::gen::resize(100, rc::gen::inRange(0U, 1'000'000'000U)));
        const auto roll = [&](int from, int to) { return std::uniform_int_distribution<int>(from, to)(dice); };
        const int acts = *rc::gen::inRange(1, 24);
        const test::BookRoom room;
        {
            Rack rack(room.book("book"));
            int now = 0;
            std::string told;
            for (int i = 0; i < acts; ++i) {
                now += roll(0, 2) == 0 ? roll(10, 60) : roll(0, 5);
                const int day = roll(0, 3) == 0 ? roll(0, now) : now;
                const auto leak = fmt::format("L-{}", roll(1, 2));
                const int kind = roll(0, 9);
                told += fmt::format(" {}@{}:{}({})", now, day, kind, leak);
                if (kind == 4) rack.take(kinds::Leak{"OAK/R", "a joint"}, day, 10, now);
                if (kind == 5 || kind == 6) rack.take(kinds::Repair{leak, "renewed"}, day, 11, now);
                if (kind == 7)
                    rack.take(kinds::LeakTest{leak, roll(0, 1) ? "initial" : "follow-up", roll(0, 2) ? "pass" : "fail"},
                              day, 12, now);
                const PageOptions options{Format::text, DisplayUnits::lb, at(now, 23).at};
                if (kind == 8) {
                    auto json = options;
                    json.format = Format::csv;
                    const auto page =
                        due_page(rack.book(), {.within_days = 3650, .on = {}, .calendar = false, .kept = {}}, json)
                            .body;
                    if (const auto p = page.find("due/us-84c/repair/"); p != std::string::npos)
                        rack.take(kinds::Resolve{page.substr(p, page.find(',', p) - p), "an extension"}, now, 13, now);
                }
                if (kind > 3) continue;
                kinds::Charge k;
                k.circuit = "OAK/R/1";
                k.from = "outside:Brine and Sons";
                k.weighing.net = parse_weight(fmt::format("{}lb", roll(1, 30)), ScaleReads::unknown).value();
                const auto done = rack.take(k, day, 9, now);
                REQUIRE(done);
                const auto body = recorded_page(rack.book(), done->events, done->outcomes, options).body;
                const bool over = body.find("OVER its threshold") != std::string::npos;
                auto receipt = told_by_receipt(body, closed);
                auto due = told_by_due(rack.book(), options);
                ++compared;
                open += receipt.size();
                for (const auto& [on, is_late] : receipt) late += is_late ? 1 : 0;
                // one that was opened after a late entry's day is no matter of that entry
                if (day < now) std::erase_if(due, [&](const auto& item) { return !receipt.contains(item.first); });
                if (over && receipt != due)
                    RC_FAIL(fmt::format("receipt{} due{} after{}\n{}", words(receipt), words(due), told, body));
                if (!over && !receipt.empty()) RC_FAIL(fmt::format("not over, and a repair is due: {}", body));
            }
        }
    });
    if (!usual_runs()) return;
    CHECK(compared > 30);
    CHECK(open > 20);
    CHECK(late > 0);
    CHECK(closed > 0);
}

namespace {

// Open clocks by id, as a page names them: the day and whether it is late.
using Clocks = std::map<std::string, std::string>;

Clocks clocks_in(const nlohmann::json& list) {
    Clocks out;
    for (const auto& item : list) {
        if (item.contains("open") && !item.at("open").get<bool>()) continue;
        const auto& due = item.at("due_on");
        out[item.at("clock").get<std::string>()] =
            (due.is_null() ? "no day" : due.get<std::string>()) + (item.at("late").get<bool>() ? " LATE" : "");
    }
    return out;
}

// As a program for calendars reads it: folded lines are one, commas are escaped, what is cancelled is taken out.
Clocks clocks_in_calendar(std::string text) {
    for (auto p = text.find("\r\n "); p != std::string::npos; p = text.find("\r\n ", p)) text.erase(p, 3);
    Clocks out;
    std::string id, day;
    bool cancelled = false;
    for (std::size_t from = 0; from < text.size();) {
        const auto end = text.find("\r\n", from);
        const auto line = text.substr(from, end - from);
        from = end + 2;
        if (line.starts_with("BEGIN:V")) id.clear(), day = "no day", cancelled = false;
        cancelled = cancelled || line == "STATUS:CANCELLED";
        if (line.starts_with("UID:")) id = line.substr(4, line.rfind('@') - 4);
        if (line.starts_with("DTSTART;VALUE=DATE:"))
            day = fmt::format("{}-{}-{}", line.substr(19, 4), line.substr(23, 2), line.substr(25, 2));
        if (line.starts_with("SUMMARY:") && !cancelled && !id.starts_with("due/nothing/") && !id.ends_with("/late"))
            out[id] = day + (line.starts_with("SUMMARY:LATE: ") ? " LATE" : "");
    }
    return out;
}

std::string words(const Clocks& clocks) {
    std::string out;
    for (const auto& [id, day] : clocks) out += fmt::format("\n  {} {}", id, day);
    return out;
}

}  // namespace

TEST_CASE("the list of what is due, the calendar, the appliance and the visit name the same clocks") {
    std::map<std::string, std::size_t> seen;
    std::size_t late = 0, visits = 0;
    holds("pages against due", 40, [&] {
        std::mt19937 dice(*rc::gen::resize(100, rc::gen::inRange(0U, 1'000'000'000U)));
        const auto roll = [&](int from, int to) { return std::uniform_int_distribution<int>(from, to)(dice); };
        const int acts = *rc::gen::inRange(1, 24);
        const test::BookRoom room;
        {
            Rack rack(room.book("book"), roll(0, 1) ? "R-448A" : "R-22", roll(0, 1) ? 100 : 600,
                      roll(0, 2) ? "" : "us-ca", roll(0, 3) ? "" : "yes");
            int now = 0;
            std::string told;
            for (int i = 0; i < acts; ++i) {
                now += roll(0, 2) == 0 ? roll(10, 90) : roll(0, 5);
                const int day = roll(0, 3) == 0 ? roll(0, now) : now;
                const auto leak = fmt::format("L-{}", roll(1, 2));
                const auto job = fmt::format("{}", 100 + i);
                const int kind = roll(0, 10);
                told += fmt::format(" {}@{}:{}({})", now, day, kind, leak);
                bool taken = true;
                if (kind < 4) {
                    kinds::Charge k;
                    k.circuit = "OAK/R/1";
                    k.from = "outside:Brine and Sons";
                    k.weighing.net = parse_weight(fmt::format("{}lb", roll(1, 130)), ScaleReads::unknown).value();
                    taken = rack.take(k, day, 9, now, job).has_value();
                } else if (kind == 4) {
                    taken = rack.take(kinds::Leak{"OAK/R", "a joint"}, day, 10, now, job).has_value();
                } else if (kind < 7) {
                    taken = rack.take(kinds::Repair{leak, "renewed"}, day, 11, now, job).has_value();
                } else if (kind == 7) {
                    taken = rack.take(kinds::LeakTest{leak, roll(0, 1) ? "initial" : "follow-up",
                                                      roll(0, 2) ? "pass" : "fail"},
                                      day, 12, now, job)
                                .has_value();
                } else if (kind == 8) {
                    taken =
                        rack.take(kinds::Inspect{"OAK/R", "soap", roll(0, 2) ? "no-leak" : "leak"}, day, 13, now, job)
                            .has_value();
                } else if (kind == 9) {
                    taken = rack.take(kinds::Plan{"OAK/R", roll(0, 1) ? "retire" : "retrofit",
                                                  date_text(first_day + std::chrono::days(now + roll(1, 500)))},
                                      day, 14, now, job)
                                .has_value();
                }
                PageOptions options{Format::json, DisplayUnits::lb, at(now, 23).at};
                DueQuestion all{.within_days = 36'500, .on = {}, .calendar = false, .kept = {}};
                const auto list = nlohmann::json::parse(due_page(rack.book(), all, options).body).at("items");
                if (kind == 10) {
                    if (list.empty()) continue;
                    const auto& one = list.at(static_cast<std::size_t>(roll(0, static_cast<int>(list.size()) - 1)));
                    rack.take(kinds::Resolve{one.at("clock").get<std::string>(), "done by another firm"}, now, 15, now);
                    continue;
                }
                const auto due = clocks_in(list);
                all.calendar = true;
                const auto calendar = clocks_in_calendar(due_page(rack.book(), all, options).body);
                if (calendar != due) RC_FAIL("due" + words(due) + "\ncalendar" + words(calendar) + "\nafter" + told);
                const auto page = clocks_in(
                    nlohmann::json::parse(appliance_page(rack.book(), "OAK/R", options).value().body).at("clocks"));
                if (page != due) RC_FAIL("due" + words(due) + "\nappliance" + words(page) + "\nafter" + told);
                for (const auto& [id, when] : due) {
                    ++seen[id.substr(0, id.find("/OAK"))];
                    late += when.ends_with("LATE") ? 1 : 0;
                }
                if (!taken) continue;  // a leak that there is not
                ++visits;
                const auto visit =
                    clocks_in(nlohmann::json::parse(job_page(rack.book(), job, options).value().body).at("due"));
                if (visit != due) RC_FAIL("due" + words(due) + "\nvisit" + words(visit) + "\nafter" + told);
            }
        }
    });
    if (!usual_runs()) return;
    for (const std::string id : {"due/us-84c/repair", "due/us-82f/repair", "due/us-ca/repair", "due/us-84c/inspection",
                                 "due/us-ca/inspection"})
        CHECK_MESSAGE(seen[id] > 0, id);
    CHECK(seen.size() > 9);
    CHECK(late > 20);
    CHECK(visits > 40);
}
