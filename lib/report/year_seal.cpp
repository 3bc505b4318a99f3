#include "year_seal.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "columns.hpp"
#include "leak_rates.hpp"
#include "shared_text.hpp"
#include "tarebook/book/judged_anew.hpp"

namespace tarebook {
namespace report {
namespace {

// What the figures of a year hang on beside its events: the checks, and the packs by the date of their collection.
std::string edition_of(const Book& book) {
    std::map<std::string_view, const RulePack*> packs;
    for (const auto* pack : book.rules().packs_of_country(book.info().country)) packs[pack->id] = pack;
    book.each_entry(EntryKind::site, [&](const tarebook::Entry& site) {
        for (const auto* pack : packs_of(book.rules(), site).packs) packs[pack->id] = pack;
    });
    std::vector<const RulePack*> by_name;
    for (const auto& [id, pack] : packs) by_name.push_back(pack);
    return fmt::format("checks {}, {}", checks_edition, packs_text(by_name));
}

}  // namespace

SealWatch::SealWatch(const Book& book, std::chrono::year year, const std::vector<StoredEvent>& seals)
    : rules_(book.rules()), first_(year / 1 / 1), last_(year / 12 / 31), year_(year) {
    for (const auto& stored : seals) {
        const auto* seal = std::get_if<kinds::Seal>(&stored.event.what);
        if (!seal || seal->year != std::to_string(static_cast<int>(year))) continue;
        seal_ = *seal;
        event_ = stored;
    }
    if (!seal_) return;
    for (const auto& head : heads_from(seal_->heads).value_or(std::vector<SealedHead>())) until_[head.book] = head.seq;
}

bool SealWatch::came_after(const OrderKey& order) const {
    const auto it = until_.find(order.book);
    return it == until_.end() || order.seq > it->second;
}

void SealWatch::see(const BookedEvent& e) {
    if (is_about_books(e.kind) && e.kind != kinds::Seal::name) return;
    const auto digest = e.stored.whole_digest();
    auto& head = heads_[e.order.book];
    if (head.seq < e.order.seq) head = {e.order.book, e.order.seq, digest};
    if (e.day < first_ || e.day > last_ || is_about_books(e.kind)) return;
    tree_.add(digest);
    if (!seal_) return;
    const auto it = until_.find(e.order.book);
    const bool before = it != until_.end() && e.order.seq <= it->second;
    if (before) sealed_tree_.add(digest);
    if (before && keeps_) leaves_.push_back(digest);
    if (!before)
        amendments_.push_back({e.stored.id, {}});
    else if (e.voided_order && came_after(*e.voided_order))
        amendments_.push_back({e.stored.id, e.voided_by});
}

bool SealWatch::broken() const {
    return seal_ && (hex(sealed_tree_.root()) != seal_->root || std::to_string(sealed_tree_.leaves()) != seal_->events);
}
bool SealWatch::balances_differ() const {
    return seal_ && hex(balances_) != seal_->balances;
}

kinds::Seal SealWatch::now() const {
    kinds::Seal out;
    out.year = std::to_string(static_cast<int>(year_));
    out.events = std::to_string(tree_.leaves());
    out.root = hex(tree_.root());
    out.balances = hex(balances_);
    std::vector<SealedHead> heads;
    for (const auto& [book, head] : heads_) heads.push_back(head);
    out.heads = heads_text(heads);
    return out;
}

// Packs that came to the book later are no other edition of those that it had.
std::optional<std::string> SealWatch::edition_now() const {
    if (!seal_ || !seal_->edition) return std::nullopt;
    auto out = fmt::format("checks {}", checks_edition);
    for (const auto& part : rule_pack_names(*seal_->edition)) {
        const auto id = part.substr(0, part.find(' '));
        if (id == "checks") continue;
        const auto* pack = rules_.find(id);
        out += fmt::format(", {} {}", id, pack ? date_text(pack->date) : "not in this program");
    }
    return out;
}

namespace {

std::string amendment_text(const Book& book, const StoredEvent& event, const std::optional<Digest>& taken_out_by) {
    const auto act =
        fmt::format("{}, {}: {}", event_ref(book, event), date_text(event.event.when.date()), act_of(event.event));
    if (!taken_out_by) return act;
    const auto by = book.event_named(hex(*taken_out_by));
    return fmt::format("{} (no longer counts, by {})", act,
                       by ? event_ref(book, *by) : hex(*taken_out_by).substr(0, 16));
}

}  // namespace

std::string SealWatch::text(const Book& book, bool all) const {
    if (!seal_) return {};
    // a number belongs to this book; where a page leaves it, the digest names the event
    const auto name = all ? event_ref(book, *event_) : hex(event_->digest).substr(0, 16);
    std::string out = wrapped(
        fmt::format("sealed by {} on {}: {} events, root {}, balances {}", name, date_text(event_->event.when.date()),
                    seal_->events, seal_->root.substr(0, 16), seal_->balances.substr(0, 16)),
        0);
    if (other_edition())
        out +=
            wrapped(fmt::format("OTHER EDITION THAN THE SEAL: sealed under {}; this page is made under {}, and rates, "
                                "clocks and exceptions may read otherwise than then; no sealed mass depends on them",
                                *seal_->edition, *edition_now()),
                    0);
    if (broken())
        out += wrapped("THE SEAL DOES NOT HOLD: the events up to its heads are not those that were sealed", 0);
    if (!amended()) return out + "nothing of that year was entered since, and all of it still counts\n";
    const auto is = now();
    out += wrapped(fmt::format("now: {} events, root {}, balances {}{}; {} since", is.events, is.root.substr(0, 16),
                               is.balances.substr(0, 16), balances_differ() ? " (other than sealed)" : " (as sealed)",
                               counted(static_cast<std::int64_t>(amendments_.size()), "amendment")),
                   0);
    if (!all) return out;
    constexpr std::size_t shown = 30;
    for (std::size_t i = 0; i < amendments_.size() && i < shown; ++i)
        if (const auto event = book.event(amendments_[i].event_id))
            out += bulleted(amendment_text(book, *event, amendments_[i].taken_out_by));
    if (amendments_.size() > shown)
        out += fmt::format("  and {} more: --format json has all\n", amendments_.size() - shown);
    return out;
}

Json SealWatch::json(const Book& book, bool all) const {
    if (!seal_) return Json::null();
    const auto figures = [](const kinds::Seal& seal) {
        return facts({{"number_of_events", std::strtoll(seal.events.c_str(), nullptr, 10)},
                      {"root", seal.root},
                      {"balances", seal.balances},
                      {"heads_digest", Json::text(seal.heads)}});
    };
    Json list = Json::array();
    for (const auto& a : amendments_)
        if (const auto event = all ? book.event(a.event_id) : std::nullopt)
            list.push(facts({{"event", hex(event->digest)},
                             {"act", act_of(event->event)},
                             {"taken_out_by", a.taken_out_by ? hex(*a.taken_out_by) : ""}}));
    return facts({{"event", hex(event_->digest)},
                  {"at", event_->event.when},
                  {"sealed", figures(*seal_)},
                  {"now", figures(now())},
                  {"edition", seal_->edition},
                  {"edition_now", edition_now()},
                  {"is_unchanged", !broken()},
                  {"balances_as_sealed", !balances_differ()},
                  {"amendments", amendments_.size()},
                  {"events_between", std::move(list)}});
}

}  // namespace report

Result<kinds::Seal> year_seal(const Book& book, std::chrono::year year, Instant now) {
    const auto today = moment_in_zone(now, book.info().zone);
    const Date day = today ? today->date() : std::chrono::floor<std::chrono::days>(now);
    const auto text = std::to_string(static_cast<int>(year));
    if (day <= Date(year / 12 / 31))
        return fail({ErrorKind::refused, "year-not-over", "that year is not over yet", text,
                     "a year whose last day is past, by the book's clock", "seal it in January"});
    if (auto not_yet = not_while_judged_anew(book)) return fail(std::move(*not_yet));
    report::SealWatch watch(book, year, book.events_of_kind(kinds::Seal::name));
    YearSums sums(year, book.entries());
    std::vector<YearPosting> postings;
    book.each_booked([&](const BookedEvent& e) {
        watch.see(e);
        postings.clear();
        for (const auto& p : e.postings) postings.push_back({p.account, p.lot, p.mass});
        sums.take({e.stored.body, e.order, e.day, e.kind, postings});
    });
    watch.finish(digest_of(sums.balance()));
    if (watch.sealed() && !watch.amended() && !watch.broken() && !watch.other_edition())
        return fail({ErrorKind::refused, "year-sealed", "that year is sealed, and nothing of it was entered since",
                     text, "a year with amendments, or one that was never sealed", "tarebook report year " + text});
    auto out = watch.now();
    out.edition = report::edition_of(book);
    return out;
}

}  // namespace tarebook
