// One random history, recorded by eight books, some of them copied on the way, sent in pieces and merged into several
// offices: in other orders, several times, with what was lost sent again. All offices must amount to the same, down to
// the exported bytes, and to what the plain fold makes of the union (I5).
// Strangers, who sign under the ids of these books with keys of their own, change nothing of it, whenever their bundles
// come; and a book that is withdrawn counts up to the event that is named, whenever that is said.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sodium.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <random>
#include <sstream>

#include "book/key_place.hpp"
#include "book/transaction.hpp"
#include "compare.hpp"
#include "runs.hpp"
#include "support/book_room.hpp"
#include "support/book_tables.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/report/report.hpp"

using namespace tarebook;
using namespace tarebook::property;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

namespace {

Moment at_day(int day) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 2) + std::chrono::days(day);
    m.zone = "UTC";
    return m;
}

// After all that is recorded: what comes from a clock that runs ahead would be an exception of one office alone.
constexpr int late = 600;

void append(Book& book, std::vector<Event> drafts) {
    const Judge judge({}, Notes::left_out);
    auto transaction = Book::Transaction::begin(book);
    const auto outcomes = transaction.judge(drafts, judge);
    transaction.commit(drafts, outcomes, judge);
}

struct Fleet {
    Fleet(const BookRoom& where, int trucks) : room(where) {
        auto first =
            Book::create(room.book("office"), "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago", at_day(0));
        const auto shop = first.info().shop;
        for (int i = 0; i < trucks; ++i) {
            files.push_back(room.book(fmt::format("truck-{}", i)));
            const auto book = Book::create(files.back(), "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago",
                                           at_day(1), shop);
            cards.push_back({hex(book.info().id), book.info().public_key, fmt::format("truck-{}", i), {}});
        }
    }
    fs::path office(const std::string& name, bool trusts) const {
        const auto to = room.copy(room.book("office"), name);
        if (trusts) trust_all(to);
        return to;
    }
    // An office that merged before does so later: that its clock went back would be an exception of its own chain.
    void trust_all(const fs::path& at, int day = 2) const {
        auto book = Book::open(at, Access::write);
        for (const auto& card : cards) {
            Event e;
            e.when = at_day(day);
            e.recorded = e.when.at;
            e.what = card;
            append(book, {e});
        }
    }
    const BookRoom& room;
    std::vector<fs::path> files;
    std::vector<kinds::Trust> cards;
};

std::string problems_of(const fs::path& file) {
    std::string out;
    for (const auto& problem : Book::open(file, Access::read).check(Judge({}, Notes::left_out)).problems)
        out += "check of " + file.string() + ": " + problem + "\n";
    return out;
}

// Records the history over the books, and makes bundles as it goes: some since an earlier event only, so that one that
// is lost leaves a gap.
std::vector<fs::path> record_and_send(Fleet& fleet, const History& history, std::mt19937& dice, bool copies) {
    for (std::size_t i = 0; i < fleet.files.size(); i += 2) fleet.trust_all(fleet.files[i]);
    std::vector<fs::path> bundles;
    std::vector<std::string> digests(history.size());
    const auto roll = [&](std::size_t n) { return static_cast<std::size_t>(dice() % n); };
    const auto send = [&](const fs::path& file, bool whole) {
        const auto book = Book::open(file, Access::read);
        SendOptions options;
        if (!whole) options.from = 1 + static_cast<std::int64_t>(roll(static_cast<std::size_t>(book.head().seq)));
        const auto to = fleet.room.path / fmt::format("bundle-{}", bundles.size());
        const auto sent = send_bundle(book, to, options, at_day(3).at);
        REQUIRE(sent);
        bundles.push_back(to);
    };
    for (std::size_t i = 0; i < history.size(); ++i) {
        const auto truck = roll(fleet.files.size());
        auto draft = with_target(history[i], digests);
        {
            auto book = Book::open(fleet.files[truck], Access::write);
            append(book, {draft});
            const auto stored = book.event(book.event_count());
            digests[i] = hex(stored->digest);
        }
        if (roll(6) == 0) send(fleet.files[truck], false);
        // trucks meet, too, and some of them trust the others
        if (roll(5) == 0 && !bundles.empty()) {
            auto book = Book::open(fleet.files[truck], Access::write);
            REQUIRE(merge_bundles(book, {bundles[roll(bundles.size())]}, at_day(3)));
        }
        if (copies && roll(10) == 0 && fleet.files.size() < 11) {
            const auto twin = fmt::format("twin-{}", fleet.files.size());
            fleet.files.push_back(fleet.room.copy(fleet.files[truck], twin));
        }
    }
    for (const auto& file : fleet.files) send(file, true);
    for (const auto& file : fleet.files) CHECK(problems_of(file) == "");
    return bundles;
}

int newly_open = 0;

// What a merge opened, against two whole lists and their difference.
void check_what_opened(const Book& book, const std::vector<OpenFinding>& before, const OpenFindingKeys& keys) {
    std::map<std::string, int> known;
    for (const auto& f : before) ++known[f.id];
    const auto now = book.open_findings();
    std::vector<std::string> opened, told;
    for (const auto& f : now)
        if (known[f.id]-- <= 0) opened.push_back(f.id + ": " + f.finding.text);
    for (const auto& f : book.open_findings_beyond(keys)) told.push_back(f.id + ": " + f.finding.text);
    CHECK(told == opened);
    CHECK(book.number_of_open_findings() == static_cast<std::int64_t>(now.size()));
    newly_open += static_cast<int>(opened.size());
}

void merge_all(const fs::path& office, std::vector<fs::path> bundles, std::mt19937& dice) {
    std::shuffle(bundles.begin(), bundles.end(), dice);
    // some come twice, and some only with the second mail
    const auto copies = bundles.size() / 3;
    for (std::size_t i = 0; i < copies; ++i) bundles.push_back(bundles[dice() % bundles.size()]);
    auto book = Book::open(office, Access::write);
    while (!bundles.empty()) {
        const auto n = std::min<std::size_t>(bundles.size(), 1 + dice() % 4);
        const std::vector<fs::path> mail(bundles.end() - static_cast<std::ptrdiff_t>(n), bundles.end());
        bundles.resize(bundles.size() - n);
        const auto open = book.open_findings();
        const auto keys = book.open_finding_keys();
        const auto merged = merge_bundles(book, mail, at_day(late));
        if (!merged) FAIL(merged.error().error.what);
        check_what_opened(book, open, keys);
    }
}

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return std::move(out).str();
}

// Everything that must not depend on the order of merging.
std::map<std::string, std::string> told_by(const fs::path& file, const BookRoom& room) {
    const auto book = Book::open(file, Access::read);
    std::map<std::string, std::string> out;
    for (const auto& b : book.balances())
        if (!b.mass.is_zero())
            out["balances"] += fmt::format("{} {} {} {} {}: {}\n", text_of(b.account.kind), b.account.code,
                                           b.lot.refrigerant, b.lot.owner, text_of(b.lot.condition), b.mass.count());
    for (const auto& code : cylinder_codes())
        for (const auto& step : book.steps(code))
            out["steps"] += fmt::format("{} {} {} {}: moved {} gap {} {}\n", code, instant_text(step.order.at),
                                        hex(step.order.book).substr(0, 8), step.order.seq, step.moved.count(),
                                        step.gap.count(), text(as_plain(step.after)));
    for (const auto& f : book.open_findings()) out["findings"] += f.id + ": " + f.finding.text + "\n";
    for (const auto kind : {EntryKind::site, EntryKind::appliance, EntryKind::circuit, EntryKind::cylinder})
        book.each_entry(kind, [&](const Entry& entry) {
            for (const auto& [name, values] : entry.fields())
                for (const auto& value : values)
                    out["register"] +=
                        fmt::format("{} {} {} {}\n", entry.code(), name, instant_text(value.from.at), value.value.text);
        });
    const auto folder = room.path / ("export-" + room.name_of(file));
    const auto done = export_year(book, {std::chrono::year(2026), {}, {}}, folder, {});
    REQUIRE(done);
    for (const auto& entry : fs::recursive_directory_iterator(folder))
        if (entry.is_regular_file()) {
            const auto name = fs::relative(entry.path(), folder).string();
            // what hashes the other files differs with each of them: it is told last
            const bool hashes = name == "SHA256SUMS" || name == "datapackage.json" || name == "manifest.json";
            out[(hashes ? "with hashes: " : "export ") + name] = bytes_of(entry.path());
        }
    fs::remove_all(folder);
    return out;
}

std::string first_difference(const std::map<std::string, std::string>& a, const std::map<std::string, std::string>& b) {
    for (const auto& [name, text] : a) {
        const auto it = b.find(name);
        if (it == b.end()) return name + " is missing";
        if (it->second == text) continue;
        std::istringstream x(text), y(it->second);
        std::string left, right;
        for (int line = 1; true; ++line) {
            const bool more_left = static_cast<bool>(std::getline(x, left));
            const bool more_right = static_cast<bool>(std::getline(y, right));
            if (!more_left && !more_right) break;
            if (left != right || more_left != more_right)
                return fmt::format("{}, line {}:\n  {}\n  {}", name, line, more_left ? left : "(end)",
                                   more_right ? right : "(end)");
            left.clear(), right.clear();
        }
    }
    return a.size() == b.size() ? std::string() : "one tells more";
}

std::string differs_from_plain(const fs::path& file) {
    const auto book = Book::open(file, Access::read);
    std::vector<Event> events;
    book.each_event([&](const StoredEvent& stored) { events.push_back(stored.event); });
    std::map<std::pair<Account, LotKey>, plain::Count> balances;
    for (const auto& b : book.balances())
        if (!b.mass.is_zero()) balances[{b.account, b.lot}] += b.mass.count();
    return difference(plain::fold(events).balances, balances);
}

// A book that goes on as the truck's does, under its id, with another key: what it sends has the truck's events and its
// own under heads that only it has signed.
fs::path forged(const Fleet& fleet, const fs::path& truck, const History& history, std::mt19937& dice, std::size_t n) {
    const auto name = fmt::format("stranger-{}", n);
    const auto file = fleet.room.copy(truck, name);
    const test::AnotherPerson stranger(fleet.room.path / name);
    const auto own = Book::open(file, Access::read);
    const auto id = own.info().id;
    const auto head = own.head();
    {
        std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> open{};
        std::array<unsigned char, crypto_sign_SECRETKEYBYTES> secret{};
        crypto_sign_keypair(open.data(), secret.data());
        std::array<unsigned char, crypto_sign_BYTES> signature{};
        const auto message = head_message(id, head.seq, head.digest);
        crypto_sign_detached(signature.data(), nullptr, reinterpret_cast<const unsigned char*>(message.data()),
                             message.size(), secret.data());
        Digest key{};
        std::copy(open.begin(), open.end(), key.begin());
        const auto db = test::tables_at(file);
        const auto text = [](const auto& bytes) {
            return std::string_view(reinterpret_cast<const char*>(bytes.data()), bytes.size());
        };
        REQUIRE(db->run("UPDATE head SET signature = ? WHERE digest = ?", Bytes{text(signature)}, head.digest) == 1);
        keep_first_key(*db, id, text(secret));
        REQUIRE(db->run("UPDATE book SET value = ? WHERE name = 'public_key'", hex(key)) == 1);
    }
    auto book = Book::open(file, Access::write);
    for (std::size_t i = 0; i < 3; ++i) {
        auto draft = with_target(history[dice() % history.size()], std::vector<std::string>(history.size()));
        if (std::holds_alternative<kinds::Void>(draft.what) || std::holds_alternative<kinds::Settle>(draft.what))
            continue;
        draft.own_id = fmt::format("forged-{}-{}", n, i);
        append(book, {draft});
    }
    const auto to = fleet.room.path / fmt::format("forged-{}", n);
    SendOptions options;
    options.from = dice() % 2 == 0 ? 1 : head.seq;
    options.with_register = true;
    REQUIRE(send_bundle(book, to, options, at_day(3).at));
    return to;
}

std::vector<fs::path> with_strangers(const Fleet& fleet, const History& history, std::vector<fs::path> bundles,
                                     std::mt19937& dice) {
    for (std::size_t n = 0; n < 3; ++n)
        bundles.push_back(forged(fleet, fleet.files[dice() % fleet.cards.size()], history, dice, n));
    return bundles;
}

void withdraw(const fs::path& office, const kinds::Trust& card, const Head& last) {
    auto book = Book::open(office, Access::write);
    Event e;
    e.when = at_day(late);
    e.recorded = e.when.at;
    e.what = kinds::Withdraw{card.book, "stolen", head_text(last)};
    append(book, {e});
}

// Withdrawn before anything of it came, in between, and afterwards.
std::string withdrawn_at_any_time(const Fleet& fleet, const std::vector<fs::path>& bundles, std::mt19937& dice) {
    const auto which = dice() % fleet.cards.size();
    const auto truck = Book::open(fleet.files[which], Access::read);
    const auto seq = 1 + static_cast<std::int64_t>(dice() % static_cast<std::size_t>(truck.head().seq));
    const auto& info = truck.info();
    Head last{seq, {}};
    for (const auto& digest : truck.digests_at(info.id, seq)) last.digest = digest;
    std::map<std::string, std::string> told;
    for (const std::string when : {"afterwards", "before", "between"}) {
        const auto office = fleet.office("withdrawn-" + when, true);
        if (when == "before") withdraw(office, fleet.cards[which], last);
        if (when == "between") {
            merge_all(office, {bundles.begin(), bundles.begin() + static_cast<std::ptrdiff_t>(bundles.size() / 2)},
                      dice);
            withdraw(office, fleet.cards[which], last);
        }
        merge_all(office, bundles, dice);
        if (when == "afterwards") withdraw(office, fleet.cards[which], last);
        if (auto wrong = problems_of(office); !wrong.empty()) return wrong;
        auto now = told_by(office, fleet.room);
        if (told.empty()) told = now;
        if (auto wrong = first_difference(told, now); !wrong.empty())
            return fmt::format("{} withdrawn {} from {} on: {}", fleet.cards[which].called, when, seq, wrong);
    }
    return {};
}

std::string merged_in_any_order(const History& history, unsigned seed, bool copies) {
    const BookRoom room;
    std::mt19937 dice(seed);
    Fleet fleet(room, 8);
    const auto bundles = record_and_send(fleet, history, dice, copies);
    const auto mixed = with_strangers(fleet, history, bundles, dice);
    // trusted from the beginning, afterwards, and in between; afterwards what came is merged again, or is not
    const auto first = fleet.office("first", true);
    merge_all(first, bundles, dice);
    const auto second = fleet.office("second", false);
    merge_all(second, mixed, dice);
    fleet.trust_all(second, late);
    const auto third = fleet.office("third", false);
    merge_all(third, {mixed.begin(), mixed.begin() + static_cast<std::ptrdiff_t>(mixed.size() / 2)}, dice);
    fleet.trust_all(third, late);
    merge_all(third, mixed, dice);
    const auto again = fleet.office("again", false);
    merge_all(again, mixed, dice);
    fleet.trust_all(again, late);
    merge_all(again, mixed, dice);
    const auto beset = fleet.office("beset", true);
    merge_all(beset, mixed, dice);
    const auto told = told_by(first, room);
    for (const auto& office : {first, second, third, again, beset}) {
        if (auto wrong = problems_of(office); !wrong.empty()) return wrong;
        if (auto wrong = first_difference(told, told_by(office, room)); !wrong.empty())
            return room.name_of(office) + ": " + wrong;
    }
    if (!copies)
        if (auto wrong = differs_from_plain(first); !wrong.empty()) return "plain fold: " + wrong;
    if (auto wrong = withdrawn_at_any_time(fleet, bundles, dice); !wrong.empty()) return wrong;
    // and what one office sends on to another
    const auto relay = room.path / "relay";
    {
        SendOptions options;
        options.all_books = true;
        const auto sent = send_bundle(Book::open(first, Access::read), relay, options, at_day(late).at);
        if (!sent) return sent.error().what;
    }
    const auto fourth = fleet.office("fourth", true);
    merge_all(fourth, {relay}, dice);
    if (auto wrong = problems_of(fourth); !wrong.empty()) return wrong;
    {
        auto book = Book::open(third, Access::write);
        book.rebuild(Judge({}, Notes::left_out));
    }
    if (auto wrong = first_difference(told, told_by(third, room)); !wrong.empty()) return "rebuilt: " + wrong;
    return problems_of(third);
}

// What words of trust and withdrawals make wait is judged in parts, between other recordings.
std::string judged_in_parts(const History& history, unsigned seed) {
    const BookRoom room;
    std::mt19937 dice(seed);
    Fleet fleet(room, 3);
    const auto bundles = record_and_send(fleet, history, dice, false);
    const auto office = fleet.office("in-parts", true);
    merge_all(office, bundles, dice);
    if (test::books_on_server()) REQUIRE(test::tables_at(office)->run("UPDATE judged_anew SET at_once = 3") == 1);
    const Judge judge({}, Notes::left_out);
    {
        auto book = Book::open(office, Access::write);
        constexpr std::size_t all = 100'000;
        const auto parts = [&](std::size_t most) {
            judge_anew(book, judge, [&](const JudgedAnew&) { return most-- > 0; });
        };
        bool waited = false;
        for (int act = 0; act < 8; ++act) {
            if (act % 3 == 2 && test::books_on_server() && being_judged_anew(book))  // as if one could not be judged:
                test::tables_at(office)->run("UPDATE judged_anew SET stuck = 1");    // this word judges all of the book
            else
                parts(all);
            const auto& card = fleet.cards[dice() % fleet.cards.size()];
            Event e;
            e.when = at_day(late + act);
            e.recorded = e.when.at;
            e.what = card;
            if (act % 2 == 0) e.what = kinds::Withdraw{card.book, "sold", {}};
            append(book, {e});
            waited = waited || being_judged_anew(book).has_value();
            for (int between = 0; between < 4; ++between) {
                auto draft = with_target(history[dice() % history.size()], std::vector<std::string>(history.size()));
                draft.own_id = fmt::format("between-{}-{}", act, between);
                if (!std::holds_alternative<kinds::Void>(draft.what) &&
                    !std::holds_alternative<kinds::Settle>(draft.what))
                    append(book, {draft});
                parts(dice() % 3);
            }
        }
        parts(all);
        if (test::books_on_server() && history.size() > 30 && !waited) return "nothing waited";
    }
    if (auto wrong = problems_of(office); !wrong.empty()) return wrong;
    const auto told = told_by(office, room);
    Book::open(office, Access::write).rebuild(judge);
    return first_difference(told, told_by(office, room));
}

}  // namespace

TEST_CASE("what is judged anew in parts, between other recordings, ends as if all had been judged at once (I5)") {
    holds_for_random_histories("judged in parts", Moments::may_coincide, 6, judged_in_parts);
}

TEST_CASE("eight books sent in pieces and merged in any order, any number of times, make the same office (I5)") {
    holds_for_random_histories("merge orders", Moments::may_coincide, 3, [](const History& history, unsigned dice) {
        return merged_in_any_order(history, dice, false);
    });
    MESSAGE("exceptions that merges opened: ", newly_open);
    if (usual_runs()) CHECK(newly_open > 0);
}

TEST_CASE("books that were copied and went on count with all their branches, in any order of merging (I5)") {
    holds_for_random_histories(
        "merge orders of copies", Moments::may_coincide, 3,
        [](const History& history, unsigned dice) { return merged_in_any_order(history, dice, true); });
}
