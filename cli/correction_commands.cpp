// void, correct, resolve: nothing is edited; a wrong event stays readable beside the right one.
#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <memory>
#include <set>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/ownership.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct CorrectionOptions {
    std::string event;
    Text why, circuit, into, from, to, before, after, net, gross, mass, reason, vacuum, vacuum_exception, hose_loss,
        leak, ownership_exception, tare, refrigerant, oil, water, air, outcome, from_before, from_after, into_before,
        into_after, machine, credit, deposit, price;
};

Error not_there(const char* flag, std::string_view kind, std::string_view event) {
    return {
        ErrorKind::usage,
        "correct-field",
        fmt::format("{} {} event has no {}", article(kind), kind, flag),
        flag,
        "a field that the event has",
        kind == kinds::Entry::name
            ? std::string("a field of the register: tarebook cylinder correct CODE, and its like")
            : fmt::format("take it out and record it anew: tarebook void {} --why TEXT; tarebook {} ...", event, kind)};
}

// Puts each given flag into the event. A flag that the kind does not have is an error.
struct Corrector {
    const Session& s;
    const Book& book;
    const CorrectionOptions& o;
    std::string_view kind;

    template <class T>
    void text(const char* flag, const Text& typed, T* field) const {
        if (!typed) return;
        if (!field) throw Stop{not_there(flag, kind, o.event)};
        *field = *typed;
    }
    void weighing(Weighing* w) const {
        if (!o.before && !o.after && !o.net) return;
        if (!w) throw Stop{not_there("--before, --after or --net", kind, o.event)};
        if (o.net) {
            if (o.before || o.after)
                throw Stop{{ErrorKind::usage,
                            "weighing-twice",
                            "--net stands in place of a pair, not beside it",
                            *o.net,
                            "--before and --after, or --net",
                            {}}};
            *w = {{}, {}, s.weight(book, *o.net)};
            return;
        }
        w->net.reset();
        if (o.before) w->before = s.weight(book, *o.before);
        if (o.after) w->after = s.weight(book, *o.after);
        if (!w->is_pair())
            throw Stop{{ErrorKind::usage,
                        "flag-missing",
                        "the other weight of the pair is missing",
                        {},
                        "--before and --after",
                        {}}};
    }
    // A transfer has a pair of weights for each side, or a net weight in place of both.
    void sides(kinds::Transfer& k) const {
        const auto side = [&](Weighing& w, const Text& before, const Text& after) {
            if (before) w.before = s.weight(book, *before);
            if (after) w.after = s.weight(book, *after);
            if ((before || after) && !w.is_pair())
                throw slip("flag-missing", "the other weight of the pair is missing", {}, "both weights of a cylinder");
        };
        if (o.from_before || o.from_after || o.into_before || o.into_after) k.from_weighing.net.reset();
        side(k.from_weighing, o.from_before, o.from_after);
        side(k.into_weighing, o.into_before, o.into_after);
        if (!o.net) return;
        if (o.from_before || o.from_after || o.into_before || o.into_after)
            throw slip("weighing-twice", "--net stands in place of a pair, not beside it", *o.net, "a pair, or --net");
        k.from_weighing = {{}, {}, s.weight(book, *o.net)};
        k.into_weighing = {};
    }
    template <class K>
    void weights(K& k) const {
        if constexpr (std::is_same_v<K, kinds::Transfer>) {
            if (o.before || o.after) throw Stop{not_there("--before or --after", kind, o.event)};
            sides(k);
            return;
        }
        for (const auto* typed : {&o.from_before, &o.from_after, &o.into_before, &o.into_after})
            if (*typed)
                throw Stop{not_there("--from-before, --from-after, --into-before or --into-after", kind, o.event)};
        if constexpr (requires { k.weighing; })
            weighing(&k.weighing);
        else
            weighing(nullptr);
    }
    template <class K>
    void statement(K& k) const {
        if constexpr (std::is_same_v<K, kinds::Settle>) {
            const auto set = [&](const Text& typed, std::optional<Weight>& field) {
                if (typed) field = s.weight(book, *typed);
            };
            set(o.tare, k.tare), set(o.refrigerant, k.refrigerant), set(o.oil, k.oil), set(o.water, k.water);
            set(o.air, k.air);
            if (o.outcome) k.outcome = word_of(o.outcome, "--outcome", {"reclaimed", "destroyed", "rejected"});
        } else {
            for (const auto* typed : {&o.tare, &o.refrigerant, &o.oil, &o.water, &o.air, &o.outcome})
                if (*typed)
                    throw Stop{not_there("--tare, --refrigerant, --oil, --water, --air or --outcome", kind, o.event)};
        }
    }
    // Money of an event that had it in words becomes an amount where the words say one.
    static void money(const Text& typed, Text& words, std::optional<Money>& amount) {
        if (typed) {
            amount = must(parse_money(*typed));
            words.reset();
        } else if (words) {
            const auto read = parse_money(*words);
            if (!read) return;  // the library refuses it, and says which flag it takes
            amount = *read;
            words.reset();
        }
    }
    template <class K>
    void moneys(K& k) const {
        if constexpr (std::is_same_v<K, kinds::Settle>)
            money(o.credit, k.credit, k.credit_amount);
        else if (o.credit)
            throw Stop{not_there("--credit", kind, o.event)};
        if constexpr (std::is_same_v<K, kinds::Exchange>)
            money(o.deposit, k.deposit, k.deposit_amount);
        else if (o.deposit)
            throw Stop{not_there("--deposit", kind, o.event)};
        if constexpr (std::is_same_v<K, kinds::Receive>) {
            if (o.price) k.price = must(parse_price(*o.price));
        } else if (o.price) {
            throw Stop{not_there("--price", kind, o.event)};
        }
    }
    template <class K>
    void operator()(K& k) const {
        std::string* circuit = nullptr;
        if constexpr (requires { k.circuit; }) {
            if constexpr (std::is_same_v<decltype(k.circuit), std::string>) circuit = &k.circuit;
        }
        text("--circuit", o.circuit, circuit);
        if constexpr (requires { k.into; })
            text("--into", o.into, &k.into);
        else
            text<std::string>("--into", o.into, nullptr);
        if constexpr (requires { k.from; })
            text("--from", o.from, &k.from);
        else
            text<std::string>("--from", o.from, nullptr);
        if constexpr (requires { k.to; })
            text("--to", o.to, &k.to);
        else
            text<std::string>("--to", o.to, nullptr);
        weights(k);
        if constexpr (requires { k.machine; }) {
            if (o.machine) k.machine = o.machine;
        } else if (o.machine) {
            throw Stop{not_there("--machine", kind, o.event)};
        }
        if constexpr (requires { k.gross; }) {
            if (o.gross) k.gross = s.weight(book, *o.gross);
        } else if (o.gross) {
            throw Stop{not_there("--gross", kind, o.event)};
        }
        if constexpr (requires { k.mass; }) {
            if (o.mass) k.mass = s.weight(book, *o.mass);
        } else if (o.mass) {
            throw Stop{not_there("--mass", kind, o.event)};
        }
        if constexpr (requires { k.reason; }) {
            if (o.reason) k.reason = reason(o.reason, k.reason);
        } else if (o.reason) {
            throw Stop{not_there("--reason", kind, o.event)};
        }
        if constexpr (requires { k.hose_loss; }) {
            if (o.hose_loss) k.hose_loss = word_of(o.hose_loss, "--hose-loss", {"atmosphere", "lost"});
        } else if (o.hose_loss) {
            throw Stop{not_there("--hose-loss", kind, o.event)};
        }
        if constexpr (requires { k.vacuum; }) {
            if (o.vacuum) k.vacuum = vacuum_text(*o.vacuum);
        } else if (o.vacuum) {
            throw Stop{not_there("--vacuum", kind, o.event)};
        }
        statement(k);
        moneys(k);
        // Charge, reuse, repair and test have a leak.
        if constexpr (requires { k.leak; })
            text("--leak", o.leak, &k.leak);
        else
            text<std::string>("--leak", o.leak, nullptr);
        if constexpr (requires { k.ownership_exception; }) {
            if (o.ownership_exception) k.ownership_exception = must(parse_ownership_exception(*o.ownership_exception));
        } else if (o.ownership_exception) {
            throw Stop{not_there("--ownership-exception", kind, o.event)};
        }
        if constexpr (requires { k.vacuum_exception; }) {
            if (o.vacuum_exception) k.vacuum_exception = must(parse_vacuum_exception(*o.vacuum_exception));
        } else if (o.vacuum_exception) {
            throw Stop{not_there("--vacuum-exception", kind, o.event)};
        }
    }
};

int void_event(const Session& s, const CorrectionOptions& o) {
    auto book = s.open(Access::write);
    kinds::Void k{o.event, s.reason(o.why, "--why", "why it is wrong")};
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

// Whether two events tell the same; who recorded them when, and under which id, apart.
bool same_but_for_its_record(Event before, const Event& after) {
    before.recorded = after.recorded;
    before.own_id = after.own_id;
    before.anyway = after.anyway;
    before.accepted = after.accepted;
    before.book = after.book;
    before.seq = after.seq;
    before.previous = after.previous;
    return canonical_body(before) == canonical_body(after);
}

// Whether the order of such an event among others bears on what a cylinder holds.
bool weighs_or_moves(const What& what) {
    return std::visit(
        [](const auto& k) {
            using K = std::decay_t<decltype(k)>;
            return requires {
                k.weighing;
            }
            || requires {
                k.from_weighing;
            }
            || requires {
                k.gross;
            }
            || std::is_same_v<K, kinds::Evacuate> || std::is_same_v<K, kinds::Lost>;
        },
        what);
}

// What stands around an event, with one of its cylinders.
struct Neighbours {
    std::vector<StoredEvent> behind;  ///< of the very same time, recorded after it
    bool before = false;              ///< one of the very same time was recorded before it
    std::chrono::seconds since{60};   ///< from the event before that time, 60 at most
};
Neighbours neighbours(const Book& book, const StoredEvent& target) {
    Neighbours out;
    const auto order = target.event.order();
    std::set<std::int64_t> seen{target.id};
    for (const auto& cylinder : cylinders_of(target.event))
        for (const auto& step : book.steps(cylinder)) {
            if (step.order.at < order.at)
                out.since =
                    std::min(out.since, std::chrono::duration_cast<std::chrono::seconds>(order.at - step.order.at));
            if (step.order.at != order.at || !seen.insert(step.event_id).second) continue;
            auto event = book.event(step.event_id);
            if (!event || !weighs_or_moves(event->event.what)) continue;
            if (step.order < order)
                out.before = true;
            else
                out.behind.push_back(std::move(*event));
        }
    return out;
}

// An event's place is its time, and for equal times the order of recording: what corrects an event of a typed minute
// would come behind the others of that minute. Some seconds earlier it takes the place of the corrected one. Returns
// what to say of it, if anything.
std::string keep_place(const Book& book, const StoredEvent& target, Event& replacement) {
    if (replacement.when.at != target.event.when.at || !weighs_or_moves(target.event.what)) return {};
    const auto around = neighbours(book, target);
    if (around.behind.empty()) return {};
    std::string names;
    for (const auto& e : around.behind) add_word(names, e.name);
    auto earlier = replacement.when;
    earlier.at -= around.since / 2;
    // a count's weight must not come before its count began
    const bool of_a_count = std::holds_alternative<kinds::StocktakeWeigh>(target.event.what);
    if (!of_a_count && !around.before && around.since.count() >= 2 && earlier.date() == replacement.when.date()) {
        replacement.when = earlier;
        return fmt::format("it stands {} seconds earlier, and so stays before {}, of the same time\n",
                           around.since.count() / 2, names);
    }
    auto later = replacement.when;
    later.at += std::chrono::minutes(1);
    return fmt::format("it comes behind {}, of the same time. Where it came first: tarebook correct {} --at \"{}\"\n",
                       names, around.behind.front().name, moment_text(later));
}

int correct(const Session& s, const CorrectionOptions& o) {
    auto book = s.open(Access::write);
    const auto target = book.event_named(o.event);
    if (!target)
        throw Stop{{ErrorKind::refused, "void-target", "there is no such event", o.event,
                    "E12, or the start of a digest", "tarebook report cylinder ID lists events"}};
    Event replacement = s.draft(book, target->event.what);
    if (!s.at) replacement.when = target->event.when;
    if (!s.by) replacement.by = target->event.by;
    if (!s.job) replacement.job = target->event.job;
    if (!s.scale) replacement.scale = target->event.scale;
    if (!s.note) replacement.note = target->event.note;
    const Corrector corrector{s, book, o, target->event.kind()};
    std::visit([&](auto& k) { corrector(k); }, replacement.what);
    if (same_but_for_its_record(target->event, replacement))
        throw Stop{{ErrorKind::refused, "correct-nothing", fmt::format("{} says that already", o.event), o.event,
                    "a field with another value",
                    "tarebook correct --help lists the fields; tarebook void takes it out"}};
    const auto known = s.own_id ? book.event_with_own_id(*s.own_id) : std::nullopt;
    std::string placed;
    if (!s.at && known)
        replacement.when = known->event.when;  // the same correction once more: the others of its minute are others now
    else if (!s.at)
        placed = keep_place(book, *target, replacement);
    Event taken_out = s.draft(book, kinds::Void{o.event, o.why.value_or("corrected")});
    taken_out.when = must(moment_in_zone(s.now, book.info().zone));
    taken_out.own_id.reset();
    const auto job = replacement.job;
    const auto code = s.record_and_tell(book, {std::move(taken_out), std::move(replacement)});
    const bool text = s.page_options(&book).format == Format::text;
    if (text && code != exit_refused) std::cout << placed;
    if (text && job != target->event.job)
        std::cout << fmt::format("moved from {} to {}\n",
                                 target->event.job ? "job " + *target->event.job : std::string("no job"),
                                 job ? "job " + *job : std::string("no job"));
    return code;
}

int resolve(const Session& s, const CorrectionOptions& o) {
    auto book = s.open(Access::write);
    // A clock is no finding of an event, so its existence is checked here.
    if (o.event.starts_with("due/") && !(s.own_id && book.event_with_own_id(*s.own_id)))
        if (auto known = clock_exists(book, o.event, s.now); !known) throw Stop{known.error()};
    kinds::Resolve k{o.event, s.reason(o.why, "--why", "what resolved it")};
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

}  // namespace

void setup_correction_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<CorrectionOptions>();
    auto command = [&](const char* name, const char* help, const char* subject,
                       int (*run)(const Session&, const CorrectionOptions&)) {
        auto* c = root.add_subcommand(name, help)->fallthrough();
        c->add_option("event", o->event, subject)->required();
        c->add_option("--why", o->why, "why");
        add_recording_options(*c, s, "--by", Work::at_the_desk);
        c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
        return c;
    };
    command("void", "take a wrong event out of the balances; it stays on record", "event: E12", void_event);
    auto* c = command("correct", "void an event and record what it should have said, in one", "event: E12", correct);
    c->add_option("--circuit", o->circuit, "the right circuit");
    c->add_option("--into", o->into, "the right cylinder");
    c->add_option("--from", o->from, "the right cylinder or supplier");
    c->add_option("--to", o->to, "the right receiver or place");
    c->add_option("--before", o->before, "the right weight");
    c->add_option("--after", o->after, "the right weight");
    c->add_option("--net", o->net, "the right net weight");
    c->add_option("--from-before", o->from_before, "the right weight of a transfer");
    c->add_option("--from-after", o->from_after, "the right weight of a transfer");
    c->add_option("--into-before", o->into_before, "the right weight of a transfer");
    c->add_option("--into-after", o->into_after, "the right weight of a transfer");
    c->add_option("--gross", o->gross, "the right gross weight");
    c->add_option("--machine", o->machine, "the right recovery machine");
    c->add_option("--mass", o->mass, "the right estimate");
    c->add_option("--reason", o->reason, "the right reason");
    c->add_option("--vacuum", o->vacuum, "the right vacuum");
    c->add_option("--vacuum-exception", o->vacuum_exception,
                  "the right exception, as leaking: WHY, non-major: WHY or oil-change: WHY");
    for (const auto& [flag, field] :
         {std::pair{"--tare", &o->tare}, std::pair{"--refrigerant", &o->refrigerant}, std::pair{"--oil", &o->oil},
          std::pair{"--water", &o->water}, std::pair{"--air", &o->air}})
        c->add_option(flag, *field, "the right weight, of a statement");
    c->add_option("--outcome", o->outcome, "the right outcome, of a statement");
    c->add_option("--credit", o->credit, "the right credit, of a statement: 41.50 USD");
    c->add_option("--deposit", o->deposit, "the right deposit, of an exchange: 60 USD");
    c->add_option("--price", o->price, "the right price of what was received: 412.50 USD, 8.20 USD/lb");
    c->add_option("--leak", o->leak, "the right leak: L-3");
    c->add_option("--ownership-exception", o->ownership_exception, "the right exception, as sister-company: WHY");
    c->add_option("--hose-loss", o->hose_loss, "where a difference of the two sides went: atmosphere|lost");
    command("resolve", "say how an exception was resolved", "finding, as the exceptions list or due shows it", resolve);
}

}  // namespace tarebook::cli
