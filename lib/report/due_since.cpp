// What is due compared with an earlier page: which clocks opened, closed or moved, and whether rules changed or an
// event was recorded. Both are as of the day of that page, so that the passing of days alone changes nothing.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "clock_summary.hpp"
#include "clock_text.hpp"
#include "due.hpp"
#include "due_cache.hpp"
#include "shared_text.hpp"
#include "tarebook/units/bounded_file.hpp"

namespace tarebook {
namespace {
constexpr std::size_t most_bytes = 16U << 20U;
}
namespace report {
namespace {

using json = nlohmann::json;

struct EarlierClock {
    std::string due_on, rule, clause;
};
struct EarlierPage {
    Date on{}, until{};
    std::int64_t events = 0;
    std::map<std::string, std::string, std::less<>> packs;  // date by name
    std::map<std::string, EarlierClock, std::less<>> clocks;
};

std::string text_in(const json& item, const char* key) {
    const auto& value = item.at(key);
    return value.is_null() ? std::string() : value.get<std::string>();
}

std::optional<EarlierPage> earlier_page(std::string_view text) {
    try {
        const auto page = json::parse(text);
        const auto on = parse_date(page.at("on").get<std::string>());
        const auto until = parse_date(page.at("until").get<std::string>());
        if (!on || !until) return std::nullopt;
        EarlierPage out{*on, *until, page.at("number_of_events").get<std::int64_t>(), {}, {}};
        for (const auto& pack : page.at("rule_packs")) out.packs[text_in(pack, "pack")] = text_in(pack, "date");
        for (const auto& item : page.at("items"))
            out.clocks[text_in(item, "clock")] = {text_in(item, "due_on"), text_in(item, "rule_id"),
                                                  text_in(item, "rule")};
        return out;
    } catch (const json::exception&) {
        return std::nullopt;
    }
}

std::string date_now(const Rulebook& rules, std::string_view pack) {
    const auto* known = rules.find(pack);
    return known ? date_text(known->date) : "not in this program";
}
bool other_rules(const Rulebook& rules, const EarlierPage& then) {
    return std::any_of(then.packs.begin(), then.packs.end(),
                       [&](const auto& pack) { return date_now(rules, pack.first) != pack.second; });
}

struct Change {
    std::string change, id, then, now, rule, clause, why;
};

const Columns<Change>& change_columns() {
    static const Columns<Change> columns{{"clock", "", &Change::id},      {"change", "", &Change::change},
                                         {"due_then", "", &Change::then}, {"due_now", "", &Change::now},
                                         {"rule_id", "", &Change::rule},  {"rule", "", &Change::clause},
                                         {"why", "", &Change::why}};
    return columns;
}

std::string day_or_none(const std::string& day) {
    return day.empty() ? "no day" : day;
}

class Comparison {
 public:
    Comparison(const Book& book, EarlierPage then)
        : rules_(book.rules()),
          then_(std::move(then)),
          events_(book.event_count()),
          list_(open_clocks(book, then_.on)) {
        for (const auto& item : list_.items) take(item.clock);
        for (const auto& [id, clock] : then_.clocks)
            if (!met_.contains(id))
                changes_.push_back({"closed", id, clock.due_on, "", clock.rule, clock.clause, why(clock.rule)});
    }
    [[nodiscard]] bool any() const { return !changes_.empty(); }

    [[nodiscard]] std::string json_page() const {
        return page_of("due-since", {{"on", then_.on},
                                     {"until", then_.until},
                                     {"events_then", then_.events},
                                     {"events_now", events_},
                                     {"changes", change_columns().json(changes_)}})
            .page();
    }
    [[nodiscard]] Document document() const {
        Document page(fmt::format("open on {}, then and now", date_text(then_.on)),
                      fmt::format("{}", counted(static_cast<std::int64_t>(changes_.size()), "change")), ": ");
        if (events_ != then_.events)
            page.paragraph(fmt::format("events then {}, now {}: what was recorded since may be the reason",
                                       then_.events, events_));
        else
            page.paragraph("nothing was recorded between the two");
        for (const auto& [pack, date] : then_.packs)
            if (const auto now = date_now(rules_, pack); now != date)
                page.paragraph(fmt::format("rule pack {}: {} then, {} now", pack, date, now));
        for (const auto& c : changes_) {
            const auto days = c.change == "moved"
                                  ? fmt::format("{} then, {} now", day_or_none(c.then), day_or_none(c.now))
                                  : day_or_none(c.now.empty() ? c.then : c.now);
            page.gap().item(fmt::format("{}  {}\n", c.change, c.id) + wrapped(days, 2) +
                            wrapped(c.rule.empty() ? c.why : fmt::format("{}, {}; {}", c.rule, c.clause, c.why), 2));
        }
        return page;
    }

 private:
    // Rules are named by their pack: "us-82f.repair".
    [[nodiscard]] std::string why(std::string_view rule) const {
        const auto pack = rule.substr(0, rule.find('.'));
        const auto it = then_.packs.find(pack);
        const bool recorded = events_ != then_.events;
        if (!pack.empty() && it != then_.packs.end() && it->second != date_now(rules_, pack))
            return fmt::format("the rules of {} are of {} now, of {} then{}", pack, date_now(rules_, pack), it->second,
                               recorded ? "; or by what was recorded since" : "");
        if (recorded) return "by what was recorded since";
        return pack.empty() ? "by the program" : fmt::format("by the program, which reads the same rules of {}", pack);
    }
    void take(const Clock& clock) {
        const auto due = clock.due_on ? date_text(*clock.due_on) : std::string();
        const auto rule = clock.rule ? clock.rule->rule->id : std::string();
        const auto clause = clock.rule ? clock.rule->rule->clause : std::string();
        auto it = then_.clocks.find(clock.id());
        if (it == then_.clocks.end()) it = then_.clocks.find(clock.id_without_pack());
        if (it == then_.clocks.end()) {
            // what is due later than that page looked was not on it
            if (!clock.due_on || *clock.due_on <= then_.until)
                changes_.push_back({"opened", clock.id(), "", due, rule, clause, why(rule)});
            return;
        }
        met_.insert(it->first);
        if (it->second.due_on != due)
            changes_.push_back({"moved", clock.id(), it->second.due_on, due, rule, clause, why(rule)});
    }

    Rulebook rules_;
    EarlierPage then_;
    std::int64_t events_;
    DueList list_;
    std::set<std::string, std::less<>> met_;
    std::vector<Change> changes_;
};

}  // namespace
}  // namespace report

std::optional<Page> due_since_update(const Book& book, const std::filesystem::path& last,
                                     const std::filesystem::path& kept, const PageOptions& options) {
    std::optional<Page> out;
    std::error_code ignored;
    const auto text = std::filesystem::exists(last, ignored) ? read_whole(last, most_bytes) : Result<std::string>();
    const auto then = text ? report::earlier_page(*text) : std::nullopt;
    if (then && report::other_rules(book.rules(), *then)) {
        const report::Comparison compared(book, *then);
        out.emplace();
        out->has_exceptions = compared.any();
        out->body = report::page_body(compared.document(), book, options);
    }
    const bool as_now =
        then && !out && then->events == book.event_count() && then->on == report::today_of(book, options.now);
    // of a book with more clocks than anybody compares, the page would be large and long to write
    constexpr std::int64_t most_kept = 5000;
    if (!as_now &&
        report::clock_summary(book, {report::today_of(book, options.now), {}, 1, kept}).count() <= most_kept) {
        auto as_json = options;
        as_json.format = Format::json;
        DueQuestion over_a_year;
        over_a_year.within_days = 400;
        report::keep_in_cache(due_page(book, over_a_year, as_json).body, last);
    }
    return out;
}

Result<Page> due_since_page(const Book& book, const std::filesystem::path& earlier, const PageOptions& options) {
    const auto text = read_whole(earlier, most_bytes);
    if (!text) return fail(text.error());
    auto then = report::earlier_page(*text);
    if (!then)
        return fail({ErrorKind::usage, "due-page", "that file is not an earlier page of what is due", earlier.string(),
                     "what tarebook due --format json printed",
                     "keep one before an update: tarebook due --format json"});
    const report::Comparison compared(book, std::move(*then));
    Page page;
    page.has_exceptions = compared.any();
    page.body =
        options.format == Format::json ? compared.json_page() : report::page_body(compared.document(), book, options);
    return page;
}

}  // namespace tarebook
