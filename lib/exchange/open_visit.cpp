#include "tarebook/exchange/open_visit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "tarebook/event/event.hpp"
#include "tarebook/exchange/begun_entry.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

constexpr std::size_t digits_of_name = 16;
constexpr std::chrono::hours longest_unasked{12};

std::string short_digest(const std::string& text) {
    return hex(digest_of(text)).substr(0, digits_of_name);
}
std::string beginning_of(const Visitor& who) {
    return "visit-" + short_digest(who.login + '\n' + who.device) + "-";
}
std::string name_of(const Visitor& who, const std::string& job) {
    return beginning_of(who) + short_digest(job);
}

// The visit that was opened or chosen last has the highest number, and is the current one.
struct KeptVisit {
    OpenVisit visit;
    std::int64_t chosen = 0;
};

std::optional<KeptVisit> visit_in(const BegunEntry& entry) {
    const auto site = entry.at("site"), job = entry.at("job"), zone = entry.at("zone"), chosen = entry.at("chosen");
    if (!site || !job || !zone || !chosen) return std::nullopt;
    const auto opened = moment_in_zone(entry.begun, *zone);
    if (!opened) return std::nullopt;
    KeptVisit out{{*site, *job, entry.at("by"), entry.at("with"), entry.at("scale"), entry.at("place"), *opened}, 0};
    if (const auto cautions = entry.at("cautions"))
        for (const auto one : split(*cautions, ';'))
            if (!one.empty()) out.visit.cautions.emplace_back(one);
    std::from_chars(chosen->data(), chosen->data() + chosen->size(), out.chosen);
    return out;
}

void keep(const std::filesystem::path& book, const Visitor& who, const KeptVisit& kept) {
    const auto& v = kept.visit;
    BegunEntry entry{v.opened.at, {}};
    for (const auto& [flag, text] : {std::pair<const char*, std::optional<std::string>>{"site", v.site},
                                     {"job", v.job},
                                     {"by", v.by},
                                     {"with", v.with},
                                     {"scale", v.scale},
                                     {"place", v.place},
                                     {"zone", v.opened.zone},
                                     {"chosen", std::to_string(kept.chosen)}})
        if (text) entry.set(flag, *text);
    if (!v.cautions.empty()) entry.set("cautions", joined(v.cautions, ";"));
    keep_begun_entry(book, name_of(who, v.job), entry);
}

std::vector<KeptVisit> kept_visits(const std::filesystem::path& book, const Visitor& who) {
    std::vector<KeptVisit> out;
    for (const auto& name : begun_entries(book, beginning_of(who)))
        if (const auto entry = begun_entry(book, name))
            if (auto visit = visit_in(*entry)) out.push_back(std::move(*visit));
    std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.chosen > b.chosen; });
    return out;
}

std::string words_of(const std::vector<KeptVisit>& visits) {
    std::string out;
    for (const auto& [visit, chosen] : visits)
        out += fmt::format("{}{}, job {}", out.empty() ? "" : "; ", visit.site, visit.job);
    return out;
}

}  // namespace

std::vector<OpenVisit> open_visits(const std::filesystem::path& book, const Visitor& who) {
    std::vector<OpenVisit> out;
    for (auto& kept : kept_visits(book, who)) out.push_back(std::move(kept.visit));
    return out;
}

Result<void> open_visit(const std::filesystem::path& book, const Visitor& who, const OpenVisit& visit) {
    const auto open = kept_visits(book, who);
    for (const auto& kept : open)
        if (kept.visit.job == visit.job)
            return fail({ErrorKind::refused, "visit-open",
                         fmt::format("a visit to {} for job {} is open since {}", kept.visit.site, visit.job,
                                     moment_text(kept.visit.opened)),
                         visit.job, "a job without an open visit",
                         fmt::format("tarebook visit switch {}; or tarebook visit end", visit.job)});
    if (open.size() >= most_open_visits)
        return fail({ErrorKind::refused, "visits-full", "two visits are open", words_of(open), "one open visit at most",
                     "tarebook visit end ends the current one; tarebook visit switch JOB makes the other one current"});
    keep(book, who, {visit, open.empty() ? 1 : open.front().chosen + 1});
    return {};
}

Result<void> switch_visit(const std::filesystem::path& book, const Visitor& who, const std::string& job) {
    auto open = kept_visits(book, who);
    std::vector<std::string> jobs;
    for (auto& kept : open) {
        if (kept.visit.job == job) {
            kept.chosen = open.front().chosen + 1;
            keep(book, who, kept);
            return {};
        }
        jobs.push_back(kept.visit.job);
    }
    return fail({ErrorKind::refused, "visit-unknown", fmt::format("no visit for job {} is open", job), job,
                 open.empty() ? "an open visit" : words_of(open),
                 did_you_mean(job, jobs, fmt::format("tarebook visit SITE --job {}", job))});
}

void keep_cautions(const std::filesystem::path& book, const Visitor& who, const std::string& job,
                   const std::vector<std::string>& cautions) {
    for (auto& kept : kept_visits(book, who)) {
        auto& seen = kept.visit.cautions;
        if (kept.visit.job != job) continue;
        for (const auto& one : cautions)
            if (std::find(seen.begin(), seen.end(), one) == seen.end()) seen.push_back(one);
        keep(book, who, kept);
    }
}

void end_visit(const std::filesystem::path& book, const Visitor& who, const std::string& job) {
    drop_begun_entry(book, name_of(who, job));
}

std::string why_not_still_on(const OpenVisit& visit, Instant now) {
    const auto today = moment_in_zone(now, visit.opened.zone);
    const auto opened = "was opened at " + moment_text(visit.opened);
    if (today && today->date() != visit.opened.date()) return opened + ", which is another day";
    if (now - visit.opened.at > longest_unasked) return opened + ", more than 12 hours ago";
    return {};
}

}  // namespace tarebook
