// Which events are effective: asked of events, signed heads and the own list of trust alone.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "chains.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace trust_test {

namespace {

// Up to which event a branch of the chain is effective.
std::int64_t effective(MemoryBook& book, const Chain& chain, std::uint16_t branch = 0) {
    return effective_origins(book.impl).at(origin_id(chain.id, branch));
}
kinds::Withdraw withdrawn(const Chain& chain, std::int64_t last = 0) {
    kinds::Withdraw k;
    k.book = hex(chain.id);
    k.why = "the device is lost";
    if (last > 0) k.last = head_text({last, chain.digest(last)});
    return k;
}
kinds::Resolve dropped(const Digest& first) {
    kinds::Resolve k;
    k.finding = "branch/" + hex(first);
    k.why = "recorded on a copy";
    return k;
}

// A truck's book that was copied after its third event: the trunk has five events, branch 1 has its own fourth and
// fifth.
struct Copied {
    Chain trunk{0x50}, copy{0x50};
    MemoryBook book;
    Copied() {
        trunk.weigh_up_to(3);
        copy = trunk.copied_after(3);
        trunk.weigh_up_to(5);
        copy.weigh_up_to(5, 30);
        book.take(trunk, 5);
        book.origin(copy.id, 1, 0, 3);
        book.put(copy, 4, 5, 1);
        book.head(copy, 5, 1);
        book.impl.read_origins();
    }
};

}  // namespace

TEST_CASE("a book is effective once the own chain trusts it, up to the last head that its key signed") {
    MemoryBook book;
    Chain truck(0x50), stranger(0x51);
    truck.weigh_up_to(6);
    book.take(truck, 6);
    book.impl.db.script("DELETE FROM head");
    for (const auto seq : {2, 4}) book.head(truck, seq);
    book.head(truck, 5, stranger);
    CHECK(effective(book, truck) == 0);
    book.say(truck.card());
    CHECK(effective(book, truck) == 4);
    CHECK(effective(book, book.own) == INT64_MAX);  // what is being recorded has no head yet
    book.head(truck, 6);
    CHECK(effective(book, truck) == 6);
}

TEST_CASE("trust is in a key: under another one nothing is effective, and the last word holds") {
    MemoryBook book;
    Chain truck(0x50), stranger(0x51);
    book.take(truck.weigh_up_to(3), 3);
    auto wrong = truck.card();
    wrong.key = stranger.key;
    book.say(wrong, 900);
    CHECK(effective(book, truck) == 0);
    book.say(truck.card(), 500);  // said later, though for an earlier hour
    CHECK(effective(book, truck) == 3);
    CHECK(trusted_books(book.impl).at(truck.id).key == truck.key);
}

TEST_CASE("what another book says of trust is that book's own list") {
    MemoryBook book;
    Chain truck(0x50), friend_of_truck(0x60);
    truck.weigh_up_to(1);
    truck.say(friend_of_truck.card());
    book.take(truck, 2);
    book.take(friend_of_truck.weigh_up_to(2), 2);
    book.say(truck.card());
    CHECK(effective(book, truck) == 2);
    CHECK(effective(book, friend_of_truck) == 0);
    CHECK_FALSE(trusted_books(book.impl).contains(friend_of_truck.id));
}

TEST_CASE("of a withdrawn book the named event and those before it stay effective, without any head") {
    MemoryBook book;
    Chain truck(0x50), other(0x50);
    book.take(truck.weigh_up_to(6), 6);
    book.say(truck.card());
    book.say(withdrawn(truck, 4));
    CHECK(effective(book, truck) == 4);
    CHECK(books_ever_withdrawn(book.impl) == std::set<BookId>{truck.id});
    SUBCASE("the newest withdrawal holds, also where it names no event") {
        book.say(withdrawn(truck));
        CHECK(effective(book, truck) == 0);
    }
    SUBCASE("an event with that number and another digest names nothing") {
        book.say(withdrawn(other.weigh_up_to(6, 30), 4));
        CHECK(effective(book, truck) == 0);
    }
    SUBCASE("trusted again, it is effective as far as its heads reach") {
        book.say(truck.card());
        CHECK(effective(book, truck) == 6);
        CHECK(books_ever_withdrawn(book.impl).size() == 1);
    }
}

TEST_CASE("a withdrawal of a book that was never trusted says nothing") {
    MemoryBook book;
    Chain truck(0x50);
    book.take(truck.weigh_up_to(3), 3);
    book.say(withdrawn(truck, 2));
    CHECK(effective(book, truck) == 0);
    CHECK(trusted_books(book.impl).empty());
}

TEST_CASE("a head on a branch covers the trunk below it, and no more of the trunk") {
    Copied c;
    c.book.impl.db.run("DELETE FROM head WHERE origin = ?", origin_id(c.trunk.id));
    c.book.say(c.trunk.card());
    CHECK(effective(c.book, c.copy, 1) == 5);
    CHECK(effective(c.book, c.trunk) == 3);
}

TEST_CASE("a withdrawal that names an event of a branch keeps the way to it") {
    Copied c;
    c.book.say(c.trunk.card());
    c.book.say(withdrawn(c.copy, 4));
    CHECK(effective(c.book, c.copy, 1) == 4);
    CHECK(effective(c.book, c.trunk) == 3);
    CHECK(path_to(c.book.impl, c.copy.id, {4, c.copy.digest(4)}) ==
          std::map<std::int64_t, std::int64_t>{{origin_id(c.copy.id, 0), 3}, {origin_id(c.copy.id, 1), 4}});
    CHECK(path_to(c.book.impl, c.copy.id, {3, c.copy.digest(4)}).empty());
}

TEST_CASE("either of two branches is dropped by the digest of its first event, and stays admitted") {
    Copied c;
    c.book.say(c.trunk.card());
    SUBCASE("the one that left") {
        c.book.say(dropped(c.copy.digest(4)));
        CHECK(effective(c.book, c.copy, 1) == 3);  // none of its own: it begins with 4
        CHECK(effective(c.book, c.trunk) == 5);
        CHECK(admitted_origins(c.book.impl).at(origin_id(c.copy.id, 1)) == 5);
    }
    SUBCASE("where the trunk went on itself") {
        c.book.say(dropped(c.trunk.digest(4)));
        CHECK(effective(c.book, c.trunk) == 3);
        CHECK(effective(c.book, c.copy, 1) == 5);  // it left before that event
    }
    SUBCASE("no other event is the beginning of a branch") {
        c.book.say(dropped(c.copy.digest(5)));
        c.book.say(dropped(c.trunk.digest(3)));
        c.book.say(dropped(c.trunk.digest(5)));
        c.book.say(dropped(c.book.own.digest(1)));
        CHECK(effective(c.book, c.trunk) == 5);
        CHECK(effective(c.book, c.copy, 1) == 5);
        CHECK(effective(c.book, c.book.own) == INT64_MAX);
    }
}

TEST_CASE("with a branch goes what left it at the dropped event or later") {
    Copied c;
    auto twin = c.copy.copied_after(4);
    twin.weigh_up_to(5, 40);
    c.book.origin(twin.id, 2, 1, 4);
    c.book.put(twin, 5, 5, 2);
    c.book.head(twin, 5, 2);
    c.book.impl.read_origins();
    c.book.say(c.trunk.card());
    CHECK(effective(c.book, twin, 2) == 5);
    c.book.say(dropped(c.copy.digest(4)));
    CHECK(effective(c.book, twin, 2) == 0);
    CHECK(effective(c.book, c.trunk) == 5);
}

TEST_CASE("a word that drops a branch counts from a trusted book alone, and not from the branch that is dropped") {
    Copied c;
    c.book.say(c.trunk.card());
    Chain office(0x30);
    office.say(dropped(c.copy.digest(4)));
    c.book.take(office, 1);
    CHECK(effective(c.book, c.copy, 1) == 5);
    auto card = office.card();
    card.called = "office";
    c.book.say(card);
    CHECK(effective(c.book, c.copy, 1) == 3);
}

TEST_CASE("two words that drop each other's branch: the first one in order of time holds") {
    Copied c;
    c.trunk.say(dropped(c.copy.digest(4)), 80);
    c.copy.say(dropped(c.trunk.digest(4)), 70);
    c.book.put(c.trunk, 6, 6);
    c.book.put(c.copy, 6, 6, 1);
    c.book.head(c.trunk, 6);
    c.book.head(c.copy, 6, 1);
    c.book.say(c.trunk.card());
    CHECK(effective(c.book, c.copy, 1) == 6);
    CHECK(effective(c.book, c.trunk) == 3);
}

TEST_CASE("of a copy of the own book that went on, the own key's heads say how much is effective") {
    MemoryBook book;
    book.say(weighed(0, "RC-1", "20lb").what);
    auto copy = book.own.copied_after(1);
    copy.weigh_up_to(4, 30);
    book.origin(copy.id, 1, 0, 1);
    book.put(copy, 2, 4, 1);
    book.impl.read_origins();
    CHECK(effective(book, copy, 1) == 0);
    book.head(copy, 3, 1);
    CHECK(effective(book, copy, 1) == 3);
    CHECK(effective(book, book.own) == INT64_MAX);
}

TEST_CASE(
    "where the own chain is a branch, the trunk is effective up to where it left, and as far as a head covers it") {
    MemoryBook book;
    auto copy = book.own;
    copy.weigh_up_to(4, 30);
    book.put(copy, 2, 4);  // the trunk: what the copy recorded
    book.origin(copy.id, 1, 0, 1);
    book.impl.own_branch = 1;
    book.impl.read_origins();
    CHECK(effective(book, copy) == 1);
    CHECK(effective(book, copy, 1) == INT64_MAX);
    book.head(copy, 3);
    CHECK(effective(book, copy) == 3);
}

TEST_CASE("while all is judged anew the own chain is effective up to its last signed head, and so is its list") {
    MemoryBook book;
    Chain truck(0x50);
    book.take(truck.weigh_up_to(2), 2);
    book.say(truck.card());
    book.impl.own_effective_to = 2;
    CHECK(effective(book, truck) == 2);
    book.impl.own_effective_to = 1;  // the card came after it
    CHECK(effective(book, truck) == 0);
    CHECK(effective(book, book.own) == 1);
}

TEST_CASE("a book that is apart is effective only while no book with an id that begins alike has its place") {
    MemoryBook book;
    Chain truck(0x50);
    auto like = BookId{0x50};
    like.back() = 9;
    Chain other(like, 0x77);
    truck.weigh_up_to(2);
    book.origin(truck.id, first_apart);
    book.put(truck, 1, 2, first_apart);
    book.head(truck, 2, first_apart);
    book.impl.read_origins();
    book.say(truck.card());
    CHECK(effective(book, truck, first_apart) == 2);
    book.take(other.weigh_up_to(1), 1);
    CHECK(effective(book, truck, first_apart) == 0);
}

}  // namespace trust_test
