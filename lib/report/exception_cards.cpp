#include "exception_cards.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "check_text.hpp"
#include "no_longer_over.hpp"
#include "shared_text.hpp"
#include "tarebook/checks/checks.hpp"

namespace tarebook::report {
namespace {

bool is_about_a_limit(const OpenFinding& open) {
    return open.finding.check == "over-limit" || open.finding.check == "fill-limit";
}
std::string kind_words(const ShownException& e) {
    return e.no_longer_over_since.empty() ? words_of_check(e.open.finding.check) : "was over its limit";
}
// What stands there no more needs no order that was meant for the moment.
std::string next_of(const ShownException& e) {
    return e.no_longer_over_since.empty()
               ? e.open.finding.next
               : fmt::format("tarebook resolve {} --why TEXT takes it off this list", e.open.id);
}

}  // namespace

bool ShownException::is_over() const {
    return is_about_a_limit(open) && no_longer_over_since.empty();
}
bool ShownException::can_hurt_now() const {
    return danger_of(open.finding.check) != Danger::none && no_longer_over_since.empty();
}

std::vector<ShownException> shown_exceptions(const Book& book, std::vector<OpenFinding> open) {
    std::vector<ShownException> out;
    out.reserve(open.size());
    for (auto& one : by_danger(book, std::move(open))) {
        auto since = no_longer_over_since(book, one);
        const auto event = book.event(one.event_id);
        const auto on = event ? std::optional(event->event.when.date()) : std::nullopt;
        out.push_back({std::move(one), on, std::move(since)});
    }
    std::stable_partition(out.begin(), out.end(), [](const auto& e) { return e.no_longer_over_since.empty(); });
    return out;
}

const Columns<ShownException>& exception_columns() {
    using C = Column<ShownException>;
    const auto words = [](std::string Finding::*which) {
        return [which](const ShownException& e) { return with_plain_words(e.open.finding.*which); };
    };
    const auto of = [](std::string Finding::*which) {
        return [which](const ShownException& e, DisplayUnits) { return Cell(with_plain_words(e.open.finding.*which)); };
    };
    static const auto columns =
        Columns<ShownException>{}
            .with(finding_columns(), &ShownException::open)
            .with({{"event_names", "", [](const ShownException& e) { return std::vector{e.open.event}; }},
                   C("no_longer_over_since", "", &ShownException::no_longer_over_since),
                   {"kind_in_words", "kind", kind_words},
                   {"event_on", "day", &ShownException::on},
                   {"can_hurt", "", &ShownException::can_hurt_now},
                   {"", "about", [](const ShownException& e) { return e.open.finding.subject; }},
                   {"", "event", [](const ShownException& e) { return e.open.event; }},
                   C("", "what", words(&Finding::text)).shown(of(&Finding::text)),
                   C("", "seen", words(&Finding::seen)),
                   C("", "expected", words(&Finding::expected)),
                   C("", "done anyway", words(&Finding::accepted)),
                   {"", "now",
                    [](const ShownException& e) {
                        return e.no_longer_over_since.empty()
                                   ? std::string()
                                   : "no longer over its limit since " + e.no_longer_over_since;
                    }},
                   {"", "next", next_of},
                   {"", "finding", [](const ShownException& e) { return e.open.id; }}});
    return columns;
}

Cards exception_cards(const std::vector<ShownException>& shown, DisplayUnits units) {
    return {exception_columns().table(
                {"about", "kind", "event", "day", "what", "seen", "expected", "done anyway", "now", "next", "finding"},
                shown, units),
            "Exceptions", 4};
}

std::string exceptions_answer(const std::vector<ShownException>& shown, Date today) {
    const auto over = std::count_if(shown.begin(), shown.end(), [](const auto& e) { return e.is_over(); });
    const auto hurting =
        std::count_if(shown.begin(), shown.end(), [](const auto& e) { return e.can_hurt_now() && !e.is_over(); });
    std::optional<Date> oldest;
    for (const auto& e : shown)
        if (e.on && (!oldest || *e.on < *oldest)) oldest = e.on;
    std::vector<std::string> parts;
    if (over > 0) parts.push_back(fmt::format("{} OVER its limit", over));
    if (hurting > 0) parts.push_back(fmt::format("{}{} that can hurt", hurting, over > 0 ? " more" : ""));
    if (oldest && *oldest <= today) {
        const auto days = (today - *oldest).count();
        const auto age = days == 0 ? std::string("of today") : counted(days, "day") + " old";
        parts.push_back(days > 0 && shown.size() > 1 ? "the oldest " + age : age);
    }
    return joined(parts);
}

}  // namespace tarebook::report
