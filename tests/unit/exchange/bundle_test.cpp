// A bundle is what was sent, byte for byte, or it is refused.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <set>
#include <sstream>

#include "book/transaction.hpp"
#include "support/book_room.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/event/canonical_json.hpp"
#include "tarebook/exchange/bundle.hpp"

using namespace tarebook;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

namespace {

Moment moment(int minute) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 6 / 1) + std::chrono::minutes(minute);
    m.zone = "UTC";
    return m;
}

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return std::move(out).str();
}

// A book with this many events, one of a kind and of words that JSON has to escape among them.
Book book_with(const fs::path& file, int events) {
    auto book = Book::create(file, "Quern \"Cold\" \u00c5", DisplayUnits::lb, "America/Chicago", moment(0));
    const Judge judge({}, Notes::left_out);
    std::vector<Event> drafts;
    for (int i = 1; i < events; ++i) {
        Event e;
        e.when = moment(i);
        e.recorded = e.when.at;
        e.by = i % 3 == 0 ? "Zo\u00eb\t\\" : "ana";
        if (i == 1)
            e.what = kinds::Entry{
                EntryKind::cylinder, "RC-01", true, {{"tare", {"26lb", parse_weight("26lb", ScaleReads::lb)->mass}}}};
        else
            e.what = kinds::Weigh{"RC-01",
                                  *parse_weight(fmt::format("{}.{:02}lb", 26 + i % 7, i % 100), ScaleReads::lb), false};
        drafts.push_back(std::move(e));
    }
    auto transaction = Book::Transaction::begin(book);
    const auto outcomes = transaction.judge(drafts, judge);
    transaction.commit(drafts, outcomes, judge);
    return book;
}

std::string bundle_of(const Book& book, const fs::path& to, bool with_register = false) {
    SendOptions options;
    options.with_register = with_register;
    const auto sent = send_bundle(book, to, options, moment(999).at);
    REQUIRE(sent);
    return bytes_of(to);
}

}  // namespace

// By hand, every byte with each of its bits turned, and with another value besides: TAREBOOK_FLIPS=all.
TEST_CASE("each single byte that changes in a bundle of 200 events makes it refused") {
    const BookRoom room;
    const auto book = book_with(room.book("book"), 200);
    const auto whole = bundle_of(book, room.path / "bundle", true);
    REQUIRE(verify_bundle(whole, book.info().shop));
    const char* all = std::getenv("TAREBOOK_FLIPS");
    const bool every = all && std::string_view(all) == "all";
    std::mt19937 dice(std::random_device{}());
    std::set<std::string> names;
    std::size_t tried = 0;
    for (std::size_t at = every ? 0 : dice() % 331; at < whole.size(); at += every ? 1 : 331) {
        std::set<unsigned> turns{1U + static_cast<unsigned>(dice() % 255U)};
        for (unsigned bit = 0; every && bit < 8; ++bit) turns.insert(1U << bit);
        for (const auto turn : turns) {
            auto changed = whole;
            changed[at] = static_cast<char>(static_cast<unsigned char>(whole[at]) ^ turn);
            const auto result = verify_bundle(changed, book.info().shop);
            ++tried;
            if (result) FAIL(fmt::format("byte {}: '{}' for '{}' is taken", at, changed[at], whole[at]));
            names.insert(result.error().name);
        }
    }
    MESSAGE(tried << " changes of a bundle of " << whole.size() << " bytes, all refused");
    CHECK(names.contains("bundle-not-canonical"));
}

TEST_CASE("each single bit that changes in a short bundle makes it refused: capitals in hex, too") {
    const BookRoom room;
    const auto book = book_with(room.book("book"), 2);
    const auto whole = bundle_of(book, room.path / "bundle");
    const bool every = std::getenv("TAREBOOK_FLIPS") != nullptr;
    std::mt19937 dice(std::random_device{}());
    for (std::size_t at = 0; at < whole.size(); ++at)
        for (unsigned bit = every ? 0 : dice() % 2; bit < 8; bit += every ? 1 : 2) {
            auto changed = whole;
            changed[at] = static_cast<char>(static_cast<unsigned char>(whole[at]) ^ (1U << bit));
            CHECK_MESSAGE(!verify_bundle(changed, book.info().shop), at);
        }
    for (std::size_t at = 0; at < whole.size(); ++at) {
        if (whole[at] < 'a' || whole[at] > 'f') continue;
        auto changed = whole;
        changed[at] = static_cast<char>(whole[at] - 'a' + 'A');
        CHECK_MESSAGE(!verify_bundle(changed, book.info().shop), at);
    }
}

TEST_CASE("a bundle that lacks its end, a line, or has one twice is refused") {
    const BookRoom room;
    const auto book = book_with(room.book("book"), 20);
    const auto whole = bundle_of(book, room.path / "bundle");
    const auto& shop = book.info().shop;
    std::vector<std::string> lines;
    std::istringstream in(whole);
    for (std::string line; std::getline(in, line);) lines.push_back(line + "\n");
    const auto joined = [](const std::vector<std::string>& all) {
        std::string out;
        for (const auto& line : all) out += line;
        return out;
    };
    for (std::size_t i = 0; i < lines.size(); ++i) {
        auto without = lines;
        without.erase(without.begin() + static_cast<std::ptrdiff_t>(i));
        CHECK_MESSAGE(!verify_bundle(joined(without), shop), "without line " << i + 1);
        auto twice = lines;
        twice.insert(twice.begin() + static_cast<std::ptrdiff_t>(i), lines[i]);
        CHECK_MESSAGE(!verify_bundle(joined(twice), shop), "line " << i + 1 << " twice");
        if (i + 1 < lines.size()) {
            auto swapped = lines;
            std::swap(swapped[i], swapped[i + 1]);
            CHECK_MESSAGE(!verify_bundle(joined(swapped), shop), "line " << i + 1 << " after the next");
        }
    }
    for (std::size_t n = 0; n < whole.size(); n += 13) CHECK(!verify_bundle(whole.substr(0, n), shop));
    CHECK(verify_bundle(whole, shop));
    CHECK(verify_bundle(whole, BookId{}).error().name == "bundle-other-shop");
}

TEST_CASE("a sealed bundle opens with the key it was sealed to, and no part of it can be changed") {
    const BookRoom room;
    auto office = book_with(room.book("office"), 2);
    auto truck = Book::create(room.book("truck"), "Quern", DisplayUnits::lb, "UTC", moment(1), office.info().shop);
    SendOptions options;
    options.seal_to = office.info().public_key;
    REQUIRE(send_bundle(truck, room.path / "sealed", options, moment(2).at));
    const auto bytes = bytes_of(room.path / "sealed");
    CHECK(bytes.find(hex(truck.info().id)) == std::string::npos);
    CHECK(merge_bundles(truck, {room.path / "sealed"}, moment(3)).error().error.name == "bundle-sealed");
    for (std::size_t at = 25; at < bytes.size(); at += 61) {
        auto changed = bytes;
        changed[at] = static_cast<char>(changed[at] ^ 1);
        std::ofstream(room.path / "changed", std::ios::binary | std::ios::trunc) << changed;
        CHECK(merge_bundles(office, {room.path / "changed"}, moment(3)).error().error.name == "bundle-sealed");
    }
    const auto merged = merge_bundles(office, {room.path / "sealed"}, moment(3));
    REQUIRE(merged);
    CHECK(merged->quarantined == 1);  // the office does not trust the truck
}

TEST_CASE("the canonical form of a line has one spelling, and a bottom") {
    for (const char* good :
         {"{}", "[]", "0", "-1", "9007199254740991", "\"\u00e9\"", R"({"a":{"b":[1,true,null]},"c":"\n\u001f"})"})
        CHECK_MESSAGE(!not_canonical(good), good);
    for (const char* bad : {"",
                            " {}",
                            "{} ",
                            "{\"a\":1,\"a\":2}",
                            "{\"b\":1,\"a\":2}",
                            "{\"a\": 1}",
                            "01",
                            "-0",
                            "1.0",
                            "1e3",
                            "9007199254740992",
                            R"("\u000a")",
                            R"("\/")",
                            R"("\u00e9")",
                            "\"\xff\"",
                            "\"a",
                            "{\"a\"}",
                            "[1,]",
                            "tru",
                            "nul",
                            "+1",
                            "\"\t\""})
        CHECK_MESSAGE(not_canonical(bad), bad);
    CHECK_FALSE(not_canonical(std::string(16, '[') + std::string(16, ']')));
    CHECK(not_canonical(std::string(17, '[') + std::string(17, ']')));
    CHECK(not_canonical(std::string(100'000, '[')));
}
