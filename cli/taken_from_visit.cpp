// What a command in the field takes from the open visit: job, person and scale. A forgotten visit must not write a
// wrong job into a chain that never forgets: the first line of the answer names what was taken, and a visit that may be
// over, or is at another site, is asked for at a terminal and refused without one.
#include <fmt/format.h>
#include <pwd.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <iostream>

#include "session.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

constexpr std::string_view goes_on_with = "tarebook visit end ends it; --job J records for another job";

Stop refused(std::string name, std::string what, std::string seen, std::string expected) {
    return {{ErrorKind::refused, std::move(name), std::move(what), std::move(seen), std::move(expected),
             std::string(goes_on_with)}};
}

std::string visit_text(const OpenVisit& visit) {
    return fmt::format("the visit to {}, job {},", visit.site, visit.job);
}

}  // namespace

Visitor visitor() {
    std::array<char, 256> host{};
    if (gethostname(host.data(), host.size() - 1) != 0) host[0] = '\0';
    const auto* user = getpwuid(getuid());
    return {user && user->pw_name ? user->pw_name : std::to_string(getuid()), host.data()};
}

void Session::take_visit() {
    const bool in_the_field =
        std::any_of(field_commands.begin(), field_commands.end(), [](const CLI::App* one) { return one->parsed(); });
    if (!in_the_field || (!has_terminal && !visit_named)) return;
    const auto open = open_visits(book_path(), visitor());
    if (open.empty()) {
        if (visit_named)
            throw Stop{{ErrorKind::refused, "visit-unknown", "no visit is open", "--visit", "an open visit",
                        "tarebook visit SITE --job J --by PERSON"}};
        return;
    }
    const auto& current = open.front();
    if (job && *job != current.job) return;  // other work: nothing of the visit is meant
    take_clock_for(book_path());
    if (const auto why = why_not_still_on(current, now); !why.empty())
        if (!has_terminal || !ask_yes(fmt::format("{} {}. Does it still go on?", visit_text(current), why)))
            throw refused("visit-over", fmt::format("{} {}", visit_text(current), why), moment_text(current.opened),
                          "a visit of this day, opened less than 12 hours ago");
    visit = current;
    const auto take = [&](Text& value, const Text& kept, const char* word) {
        if (value || !kept) return;
        value = kept;
        taken.push_back(fmt::format("{} {}", word, *kept));
    };
    take(job, current.job, "job");
    take(by, current.by, "by");
    take(scale, current.scale, "scale");
}

void Session::leave_visit() {
    if (!visit) return;
    const auto give_back = [&](Text& value, const char* word) {
        if (value && std::find(taken.begin(), taken.end(), fmt::format("{} {}", word, *value)) != taken.end())
            value.reset();
    };
    give_back(job, "job");
    give_back(by, "by");
    give_back(scale, "scale");
    taken.clear();
    visit.reset();
}

void Session::check_site(const std::string& code) const {
    if (!visit || code.empty()) return;
    const auto site = site_of(code);
    if (site == visit->site || site == site_agreed) return;
    const auto what = fmt::format("{} is at {}, and {} is of {}", visit_text(*visit), visit->site, code, site);
    if (!has_terminal || !ask_yes(fmt::format("{}. Record it for job {} anyway?", what, visit->job)))
        throw Stop{{ErrorKind::refused, "visit-elsewhere", what, site, "an appliance of " + visit->site,
                    fmt::format("tarebook visit switch JOB, if one is open there; {}", goes_on_with)}};
    site_agreed = site;
}

void Session::say_visit() const {
    if (visit_said || taken.empty() || (format && *format != "text")) return;
    visit_said = true;
    std::cout << fmt::format("from the visit to {}: {}\n", visit->site, joined(taken)) << std::flush;
}

}  // namespace tarebook::cli
