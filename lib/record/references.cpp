#include "references.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/event/moment.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

std::optional<std::string> circuit_of(const Event& e) {
    return std::visit(
        [](const auto& k) -> std::optional<std::string> {
            if constexpr (requires { std::optional<std::string>(k.circuit); }) return k.circuit;
            return std::nullopt;
        },
        e.what);
}

// Refuses a test date in the future: one wrong digit of the year would keep a cylinder in test for a decade.
std::optional<Error> test_to_come(const Event& e) {
    std::string tested;
    if (const auto* k = std::get_if<kinds::Requalify>(&e.what)) tested = k->tested;
    if (const auto* k = std::get_if<kinds::Entry>(&e.what))
        if (const auto it = k->values.find("tested"); it != k->values.end()) tested = it->second.text;
    if (tested.empty() || e.recorded == Instant()) return std::nullopt;
    const auto month = parse_month(tested);
    // In time zones ahead of UTC the next month may have begun.
    const std::chrono::year_month_day last(std::chrono::floor<std::chrono::days>(e.recorded + std::chrono::hours(14)));
    if (!month || *month <= last.year() / last.month()) return std::nullopt;
    return refused("test-to-come", "the month of the test is in the future", tested,
                   "the month of a test that was made, as stamped", "read the collar again");
}

}  // namespace

Error refused(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}

namespace {
// What decides which books count, and whose names stay, is said on the book's own chain.
bool is_for_the_keeper(const Event& e) {
    const auto* r = std::get_if<kinds::Resolve>(&e.what);
    return std::holds_alternative<kinds::Trust>(e.what) || std::holds_alternative<kinds::Withdraw>(e.what) ||
           std::holds_alternative<kinds::RemoveName>(e.what) || (r && r->finding.starts_with("branch/"));
}
}  // namespace

std::optional<Error> References::check(const Event& e) {
    if (book_.info().desk && is_for_the_keeper(e))
        return refused("desk-not-keeper", "a desk records what is done; this is for the person who keeps the book",
                       std::string(e.kind()), "the book's own key", "ask that person");
    if (auto error = test_to_come(e)) return error;
    if (const auto* k = std::get_if<kinds::Entry>(&e.what)) return check_entry(*k);
    if (const auto* k = std::get_if<kinds::Settle>(&e.what))
        if (auto error = check_settle(*k, e)) return error;
    if (const auto* k = std::get_if<kinds::StocktakeBegin>(&e.what)) return check_stocktake_begin(*k);
    if (const auto count = stocktake_named_by(e); !count.empty())
        if (auto error = check_of_stocktake(count, e)) return error;
    if (const auto* k = std::get_if<kinds::StocktakeUnknown>(&e.what)) seen_unknown_.insert(k->code);
    for (const auto& code : cylinders_of(e))
        if (auto error = need(EntryKind::cylinder, code)) return error;
    if (const auto circuit = circuit_of(e))
        if (!known(EntryKind::circuit, *circuit) && !known(EntryKind::appliance, *circuit))
            return unknown_code(book_, EntryKind::circuit, *circuit);
    if (const auto* k = std::get_if<kinds::Convert>(&e.what))
        if (auto error = need(EntryKind::appliance, k->appliance)) return error;
    if (const auto* k = std::get_if<kinds::Pumpdown>(&e.what); k && k->to) {
        if (auto error = need(EntryKind::appliance, *k->to)) return error;
        if (*k->to == appliance_of(k->circuit))
            return refused("pumpdown-same-appliance", "that is the circuit's own appliance: no mass moves", *k->to,
                           "another appliance, or no --to", {});
    }
    if (const auto appliance = appliance_named_by(e); !appliance.empty())
        if (auto error = need(EntryKind::appliance, std::string(appliance))) return error;
    if (const auto leak = leak_named_by(e); !leak.empty())
        if (auto error = check_leak(leak, circuit_of(e).value_or(""))) return error;
    if (const auto* k = std::get_if<kinds::Leak>(&e.what)) drafted_leaks_.push_back(k->appliance);
    if (const auto* k = std::get_if<kinds::Recover>(&e.what); k && k->machine)
        if (auto error = need(EntryKind::machine, *k->machine)) return error;
    if (const auto* k = std::get_if<kinds::Recycle>(&e.what); k && k->machine)
        if (auto error = need(EntryKind::machine, *k->machine)) return error;
    if (const auto* k = std::get_if<kinds::FilterDrier>(&e.what); k && k->machine)
        if (auto error = need(EntryKind::machine, *k->machine)) return error;
    if (e.scale)
        if (auto error = need(EntryKind::scale, *e.scale)) return error;
    if (const auto* k = std::get_if<kinds::Transfer>(&e.what); k && k->from == k->into)
        return refused("same-cylinder", "a transfer needs two cylinders", k->from, "two different ones", {});
    if (const auto* k = std::get_if<kinds::Trust>(&e.what)) return check_trust(*k);
    if (const auto* k = std::get_if<kinds::Withdraw>(&e.what)) return check_withdraw(*k);
    if (const auto* k = std::get_if<kinds::RemoveName>(&e.what)) return check_remove_name(*k);
    if (const auto* k = std::get_if<kinds::Void>(&e.what)) return check_void(*k);
    if (const auto* k = std::get_if<kinds::Resolve>(&e.what)) return check_resolve(*k);
    return std::nullopt;
}

bool References::known(EntryKind kind, const std::string& code) const {
    return drafted_[static_cast<std::size_t>(kind)].contains(code) || book_.entries().find(kind, code) != nullptr;
}
std::optional<Error> References::need(EntryKind kind, const std::string& code) const {
    if (known(kind, code)) return std::nullopt;
    return unknown_code(book_, kind, code);
}
std::optional<Error> References::check_entry(const kinds::Entry& k) {
    if (k.adds && known(k.entry, k.code))
        return refused(
            "entry-exists", fmt::format("{} {} is on record already", text_of(k.entry), k.code), k.code,
            "a code that is not in use",
            fmt::format("tarebook {0} show {1}; change it with: tarebook {0} correct {1}", text_of(k.entry), k.code));
    if (!k.adds)
        if (auto error = need(k.entry, k.code)) return error;
    const auto slash = k.code.rfind('/');
    if (k.adds && (k.entry == EntryKind::appliance || k.entry == EntryKind::circuit)) {
        const auto above = k.entry == EntryKind::appliance ? EntryKind::site : EntryKind::appliance;
        if (auto error = need(above, k.code.substr(0, slash == std::string::npos ? 0 : slash))) return error;
    }
    drafted_[static_cast<std::size_t>(k.entry)].emplace(k.code, true);
    return std::nullopt;
}
// The leak must be on record; where gas went in for it, it must be one of that appliance.
std::optional<Error> References::check_leak(std::string_view code, const std::string& circuit) {
    if (!leaks_) {
        leaks_.emplace();
        for (auto& leak : book_.leaks()) {
            if (leak_number(leak.code))
                leaks_->push_back(std::move(leak.appliance));
            else
                others_leaks_.emplace(leak.code, leak.appliance);
        }
    }
    const auto in_book = static_cast<std::int64_t>(leaks_->size());
    const auto all = in_book + static_cast<std::int64_t>(drafted_leaks_.size());
    const auto number = leak_number(code);
    const auto others = others_leaks_.find(code);
    if (others == others_leaks_.end() && (!number || *number > all)) {
        std::vector<std::string> codes;
        for (std::int64_t i = 1; i <= all; ++i) codes.push_back(leak_code(i));
        const auto near = nearest(code, codes);
        return refused("unknown-leak", fmt::format("there is no leak {} on record", code), std::string(code),
                       "a leak of the book, such as L-3",
                       near.empty() ? "tarebook leak add APPLIANCE --place TEXT"
                                    : fmt::format("did you mean {}? tarebook report appliance lists them", near));
    }
    const auto at = static_cast<std::size_t>(number.value_or(1) - 1);
    const auto& appliance = others != others_leaks_.end() ? others->second
                            : *number <= in_book          ? (*leaks_)[at]
                                                          : drafted_leaks_[at - leaks_->size()];
    if (circuit.empty() || appliance_of(circuit) == appliance) return std::nullopt;
    return refused("leak-elsewhere", fmt::format("{} is a leak of {}, not of {}", code, appliance, circuit),
                   std::string(code), fmt::format("a leak of {}", appliance_of(circuit)),
                   fmt::format("tarebook report appliance {} lists its leaks", appliance_of(circuit)));
}
// A statement needs a return that counts, that is earlier, and that has no statement yet.
std::optional<Error> References::check_settle(const kinds::Settle& k, const Event& e) const {
    const auto target = book_.event_named(k.target);
    const auto* sent = target ? std::get_if<kinds::Return>(&target->event.what) : nullptr;
    const auto name = target ? target->name : k.target;
    if (!sent)
        return refused("settle-target",
                       target ? fmt::format("{} is a {}: a statement is about a return", name, target->event.kind())
                              : "there is no such event",
                       name, "the event of a return, such as E12", "tarebook due shows which statements are awaited");
    if (target->voided_by)
        return refused("settle-target", fmt::format("{} is voided, by {}", name, *target->voided_by), name,
                       "a return that counts", "settle the one that was recorded in its place");
    if (e.when.at < target->event.when.at)
        return refused("settle-before-return",
                       fmt::format("{} went to {} on {}, after that statement", sent->cylinder, sent->to,
                                   moment_text(target->event.when)),
                       moment_text(e.when), "a time after the return", "say with --at when the statement came");
    const auto earlier = book_.statement_on(target->id);
    if (!earlier || voided_here_.contains(hex(earlier->digest))) return std::nullopt;
    const auto& by = earlier->name;
    return refused("already-settled", fmt::format("{} is settled already, by {}", name, by), name,
                   "a return that awaits its statement",
                   fmt::format("where the statement was corrected: tarebook void {} --why TEXT, then settle anew", by));
}
const std::vector<KnownStocktake>& References::known_stocktakes() {
    if (!counts_) counts_ = stocktakes(book_);
    return *counts_;
}
// One stocktake of a place at a time, so that each weight belongs to one.
std::optional<Error> References::check_stocktake_begin(const kinds::StocktakeBegin& k) {
    for (const auto& count : known_stocktakes())
        if (!count.close && count.what().place == k.place)
            return refused("count-open", fmt::format("a count of {} is open: {}", k.place, count.told()), k.place,
                           "one count of a place at a time", "go on with it, or end it first: tarebook count close");
    return std::nullopt;
}
// A misread weight may be corrected after the stocktake was closed: the draft is a void and its replacement in one.
bool References::stands_in_for_one_of(std::string_view count, const Event& e) const {
    return std::any_of(voided_here_.begin(), voided_here_.end(), [&](const std::string& digest) {
        const auto out = book_.event_named(digest);
        return out && out->event.kind() == e.kind() && stocktake_named_by(out->event) == count;
    });
}
std::optional<Error> References::check_of_stocktake(std::string_view id, const Event& e) {
    const KnownStocktake* count = nullptr;
    for (const auto& one : known_stocktakes())
        if (one.id() == id) count = &one;
    if (!count)
        return refused("unknown-count", "the count that this belongs to is not on record, or voided",
                       std::string(id.substr(0, 16)), "a count of this book", "tarebook count show lists it");
    if (count->close && !stands_in_for_one_of(id, e))
        return refused("count-closed", fmt::format("{} was closed by {}", count->told(), count->close->name),
                       std::string(e.kind()), "a count that is open",
                       "a weight alone is taken by `tarebook weigh`; or begin a new count");
    if (e.when.at < stocktake_may_have_readings_from(*count))
        return refused("count-before-begin", fmt::format("that was before it began: {}", count->told()),
                       moment_text(e.when), "a time since then", "say with --at when it was weighed");
    if (const auto* k = std::get_if<kinds::StocktakeUnknown>(&e.what); k && known(EntryKind::cylinder, k->code))
        return refused("cylinder-known", fmt::format("the book has a cylinder {}", k->code), k->code,
                       "a cylinder that is not in the register", "record its weight without saying that it is unknown");
    if (const auto* k = std::get_if<kinds::StocktakeReason>(&e.what);
        k && !known(EntryKind::cylinder, k->code) && !seen_unknown_.contains(k->code)) {
        for (const auto& seen :
             book_.watched_events(kinds::StocktakeUnknown::name, stocktake_may_have_readings_from(*count)))
            if (const auto* unknown = std::get_if<kinds::StocktakeUnknown>(&seen.event.what);
                unknown && unknown->count == id && unknown->code == k->code)
                return std::nullopt;
        return unknown_code(book_, EntryKind::cylinder, k->code);
    }
    if (const auto* k = std::get_if<kinds::StocktakeClose>(&e.what); k && k->second_person && k->second_person == e.by)
        return refused("second-person", "the second person is the one who closes it", *k->second_person,
                       "another person who saw the count", "leave --second-person out where there was no other person");
    return std::nullopt;
}
std::optional<Error> References::check_void(const kinds::Void& k) {
    const auto target = book_.event_named(k.target);
    if (!target)
        return refused("void-target", "there is no such event", k.target, "E12, or the start of a digest",
                       "tarebook report cylinder ID lists events");
    const auto& name = target->name;
    if (target->voided_by)
        return refused("already-voided", fmt::format("{} is voided already, by {}", name, *target->voided_by), name,
                       "an event that counts", "record anew what did happen");
    if (std::holds_alternative<kinds::Void>(target->event.what))
        return refused("void-of-void", fmt::format("{} is itself a void; a void stays", name), name,
                       "an event that counts", "record anew what did happen");
    if (std::holds_alternative<kinds::Trust>(target->event.what) ||
        std::holds_alternative<kinds::Withdraw>(target->event.what) ||
        std::holds_alternative<kinds::Merge>(target->event.what))
        return refused("void-target", "an event about the trust in books stays", name,
                       "an event about gas or the register",
                       "say otherwise with: tarebook books trust, tarebook books withdraw");
    if (std::holds_alternative<kinds::Typist>(target->event.what) ||
        std::holds_alternative<kinds::RemoveName>(target->event.what))
        return refused("void-target", "an event about people stays", name, "an event about gas or the register",
                       "a technician's name is set anew with: tarebook technician correct");
    if (std::holds_alternative<kinds::Start>(target->event.what))
        return refused("void-target", "the first event of a book stays", name, "a later event", {});
    voided_here_.insert(hex(target->digest));
    return std::nullopt;
}
std::optional<Error> References::check_remove_name(const kinds::RemoveName& k) const {
    for (const auto code : split(k.people, ' ')) {
        const auto name = book_.name_of_person(code);
        if (!is_person_code(code) || book_.code_of_person(name) != std::string(code))
            return refused("person-unknown", "the book has no name of that person", short_person(code),
                           "a person whose name is here", "tarebook people list");
        if (k.asked.find(name) != std::string::npos)
            return refused("person-named", "the words have the name that is to go", k.asked,
                           "words without the name, such as: by the person, in a letter of 2026-06-01", {});
    }
    return std::nullopt;
}
const std::map<std::string, std::string>& References::names_of_books() {
    if (!names_of_books_) {
        names_of_books_.emplace();
        for (const auto& one : book_.trusted()) names_of_books_->emplace(hex(one.id), one.called);
    }
    return *names_of_books_;
}
std::optional<Error> References::check_trust(const kinds::Trust& k) {
    if (k.book == hex(book_.info().id))
        return refused("trust-own", "that is this book itself", k.book, "another book", {});
    if (const auto other = book_id_from_hex(k.book))
        if (auto good = not_apart(book_.info().id, *other); !good) return std::move(good.error());
    if (k.called == book_.info().company)
        return refused("name-taken", fmt::format("this book itself has the name {}", k.called), k.called,
                       "a name that is not in use", "tarebook books lists them");
    const auto& names = names_of_books();
    const auto drafted = drafted_names_.emplace(k.called, k.book).first;
    if (drafted->second != k.book || std::any_of(names.begin(), names.end(), [&](const auto& one) {
            return one.second == k.called && one.first != k.book;
        }))
        return refused("name-taken", fmt::format("another book has the name {} already", k.called), k.called,
                       "a name that is not in use", "tarebook books lists them");
    return std::nullopt;
}
std::optional<Error> References::check_withdraw(const kinds::Withdraw& k) {
    if (names_of_books().contains(k.book)) return std::nullopt;
    return refused("book-untrusted", "that book is not trusted", k.book, "a book that is trusted",
                   "tarebook books lists them");
}
std::optional<Error> References::check_resolve(const kinds::Resolve& k) const {
    if (k.finding.starts_with("due/")) return std::nullopt;  // a clock; its existence is checked by the caller
    if (k.finding.starts_with("branch/")) {
        for (const auto& first : book_.branch_firsts())
            if (k.finding == "branch/" + hex(first)) return std::nullopt;
        return refused("branch-unknown", "no branch of a book begins with that event", k.finding,
                       "branch/ and the whole digest of the first event of a branch", "tarebook list exceptions");
    }
    std::vector<std::string> ids;
    for (const auto& f : book_.open_findings()) {
        if (f.id == k.finding) return std::nullopt;
        ids.push_back(f.id);
    }
    return refused("finding-unknown", "there is no such open finding", k.finding, "an id of the exceptions list",
                   did_you_mean(k.finding, ids, "tarebook list exceptions"));
}

std::optional<Error> refuse_or_accept_void_of_entry(const Book& book, Event& draft) {
    const auto* out = std::get_if<kinds::Void>(&draft.what);
    const auto target = out ? book.event_named(out->target) : std::nullopt;
    const auto* entry = target ? added_cylinder(target->event) : nullptr;
    if (!entry) return std::nullopt;
    // Another event may still give its weight, if two books added the cylinder.
    if (const auto* left = book.entries().find(EntryKind::cylinder, entry->code))
        if (const auto tares = left->fields().find("tare"); tares != left->fields().end())
            for (const auto& tare : tares->second)
                if (!(tare.from == target->event.order())) return std::nullopt;
    const auto state = book.state(entry->code);
    if (state.gone || state.lost) return std::nullopt;
    const auto tare = facts_said_by(*entry).tare;
    const Mass holds = state.gross && tare ? *state.gross - *tare : state.contents();
    if (holds <= Mass()) return std::nullopt;
    const auto units = book.info().units;
    auto text = fmt::format("{} holds {}: without this entry the book has no tare and no limit of it", entry->code,
                            mass_text(holds, units));
    if (draft.anyway) {
        draft.accepted.push_back({"entry-holds-gas", entry->code, std::move(text)});
        return std::nullopt;
    }
    return refused(
        "entry-holds-gas", std::move(text),
        state.gross && tare ? fmt::format("{} gross, tare {}", mass_text(*state.gross, units), mass_text(*tare, units))
                            : fmt::format("{} net by the book", mass_text(holds, units)),
        "a cylinder that the book has nothing in",
        fmt::format(
            "where a field is wrong: tarebook cylinder correct {0}; where it is another cylinder: add that one, "
            "correct what was recorded of {0} (tarebook report cylinder {0} lists it), then void the entry",
            entry->code));
}

// An event with the same own_id: with the same content it is "already recorded", with another content it is refused. A
// time that was not typed is not part of the content.
Result<std::optional<StoredEvent>> already_there(const Book& book, Event draft) {
    auto stored = book.event_with_own_id(*draft.own_id);
    if (!stored) return std::nullopt;
    if (draft.when.at == draft.recorded) draft.when = stored->event.when;
    if (!draft.anyway) draft.anyway = stored->event.anyway;  // the reason was given, or yes was said, the first time
    if (words_of(draft) == words_of(stored->event)) return stored;
    if (auto* entry = std::get_if<kinds::Entry>(&draft.what); entry && entry->entry == EntryKind::technician)
        if (const auto name = entry->values.find("name"); name != entry->values.end()) {
            name->second.text = book.code_of_person(name->second.text).value_or(name->second.text);
            if (words_of(draft) == words_of(stored->event)) return stored;
        }
    return fail(refused("own-id-other-content",
                        fmt::format("{} is recorded already as {}, with other content", *draft.own_id, stored->name),
                        *draft.own_id, "the same content, or another id",
                        fmt::format("compare, then: tarebook correct {} ...", stored->name)));
}

Error unknown_code(const Book& book, EntryKind kind, std::string_view code) {
    const auto word = text_of(kind);
    return refused(
        fmt::format("unknown-{}", word), fmt::format("there is no {} {} on record", word, code), std::string(code),
        "a code of the register",
        did_you_mean(code, book.codes(kind), fmt::format("tarebook {0} list; tarebook {0} add {1} ...", word, code)));
}

}  // namespace tarebook
