// A book with an older schema through the library: nobody is asked, and nothing happens that was not said.
#include <doctest/doctest.h>
#include <sqlite3.h>

#include <fstream>
#include <sstream>

#include "counting_judge.hpp"
#include "tarebook/book/upgrade.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace upgrade_test {

namespace {

void run(const std::filesystem::path& file, const std::string& sql) {
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open(file.c_str(), &db) == SQLITE_OK);
    CHECK(sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
    sqlite3_close(db);
}

std::string bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

struct Older {
    BookRoom room;
    std::filesystem::path book = room.path / "book";
    std::filesystem::path copy = room.path / "book.before-schema-14";
    /// `megabytes`: of empty pages, as an upgrade's time is told from the size.
    explicit Older(int megabytes = 0) {
        run(book, bytes_of(TAREBOOK_SOURCE_DIR "/tests/crash/book_v1.sql"));
        if (megabytes > 0)
            run(book, "CREATE TABLE room (x); INSERT INTO room VALUES (zeroblob(" + std::to_string(megabytes << 20) +
                          ")); DROP TABLE room");
    }
};

}  // namespace

TEST_CASE("an older book is not read, and the plan says what an upgrade takes" * files_alone("an upgrade of a file")) {
    const Older older;
    const auto before = bytes_of(older.book);
    CHECK_THROWS_AS(Book::open(older.book, Access::read), OlderBook);
    const auto plan = upgrade_plan(older.book);
    REQUIRE(plan);
    CHECK(plan->from == 1);
    CHECK(plan->to == 14);
    CHECK(plan->copy == older.copy);
    CHECK(plan->time < upgraded_unasked);
    REQUIRE(plan->disks.size() == 1);
    CHECK(plan->disks.front().bytes > static_cast<std::int64_t>(before.size()));
    CHECK(plan->disks.front().free > 0);
    CHECK(bytes_of(older.book) == before);
    CHECK_FALSE(std::filesystem::exists(older.copy));
}

TEST_CASE("a quick upgrade is done by whoever records, a longer one only where somebody says so" *
          files_alone("an upgrade of a file")) {
    const Older quick;
    CHECK(Book::open(quick.book, Access::write).info().upgraded);
    CHECK_FALSE(Book::open(quick.book, Access::write).info().upgraded);

    const Older slow(120);
    const auto before = bytes_of(slow.book);
    CHECK_THROWS_AS(Book::open(slow.book, Access::write), OlderBook);
    int asked = 0;
    const auto answers = [&](bool answer) {
        return WhenOlder{{}, [&asked, answer](const UpgradePlan& plan) {
                             ++asked;
                             CHECK(plan.time >= upgraded_unasked);
                             return answer;
                         }};
    };
    CHECK_THROWS_AS(Book::open(slow.book, Access::write, {}, {}, answers(false)), OlderBook);
    CHECK(bytes_of(slow.book) == before);
    const auto book = Book::open(slow.book, Access::write, {}, {}, answers(true));
    CHECK(asked == 2);
    REQUIRE(book.info().upgraded);
    CHECK(book.info().remarks.size() == 1);
    CHECK(book.event_count() == 14);
}

TEST_CASE("upgrade() says what it did, once; the copy is where it was wanted" * files_alone("an upgrade of a file")) {
    const Older older;
    const auto copy = older.room.path / "as it was";
    const auto did = upgrade(older.book, {copy, true});
    REQUIRE(did);
    CHECK(did->copy == copy);
    CHECK(std::filesystem::exists(copy));
    CHECK_FALSE(std::filesystem::exists(older.copy));
    CHECK_FALSE(upgrade(older.book));
    CHECK_FALSE(upgrade_plan(older.book));
    // with the key it is a whole book
    CHECK(upgrade(copy));
    auto book = Book::open(copy, Access::write);
    CHECK(record(book, {cylinder_entry("RC-70")}) > 0);
}

TEST_CASE("what an upgrade takes, in words of as many digits as an estimate has") {
    UpgradePlan plan;
    plan.disks = {{"a", 1'000'000'000, 0}, {"b", 234'000'000, 0}};
    plan.time = std::chrono::milliseconds(34'200);
    CHECK(cost_text(plan) == "about 40 s, needs 1.2 GB");
    plan.time = std::chrono::milliseconds(900);
    CHECK(cost_text(plan).starts_with("less than 1 s"));
    plan.time = std::chrono::milliseconds(3'400);
    CHECK(cost_text(plan).starts_with("about 3 s"));
    plan.time = std::chrono::seconds(200);
    CHECK(cost_text(plan).starts_with("about 4 min"));
    CHECK(bytes_text(12) == "1 kB");
    CHECK(bytes_text(3'400'000) == "3.4 MB");
    CHECK(bytes_text(34'000'000) == "34 MB");
}

}  // namespace upgrade_test
