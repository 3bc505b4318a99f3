// Branches of one book: numbered by the set of its events alone, and apart from them what no trusted key covers.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "chains.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace branches_test {

namespace {

// Branch, number and digest of each event of a book, and which branch leaves which: "0:1:3af2 (1 leaves 0 after 2) ".
std::string laid(MemoryBook& book, const BookId& id) {
    std::string out;
    for (const auto& [origin, known] : book.impl.origins) {
        if (known.book != id) continue;
        for (auto s = book.impl.db.ask("SELECT seq, digest FROM event WHERE origin = ? ORDER BY seq", origin);
             s.next();)
            out += fmt::format("{}:{}:{} ", known.branch, s.integer(0), hex(s.digest(1)).substr(0, 4));
        if (known.parent != 0)
            out += fmt::format("({} leaves {} after {}) ", known.branch, known.parent & 0xffff, known.parent_seq);
    }
    return out;
}
std::string place(std::int64_t branch, std::int64_t seq, const Chain& chain) {
    return fmt::format("{}:{}:{} ", branch, seq, hex(chain.digest(seq)).substr(0, 4));
}
std::map<std::int64_t, std::int64_t> admitted(const Chain& chain, std::int64_t until, std::uint16_t branch = 0) {
    return {{origin_id(chain.id, branch), until}};
}

// Two copies of a book that each went on after event 2; `first` has the lower digest there.
struct TwoCopies {
    Chain first{0x50}, second{0x50};
    TwoCopies() {
        first.weigh_up_to(2);
        second = first;
        first.weigh_up_to(4, 30);
        second.weigh_up_to(5, 40);
        if (second.digest(3) < first.digest(3)) std::swap(first, second);
    }
};

}  // namespace

TEST_CASE("branches get their numbers from the events, on any branches that these had before") {
    const TwoCopies fork;
    std::vector<const Chain::Link*> events;
    for (const auto& link : fork.first.links) events.push_back(&link);
    for (std::size_t i = 2; i < 5 && i < fork.second.links.size(); ++i) events.push_back(&fork.second.links[i]);
    std::string expected;
    for (std::size_t seq = 1; seq <= fork.first.links.size(); ++seq)
        expected += place(0, static_cast<std::int64_t>(seq), fork.first);
    for (std::size_t seq = 3; seq <= fork.second.links.size(); ++seq)
        expected += place(1, static_cast<std::int64_t>(seq), fork.second);
    expected += "(1 leaves 0 after 2) ";
    int layouts = 0;
    for (unsigned layout = 0; layout < 1U << events.size(); layout += 2) {
        std::set<std::pair<unsigned, std::int64_t>> places;
        for (std::size_t i = 0; i < events.size(); ++i) places.emplace(layout >> i & 1U, events[i]->event.seq);
        if (places.size() != events.size()) continue;  // two events of one number cannot lie on one branch
        MemoryBook book;
        for (const int branch : {0, 1}) book.origin(fork.first.id, branch);
        for (std::size_t i = events.size(); i-- > 0;)
            book.put(*events[i], origin_id(fork.first.id, static_cast<std::uint16_t>(layout >> i & 1U)));
        book.impl.read_origins();
        number_branches(book.impl, fork.first.id);
        CHECK(laid(book, fork.first.id) == expected);
        ++layouts;
    }
    CHECK(layouts == 16);
}

TEST_CASE("a head goes with its event, and nothing else does") {
    const TwoCopies fork;
    MemoryBook book;
    for (const int branch : {0, 1}) book.origin(fork.first.id, branch);
    book.put(fork.second, 1, 3, 0);
    book.put(fork.first, 3, 4, 1);
    book.head(fork.second, 3, 0);
    book.head(fork.second, 2, 0);
    book.head(fork.first, 4, 1);
    book.impl.read_origins();
    number_branches(book.impl, fork.first.id);
    const auto heads = [&](std::uint16_t branch) {
        return book.impl.db.integers("SELECT seq FROM head WHERE origin = ? ORDER BY seq",
                                     origin_id(fork.first.id, branch));
    };
    CHECK(heads(0) == std::vector<std::int64_t>{2, 4});
    CHECK(heads(1) == std::vector<std::int64_t>{3});
    CHECK(branch_count(book.impl, fork.first.id) == 2);
    CHECK(branch_count(book.impl, book.own.id) == 1);
    CHECK_THROWS(book.impl.db.run("UPDATE event SET kind = 'weigh'"));  // the guard of the events is back
}

TEST_CASE("after a gap the chain goes on with the first branch that has one") {
    TwoCopies fork;
    fork.first.weigh_up_to(6, 30);
    MemoryBook book;
    book.origin(fork.first.id);
    book.put(fork.first, 1, 2);
    book.put(fork.first, 5, 6);
    book.impl.read_origins();
    number_branches(book.impl, fork.first.id);
    CHECK(branch_count(book.impl, fork.first.id) == 1);
    // with the other branch whole up to 4, and the events that fill the gap there, it is seen where they belong
    book.origin(fork.first.id, 1);
    book.put(fork.second, 3, 4, 1);
    book.put(fork.first, 3, 4);
    book.impl.read_origins();
    number_branches(book.impl, fork.first.id);
    CHECK(laid(book, fork.first.id) == place(0, 1, fork.first) + place(0, 2, fork.first) + place(0, 3, fork.first) +
                                           place(0, 4, fork.first) + place(0, 5, fork.first) + place(0, 6, fork.first) +
                                           place(1, 3, fork.second) + place(1, 4, fork.second) +
                                           "(1 leaves 0 after 2) ");
}

TEST_CASE("a book whose beginning is not here yet has one branch, without a parent") {
    Chain truck(0x50);
    truck.weigh_up_to(5);
    MemoryBook book;
    book.origin(truck.id, 1);
    book.put(truck, 4, 5, 1);
    book.impl.read_origins();
    number_branches(book.impl, truck.id);
    CHECK(laid(book, truck.id) == place(0, 4, truck) + place(0, 5, truck));
}

TEST_CASE("what follows the head of the own chain was recorded elsewhere, and is a branch; the chain keeps its name") {
    MemoryBook book;
    book.say(weighed(0, "RC-1", "20lb").what);
    auto copy = book.own;
    copy.weigh_up_to(4, 30);
    book.origin(copy.id, 1);
    book.put(copy, 3, 3, 1);  // it follows the own head
    book.put(copy, 4, 4, 1);
    book.impl.read_origins();
    number_branches(book.impl, book.own.id);
    CHECK(laid(book, book.own.id) ==
          place(0, 1, copy) + place(0, 2, copy) + place(1, 3, copy) + place(1, 4, copy) + "(1 leaves 0 after 2) ");
    CHECK(book.impl.own_origin == origin_id(book.own.id, 0));
    // nor does the own chain have a gap behind its head that an event without a predecessor could lie in
    MemoryBook other;
    other.origin(copy.id, 1);
    other.put(copy, 4, 4, 1);
    other.impl.read_origins();
    number_branches(other.impl, other.own.id);
    CHECK(laid(other, other.own.id) == place(0, 1, copy) + place(1, 4, copy));
}

TEST_CASE("the own chain moves to another branch where a copy's event goes before its own, and is known there") {
    for (const int pounds : {30, 31, 32, 33}) {  // of these some have a lower digest than the own event, and some not
        MemoryBook book;
        book.say(weighed(0, "RC-1", "20lb").what);
        auto copy = book.own.copied_after(1);
        copy.weigh_up_to(2, pounds);
        book.origin(copy.id, 1);
        book.put(copy, 2, 2, 1);
        book.impl.read_origins();
        number_branches(book.impl, book.own.id);
        const auto own_branch = copy.digest(2) < book.own.digest(2) ? 1 : 0;
        CHECK(book.impl.own_branch == own_branch);
        CHECK(book.impl.own_origin == origin_id(book.own.id, static_cast<std::uint16_t>(own_branch)));
        CHECK(book.impl.db.text("SELECT value FROM book WHERE name = 'own_branch'") == std::to_string(own_branch));
        CHECK(book.impl.is_own(origin_id(book.own.id), 1));
    }
}

TEST_CASE("an event beyond those that are admitted is set apart, and comes back to its place") {
    Chain truck(0x50);
    truck.weigh_up_to(4);
    MemoryBook book;
    book.take(truck, 4);
    book.impl.db.run("UPDATE origin SET effective_to = 2 WHERE id = ?", origin_id(truck.id));
    book.impl.read_origins();
    CHECK_FALSE(set_apart(book.impl, truck.id, admitted(truck, 2)));  // what is admitted stays where it was
    CHECK(laid(book, truck.id) == place(0, 1, truck) + place(0, 2, truck) + place(32768, 3, truck) +
                                      place(32768, 4, truck) + "(32768 leaves 0 after 2) ");
    CHECK(has_apart(book.impl, truck.id));
    CHECK_FALSE(has_apart(book.impl, book.own.id));
    CHECK(branch_count(book.impl, truck.id) == 1);
    CHECK(book.impl.origins.at(origin_id(truck.id)).effective_to == 2);
    CHECK(book.impl.origins.at(origin_id(truck.id, first_apart)).effective_to == 0);
    CHECK(book.impl.branch_begins.empty());  // it is no branch that could be dropped
    CHECK(book.impl.db.any("SELECT 1 FROM head WHERE origin = ? AND seq = 4", origin_id(truck.id, first_apart)));
    auto all = admitted(truck, 2);
    all[origin_id(truck.id, first_apart)] = 4;
    CHECK(set_apart(book.impl, truck.id, all));
    CHECK(laid(book, truck.id) == place(0, 1, truck) + place(0, 2, truck) + place(0, 3, truck) + place(0, 4, truck));
    CHECK_FALSE(has_apart(book.impl, truck.id));
}

TEST_CASE("an admitted event keeps those in the chain that it names, one before the other") {
    const TwoCopies fork;
    MemoryBook book;
    book.origin(fork.first.id);
    book.origin(fork.first.id, 1, 0, 2);
    book.put(fork.first, 1, 4);
    book.put(fork.second, 3, 4, 1);
    book.impl.read_origins();
    auto some = admitted(fork.first, 0);
    some[origin_id(fork.first.id, 1)] = 4;
    CHECK(set_apart(book.impl, fork.first.id, some));  // the branch is the trunk now
    CHECK(laid(book, fork.first.id) == place(0, 1, fork.second) + place(0, 2, fork.second) + place(0, 3, fork.second) +
                                           place(0, 4, fork.second) + place(32768, 3, fork.first) +
                                           place(32768, 4, fork.first) + "(32768 leaves 0 after 2) ");
}

TEST_CASE("two books whose ids begin alike lie apart on branches of different numbers") {
    auto like = BookId{0x50};
    like.back() = 9;
    Chain truck(0x50), other(like, 0x77);
    REQUIRE(origin_id(truck.id) == origin_id(other.id));
    MemoryBook book;
    book.origin(other.id, first_apart);
    book.put(other.weigh_up_to(1), 1, 1, first_apart);
    book.take(truck.weigh_up_to(2), 2);
    set_apart(book.impl, truck.id, admitted(truck, 0));
    CHECK(laid(book, other.id) == place(32768, 1, other));
    CHECK(laid(book, truck.id) == place(32769, 1, truck) + place(32769, 2, truck));
}

}  // namespace branches_test
