// One history recorded into several books in different orders: every book must amount to the same, and to what the
// plain fold says (I5); and each must find nothing wrong with itself.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "book/transaction.hpp"
#include "compare.hpp"
#include "ledger/fold_alone.hpp"
#include "runs.hpp"
#include "support/book_room.hpp"
#include "tarebook/book/book.hpp"

using namespace tarebook;
using namespace tarebook::property;
using tarebook::test::BookRoom;

namespace {

using Balances = std::map<std::pair<Account, LotKey>, plain::Count>;

Book new_book(const std::filesystem::path& path) {
    Moment start;
    start.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 5);
    start.zone = "UTC";
    return Book::create(path, "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago", start);
}

// Records the history in this order, up to `together` drafts a transaction. A void begins one, because its target must
// stand in the book; what follows it is recorded with it, as a correction is.
void record(Book& book, const History& history, const std::vector<std::size_t>& order, std::size_t together) {
    std::vector<std::string> digests(history.size());
    std::vector<std::size_t> waiting;
    const auto commit = [&] {
        if (waiting.empty()) return;
        std::vector<Event> drafts;
        for (const auto i : waiting) drafts.push_back(with_target(history[i], digests));
        auto transaction = Book::Transaction::begin(book);
        const auto outcomes = transaction.judge(drafts, FoldAlone());
        const auto stored = transaction.commit(drafts, outcomes, FoldAlone());
        for (std::size_t n = 0; n < waiting.size(); ++n) digests[waiting[n]] = hex(stored.at(n).digest);
        waiting.clear();
    };
    for (const auto i : order) {
        if (history[i].target) commit();
        waiting.push_back(i);
        if (waiting.size() >= together) commit();
    }
    commit();
}

Balances balances_of(const Book& book) {
    Balances out;
    for (const auto& b : book.balances())
        if (!b.mass.is_zero()) out[{b.account, b.lot}] += b.mass.count();
    return out;
}

std::string differs_from_plain(const Book& book) {
    std::vector<Event> events;
    book.each_event([&](const StoredEvent& stored) { events.push_back(stored.event); });
    const auto plain = plain::fold(events);
    if (auto wrong = difference(plain.balances, balances_of(book)); !wrong.empty()) return wrong;
    for (const auto& code : cylinder_codes()) {
        const auto steps = book.steps(code);
        std::size_t n = 0;
        plain::Count held = 0;
        for (const auto& passage : plain.passages) {
            const auto after = passage.after.find(code);
            if (after == passage.after.end()) continue;
            if (n == steps.size()) return fmt::format("{}: the book lacks the step at {}", code, n);
            const auto& step = steps[n++];
            const auto where = fmt::format("{} at {}", code, instant_text(passage.order.at));
            if (step.order != passage.order) return where + ": the book has another event here";
            if (as_plain(step.after) != after->second)
                return fmt::format("{}:\n  plain {}\n  book  {}", where, text(after->second),
                                   text(as_plain(step.after)));
            plain::Count gap = 0;
            for (const auto& g : passage.gaps)
                if (g.cylinder == code) gap += g.gap;
            if (gap != step.gap.count())
                return fmt::format("{}: gap, plain {}, book {}", where, text(gap), text(step.gap.count()));
            const auto holds = step.after.contents().count();
            if (holds - held - gap != step.moved.count())
                return fmt::format("{}: moved, plain {}, book {}", where, text(holds - held - gap),
                                   text(step.moved.count()));
            held = holds;
        }
        if (n != steps.size()) return fmt::format("{}: {} steps too many in the book", code, steps.size() - n);
    }
    return {};
}

// What must not depend on the order of recording: everything but sequence numbers and digests.
std::string told_by(const Book& book) {
    std::string out;
    for (const auto& code : cylinder_codes())
        for (const auto& step : book.steps(code))
            out += fmt::format("{} {} moved {} gap {}: {}\n", instant_text(step.order.at), code, step.moved.count(),
                               step.gap.count(), text(as_plain(step.after)));
    return out;
}

std::string problems_of(const Book& book) {
    const auto check = book.check(FoldAlone());
    std::string out;
    for (const auto& problem : check.problems) out += "check: " + problem + "\n";
    return out;
}

// The flows of a period with those of its jobs, against all flows: none missing, none that do not belong to them.
std::string flows_differ(const Book& book) {
    const auto all = book.flows("", Date(std::chrono::days(-200'000)), Date::max());
    const auto listed = [](const std::vector<Flow>& flows, auto&& wanted) {
        std::multiset<std::string> out;
        for (const auto& f : flows)
            if (wanted(f))
                out.insert(fmt::format("{} {} {} {} {} {}", f.event_id, f.circuit, f.kind, f.job.value_or("-"),
                                       date_text(f.date), f.mass.count()));
        return out;
    };
    for (std::size_t i = 0; i < all.size(); i += 7) {
        const auto from = all[i].date;
        const auto to = from + std::chrono::days(i % 40);
        for (const auto& prefix : {std::string(), all[i].circuit.substr(0, all[i].circuit.find('/')), all[i].circuit}) {
            const auto within = [&](const Flow& f) {
                return prefix.empty() || f.circuit == prefix || f.circuit.starts_with(prefix + "/");
            };
            std::set<std::string> jobs;
            for (const auto& f : all)
                if (within(f) && f.date >= from && f.date <= to && f.job) jobs.insert(*f.job);
            const auto expected = listed(all, [&](const Flow& f) {
                return within(f) && f.date <= to && (f.date >= from || (f.job && jobs.contains(*f.job)));
            });
            const auto got = book.flows_of_whole_jobs(prefix, from, to);
            if (listed(got, [](const Flow&) { return true; }) != expected)
                return fmt::format("flows of {} from {} to {}: {} expected, {} got", prefix, date_text(from),
                                   date_text(to), expected.size(), got.size());
        }
    }
    return {};
}

std::string one_book(const BookRoom& room, const History& history, const std::vector<std::size_t>& order,
                     std::size_t together, const std::string& name, std::string& told, Balances& balances) {
    auto book = new_book(room.book(name));
    record(book, history, order, together);
    told = told_by(book);
    balances = balances_of(book);
    if (auto wrong = differs_from_plain(book); !wrong.empty()) return wrong;
    if (auto wrong = problems_of(book); !wrong.empty()) return wrong;
    if (auto wrong = flows_differ(book); !wrong.empty()) return wrong;
    book.rebuild(FoldAlone());
    if (told_by(book) != told || balances_of(book) != balances) return "rebuilt, the book tells another story";
    return problems_of(book);
}

std::string any_order(const History& history, unsigned dice) {
    const BookRoom room;
    std::string first_told;
    Balances first_balances;
    for (unsigned n = 0; n < 3; ++n) {
        std::vector<std::size_t> order;
        if (n == 0)
            for (std::size_t i = 0; i < history.size(); ++i) order.push_back(i);
        else
            order = shuffled(history, dice + n);
        std::string told;
        Balances balances;
        auto wrong = one_book(room, history, order, n == 2 ? 5 : 1, fmt::format("{}.tarebook", n), told, balances);
        if (!wrong.empty()) {
            wrong = fmt::format("book {}: {}\nrecorded in the order", n, wrong);
            for (const auto i : order) wrong += fmt::format(" {}", i);
            return wrong;
        }
        if (n == 0) first_told = told, first_balances = balances;
        if (told != first_told) return fmt::format("book {} tells\n{}\nbook 0 told\n{}", n, told, first_told);
        if (auto d = difference(first_balances, balances); !d.empty()) return fmt::format("book {}: {}", n, d);
    }
    return {};
}

// What an import may bring: movements, and entries that are new.
History importable(const History& history) {
    History out;
    std::set<std::string> added;
    for (const auto& draft : history) {
        if (draft.target || std::holds_alternative<kinds::Resolve>(draft.event.what)) continue;
        if (const auto change = register_change(draft.event)) {
            const auto* entry = std::get_if<kinds::Entry>(&draft.event.what);
            if (!entry || !entry->adds || change->values.contains("owner_group")) continue;
            if (!added.insert(std::string(text_of(entry->entry)) + entry->code).second) continue;
        }
        out.push_back(draft);
    }
    return out;
}

class HistoryAsDrafts : public Drafts {
 public:
    HistoryAsDrafts(const History& history, std::vector<std::size_t> order)
        : history_(history), order_(std::move(order)) {}
    [[nodiscard]] std::size_t size() const override { return order_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override { return history_[order_[i]].event.when.at; }
    void make(std::size_t i, Event& out) const override { out = history_[order_[i]].event; }

 private:
    const History& history_;
    std::vector<std::size_t> order_;
};

void take(Book& book, const Drafts& drafts) {
    std::vector<std::uint32_t> which;
    for (std::size_t i = 0; i < drafts.size(); ++i) which.push_back(static_cast<std::uint32_t>(i));
    auto transaction = Book::Transaction::begin(book);
    transaction.judge_many(drafts, which, FoldAlone(), [](std::size_t, Event&, Outcome&) {});
    transaction.commit_many();
}

}  // namespace

TEST_CASE("many drafts at once make the book that one after the other makes, in whatever order they come (I5)") {
    holds_for_random_histories("many at once", Moments::distinct, 60, [&](const History& whole, unsigned dice) {
        const BookRoom room;
        const auto history = importable(whole);
        std::vector<std::size_t> order;
        for (std::size_t i = 0; i < history.size(); ++i) order.push_back(i);
        std::string told;
        Balances balances;
        auto wrong = one_book(room, history, order, 1, "single.tarebook", told, balances);
        if (!wrong.empty()) return wrong;
        if (dice % 2 == 0)  // in order of time: then the second part lies after the first, else in the middle of it
            std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
                return history[a].event.when.at < history[b].event.when.at;
            });
        else
            order = shuffled(history, dice);
        auto book = new_book(room.book("many.tarebook"));
        const auto middle = order.begin() + static_cast<std::ptrdiff_t>(dice % (order.size() + 1));
        for (const auto& part : {std::vector(order.begin(), middle), std::vector(middle, order.end())})
            take(book, HistoryAsDrafts(history, part));
        if (wrong = differs_from_plain(book); !wrong.empty()) return wrong;
        if (wrong = problems_of(book); !wrong.empty()) return wrong;
        if (told_by(book) != told) return fmt::format("many tell\n{}\nsingle ones told\n{}", told_by(book), told);
        return difference(balances, balances_of(book));
    });
}

TEST_CASE("books that took the same events in any order tell the same, as the plain fold does (I5)") {
    holds_for_random_histories("books, any order", Moments::distinct, 60, any_order);
}

TEST_CASE("a book with many events at one instant agrees with the plain fold") {
    holds_for_random_histories(
        "book, same instants", Moments::may_coincide, 30, [](const History& history, unsigned dice) {
            const BookRoom room;
            std::string told;
            Balances balances;
            return one_book(room, history, shuffled(history, dice), 1, "one.tarebook", told, balances);
        });
}

TEST_CASE("taking out the entry that named a site's owner takes its gas out of the owner group, everywhere (I5)") {
    // The gas came in by opening stock, so that no movement of the site's own circuits leads to it.
    const BookRoom room;
    auto book = new_book(room.book("groups.tarebook"));
    History history;
    const auto add = [&](int day, What what, std::optional<std::size_t> target = {}) {
        Draft d;
        d.event.when.at = std::chrono::sys_days(std::chrono::year(2026) / 3 / 1) + std::chrono::days(day);
        d.event.when.zone = "UTC";
        d.event.recorded = d.event.when.at;
        d.event.what = std::move(what);
        d.target = target;
        history.push_back(std::move(d));
    };
    const auto site = [](const char* code, bool adds, FieldValues values) {
        return kinds::Entry{EntryKind::site, code, adds, std::move(values)};
    };
    add(0, site("OAK", true, {{"owner", {"Fernhill Stores", {}}}}));
    add(1, site("OAK", false, {{"owner_group", {"Hollow Group", {}}}}));
    add(2, site("ELM", true, {{"owner", {"Bluebird Dairy", {}}}, {"owner_group", {"Hollow Group", {}}}}));
    add(3, kinds::Entry{EntryKind::appliance, "ELM/UNIT-1", true, {{"refrigerant", {"R-22", {}}}}});
    add(4, kinds::Entry{EntryKind::cylinder, "RC-001", true, {{"refrigerant", {"R-22", {}}}}});
    kinds::Opening opening;
    opening.cylinder = "RC-001";
    opening.owner = "Fernhill Stores";
    opening.net = parse_weight("9lb", ScaleReads::unknown).value();
    add(5, opening);
    kinds::Recover recover;
    recover.circuit = "ELM/UNIT-1";
    recover.into = "RC-001";
    recover.weighing.net = parse_weight("4lb", ScaleReads::unknown).value();
    add(6, recover);
    std::vector<std::size_t> order{0, 1, 2, 3, 4, 5, 6};
    record(book, history, order, 1);
    CHECK_FALSE(book.state("RC-001").reclaim_only);

    const auto first = book.event(book.event_count() - 6);
    REQUIRE(first);
    REQUIRE(first->event.kind() == "entry");
    std::vector<Event> drafts(1);
    drafts[0] = history[0].event;
    drafts[0].what = kinds::Void{hex(first->digest), "another owner"};
    auto transaction = Book::Transaction::begin(book);
    const auto outcomes = transaction.judge(drafts, FoldAlone());
    transaction.commit(drafts, outcomes, FoldAlone());
    CHECK(book.state("RC-001").reclaim_only);
    CHECK(differs_from_plain(book) == "");
    CHECK(problems_of(book) == "");
}
