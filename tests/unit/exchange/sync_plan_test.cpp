// What goes into a shared folder and what may leave it, from what stands there and what the others have signed.
#include <doctest/doctest.h>

#include <algorithm>

#include "exchange/sync_plan.hpp"

namespace sync_plan_test {
using namespace tarebook;

BookId id_of(unsigned char n) {
    BookId out{};
    out[0] = n;
    return out;
}
Digest digest_of_event(unsigned char book, std::int64_t seq) {
    Digest out{};
    out[0] = book;
    out[1] = static_cast<unsigned char>(seq);
    return out;
}
constexpr unsigned char office = 1, truck = 2, other = 3;
const Instant day_one = std::chrono::sys_days(std::chrono::year(2026) / 6 / 1);

// The office's book at its event 10, with a truck and another one that it trusts.
struct Here {
    SyncFacts facts;
    std::vector<DeviceNotice> notices = std::vector<DeviceNotice>(2);
    std::vector<FolderParcel> parcels;
    std::vector<std::string> damaged;

    Here() {
        facts.id = id_of(office);
        facts.public_key = "office";
        facts.head = {10, digest_of_event(office, 10)};
        facts.news = 9;
        facts.has = [](const BookId& book, const Head& head) {
            return head.seq <= 10 && head.digest == digest_of_event(book[0], head.seq);
        };
        facts.holds = [this](const BookId& book, std::int64_t, const Head& end) { return facts.has(book, end); };
        for (std::size_t i = 0; i < 2; ++i) notices[i].at = day_one;
    }
    // A register of the book as it was at that event.
    FolderParcel& entries(std::int64_t last, const Digest& digest) {
        auto& p = parcel(1, last);
        p.header.first = 0;
        p.header.digest = digest;
        return p;
    }
    [[nodiscard]] std::vector<SyncDevice> devices() const {
        return {{id_of(truck), "truck", "truck", notices.data()}, {id_of(other), "other", "other", &notices[1]}};
    }
    DeviceNotice& of_truck() { return notices[0]; }
    DeviceNotice& of_other() { return notices[1]; }
    static void acknowledge(DeviceNotice& notice, unsigned char book, std::int64_t seq) {
        notice.have.push_back({id_of(book), {seq, digest_of_event(book, seq)}});
    }
    FolderParcel& parcel(std::int64_t first, std::int64_t last, bool gathers = false, unsigned char sender = office) {
        FolderParcel p;
        p.header.book = p.header.sender = id_of(sender);
        p.header.first = first;
        p.header.last = last;
        p.header.digest = digest_of_event(sender, last);
        p.header.gathers = gathers;
        p.header.made = day_one;
        p.name = std::to_string(parcels.size());
        p.digest[0] = static_cast<unsigned char>(parcels.size() + 1);
        p.size = 100;
        p.keys = {"office", "truck", "other"};
        parcels.push_back(p);
        return parcels.back();
    }
    [[nodiscard]] bool is_whole(const FolderParcel& p) const {
        return std::find(damaged.begin(), damaged.end(), p.name) == damaged.end();
    }
    [[nodiscard]] std::vector<PlannedParcel> writes() const {
        return parcels_to_write(facts, devices(), parcels, [&](const FolderParcel& p) { return is_whole(p); });
    }
    [[nodiscard]] std::vector<std::size_t> removes() const {
        return parcels_to_remove(facts, devices(), parcels, [&](const FolderParcel& p) { return is_whole(p); });
    }
    // From which event on own ones are to be written; 0: none.
    [[nodiscard]] std::int64_t writes_from() const {
        const auto all = writes();
        return all.empty() ? 0 : all.front().first;
    }
};

TEST_CASE("sync: an empty folder gets all of it, one with all of it nothing") {
    Here here;
    CHECK(here.writes_from() == 1);
    here.parcel(1, 10);
    CHECK(here.writes_from() == 0);
}

TEST_CASE("sync: only what is behind the last news is written; that something came is no news") {
    Here here;
    here.parcel(1, 9);
    CHECK(here.writes_from() == 0);
    here.facts.news = 10;
    CHECK(here.writes_from() == 10);
    CHECK_FALSE(here.writes().front().gathers);
}

TEST_CASE("sync: what is acknowledged needs no file, and a device without a word needs all") {
    Here here;
    Here::acknowledge(here.of_truck(), office, 10);
    CHECK(here.writes_from() == 1);
    Here::acknowledge(here.of_other(), office, 6);
    CHECK(here.writes_from() == 7);
    here.of_truck().have.clear();  // its book is of last week, and says so
    Here::acknowledge(here.of_truck(), office, 3);
    CHECK(here.writes_from() == 4);
}

TEST_CASE("sync: an acknowledgement of other events than ours counts for nothing") {
    Here here;
    for (auto& notice : here.notices) notice.have.push_back({id_of(office), {10, digest_of_event(truck, 10)}});
    CHECK(here.writes_from() == 1);
}

TEST_CASE("sync: a gap, a damaged parcel, and one that a device cannot open are written again from there") {
    Here here;
    here.parcel(1, 4);
    here.parcel(6, 10);
    CHECK(here.writes_from() == 5);
    here.parcel(5, 5);
    CHECK(here.writes_from() == 0);
    here.damaged = {"1"};
    CHECK(here.writes_from() == 6);
    here.damaged = {};
    here.parcels[0].keys = {"office", "truck"};
    CHECK(here.writes_from() == 1);
    CHECK(here.writes().front().gathers);
    here.parcels[0].header.sealed = false;
    CHECK(here.writes_from() == 0);
}

TEST_CASE("sync: a parcel whose last event is on another branch of the own book covers nothing") {
    Here here;
    here.parcel(1, 10).header.digest = digest_of_event(other, 10);
    CHECK(here.writes_from() == 1);
}

TEST_CASE("sync: a third one's word does not hold back what is needed") {
    Here here;
    auto& p = here.parcel(1, 10);
    p.header.sender = id_of(truck);
    CHECK(here.writes_from() == 1);
}

TEST_CASE("sync: what a device does not see for days is written once more, and not for ever") {
    Here here;
    here.parcel(1, 10);
    Here::acknowledge(here.of_truck(), office, 10);
    Here::acknowledge(here.of_other(), office, 3);
    here.of_other().at = day_one + longest_on_its_way;
    CHECK(here.writes_from() == 0);
    here.of_other().at += std::chrono::seconds(1);
    CHECK(here.writes_from() == 4);
    here.parcel(4, 10);
    CHECK(here.writes_from() == 4);
    here.parcel(4, 10);
    CHECK(here.writes_from() == 0);
}

TEST_CASE("sync: many parcels become one, from where they are about as small as each other") {
    Here here;
    here.facts.news = 10;
    here.parcel(1, 9);
    for (std::int64_t i = 1; i <= 9; ++i) here.parcel(i, i), here.parcel(i, 9);
    CHECK(here.parcels.size() > most_parcels);
    CHECK(here.writes_from() == 10);  // all of them are inside of one
    here.parcels.clear();
    here.facts.news = 200;
    here.facts.head = {200, digest_of_event(office, 200)};
    here.facts.has = [](const BookId& book, const Head& head) {
        return head.digest == digest_of_event(book[0], head.seq);
    };
    here.parcel(1, 100).size = 100'000;
    for (std::size_t i = 1; i < most_parcels; ++i)
        here.parcel(100 + static_cast<std::int64_t>(i), 100 + static_cast<std::int64_t>(i));
    const auto all = here.writes();
    REQUIRE(all.size() == 1);
    CHECK(all.front().first == 101);  // the large one stays
    CHECK(all.front().gathers);
}

TEST_CASE("sync: older parcels go when each device has read the one that stands for them, and has said so") {
    Here here;
    here.parcel(1, 4);
    here.parcel(5, 9);
    const auto gathered = here.parcel(1, 10, true).digest;
    CHECK(here.removes().empty());
    Here::acknowledge(here.of_truck(), office, 10);
    Here::acknowledge(here.of_other(), office, 10);
    here.of_truck().gathered = {gathered};
    CHECK(here.removes().empty());
    here.of_other().gathered = {gathered};
    CHECK(here.removes() == std::vector<std::size_t>{0, 1});
    here.of_other().have.clear();  // it has read it, and lacks it now
    CHECK(here.removes().empty());
    Here::acknowledge(here.of_other(), office, 10);
    here.damaged = {"2"};
    CHECK(here.removes().empty());
    here.damaged = {};
    here.parcels[2].header.gathers = false;
    CHECK(here.removes().empty());
}

TEST_CASE("sync: of two parcels with the same events one stays") {
    Here here;
    const auto one = here.parcel(1, 10, true).digest;
    const auto two = here.parcel(1, 10, true).digest;
    for (auto& notice : here.notices) {
        Here::acknowledge(notice, office, 10);
        notice.gathered = {one, two};
    }
    CHECK(here.removes().size() == 1);
}

TEST_CASE("sync: files of others are never removed") {
    Here here;
    here.parcel(1, 4, false, truck);
    here.parcel(1, 10, true, truck);
    for (auto& notice : here.notices) {
        Here::acknowledge(notice, office, 10);
        Here::acknowledge(notice, truck, 10);
        notice.gathered = {here.parcels[1].digest};
    }
    CHECK(here.removes().empty());
}

TEST_CASE("sync: what a third book recorded is passed on to a device that wants it, and to no other one") {
    Here here;
    here.parcel(1, 10);
    here.facts.held = {{id_of(truck), {5, digest_of_event(truck, 5)}}};
    CHECK(here.writes().empty());
    Here::acknowledge(here.of_other(), truck, 2);
    auto all = here.writes();
    REQUIRE(all.size() == 1);
    CHECK(all.front().book == id_of(truck));
    CHECK(all.front().to == std::vector<BookId>{id_of(other)});
    here.parcel(1, 5, false, truck);
    CHECK(here.writes().empty());
    here.parcels.pop_back();
    auto& passed = here.parcel(1, 5, false, truck);
    passed.header.sender = id_of(office);
    CHECK(here.writes().empty());
    CHECK(here.removes().empty());
    here.of_other().have.clear();
    Here::acknowledge(here.of_other(), truck, 5);
    CHECK(here.removes() == std::vector<std::size_t>{1});
}

TEST_CASE("sync: the register goes to whom it tells anything, until that one has it") {
    Here here;
    here.parcel(1, 10);
    here.facts.entries = digest_of_event(9, 1);
    here.facts.books_of_entries = {id_of(office)};
    CHECK(here.writes().empty());  // its own events say it
    here.facts.books_of_entries.insert(id_of(truck));
    auto all = here.writes();
    REQUIRE(all.size() == 1);
    CHECK(all.front().first == 0);
    CHECK(all.front().to == std::vector<BookId>{id_of(other)});
    here.entries(8, *here.facts.entries);
    CHECK(here.writes().empty());
    here.facts.entries = digest_of_event(9, 2);  // a later one
    CHECK(here.writes().size() == 1);
    here.entries(10, *here.facts.entries);
    CHECK(here.writes().empty());
    CHECK(here.removes().empty());
    here.of_other().registers = {{id_of(office), *here.facts.entries}};
    CHECK(here.removes() == std::vector<std::size_t>{1});
}

TEST_CASE("sync: a register that changes each day does not fill the folder while a device is behind") {
    Here here;
    here.parcel(1, 10);
    here.facts.books_of_entries = {id_of(truck), id_of(other)};
    for (unsigned char day = 1; day <= 3; ++day) here.entries(day, digest_of_event(9, day));
    here.facts.entries = digest_of_event(9, 3);
    here.of_truck().registers = {{id_of(office), digest_of_event(9, 2)}};
    CHECK(here.removes().empty());  // the other one has none of them
    here.of_other().registers = {{id_of(office), digest_of_event(9, 1)}};
    CHECK(here.removes() == std::vector<std::size_t>{1});
    here.of_other().registers = {{id_of(office), digest_of_event(9, 2)}};
    CHECK(here.removes() == std::vector<std::size_t>{1, 2});
    here.of_truck().registers = {{id_of(office), digest_of_event(9, 3)}};
    here.of_other().registers = {{id_of(office), digest_of_event(9, 3)}};
    CHECK(here.removes() == std::vector<std::size_t>{1, 2});
    // away, and each later one is whole by itself
    here.of_other().registers.clear();
    CHECK(here.removes().empty());
    here.entries(4, digest_of_event(9, 4));
    here.facts.entries = digest_of_event(9, 4);
    CHECK(here.removes() == std::vector<std::size_t>{1});
    here.damaged = {"2"};
    CHECK(here.removes().empty());
    here.damaged.clear();
    here.parcels[2].keys = {"office", "truck"};
    CHECK(here.removes().empty());
}

TEST_CASE("sync: what a device left that is gone is removed once each that wants it has it") {
    Here here;
    constexpr unsigned char gone = 4;
    here.parcel(1, 10);
    here.parcel(1, 4, false, gone);
    here.parcel(5, 6, false, gone);
    CHECK(here.removes().empty());
    here.facts.gone = {{id_of(gone), Head{6, digest_of_event(gone, 6)}, true}};
    CHECK(here.removes() == std::vector<std::size_t>{1, 2});  // no other device takes it in
    Here::acknowledge(here.of_truck(), gone, 4);
    CHECK(here.removes() == std::vector<std::size_t>{1});
    here.of_truck().have.clear();
    Here::acknowledge(here.of_truck(), gone, 6);
    CHECK(here.removes() == std::vector<std::size_t>{1, 2});
    here.damaged = {"1"};
    CHECK(here.removes() == std::vector<std::size_t>{2});
    here.damaged.clear();
    // this book lacks events of it: a person looks at it
    here.parcel(7, 11, false, gone);
    CHECK(here.removes() == std::vector<std::size_t>{1, 2});
    // events behind the last one that counts are waited for by none
    here.parcel(7, 8, false, gone);
    CHECK(here.removes() == std::vector<std::size_t>{1, 2, 4});
    // another book goes on from its copy: all of its events count
    here.facts.gone.front() = {id_of(gone), std::nullopt, false};
    CHECK(here.removes() == std::vector<std::size_t>{1, 2});
    Here::acknowledge(here.of_truck(), gone, 8);
    CHECK(here.removes() == std::vector<std::size_t>{1, 2, 4});
    // of a device that is not gone nothing is removed
    here.facts.gone.clear();
    CHECK(here.removes().empty());
}

}  // namespace sync_plan_test
