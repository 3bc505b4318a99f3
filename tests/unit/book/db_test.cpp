#include "book/db.hpp"

#include <doctest/doctest.h>

#include "book/insert_many.hpp"
#include "support/book_room.hpp"
#include "support/book_tables.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace {

struct Table {
    BookRoom room;
    std::unique_ptr<Db> own = own_tables_at(room.book("tables"));
    Db& db = *own;
    Table() {
        db.script(db.on_server() ? "CREATE TABLE one (id bigint PRIMARY KEY, word text, bytes bytea)"
                                 : "CREATE TABLE one (id INTEGER PRIMARY KEY, word TEXT, bytes BLOB) STRICT");
        InsertMany rows(db, "one(id, word, bytes)", 3);
        const Digest digest{1, 2, 3};
        for (std::int64_t id = 1; id <= 40; ++id)
            rows.row(id, std::optional<std::string>(id % 2 == 0 ? std::optional("even") : std::nullopt),
                     bytes_of(digest));
        rows.flush();
    }
};

constexpr const char* first_ids = "SELECT id FROM one WHERE id <= ? ORDER BY id";

}  // namespace

TEST_CASE("a question is asked again while its answer is being read") {
    Table t;
    auto outer = t.db.ask(first_ids, 3);
    std::vector<std::int64_t> seen;
    while (outer.next()) {
        seen.push_back(outer.integer(0));
        for (auto inner = t.db.ask(first_ids, outer.integer(0)); inner.next();) seen.push_back(-inner.integer(0));
    }
    CHECK(seen == std::vector<std::int64_t>{1, -1, 2, -1, -2, 3, -1, -2, -3});
}

TEST_CASE("an answer that is read no further holds nothing back") {
    Table t;
    t.db.begin_recording();
    {
        auto answer = t.db.ask(first_ids, 40);
        CHECK(answer.next());
    }
    CHECK(t.db.any(first_ids, 1));
    CHECK(t.db.run("DELETE FROM one WHERE word = ?", "even") == 20);
    t.db.commit();
    CHECK_FALSE(t.db.in_transaction());
    t.db.script("DROP TABLE one");  // refused while a statement reads it
}

TEST_CASE("an answer that has ended has no more rows, however often it is asked") {
    Table t;
    auto answer = t.db.ask(first_ids, 2);
    int rows = 0;
    while (answer.next()) ++rows;
    CHECK(rows == 2);
    CHECK_FALSE(answer.next());
    CHECK_FALSE(answer.next());
}

TEST_CASE("what is bound comes back as it was") {
    Table t;
    const std::string with_zero("a\0b", 3), text = t.db.on_server() ? "a b" : with_zero;
    if (t.db.on_server())  // it has no such text
        CHECK_THROWS_AS(t.db.run("INSERT INTO one VALUES (?, ?, ?)", 49, with_zero, std::nullopt), DbError);
    const Digest digest{9, 8, 7};
    t.db.run("INSERT INTO one VALUES (?, ?, ?)", 50, text, digest);
    t.db.run("INSERT INTO one VALUES (?, ?, ?)", 51, std::string_view(), Bytes{});
    t.db.run("INSERT INTO one VALUES (?, ?, ?)", 52, std::optional<std::string>(), std::nullopt);
    CHECK(t.db.text("SELECT word FROM one WHERE id = ?", 50) == text);
    CHECK(t.db.digest("SELECT bytes FROM one WHERE id = ?", 50) == digest);
    auto nothing = t.db.ask("SELECT word, bytes FROM one WHERE id = ?", 51);
    REQUIRE(nothing.next());
    CHECK_FALSE(nothing.is_null(0));
    CHECK_FALSE(nothing.is_null(1));
    CHECK(t.db.text("SELECT word FROM one WHERE id = ?", 52) == std::nullopt);
    CHECK(t.db.integer("SELECT id FROM one WHERE id = ?", 99) == std::nullopt);
    CHECK(t.db.integers(first_ids, 3) == std::vector<std::int64_t>{1, 2, 3});
}

TEST_CASE("a column of another length is told, not cut") {
    Table t;
    t.db.run("INSERT INTO one VALUES (?, ?, ?)", 60, "", Bytes{"short"});
    auto answer = t.db.ask("SELECT bytes FROM one WHERE id = ?", 60);
    REQUIRE(answer.next());
    CHECK_THROWS_AS(static_cast<void>(answer.digest(0)), StorageError);
}

TEST_CASE("an error of the engine is told by what went wrong, in the seam's own type") {
    Table t;
    const auto fault = [&](auto&& what) {
        try {
            what();
        } catch (const DbError& e) {
            CHECK(e.code().starts_with(t.db.on_server() ? "PostgreSQL " : "SQLite code "));
            return e.fault();
        }
        return DbFault::other;
    };
    CHECK(fault([&] { t.db.run("INSERT INTO one VALUES (?, ?, ?)", 1, "", Bytes{}); }) == DbFault::constraint);
    CHECK(fault([&] { t.db.any("SELECT no_column FROM one"); }) == DbFault::statement);
    CHECK(fault([&] { t.db.script("no statement"); }) == DbFault::statement);
    if (!t.db.on_server()) CHECK(fault([&] { Db("/no/folder/book", FileMode::write); }) == DbFault::cannot_open);
    InsertMany rows(t.db, "one(id)", 1);
    rows.row(std::int64_t{1});
    CHECK(fault([&] { rows.flush(); }) == DbFault::constraint);
}
