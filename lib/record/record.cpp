#include "tarebook/record.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "tarebook/checks.hpp"
#include "tarebook/nearest.hpp"

namespace tarebook {
namespace {

Error refused(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}

bool is_utf8(std::string_view s) {
    for (std::size_t i = 0; i < s.size();) {
        const auto c = static_cast<unsigned char>(s[i]);
        const std::size_t more = c < 0x80                ? 0
                                 : c >= 0xc2 && c < 0xe0 ? 1
                                 : c >= 0xe0 && c < 0xf0 ? 2
                                 : c >= 0xf0 && c < 0xf5 ? 3
                                                         : 9;
        if (more == 9 || i + more >= s.size()) return false;
        for (std::size_t k = 1; k <= more; ++k)
            if ((static_cast<unsigned char>(s[i + k]) & 0xc0U) != 0x80U) return false;
        if (more > 1) {  // overlong forms, surrogates and what lies beyond Unicode
            const auto d = static_cast<unsigned char>(s[i + 1]);
            if ((c == 0xe0 && d < 0xa0) || (c == 0xed && d > 0x9f) || (c == 0xf0 && d < 0x90) ||
                (c == 0xf4 && d > 0x8f))
                return false;
        }
        i += more + 1;
    }
    return true;
}

// Walks every text of an event, whatever its kind.
struct TextCheck {
    std::optional<Error> error;
    void look(const char* field, const std::string& text) {
        if (error) return;
        constexpr std::size_t longest = 10'240;
        if (!is_utf8(text))
            error =
                Error{ErrorKind::usage, "text-not-utf8", fmt::format("{} is not UTF-8 text", field), {}, "UTF-8", {}};
        else if (text.size() > longest)
            error = Error{ErrorKind::usage,
                          "text-too-long",
                          fmt::format("{} is {} bytes long", field, text.size()),
                          {},
                          fmt::format("at most {} bytes", longest),
                          "keep the long text in a file and name that"};
        else if (text.find('\0') != std::string::npos)
            error = Error{
                ErrorKind::usage, "text-not-utf8", fmt::format("{} has a zero byte in it", field), {}, "text", {}};
    }
    void operator()(const char* f, const std::string& v) { look(f, v); }
    void operator()(const char* f, const std::optional<std::string>& v) {
        if (v) look(f, *v);
    }
    void operator()(const char* f, const FieldValues& v) {
        for (const auto& [name, value] : v) look(name.c_str(), value.text);
        (void)f;
    }
    template <class T>
    void operator()(const char*, const T&) {}
};

std::optional<Error> check_texts(const Event& e) {
    TextCheck check;
    check("by", e.by), check("job", e.job), check("scale", e.scale), check("note", e.note), check("own_id", e.own_id),
        check("anyway", e.anyway);
    std::visit(
        [&](const auto& k) {
            using K = std::decay_t<decltype(k)>;
            K::fields(k, check);
        },
        e.what);
    return check.error;
}

// What a draft refers to must be on record, or come in with a draft before it.
class References {
 public:
    explicit References(const Book& book) : book_(book) {}

    std::optional<Error> check(const Event& e) {
        if (const auto* k = std::get_if<kinds::Entry>(&e.what)) return check_entry(*k);
        for (const auto& code : cylinders_of(e))
            if (auto error = need(EntryKind::cylinder, code)) return error;
        if (const auto circuit = circuit_of(e))
            if (!known(EntryKind::circuit, *circuit) && !known(EntryKind::appliance, *circuit))
                return unknown_code(book_, EntryKind::circuit, *circuit);
        if (const auto* k = std::get_if<kinds::Convert>(&e.what))
            if (auto error = need(EntryKind::appliance, k->appliance)) return error;
        if (const auto* k = std::get_if<kinds::Recover>(&e.what); k && k->machine)
            if (auto error = need(EntryKind::machine, *k->machine)) return error;
        if (e.scale)
            if (auto error = need(EntryKind::scale, *e.scale)) return error;
        if (const auto* k = std::get_if<kinds::Transfer>(&e.what); k && k->from == k->into)
            return refused("same-cylinder", "a transfer needs two cylinders", k->from, "two different ones", {});
        if (const auto* k = std::get_if<kinds::Void>(&e.what)) return check_void(*k);
        if (const auto* k = std::get_if<kinds::Resolve>(&e.what)) return check_resolve(*k);
        return std::nullopt;
    }

 private:
    static std::optional<std::string> circuit_of(const Event& e) {
        return std::visit(
            [](const auto& k) -> std::optional<std::string> {
                if constexpr (requires { std::optional<std::string>(k.circuit); }) return k.circuit;
                return std::nullopt;
            },
            e.what);
    }
    [[nodiscard]] bool known(EntryKind kind, const std::string& code) const {
        return drafted_.contains({kind, code}) || book_.entries().find(kind, code) != nullptr;
    }
    [[nodiscard]] std::optional<Error> need(EntryKind kind, const std::string& code) const {
        if (known(kind, code)) return std::nullopt;
        return unknown_code(book_, kind, code);
    }
    std::optional<Error> check_entry(const kinds::Entry& k) {
        if (k.adds && known(k.entry, k.code))
            return refused("entry-exists", fmt::format("{} {} is on record already", text_of(k.entry), k.code), k.code,
                           "a code that is not in use",
                           fmt::format("tarebook {0} show {1}; change it with: tarebook {0} correct {1}",
                                       text_of(k.entry), k.code));
        if (!k.adds)
            if (auto error = need(k.entry, k.code)) return error;
        const auto slash = k.code.rfind('/');
        if (k.adds && (k.entry == EntryKind::appliance || k.entry == EntryKind::circuit)) {
            const auto above = k.entry == EntryKind::appliance ? EntryKind::site : EntryKind::appliance;
            if (auto error = need(above, k.code.substr(0, slash == std::string::npos ? 0 : slash))) return error;
        }
        drafted_.insert({k.entry, k.code});
        return std::nullopt;
    }
    [[nodiscard]] std::optional<Error> check_void(const kinds::Void& k) const {
        const auto target = book_.event_named(k.target);
        if (!target)
            return refused("void-target", "there is no such event", k.target, "E12, or the start of a digest",
                           "tarebook report cylinder ID lists events");
        const auto name = event_name(target->event.seq);
        if (target->voided_by)
            return refused("already-voided",
                           fmt::format("{} is voided already, by {}", name, event_name(*target->voided_by)), name,
                           "an event that counts", "record anew what did happen");
        if (std::holds_alternative<kinds::Void>(target->event.what))
            return refused("void-of-void", fmt::format("{} is itself a void; a void stays", name), name,
                           "an event that counts", "record anew what did happen");
        if (std::holds_alternative<kinds::Start>(target->event.what))
            return refused("void-target", "the first event of a book stays", name, "a later event", {});
        return std::nullopt;
    }
    [[nodiscard]] std::optional<Error> check_resolve(const kinds::Resolve& k) const {
        std::vector<std::string> ids;
        for (const auto& f : book_.open_findings()) {
            if (f.id == k.finding) return std::nullopt;
            ids.push_back(f.id);
        }
        const auto near = nearest(k.finding, ids);
        return refused("finding-unknown", "there is no such open finding", k.finding, "an id of the exceptions list",
                       near.empty() ? "tarebook list exceptions" : fmt::format("did you mean {}?", near));
    }

    const Book& book_;
    std::set<std::pair<EntryKind, std::string>> drafted_;
};

// Same own_id: same content is "already recorded", other content is refused. Where no time was given, now is no
// content.
Result<std::optional<StoredEvent>> already_there(const Book& book, Event draft) {
    auto stored = book.event_with_own_id(*draft.own_id);
    if (!stored) return std::nullopt;
    if (draft.when.at == draft.recorded) draft.when = stored->event.when;
    if (words_of(draft) == words_of(stored->event)) return stored;
    return fail(refused(
        "own-id-other-content",
        fmt::format("{} is recorded already as {}, with other content", *draft.own_id, event_name(stored->event.seq)),
        *draft.own_id, "the same content, or another id",
        fmt::format("compare, then: tarebook correct {} ...", event_name(stored->event.seq))));
}

using Confirmed = std::set<std::pair<std::string, std::string>>;

}  // namespace

bool Recorded::has_exceptions() const {
    return std::any_of(outcomes.begin(), outcomes.end(), [](const Outcome& o) {
        return std::any_of(o.findings.begin(), o.findings.end(),
                           [](const Finding& f) { return f.severity != Severity::note; });
    });
}

Error unknown_code(const Book& book, EntryKind kind, std::string_view code) {
    auto codes = book.codes(kind);
    const auto near = nearest(code, codes);
    const auto word = text_of(kind);
    return refused(fmt::format("unknown-{}", word), fmt::format("there is no {} {} on record", word, code),
                   std::string(code), "a code of the register",
                   near.empty() ? fmt::format("tarebook {0} list; tarebook {0} add {1} ...", word, code)
                                : fmt::format("did you mean {}?", near));
}

Result<Recorded> record(Book& book, std::vector<Event> drafts, const RecordOptions& options) {
    References references(book);
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        auto& draft = drafts[i];
        if (options.anyway) draft.anyway = options.anyway;
        if (auto error = check_texts(draft)) return fail(*error);
        // one id for what was said, one for each event that it became
        if (i > 0 && draft.own_id && draft.own_id == drafts[0].own_id) *draft.own_id += fmt::format("#{}", i + 1);
        if (auto* v = std::get_if<kinds::Void>(&draft.what))
            if (const auto target = book.event_named(v->target)) v->target = hex(target->digest);
        if (draft.own_id) {
            auto there = already_there(book, draft);
            if (!there) return fail(there.error());
            if (*there) return Recorded{{**there}, {{}}, true};
        }
        if (auto error = references.check(draft)) return fail(*error);
    }
    const Judge judge;
    Confirmed confirmed;
    for (;;) {
        auto transaction = book.begin();
        auto attempt = drafts;
        auto outcomes = transaction.judge(attempt, judge);
        std::vector<Finding> against;
        std::vector<Finding> questions;
        for (std::size_t i = 0; i < attempt.size(); ++i) {
            for (auto& f : outcomes[i].findings) {
                if (f.severity == Severity::note || !f.accepted.empty()) continue;
                const bool said_yes = confirmed.contains({f.check, f.subject});
                if (!f.question.empty() && options.ask && !said_yes && !options.anyway) questions.push_back(f);
                if (f.severity == Severity::refusal && !options.anyway && !said_yes) against.push_back(f);
                if (options.anyway || said_yes) {
                    attempt[i].accepted.push_back({f.check, f.subject, f.text});
                    f.accepted = options.anyway.value_or("confirmed at the terminal");
                    attempt[i].anyway = f.accepted;
                }
            }
        }
        // what cannot be answered with yes at the terminal is refused before anything is asked
        const auto hard = std::find_if(against.begin(), against.end(),
                                       [&](const Finding& f) { return f.question.empty() || !options.ask; });
        if (hard != against.end()) {
            Error error = refused(hard->check, hard->text, hard->seen, hard->expected, hard->next);
            for (const auto& f : against)
                if (&f != &*hard) error.what += "\n  also: " + f.text;
            return fail(std::move(error));
        }
        if (questions.empty()) {
            auto stored = transaction.commit(attempt, outcomes);
            return Recorded{std::move(stored), std::move(outcomes), false};
        }
        { const auto released = std::move(transaction); }  // nobody else waits while a person thinks
        for (const auto& f : questions) {
            if (!options.ask(f))
                return fail(refused("answered-no", "not recorded, as you answered", f.text,
                                    "yes, or a corrected reading", "weigh again, then record what the scale says"));
            confirmed.insert({f.check, f.subject});
        }
    }
}

}  // namespace tarebook
