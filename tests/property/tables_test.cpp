// However events come in, the same events give the same tables, row for row: command by command, as imports, as bundles
// in any order, and made anew from the bodies (I5). Rows of events and numbers of accounts and lots differ with the
// order of arrival, so the tables are read by names: a digest, a code.
#include <SQLiteCpp/SQLiteCpp.h>
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <random>

#include "book/transaction.hpp"
#include "histories.hpp"
#include "runs.hpp"
#include "support/book_room.hpp"
#include "support/book_tables.hpp"
#include "tarebook/analysis/analysts_file.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/bundle.hpp"

using namespace tarebook;
using namespace tarebook::property;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

namespace {

struct Projection {
    const char* table;
    int columns;
    const char* sql;
};
constexpr Projection projections[] = {
    {"step", 9,
     "SELECT a.kind, a.code, s.at, s.origin, s.seq, e.digest, s.moved, s.gap, s.state FROM step s JOIN account a ON "
     "a.id = s.cylinder JOIN event e ON e.id = s.event"},
    {"current_state", 2, "SELECT a.code, s.state FROM current_state s JOIN account a ON a.id = s.cylinder"},
    {"posting", 9,
     "SELECT e.digest, p.n, a.kind, a.code, l.refrigerant, l.owner, l.condition, p.mass, p.circuit_day FROM posting p "
     "JOIN account a ON a.id = p.account JOIN lot l ON l.id = p.lot JOIN event e ON e.id = p.event"},
    {"balance", 7,
     "SELECT a.kind, a.code, l.refrigerant, l.owner, l.condition, b.mass, b.postings FROM balance b JOIN account a ON "
     "a.id = b.account JOIN lot l ON l.id = b.lot"},
    {"finding", 10,
     "SELECT e.digest, f.n, f.severity, f.name, f.subject, f.text, f.seen, f.expected, f.next, f.accepted FROM finding "
     "f JOIN event e ON e.id = f.event"},
    {"settlement", 5,
     "SELECT e.digest, r.digest, s.at, s.origin, s.seq FROM settlement s JOIN event e ON e.id = s.event JOIN event r "
     "ON r.id = s.returned"},
    {"ineffective", 2,
     "SELECT e.digest, v.digest FROM ineffective u JOIN event e ON e.id = u.event LEFT JOIN event v ON v.id = u.by"},
    {"resolved", 3,
     "SELECT r.finding, a.digest, e.digest FROM resolved r JOIN event e ON e.id = r.event LEFT JOIN event a ON a.id = "
     "r.about"},
    {"field", 8,
     "SELECT e.kind, e.code, f.name, f.at, f.origin, f.seq, f.value, f.mass FROM field f JOIN entry e ON e.id = "
     "f.entry"},
};

using Tables = std::map<std::string, std::vector<std::string>>;

Tables tables_of(const fs::path& place) {
    const auto db = test::tables_at(place);
    Tables out;
    for (const auto& projection : projections) {
        auto& rows = out[projection.table];
        for (auto s = db->ask(projection.sql); s.next();) rows.push_back(test::text_of_row(s, projection.columns));
        std::sort(rows.begin(), rows.end());
        // rows that name what is not there would be left out by the question above
        auto counted = db->ask_once(fmt::format("SELECT count(*) FROM {}", projection.table));
        counted.next();
        const auto all = counted.integer(0);
        if (all != static_cast<std::int64_t>(rows.size()))
            rows.push_back(
                fmt::format("{} rows of {} name nothing", all - static_cast<std::int64_t>(rows.size()), all));
    }
    return out;
}

std::string difference(const Tables& a, const Tables& b) {
    for (const auto& [table, rows] : a) {
        const auto& other = b.at(table);
        std::vector<std::string> only_a, only_b;
        std::set_difference(rows.begin(), rows.end(), other.begin(), other.end(), std::back_inserter(only_a));
        std::set_difference(other.begin(), other.end(), rows.begin(), rows.end(), std::back_inserter(only_b));
        if (only_a.empty() && only_b.empty()) continue;
        return fmt::format("{}: {} and {} rows differ\n  {}\n  {}", table, only_a.size(), only_b.size(),
                           only_a.empty() ? "-" : only_a.front(), only_b.empty() ? "-" : only_b.front());
    }
    return {};
}

Moment at_day(int day) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 2) + std::chrono::days(day);
    m.zone = "UTC";
    return m;
}

const Judge& judge() {
    static const Judge judge({}, Notes::left_out);
    return judge;
}

std::string append(const fs::path& file, Event draft) {
    auto book = Book::open(file, Access::write);
    std::vector<Event> drafts{std::move(draft)};
    auto transaction = Book::Transaction::begin(book);
    const auto outcomes = transaction.judge(drafts, judge());
    return hex(transaction.commit(drafts, outcomes, judge()).front().digest);
}

std::string rebuilt_differs(const fs::path& file) {
    const auto before = tables_of(file);
    Book::open(file, Access::write).rebuild(judge());
    if (auto wrong = difference(before, tables_of(file)); !wrong.empty()) return "rebuilt: " + wrong;
    for (const auto& problem : Book::open(file, Access::read).check(judge()).problems) return "check: " + problem;
    return {};
}

class HistoryAsDrafts : public Drafts {
 public:
    explicit HistoryAsDrafts(const History& history) : history_(history) {}
    [[nodiscard]] std::size_t size() const override { return history_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override { return history_[i].event.when.at; }
    void make(std::size_t i, Event& out) const override { out = history_[i].event; }

 private:
    const History& history_;
};

// In one transaction, `from` to `to`, whatever they are.
void import_part(const fs::path& file, const History& history, std::size_t from, std::size_t to) {
    auto book = Book::open(file, Access::write);
    const HistoryAsDrafts drafts(history);
    std::vector<std::uint32_t> which;
    for (auto i = from; i < to; ++i) which.push_back(static_cast<std::uint32_t>(i));
    auto transaction = Book::Transaction::begin(book);
    transaction.judge_many(drafts, which, judge(), [](std::size_t, Event&, Outcome&) {});
    transaction.commit_many();
}

History without_targets(const History& history, const std::vector<std::size_t>& order) {
    History out;
    for (const auto i : order)
        if (!history[i].target) out.push_back(history[i]);
    return out;
}

std::string imports_like_commands(const History& whole, unsigned dice) {
    const BookRoom room;
    const auto empty = room.book("empty");
    Book::create(empty, "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago", at_day(0));
    // a void or a statement names its target by a digest, which no import can know before: those come in below
    const auto history = without_targets(whole, shuffled(whole, dice));
    const auto single = room.copy(empty, "single"), one = room.copy(empty, "one"), parts = room.copy(empty, "parts");
    for (const auto& draft : history) append(single, draft.event);
    import_part(one, history, 0, history.size());
    const auto middle = dice % (history.size() + 1);
    import_part(parts, history, 0, middle);
    import_part(parts, history, middle, history.size());
    const auto tables = tables_of(single);
    if (auto wrong = difference(tables, tables_of(one)); !wrong.empty()) return "one import: " + wrong;
    if (auto wrong = difference(tables, tables_of(parts)); !wrong.empty()) return "two imports: " + wrong;
    for (const auto& book : {single, one, parts})
        if (auto wrong = rebuilt_differs(book); !wrong.empty()) return room.name_of(book) + ", " + wrong;
    return {};
}

struct Shop {
    const BookRoom& room;
    std::vector<fs::path> books;
    std::vector<kinds::Trust> cards;
    std::vector<fs::path> bundles;
};

// Two books that tell of one shop, each with a bundle now and then.
Shop shop_of(const BookRoom& room, const History& history, std::mt19937& dice) {
    Shop shop{room, {}, {}, {}};
    const auto first =
        Book::create(room.book("office"), "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago", at_day(0));
    for (int i = 0; i < 2; ++i) {
        shop.books.push_back(room.book(fmt::format("truck-{}", i)));
        const auto book = Book::create(shop.books.back(), "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago",
                                       at_day(1), first.info().shop);
        shop.cards.push_back({hex(book.info().id), book.info().public_key, fmt::format("truck-{}", i), {}});
    }
    const auto send = [&](const fs::path& file) {
        const auto book = Book::open(file, Access::read);
        SendOptions options;
        options.from = 1 + static_cast<std::int64_t>(dice() % static_cast<std::size_t>(book.head().seq));
        shop.bundles.push_back(room.path / fmt::format("bundle-{}", shop.bundles.size()));
        REQUIRE(send_bundle(book, shop.bundles.back(), options, at_day(3).at));
    };
    std::vector<std::string> digests(history.size());
    for (std::size_t i = 0; i < history.size(); ++i) {
        const auto& file = shop.books[dice() % 2];
        digests[i] = append(file, with_target(history[i], digests));
        if (dice() % 8 == 0) send(file);
    }
    for (const auto& file : shop.books) {
        shop.bundles.push_back(room.path / fmt::format("bundle-{}", shop.bundles.size()));
        REQUIRE(send_bundle(Book::open(file, Access::read), shop.bundles.back(), {}, at_day(3).at));
    }
    return shop;
}

// Trusts each book before, while or after its events come; some trust is withdrawn on the way, up to some event.
// After all that is recorded: what comes from a clock that runs ahead would be an exception of one office alone.
constexpr int late = 600;

void merge_all(
    const Shop& shop, const fs::path& office, std::mt19937& dice, const std::function<void()>& after_each = [] {}) {
    auto mail = shop.bundles;
    std::shuffle(mail.begin(), mail.end(), dice);
    auto cards = shop.cards;
    std::shuffle(cards.begin(), cards.end(), dice);
    const auto say = [&](What what) {
        Event e;
        e.when = at_day(late);
        e.recorded = e.when.at;
        e.what = std::move(what);
        append(office, e);
    };
    const auto withdraw = [&](std::size_t truck) {
        kinds::Withdraw k;
        k.book = shop.cards[truck].book;
        k.why = "lost";
        const auto book = Book::open(shop.books[truck], Access::read);
        const auto seq = 1 + static_cast<std::int64_t>(dice() % static_cast<std::size_t>(book.head().seq));
        if (dice() % 2 == 0) k.last = head_text({seq, book.digests_at(book.info().id, seq).front()});
        say(k);
        cards.push_back(shop.cards[truck]);
    };
    const auto trust = [&] {
        const auto card = cards.back();
        cards.pop_back();
        say(card);
        const auto truck = static_cast<std::size_t>(dice() % 2);
        if (dice() % 3 == 0 && std::none_of(cards.begin(), cards.end(), [&](const kinds::Trust& waiting) {
                return waiting.book == shop.cards[truck].book;
            }))
            withdraw(truck);
    };
    while (!mail.empty()) {
        if (!cards.empty() && dice() % 3 == 0) trust();
        const auto n = std::min<std::size_t>(mail.size(), 1 + dice() % 3);
        const std::vector<fs::path> some(mail.end() - static_cast<std::ptrdiff_t>(n), mail.end());
        mail.resize(mail.size() - n);
        auto book = Book::open(office, Access::write);
        const auto merged = merge_bundles(book, some, at_day(late));
        if (!merged) FAIL(merged.error().error.what);
        after_each();
    }
    while (!cards.empty()) {
        trust();
        after_each();
    }
}

std::string bundles_in_any_order(const History& history, unsigned seed) {
    const BookRoom room;
    std::mt19937 dice(seed);
    const auto shop = shop_of(room, history, dice);
    std::optional<Tables> first;
    for (const auto* name : {"first", "second", "third"}) {
        const auto office = room.copy(room.book("office"), name);
        merge_all(shop, office, dice);
        const auto tables = tables_of(office);
        if (!first) first = tables;
        if (auto wrong = difference(*first, tables); !wrong.empty()) return std::string(name) + ": " + wrong;
        if (auto wrong = rebuilt_differs(office); !wrong.empty()) return std::string(name) + ", " + wrong;
    }
    for (const auto& truck : shop.books)
        if (auto wrong = rebuilt_differs(truck); !wrong.empty()) return room.name_of(truck) + ", " + wrong;
    return {};
}

// --- the analysts' file: one that is brought up to date has the rows of one that is made anew ---

Tables analysts_rows(const fs::path& file) {
    SQLite::Database db(file.string(), SQLite::OPEN_READONLY);
    std::vector<std::string> names;
    for (SQLite::Statement s(db,
                             "SELECT name FROM sqlite_schema WHERE type = 'view' OR name LIKE 'base_level' OR name "
                             "IN ('about', 'base_ineffective', 'base_gwp')");
         s.executeStep();)
        names.push_back(s.getColumn(0).getString());
    Tables out;
    for (const auto& name : names) {
        auto& rows = out[name];
        for (SQLite::Statement s(db, "SELECT * FROM " + name); s.executeStep();) {
            std::string row;
            for (int c = 0; c < s.getColumnCount(); ++c)
                row += s.getColumn(c).isNull() ? "NULL|" : s.getColumn(c).getString() + "|";
            rows.push_back(std::move(row));
        }
        std::sort(rows.begin(), rows.end());
    }
    return out;
}

// How the updates of all histories went, so that a test says whether it has seen both ways.
struct UpdatesSeen {
    int in_part = 0, whole = 0;
    std::int64_t looked_at = 0, events = 0;
};

class UpdatedFile {
 public:
    UpdatedFile(const BookRoom& room, fs::path book, UpdatesSeen& seen)
        : book_(std::move(book)), file_(room.path / "analysts.sqlite"), seen_(seen) {
        REQUIRE(make_analysts_file(Book::open(book_, Access::read), file_));
    }
    void bring_up_to_date() {
        if (!wrong_.empty()) return;
        const auto book = Book::open(book_, Access::read);
        const auto done = update_analysts_file(book, file_);
        if (!done) FAIL(done.error().what << ": " << done.error().seen);
        ++(done->all ? seen_.whole : seen_.in_part);
        if (!done->all) seen_.looked_at += done->looked_at, seen_.events += done->events;
        auto anew = file_;
        anew += ".anew";
        REQUIRE(make_analysts_file(book, anew));
        wrong_ = difference(analysts_rows(anew), analysts_rows(file_));
        if (wrong_.empty() && update_analysts_file(book, file_)->changed_rows != 0) wrong_ = "nothing new, and written";
        fs::remove(anew);
    }
    [[nodiscard]] const std::string& wrong() const { return wrong_; }

 private:
    fs::path book_, file_;
    UpdatesSeen& seen_;
    std::string wrong_;
};

}  // namespace

TEST_CASE("an analysts' file that is brought up to date has the rows of a new one: commands, late, void, corrected") {
    UpdatesSeen seen;
    holds_for_random_histories(
        "updates of an analysts' file", Moments::distinct, 12, [&](const History& history, unsigned seed) {
            const BookRoom room;
            std::mt19937 dice(seed);
            const auto book = room.book("book");
            Book::create(book, "Pelican Refrigeration", DisplayUnits::lb, "America/Chicago", at_day(0));
            std::vector<std::string> digests(history.size());
            std::optional<UpdatedFile> file;
            const auto step = 1 + history.size() / 4;
            for (const auto i : shuffled(history, seed)) {
                digests[i] = append(book, with_target(history[i], digests));
                if (dice() % step != 0) continue;
                if (file)
                    file->bring_up_to_date();
                else
                    file.emplace(room, book, seen);
            }
            if (!file) file.emplace(room, book, seen);
            file->bring_up_to_date();
            return file->wrong();
        });
    MESSAGE(seen.in_part << " updates in part, " << seen.looked_at << " of " << seen.events << " events looked at; "
                         << seen.whole << " of the whole");
    if (usual_runs()) {
        CHECK(seen.in_part > 5);
        CHECK(seen.looked_at < seen.events);
    }
}

TEST_CASE("an analysts' file that is brought up to date has the rows of a new one: bundles, trust, withdrawal") {
    UpdatesSeen seen;
    holds_for_random_histories("updates over bundles", Moments::may_coincide, 8,
                               [&](const History& history, unsigned seed) {
                                   const BookRoom room;
                                   std::mt19937 dice(seed);
                                   const auto shop = shop_of(room, history, dice);
                                   UpdatedFile file(room, room.book("office"), seen);
                                   merge_all(shop, room.book("office"), dice, [&] { file.bring_up_to_date(); });
                                   return file.wrong();
                               });
    MESSAGE(seen.in_part << " updates in part, " << seen.whole << " of the whole");
    if (usual_runs()) CHECK(seen.whole > 5);
}

TEST_CASE("imports give the tables that commands give, row for row (I5)") {
    holds_for_random_histories("tables of imports", Moments::distinct, 20, imports_like_commands);
}

TEST_CASE("bundles in any order give the same tables, row for row (I5)") {
    holds_for_random_histories("tables of bundles", Moments::may_coincide, 20, bundles_in_any_order);
}
