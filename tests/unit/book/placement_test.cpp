// Where an event that comes in is laid, and what is looked at again: what goes on, what comes late, what fills a gap,
// what contradicts what is there.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "book/take_in.hpp"
#include "chains.hpp"
#include "support/book_tables.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace placement_test {

namespace {

// An own book that trusts what it is told to, and judges what comes in.
class Office : public MemoryBook {
 public:
    explicit Office(const std::vector<const Chain*>& trusted) {
        for (const auto* chain : trusted) {
            auto card = chain->card();
            card.called = hex(chain->id);
            say(card);
        }
    }
    struct Came {
        std::string refused;  ///< name of the error, where there was one
        std::int64_t added = 0;
        int judged = 0;
    };
    /// Events `from` to `to` in one bundle.
    Came take(const Chain& chain, std::int64_t from, std::int64_t to) {
        Came out;
        const CountingJudge judge;
        impl.db.begin_recording();
        {
            TakeIn take(impl, at_hour(900).at);
            auto good = take.segment(chain.id, chain.key);
            for (auto seq = from; good && seq <= to; ++seq) {
                const auto& link = chain.links.at(static_cast<std::size_t>(seq - 1));
                good = take.event(link.event, link.body, link.digest);
            }
            if (good) {
                take.head({to, chain.digest(to)}, chain.signature(to));
                take.evaluate(judge);
                out.added = take.added();
                out.judged = judge.asked;
            } else {
                out.refused = good.error().name;
            }
        }
        if (out.refused.empty())
            impl.db.commit();
        else
            impl.db.roll_back();
        impl.read_origins();
        return out;
    }
    /// Branch and number of each event of a book: "0:1 0:2 1:3".
    std::string laid(const BookId& id) {
        std::string out;
        for (const auto& [origin, known] : impl.origins)
            if (known.book == id)
                for (const auto seq : impl.db.integers("SELECT seq FROM event WHERE origin = ? ORDER BY seq", origin))
                    out += fmt::format("{}{}:{}", out.empty() ? "" : " ", known.branch, seq);
        return out;
    }
    /// All that the events did to cylinders, in total order, without the numbers of rows.
    std::string steps() {
        std::string out;
        auto s = impl.db.ask(
            "SELECT a.code, s.seq, s.moved, s.gap, s.state, e.digest FROM step s JOIN account a ON a.id = "
            "s.cylinder JOIN event e ON e.id = s.event ORDER BY a.code, s.at, s.origin, s.seq");
        while (s.next()) out += text_of_row(s, 6) + "\n";
        return out;
    }
};

std::string cylinder(std::int64_t n) {
    return fmt::format("RC-{}", n);
}
// Each event weighs a cylinder of its own, so that no event touches what another one did.
Chain with_events(std::uint8_t first_byte, int events) {
    Chain out(first_byte);
    for (int i = 1; i <= events; ++i) out.say(weighed(0, cylinder(i), "20lb").what);
    return out;
}

}  // namespace

TEST_CASE("the rows of a file sort as the events do: by instant, book, branch, number") {
    std::vector<OrderKey> orders;
    for (const int hour : {0, 1})
        for (const auto first : std::vector<std::uint8_t>{0x00, 0x01, 0x7f, 0x80, 0xff})
            for (const auto sixth : std::vector<std::uint8_t>{0x00, 0x02, 0xfe})  // of the sixth byte seven bits count
                for (const auto branch : std::vector<std::uint16_t>{0, 1, 32767, 32768, 65535})
                    for (const std::int64_t seq : {1, 2})
                        orders.push_back({at_hour(hour).at, BookId{first, 0, 0, 0, 0, sixth}, seq, branch});
    REQUIRE(std::is_sorted(orders.begin(), orders.end()));
    for (std::size_t i = 1; i < orders.size(); ++i) CHECK(place_of(orders[i - 1]) < place_of(orders[i]));
}

TEST_CASE("an event that follows the last one is put behind it; the same once more changes nothing") {
    const auto truck = with_events(0x50, 4);
    Office office({&truck});
    CHECK(office.take(truck, 1, 2).added == 2);
    const auto more = office.take(truck, 1, 4);
    CHECK(more.added == 2);
    CHECK(more.judged == 2);  // the new ones alone
    const auto again = office.take(truck, 1, 4);
    CHECK(again.added == 0);
    CHECK(again.judged == 0);
    CHECK(office.laid(truck.id) == "0:1 0:2 0:3 0:4");
}

TEST_CASE("an event that fills a gap is put into it, and the event behind it is looked at again") {
    const auto truck = with_events(0x50, 6);
    Office office({&truck});
    CHECK(office.take(truck, 1, 2).judged == 2);
    CHECK(office.take(truck, 5, 6).judged == 2);
    CHECK(office.laid(truck.id) == "0:1 0:2 0:5 0:6");
    CHECK(office.take(truck, 3, 4).judged ==
          3);  // 3, 4, and 5, of which it can be said now whether its clock went back
    CHECK(office.laid(truck.id) == "0:1 0:2 0:3 0:4 0:5 0:6");
    Office whole({&truck});
    whole.take(truck, 1, 6);
    CHECK(office.steps() == whole.steps());
}

TEST_CASE("a first event that comes last is put before the others") {
    const auto truck = with_events(0x50, 3);
    Office office({&truck});
    CHECK(office.take(truck, 3, 3).added == 1);
    CHECK(office.take(truck, 1, 1).added == 1);
    CHECK(office.take(truck, 2, 2).judged == 2);
    CHECK(office.laid(truck.id) == "0:1 0:2 0:3");
}

TEST_CASE("an event that comes late in time is judged with the next weight of its cylinder, and no further") {
    Chain truck(0x50), other(0x60);
    for (int i = 1; i <= 9; ++i) truck.say(weighed(0, "RC-1", fmt::format("{}lb", 20 + i)).what, 10 * i);
    other.say(weighed(0, "RC-1", "40lb").what, 45);
    other.say(weighed(0, "RC-2", "40lb").what, 46);
    Office office({&truck, &other});
    CHECK(office.take(truck, 1, 9).judged == 9);
    // RC-1 at 45 and 50, which is a level; RC-2; and at 60, 70 and 80 the weights that lie within 36 hours of it, as
    // they now meet what another book recorded
    const auto came = office.take(other, 1, 2);
    CHECK(came.added == 2);
    CHECK(came.judged >= 3);
    CHECK(came.judged <= 6);
    Office reversed({&truck, &other});
    reversed.take(other, 1, 2);
    reversed.take(truck, 1, 9);
    CHECK(office.steps() == reversed.steps());
}

TEST_CASE("three books amount to the same in eight orders of their pieces, one of which leaves a gap") {
    std::array<Chain, 3> books{Chain(0x80), Chain(0x50), Chain(0x07)};
    for (std::size_t i = 0; i < 4; ++i)  // all three weigh the same cylinder in the same hours
        for (std::size_t b = 0; b < books.size(); ++b)
            books[b].say(weighed(0, "RC-1", fmt::format("{}lb", 20 + (7 * i + 3 * b) % 11)).what,
                         10 + static_cast<int>(i));
    struct Piece {
        std::size_t book = 0;
        int from = 0, to = 0;
    };
    std::vector<Piece> pieces{{0, 1, 4}, {1, 1, 2}, {1, 3, 4}, {2, 1, 4}};
    std::string first;
    std::vector<std::size_t> order{0, 1, 2, 3};
    for (int turn = 0; turn < 8; ++turn) {
        Office office({&books[0], &books[1], &books[2]});
        for (const auto i : order) office.take(books[pieces[i].book], pieces[i].from, pieces[i].to);
        if (first.empty()) first = office.steps();
        CHECK(office.steps() == first);
        std::rotate(order.begin(), order.begin() + 1, order.end());
        if (turn == 3) std::reverse(order.begin(), order.end());
    }
    CHECK(std::count(first.begin(), first.end(), '\n') == 12);
}

TEST_CASE("what contradicts the events around it is a branch, from the event that both follow") {
    auto truck = with_events(0x50, 4);
    auto copy = truck.copied_after(2);
    copy.weigh_up_to(4, 30);
    Office office({&truck});
    office.take(truck, 1, 4);
    CHECK(office.take(copy, 1, 4).added == 2);
    CHECK(office.laid(truck.id) == "0:1 0:2 0:3 0:4 1:3 1:4");
    const auto& branch = office.impl.origins.at(origin_id(truck.id, 1));
    CHECK(branch.parent == origin_id(truck.id));
    CHECK(branch.parent_seq == 2);
    // the branches whose events came first have no higher rank for it
    Office other({&truck});
    other.take(copy, 1, 4);
    other.take(truck, 3, 4);
    CHECK(other.steps() == office.steps());
}

TEST_CASE("an event whose predecessor is missing is put into the gap unless its neighbours contradict it") {
    auto truck = with_events(0x50, 6);
    auto copy = truck.copied_after(1);
    copy.weigh_up_to(6, 30);
    Office office({&truck});
    SUBCASE("another event stands before it") {
        office.take(truck, 1, 2);
        office.take(copy, 3, 3);
        CHECK(office.laid(truck.id) == "0:1 0:2 1:3");
    }
    SUBCASE("what stands behind it names another one") {
        office.take(truck, 1, 1);
        office.take(truck, 4, 4);
        office.take(copy, 3, 3);
        CHECK(branch_count(office.impl, truck.id) == 2);
        office.take(truck, 3, 3);
        CHECK(branch_count(office.impl, truck.id) == 2);
    }
    SUBCASE("nothing does") {
        office.take(truck, 1, 1);
        office.take(truck, 6, 6);
        office.take(truck, 4, 4);
        CHECK(office.laid(truck.id) == "0:1 0:4 0:6");
    }
    CHECK(office.impl.origins.at(origin_id(truck.id)).parent == 0);
    office.take(copy, 2, 2);
    office.take(truck, 2, 6);
    CHECK(branch_count(office.impl, truck.id) == 2);
    CHECK(office.impl.origins.at(origin_id(truck.id, 1)).parent_seq == 1);
}

TEST_CASE("the own chain grows by recording alone: what its copy recorded is a branch beside it") {
    Office office({});
    auto copy = office.own;
    copy.weigh_up_to(3);
    CHECK(office.take(copy, 2, 3).added == 2);
    CHECK(office.laid(copy.id) == "0:1 1:2 1:3");
    CHECK(office.impl.own_origin == origin_id(copy.id));
    office.say(weighed(0, "RC-1", "25lb").what);
    CHECK(office.laid(copy.id) == "0:1 0:2 1:2 1:3");
}

TEST_CASE("what no trusted key covers takes no place; trust takes it in as a merge would have") {
    const auto truck = with_events(0x50, 4), stranger = with_events(0x51, 2);
    Office office({&stranger});
    auto forged = truck;
    forged.key = stranger.key;  // a trusted key, but not for this book
    CHECK(office.take(truck, 1, 3).added == 0);
    CHECK(office.take(forged, 1, 2).added == 0);
    CHECK(office.laid(truck.id).empty());
    CHECK_FALSE(office.impl.origins.contains(origin_id(truck.id)));
    CHECK(waiting(office.impl, truck.id).size() == 2);
    office.say(truck.card());
    const CountingJudge judge;
    office.impl.db.begin_recording();
    {
        TakeIn take(office.impl, at_hour(901).at);
        take.admit(truck.id);
        take.evaluate(judge);
        CHECK(take.added() == 3);
    }
    office.impl.db.commit();
    CHECK(judge.asked == 3);
    CHECK(office.laid(truck.id) == "0:1 0:2 0:3");
    REQUIRE(waiting(office.impl, truck.id).size() == 1);  // what the stranger signed
    CHECK(waiting(office.impl, truck.id).front().key == stranger.key);
    CHECK(office.take(forged, 4, 4).added == 0);  // nor does it come in once the book is trusted, under its own key
    Office merged({&truck});
    merged.take(truck, 1, 3);
    CHECK(office.steps() == merged.steps());
}

TEST_CASE("of a withdrawn book those events come in that lead to the one that is named") {
    const auto truck = with_events(0x50, 5);
    Office office({&truck});
    office.take(truck, 1, 3);
    kinds::Withdraw k;
    k.book = hex(truck.id);
    k.why = "the device is lost";
    k.last = head_text({4, truck.digest(4)});
    office.say(k);
    CHECK(office.take(truck, 4, 5).added == 1);
    CHECK(office.laid(truck.id) == "0:1 0:2 0:3 0:4");
    REQUIRE(waiting(office.impl, truck.id).size() == 1);
    CHECK(waiting(office.impl, truck.id).front().first == 5);
}

TEST_CASE("one own id for two events of a book is refused, in two books it is not") {
    Chain truck(0x50), other(0x60);
    for (auto* chain : {&truck, &other})
        for (int i = 0; i < 2; ++i) {
            auto& link = chain->links.emplace_back();
            link.event = weighed(i + 1, "RC-1", "20lb");
            link.event.book = chain->id;
            link.event.seq = i + 1;
            link.event.own_id = "line-1";
            if (i == 1) link.event.previous = chain->digest(1);
            link.body = canonical_body(link.event);
            link.digest = digest_of(link.body);
        }
    Office office({&truck, &other});
    CHECK(office.take(truck, 1, 1).added == 1);
    CHECK(office.take(other, 1, 1).added == 1);
    CHECK(office.take(truck, 2, 2).refused == "own-id-twice");
    CHECK(office.laid(truck.id) == "0:1");
}

TEST_CASE("a book whose id begins as that of another one is refused while the other has the place") {
    auto like = BookId{0x50};
    like.back() = 9;
    const auto truck = with_events(0x50, 1);
    Chain other(like, 0x77);
    other.weigh_up_to(1);
    Office office({&truck, &other});
    CHECK(office.take(truck, 1, 1).added == 1);
    CHECK(office.take(other, 1, 1).refused == "books-look-alike");
}

TEST_CASE("of one book no more than 64 branches come in") {
    const auto truck = with_events(0x50, 1);
    Office office({&truck});
    office.take(truck, 1, 1);
    // each names another event before it, none of which is here
    std::vector<Chain> copies;
    for (int i = 0; i < 64; ++i) {
        copies.push_back(Chain(0x50));
        copies.back().weigh_up_to(2, 30 + i);
    }
    office.impl.db.begin_recording();
    TakeIn take(office.impl, at_hour(900).at);
    std::string refused;
    int came = 1;
    for (const auto& copy : copies) {
        REQUIRE(take.segment(copy.id, copy.key));
        const auto good = take.event(copy.links[0].event, copy.links[0].body, copy.links[0].digest);
        if (good)
            ++came;
        else
            refused = good.error().name;
    }
    CHECK(came == 64);
    CHECK(refused == "too-many-branches");
    office.impl.db.roll_back();
}

}  // namespace placement_test
