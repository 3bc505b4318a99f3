// What a person is asked for who did not type it: a circuit, a cylinder, the person and the job. Each question offers
// what fits, and says what was understood before the next one.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <span>

#include "session.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

std::string lower(std::string text) {
    for (auto& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return text;
}
// The one code that is meant: with other letters, small for capital; of a circuit at a prompt also by its last part.
// What was typed where none or several could be.
enum class Typed { whole, at_prompt };
constexpr std::array circuit_kinds{EntryKind::circuit, EntryKind::appliance};
constexpr std::array appliance_kinds{EntryKind::appliance};
constexpr std::array cylinder_kinds{EntryKind::cylinder};
std::string code_meant(const Book& book, std::span<const EntryKind> kinds, const std::string& typed, Typed how) {
    std::vector<std::string> same, ending;
    for (const auto kind : kinds)
        for (auto& code : book.codes(kind)) {
            if (code == typed) return typed;
            const auto small = lower(code);
            if (small == lower(typed)) same.push_back(code);
            if (how == Typed::at_prompt && kind != EntryKind::cylinder && small.ends_with("/" + lower(typed)))
                ending.push_back(code);
        }
    if (same.size() == 1) return same.front();
    return same.empty() && ending.size() == 1 ? ending.front() : typed;
}

// As code_meant, but of a visit's own site before any other: "RACK-A/4", and at a prompt "4".
std::string equipment_meant(const Book& book, std::string_view site, std::span<const EntryKind> kinds,
                            const std::string& typed, Typed how) {
    if (!site.empty()) {
        const auto exact = code_meant(book, kinds, std::string(site) + "/" + typed, Typed::whole);
        for (const auto kind : kinds)
            if (book.entries().find(kind, exact)) return exact;
    }
    if (!site.empty() && how == Typed::at_prompt) {
        std::vector<std::string> ending;
        for (const auto kind : kinds)
            for (auto& code : book.codes(kind))
                if (site_of(code) == site && lower(code).ends_with("/" + lower(typed))) ending.push_back(code);
        if (ending.size() == 1) return ending.front();
    }
    return code_meant(book, kinds, typed, how);
}

}  // namespace

// Asks for a circuit or an appliance, of these kinds.
std::string Session::need_equipment(const Book& book, const Text& value, Question q,
                                    std::span<const EntryKind> kinds) const {
    const auto site = visit ? std::string_view(visit->site) : std::string_view();
    const auto checked = [&](std::string code) {
        check_site(code);
        return code;
    };
    if (value) return checked(equipment_meant(book, site, kinds, *value, Typed::whole));
    if (!has_terminal) return need(value, q);
    q.check = [&](const std::string& code) -> Result<void> {
        for (const auto kind : kinds)
            if (book.entries().find(kind, code)) return {};
        return fail(unknown_code(book, kinds.front(), code));
    };
    q.meant = [&](const std::string& typed) { return equipment_meant(book, site, kinds, typed, Typed::at_prompt); };
    q.words = [&](const std::string& code) {
        const OrderKey last{Instant::max(), {}, 0};
        const auto* entry = book.entries().find(EntryKind::circuit, code);
        const auto serves = entry ? entry->text("serves", last) : std::nullopt;
        const auto place = place_facts(book.entries(), code, last);
        std::string out = serves.value_or("");
        if (place && !place->refrigerant.empty()) add_word(out, place->refrigerant);
        return out;
    };
    return checked(need(value, q));
}

std::string Session::need_circuit(const Book& book, const Text& value, const std::string& flag) const {
    Question q{flag, "circuit, for example OAK/RACK-B/4"};
    if (!value && has_terminal) q.offers = visit ? circuits_at(book, visit->site) : latest_circuits(book);
    return need_equipment(book, value, std::move(q), circuit_kinds);
}

std::string Session::need_appliance(const Book& book, const Text& value) const {
    Question q{"APPLIANCE", "appliance, SITE/APPLIANCE"};
    if (!value && has_terminal)
        for (const auto& offer : visit ? circuits_at(book, visit->site) : latest_circuits(book)) {
            auto appliance = appliance_of(offer.value);
            const bool is_new = std::none_of(q.offers.begin(), q.offers.end(),
                                             [&](const Offer& other) { return other.value == appliance; });
            if (is_new) q.offers.push_back({std::move(appliance), ""});
        }
    return checked_code(EntryKind::appliance, need_equipment(book, value, std::move(q), appliance_kinds));
}

std::string Session::need_leak(const Book& book, const Text& value) const {
    Question q{"LEAK", "leak, for example L-3"};
    if (value || !has_terminal) return need(value, q);
    auto leaks = book.leaks();
    std::reverse(leaks.begin(), leaks.end());
    std::stable_sort(leaks.begin(), leaks.end(), [&](const KnownLeak& a, const KnownLeak& b) {
        const auto here = [&](const KnownLeak& leak) { return visit && site_of(leak.appliance) == visit->site; };
        return here(a) && !here(b);
    });
    for (const auto& leak : leaks)
        if (!leak.event.voided_by)
            q.offers.push_back(
                {leak.code, fmt::format("{}: {}", leak.appliance, std::get<kinds::Leak>(leak.event.event.what).place)});
    return need(value, q);
}

std::string Session::need_cylinder(const Book& book, const Text& value, const std::string& flag,
                                   const std::string& question, const CylinderQuestion& task) const {
    if (value) return code_meant(book, cylinder_kinds, *value, Typed::whole);
    if (!has_terminal) return need(value, flag, question);
    auto asked_of = task;
    if (!asked_of.job) asked_of.job = job;
    if (!asked_of.place && visit) asked_of.place = visit->place;
    const auto options = page_options(&book);
    Question q{flag, question};
    for (auto& offer : offered_cylinders(book, asked_of, options)) q.offers.push_back({offer.code, offer.words});
    q.check = [&](const std::string& code) -> Result<void> {
        if (code.starts_with("outside:") || book.entries().find(EntryKind::cylinder, code)) return {};
        return fail(unknown_code(book, EntryKind::cylinder, code));
    };
    q.meant = [&](const std::string& typed) { return code_meant(book, cylinder_kinds, typed, Typed::at_prompt); };
    q.doubt = [&](const std::string& code) { return why_not_offered(book, code, asked_of, options); };
    q.words = [&](const std::string& code) { return holds_text(book, code, options); };
    return need(value, q);
}

std::string Session::need_cylinder_or(const Book& book, const Text& value, const std::string& flag,
                                      const std::string& question) const {
    return code_meant(book, cylinder_kinds, need(value, flag, question), Typed::whole);
}

Session Session::with_person_and_job(const Book& book, const std::string& circuit) const {
    auto out = *this;
    if (!has_terminal || !asked.holds_answers()) return out;
    const auto take = [&](Text& value, const char* flag, const char* text, std::vector<Offer> offers) {
        if (value) return;
        Question q{flag, text, std::move(offers)};
        q.may_be_empty = true;
        if (auto said = out.need(value, q); !said.empty()) value = std::move(said);
    };
    const auto today = must(moment_in_zone(now, book.info().zone)).date();
    take(out.by, "--by", "who did it (- leaves it open)", latest_persons(book));
    take(out.job, "--job", "job number (- leaves it open)", jobs_of_today(book, circuit, today));
    return out;
}

}  // namespace tarebook::cli
