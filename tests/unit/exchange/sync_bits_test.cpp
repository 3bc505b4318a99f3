// One bit of any file of a shared folder is another one: nothing of that file comes into a book, it stays where it is,
// and its sender writes it again.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include "support/book_room.hpp"
#include "tarebook/exchange/sync.hpp"
#include "tarebook/record/record.hpp"

namespace sync_bits_test {
using namespace tarebook;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

Moment at_day(int day) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 6 / 1) + std::chrono::days(day);
    m.zone = "UTC";
    return m;
}

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return std::move(out).str();
}

// An office, a truck that it trusts, and a third book: its entry makes the office's register news to the truck.
class SyncedShop {
 public:
    SyncedShop() {
        folder = room.path / "share";
        fs::create_directory(folder);
        std::optional<BookId> shop;
        for (const auto* book : names) {
            auto made = Book::create(room.book(book), "Fernhollow", DisplayUnits::lb, "UTC", at_day(0), shop);
            shop = made.info().shop;
            cards.push_back(card_of(made.info()));
        }
        for (const auto n : {std::size_t{1}, std::size_t{2}}) trust(0, n), trust(n, 0);
        for (const auto n : {std::size_t{1}, std::size_t{2}}) add_cylinder(n);
    }
    [[nodiscard]] Book book(std::size_t n) const { return Book::open(room.book(names[n]), Access::write); }
    void record_in(std::size_t n, What what) const {
        auto to = book(n);
        Event e;
        e.when = at_day(0);
        e.recorded = e.when.at;
        e.what = std::move(what);
        const auto done = record(to, {e}, {});
        REQUIRE_MESSAGE(done, done.error().what);
    }
    void trust(std::size_t n, std::size_t other) const {
        record_in(n, kinds::Trust{hex(cards[other].book), cards[other].public_key, names[other], {}});
    }
    void add_cylinder(std::size_t n) const {
        record_in(n, kinds::Entry{EntryKind::cylinder, fmt::format("RC-{}", n), true, {{"use", {"recovery", {}}}}});
    }
    Synced sync(std::size_t n, int day, bool plain = false) const {
        auto of = book(n);
        auto done = sync_with(of, folder, plain, at_day(day));
        REQUIRE_MESSAGE(done, done.error().what);
        return std::move(*done);
    }
    BookRoom room;
    fs::path folder;
    std::vector<BookCard> cards;
    static constexpr const char* names[] = {"office", "truck", "other"};
};

// What the reader takes of the folder while one file of it is damaged, and afterwards.
struct Kind {
    const char* what;
    fs::path file;
    std::size_t sender, reader;
};

void flip_bits(const SyncedShop& shop, const Kind& kind) {
    const auto good = bytes_of(kind.file);
    const auto reader = shop.room.book(SyncedShop::names[kind.reader]);
    const auto kept = shop.room.copy(reader, fmt::format("before {}", kind.what));
    const auto before = shop.book(kind.reader).head().seq;
    const auto all = std::getenv("TAREBOOK_FLIPS") != nullptr;
    std::mt19937 dice(23);
    const auto step = [&]() -> std::size_t { return all ? 1 : 1 + dice() % (good.size() / 12); };
    std::size_t bits = 0, named = 0;
    for (std::size_t bit = 0; bit < good.size() * 8; bit += step(), ++bits) {
        auto bad = good;
        bad[bit / 8] = static_cast<char>(static_cast<unsigned char>(bad[bit / 8]) ^ (1U << (bit % 8)));
        std::ofstream(kind.file, std::ios::binary | std::ios::trunc) << bad;
        if (shop.book(kind.reader).head().seq != before) shop.room.set_back(reader, kept);
        const auto done = shop.sync(kind.reader, 1);
        INFO(fmt::format("{}, bit {} of {}", kind.what, bit, good.size() * 8));
        CHECK(done.came.empty());
        CHECK_FALSE(done.register_came);
        CHECK_FALSE(done.not_sent);
        CHECK(bytes_of(kind.file) == bad);
        named += std::any_of(done.left.begin(), done.left.end(),
                             [&](const auto& one) { return one.name == kind.file.filename(); })
                     ? 1
                     : 0;
    }
    INFO(fmt::format("{}: {} of {}", kind.what, named, bits));
    CHECK(bits > 50);
    // A parcel that says that it is about another book is none of the reader's business, and so is one that says that
    // it was written before what is here: the sender sees that.
    CHECK(named * 10 >= bits * 9);
    shop.room.set_back(reader, kept);
}

TEST_CASE("sync: whichever bit of a file in the folder is flipped, nothing of it is taken in, and it stays") {
    for (const bool plain : {false, true}) {
        const SyncedShop shop;
        const auto files = [&](std::string_view ending) {
            std::vector<fs::path> out;
            for (const auto& file : fs::directory_iterator(shop.folder))
                if (file.path().string().ends_with(ending)) out.push_back(file.path());
            return out;
        };
        const auto parcel_of_next_sync = [&](std::size_t n) {
            const auto before = files(".tarebook-parcel");
            CHECK(shop.sync(n, 0, plain).parcels_written == 1);
            for (auto& file : files(".tarebook-parcel"))
                if (std::find(before.begin(), before.end(), file) == before.end()) return file;
            FAIL("no parcel was written");
            return fs::path();
        };
        const auto of_truck = parcel_of_next_sync(1);
        flip_bits(shop, {"a parcel", of_truck, 1, 0});
        // the sender sees that it is not whole, and writes it again
        CHECK(shop.sync(1, 1, plain).parcels_written == 1);
        CHECK(shop.sync(0, 1, plain).came.size() == 1);
        parcel_of_next_sync(2);
        const auto before = files(".tarebook-parcel");
        CHECK(shop.sync(0, 2, plain).register_sent);
        fs::path entries;
        for (const auto& file : files(".tarebook-parcel"))
            if (std::find(before.begin(), before.end(), file) == before.end() &&
                bytes_of(file).find("\"first\":0,") != std::string::npos)
                entries = file;
        REQUIRE_FALSE(entries.empty());
        const auto away = shop.room.path / "away";
        fs::rename(entries, away);
        shop.sync(1, 2, plain);  // all but the register
        fs::rename(away, entries);
        flip_bits(shop, {"a register", entries, 0, 1});
        CHECK(shop.sync(0, 2, plain).register_sent);
        CHECK(
            shop.sync(1, 2, plain).register_came);  // plain, and in the same second: it has the name of the damaged one
        flip_bits(shop, {"a notice", shop.folder / (hex(shop.cards[1].book) + ".tarebook-device"), 1, 0});
    }
}

}  // namespace sync_bits_test
