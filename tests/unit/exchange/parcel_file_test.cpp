// A parcel as a file: sealed for several, opened by each of them, and whole or refused.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sodium.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "exchange/bundle_write.hpp"
#include "exchange/parcel_file.hpp"
#include "support/book_room.hpp"

namespace parcel_file_test {
using namespace tarebook;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

Moment now() {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 6 / 1);
    m.zone = "UTC";
    return m;
}

fs::path parcel_of(const Book& book, const fs::path& folder, const std::vector<std::string>& keys, bool sealed) {
    parcel_form::Header header;
    header.book = header.sender = book.info().id;
    header.shop = book.info().shop;
    header.public_key = book.info().public_key;
    header.last = book.head().seq;
    header.digest = book.head().digest;
    header.made = now().at;
    header.sealed = sealed;
    auto writer = BundleWriter::open_parcel(folder, header, keys);
    REQUIRE(writer);
    write_bundle(book, book.chain_runs(true), true, now().at, **writer);
    REQUIRE((*writer)->close_parcel([&](std::string_view text) { return book.sign(text); }));
    for (const auto& file : fs::directory_iterator(folder))
        if (file.path().extension() == parcel_ending) return file.path();
    FAIL("no parcel has a name");
    return {};
}

std::optional<std::string> content_for(const Book& book, const fs::path& file) {
    auto lines = BundleLines::open(
        file, [&](std::string_view box) { return book.unseal(box); }, book.info().public_key);
    if (!lines) return std::nullopt;
    std::string out;
    for (;;) {
        auto line = (*lines)->next();
        if (!line) return std::nullopt;
        if (!*line) return out;
        out.append(**line).append("\n");
    }
}

bool is_whole(const fs::path& file) {
    const ReadFile open(file);
    const auto lines = parcel_lines(open.fd());
    return lines && !parcel_fault(open.fd(), *lines);
}

TEST_CASE("parcel: each device to which it is sealed opens it, and no other one") {
    const BookRoom room;
    std::vector<Book> books;
    std::optional<BookId> shop;
    for (const auto* name : {"office", "truck-1", "truck-2", "lost"}) {
        books.push_back(Book::create(room.book(name), "Fernhollow", DisplayUnits::lb, "UTC", now(), shop));
        shop = books.front().info().shop;
    }
    const auto folder = room.path / "share";
    fs::create_directory(folder);
    const auto file = parcel_of(
        books[0], folder, {books[0].info().public_key, books[1].info().public_key, books[2].info().public_key}, true);
    CHECK(is_whole(file));
    const auto content = content_for(books[0], file);
    REQUIRE(content);
    CHECK(verify_bundle(*content, *shop));
    CHECK(content_for(books[1], file) == content);
    CHECK(content_for(books[2], file) == content);
    CHECK_FALSE(content_for(books[3], file));
    std::ifstream in(file, std::ios::binary);
    std::ostringstream bytes;
    bytes << in.rdbuf();
    CHECK(bytes.str().find("Fernhollow") == std::string::npos);
}

TEST_CASE("parcel: each flipped bit and each cut is found") {
    const BookRoom room;
    auto book = Book::create(room.book("office"), "Fernhollow", DisplayUnits::lb, "UTC", now());
    const bool all = std::getenv("TAREBOOK_FLIPS") != nullptr;
    for (const bool sealed : {true, false}) {
        const auto folder = room.path / (sealed ? "sealed" : "plain");
        fs::create_directory(folder);
        const auto file = parcel_of(book, folder, {book.info().public_key}, sealed);
        REQUIRE(is_whole(file));
        std::ifstream in(file, std::ios::binary);
        std::ostringstream read;
        read << in.rdbuf();
        const auto bytes = std::move(read).str();
        const auto other = folder / "other";
        const auto try_bytes = [&](std::string_view damaged) {
            std::ofstream(other, std::ios::binary | std::ios::trunc) << damaged;
            return is_whole(other);
        };
        REQUIRE(try_bytes(bytes));
        for (std::size_t i = 0; i < bytes.size(); ++i)
            for (std::size_t bit = 0; bit < 8; ++bit) {
                if (!all && bit != i % 8) continue;
                auto damaged = bytes;
                damaged[i] = static_cast<char>(static_cast<unsigned char>(damaged[i]) ^ (1U << bit));
                if (try_bytes(damaged)) FAIL_CHECK(fmt::format("byte {} bit {}", i, bit));
            }
        for (std::size_t size = 0; size < bytes.size(); size += all ? 1 : 7)
            if (try_bytes(std::string_view(bytes).substr(0, size))) FAIL_CHECK(fmt::format("{} bytes", size));
        CHECK_FALSE(try_bytes(bytes + "\n"));
    }
}

}  // namespace parcel_file_test
