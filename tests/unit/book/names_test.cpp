// What events are called: a number of the own chain, digits of a digest for others; and rows that are damaged.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "chains.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace names_test {

namespace {

// A truck's book whose copy went on after event 2: the trunk has 3 and 4, branch 1 has 3 and 5, and lacks 4.
struct Copied {
    Chain trunk{0x50}, copy{0x50};
    MemoryBook book;
    Copied() {
        trunk.weigh_up_to(2);
        copy = trunk;
        trunk.weigh_up_to(4);
        copy.weigh_up_to(5, 30);
        book.take(trunk, 4);
        book.origin(copy.id, 1, 0, 2);
        book.put(copy, 3, 3, 1);
        book.put(copy, 5, 5, 1);
        book.impl.read_origins();
    }
    Digest called(std::string_view name, const Chain& caller, std::uint16_t branch = 0) {
        const auto row = book.impl.row_called(name, origin_id(caller.id, branch));
        return book.impl.db.digest("SELECT digest FROM event WHERE id = ?", row).value_or(Digest{});
    }
};
constexpr Digest no_event{};

kinds::Leak leak(const std::string& appliance) {
    kinds::Leak k;
    k.appliance = appliance;
    return k;
}

}  // namespace

TEST_CASE("a number names an event of the caller's own chain") {
    Copied c;
    c.book.say(weighed(0, "RC-1", "20lb").what);
    CHECK(c.called("E2", c.book.own) == c.book.own.digest(2));
    CHECK(c.called("E2", c.trunk) == c.trunk.digest(2));
    CHECK(c.called("E3", c.book.own) == no_event);
    for (const auto* other :
         {"E0", "E-1", "E", "2", "e2", "E2 ", "E2x", "E 2", "E99999999999999999", "E9999999999999999999"})
        CHECK(c.called(other, c.book.own) == no_event);
}

TEST_CASE("a number names the event on the way down from the branch that says it") {
    Copied c;
    CHECK(c.called("E3", c.copy, 1) == c.copy.digest(3));
    CHECK(c.called("E3", c.trunk) == c.trunk.digest(3));
    CHECK(c.called("E2", c.copy, 1) == c.trunk.digest(2));
    CHECK(c.called("E5", c.copy, 1) == c.copy.digest(5));
    CHECK(c.called("E5", c.trunk) == no_event);
    // what of the branch is not here yet is no event of the trunk that has the same number
    CHECK(c.called("E4", c.copy, 1) == no_event);
}

TEST_CASE("digits of a digest name one event, from twelve on and as far as they go") {
    Copied c;
    const auto digits = hex(c.trunk.digest(4));
    for (const std::size_t length : {12U, 15U, 16U, 17U, 40U, 64U})
        CHECK(c.called(digits.substr(0, length), c.book.own) == c.trunk.digest(4));
    CHECK(c.called(digits.substr(0, 11), c.book.own) == no_event);
    CHECK(c.called(digits + "0", c.book.own) == no_event);
    auto other = digits.substr(0, 20);
    other.back() = other.back() == 'a' ? 'b' : 'a';  // behind what the index knows
    CHECK(c.called(other, c.book.own) == no_event);
    auto large = digits.substr(0, 12);
    large[0] = 'A';
    CHECK(c.called(large, c.book.own) == no_event);
}

TEST_CASE("digits that two events begin with name neither, one more names one") {
    MemoryBook book;
    Chain truck(0x50);
    truck.weigh_up_to(2);
    book.origin(truck.id);
    truck.links[0].digest = digest_beginning("00ffee00ffee1");
    truck.links[1].digest = digest_beginning("00ffee00ffee2");
    book.put(truck, 1, 2);
    book.impl.read_origins();
    const auto called = [&](std::string_view name) { return book.impl.row_called(name, book.impl.own_origin); };
    CHECK(called("00ffee00ffee") == 0);
    const auto first = called("00ffee00ffee1"), second = called("00ffee00ffee2");
    CHECK(first != 0);
    CHECK(second != 0);
    CHECK(first != second);
    CHECK(book.impl.rows_with_digest("00ffee00ffee").size() == 2);
    CHECK(book.impl.row_with_digest(digest_beginning("00ffee00ffee2")) == second);
    CHECK(book.impl.row_with_digest(digest_beginning("00ffee00ffee3")) == 0);
}

TEST_CASE("an event of the own chain is called by its number, all others by twelve digits") {
    MemoryBook book;
    book.say(weighed(0, "RC-1", "20lb").what);
    auto copy = book.own.copied_after(1);
    copy.weigh_up_to(3, 30);
    book.origin(copy.id, 1, 0, 1);
    book.put(copy, 2, 3, 1);
    book.impl.read_origins();
    const auto name = [&](const Chain& chain, std::int64_t seq) {
        return book.impl.name_of_row(book.impl.row_with_digest(chain.digest(seq)));
    };
    CHECK(name(book.own, 2) == "E2");
    CHECK(name(copy, 3) == hex(copy.digest(3)).substr(0, 12));
    CHECK(book.impl.name_of_row(999).empty());
    // were the branch the own chain, the events under it were, too, and the trunk's second one another's
    book.impl.own_branch = 1;
    book.impl.read_origins();
    CHECK(name(copy, 1) == "E1");
    CHECK(name(copy, 3) == "E3");
    CHECK(name(book.own, 2) == hex(book.own.digest(2)).substr(0, 12));
    CHECK(
        book.impl.db.integers(("SELECT seq FROM event WHERE " + book.impl.own_path_sql() + " ORDER BY seq").c_str()) ==
        std::vector<std::int64_t>{1, 2, 3});
}

TEST_CASE("a leak of the own chain has a number, another book's the digits of its digest") {
    MemoryBook book;
    book.say(leak("OAK/RACK"));
    book.say(leak("OAK/CASE"));
    Chain truck(0x50);
    truck.say(leak("ELM/RACK"));
    truck.say(leak("ELM/CASE"));
    book.take(truck, 2);
    const auto of_truck = origin_id(truck.id);
    const auto digits = [&](std::int64_t seq) { return "L-" + hex(truck.digest(seq)).substr(0, 12); };
    CHECK(book.impl.leak_called("L-2", book.impl.own_origin) == "L-2");
    CHECK(book.impl.leak_called("L-2", of_truck) == digits(2));
    CHECK(book.impl.leak_called("L-1", of_truck) == digits(1));
    CHECK(book.impl.leak_called("L-3", of_truck) == "L-3");  // not here yet: as it was said
    // what the truck calls by digits may have a number here
    CHECK(book.impl.leak_called("L-" + hex(book.own.digest(3)).substr(0, 12), of_truck) == "L-2");
    CHECK(book.impl.leak_called("L-000000000000", of_truck) == "L-000000000000");
    CHECK(book.impl.leak_called("", of_truck).empty());
}

TEST_CASE("on a branch the leaks of the trunk are counted up to where it left") {
    MemoryBook book;
    Chain trunk(0x50);
    trunk.say(leak("ELM/RACK"));
    auto copy = trunk;
    trunk.say(leak("ELM/CASE"));
    copy.say(leak("ELM/WALKIN"));
    book.take(trunk, 2);
    book.origin(copy.id, 1, 0, 1);
    book.put(copy, 2, 2, 1);
    book.impl.read_origins();
    const auto digits = [](const Chain& chain, std::int64_t seq) {
        return "L-" + hex(chain.digest(seq)).substr(0, 12);
    };
    CHECK(book.impl.leak_called("L-2", origin_id(copy.id, 1)) == digits(copy, 2));
    CHECK(book.impl.leak_called("L-1", origin_id(copy.id, 1)) == digits(trunk, 1));
    CHECK(book.impl.leak_called("L-2", origin_id(trunk.id)) == digits(trunk, 2));
}

TEST_CASE("a finding is resolved by the event that its name ends in, in the words of the book that resolves it") {
    Copied c;
    const auto row = c.book.impl.row_with_digest(c.trunk.digest(3));
    CHECK(resolved_name(c.book.impl, "gap/RC-1/E3", origin_id(c.trunk.id)).about == row);
    CHECK(resolved_name(c.book.impl, "gap/RC-1/E3", origin_id(c.trunk.id)).finding == "gap/RC-1");
    CHECK(resolved_name(c.book.impl, "gap/RC-1/E3", origin_id(c.copy.id, 1)).about != row);
    CHECK(
        resolved_name(c.book.impl, "gap/RC-1/" + hex(c.trunk.digest(3)).substr(0, 12), c.book.impl.own_origin).about ==
        row);
    const auto unknown = resolved_name(c.book.impl, "gap/RC-1/E9", origin_id(c.trunk.id));
    CHECK(unknown.about == 0);
    CHECK(unknown.finding == "gap/RC-1/E9");
    CHECK(resolved_name(c.book.impl, "clock", c.book.impl.own_origin).about == 0);
}

TEST_CASE("a head as text comes back, and other words are none") {
    const Head head{12, digest_beginning("ab")};
    const auto text = head_text(head);
    CHECK(text == "12:ab" + std::string(62, '7'));
    const auto back = head_from(text);
    REQUIRE(back);
    CHECK(back->seq == 12);
    CHECK(back->digest == head.digest);
    const auto digits = text.substr(3);
    for (const auto& other :
         std::vector<std::string>{digits, ":" + digits, "0:" + digits, "-1:" + digits, "1x:" + digits, "x:" + digits,
                                  "12:" + digits.substr(1), "12:", "12 " + digits, "99999999999999999999:" + digits})
        CHECK_FALSE(head_from(other));
}

TEST_CASE("damaged rows of the list of books are told one by one, and each walk over the others ends") {
    Copied c;
    auto& impl = c.book.impl;
    const auto trunk = origin_id(c.trunk.id), branch = origin_id(c.copy.id, 1);
    CHECK(impl.origin_problems.empty());
    const auto damaged = [&](const std::string& what, std::string_view word, std::size_t problems = 1) {
        impl.db.script("BEGIN");
        impl.db.script(what);
        impl.read_origins();
        CHECK(impl.origin_problems.size() == problems);
        if (!impl.origin_problems.empty()) CHECK(impl.origin_problems.front().find(word) != std::string::npos);
        // none of these goes round for ever, or asks for a branch that is not there
        for (const auto& [origin, known] : impl.origins) {
            CHECK(impl.row_called("E9", origin) == 0);
            CHECK(impl.leak_called("L-9", origin) == "L-9");
            if (origin == impl.own_origin) CHECK_FALSE(impl.is_own_before_branch(origin, 1));
        }
        CHECK(impl.own_path_sql().starts_with("(origin = "));
        CHECK(impl.origins.contains(impl.own_origin));
        impl.db.script("ROLLBACK");
        impl.read_origins();
        CHECK(impl.origin_problems.empty());
    };
    const std::string short_book = impl.db.on_server() ? "'\\x5000'" : "x'5000'";
    damaged("UPDATE origin SET book = " + short_book + " WHERE branch = 1", "length");
    damaged("UPDATE origin SET id = id + 1 WHERE branch = 1", "not the number of its book and branch");
    damaged("UPDATE origin SET branch = 2 WHERE branch = 1", "not the number of its book and branch");
    damaged("UPDATE origin SET parent = id WHERE branch = 1", "does not leave");
    damaged("UPDATE origin SET parent_seq = 0 WHERE branch = 1", "does not leave");
    damaged("UPDATE origin SET parent = 77 WHERE branch = 1", "does not leave");
    damaged("UPDATE origin SET parent = (SELECT min(id) FROM origin) WHERE branch = 1",
            "does not leave");  // another book's
    damaged("UPDATE origin SET parent = 0 WHERE branch = 1", "does not leave");
    damaged("UPDATE origin SET parent_seq = 3 WHERE branch = 0 AND hex(book) LIKE '44%'", "does not leave");
    damaged("DELETE FROM origin WHERE hex(book) LIKE '44%'", "missing");
    // a parent that leaves its own branch
    damaged(
        "UPDATE origin SET parent = (SELECT max(id) FROM origin), parent_seq = 2 WHERE branch = 0 AND hex(book) LIKE "
        "'50%'",
        "does not leave");
    CHECK(impl.origins.at(branch).parent == trunk);
}

}  // namespace names_test
