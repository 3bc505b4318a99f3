// A bit that another one takes its place, anywhere in a book with an event of every kind: `check` says that the book is
// not in order, or the bit carries nothing, and every row reads as before. Never a signal, nor an error that the
// library does not define.
//
// Drawn are a bit of each byte of the header, one of every other byte of the pages that say whose book it is (secret,
// origin, book), and 1 000 of the whole file; under TAREBOOK_PROPERTY_PART=40 a fortieth of these, and of the header a
// fourth. TAREBOOK_FLIPS=all takes every bit, in order; TAREBOOK_FLIPS=20000 draws so many. TAREBOOK_SEED repeats a
// draw.
#include <SQLiteCpp/SQLiteCpp.h>
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cstdlib>
#include <iostream>
#include <map>
#include <random>

#include "small_book.hpp"
#include "support/book_room.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/checks/checks.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace {

constexpr std::size_t page_size = 512;

std::size_t number_from(const char* name, std::size_t otherwise) {
    const char* said = std::getenv(name);
    return said ? std::strtoull(said, nullptr, 10) : otherwise;
}

// Tables of a page each: whose book it is.
std::vector<std::size_t> pages_that_identify(const std::filesystem::path& file) {
    const SQLite::Database db(file.string(), SQLite::OPEN_READONLY);
    SQLite::Statement s(db, "SELECT rootpage FROM sqlite_schema WHERE name IN ('secret', 'origin', 'book')");
    std::vector<std::size_t> out;
    while (s.executeStep()) out.push_back(static_cast<std::size_t>(s.getColumn(0).getInt()));
    return out;
}

std::vector<std::size_t> bits_to_flip(const std::filesystem::path& file, std::size_t all, std::size_t seed) {
    const char* said = std::getenv("TAREBOOK_FLIPS");
    std::vector<std::size_t> out;
    if (said && std::string_view(said) == "all") {
        for (std::size_t bit = number_from("TAREBOOK_FLIPS_FROM", 0); bit < all; ++bit) out.push_back(bit);
        return out;
    }
    constexpr std::size_t few = 1000;
    const auto part = number_from("TAREBOOK_PROPERTY_PART", 1);
    std::mt19937_64 dice(seed);
    // the file's own header decides how all the rest is read
    const std::size_t step_in_header = part > 1 ? 4 : 1, step = std::max<std::size_t>(part, 2);
    for (std::size_t byte = dice() % step_in_header; byte < 100; byte += step_in_header)
        out.push_back(byte * 8 + dice() % 8);
    for (const auto page : pages_that_identify(file))
        for (std::size_t byte = dice() % step; byte < page_size; byte += step)
            out.push_back(((page - 1) * page_size + byte) * 8 + dice() % 8);
    for (auto n = number_from("TAREBOOK_FLIPS", few) / part; n > 0; --n) out.push_back(dice() % all);
    return out;
}

void add_value(std::string& out, const SQLite::Column& value) {
    const auto bytes = value.getString();
    out += fmt::format("{}:{}:", value.getType(), bytes.size());
    out += bytes;
    out += ' ';
}

// Of a schema's SQL, what is no comment and no white space.
std::string without_comments(std::string_view sql) {
    std::string out;
    for (std::size_t i = 0; i < sql.size(); ++i)
        if (sql.substr(i, 2) == "--")
            i = std::min(sql.find('\n', i), sql.size());
        else if (std::string_view(" \t\r\n").find(sql[i]) == std::string_view::npos)
            out += sql[i];
    return out;
}

// All that any program can read of it.
std::map<std::string, std::string> dump(const std::filesystem::path& file) {
    std::map<std::string, std::string> out;
    try {
        SQLite::Database db(file.string(), SQLite::OPEN_READONLY);
        std::vector<std::string> queries{"SELECT type, name, tbl_name, sql FROM sqlite_schema", "PRAGMA application_id",
                                         "PRAGMA user_version"};
        SQLite::Statement tables(db,
                                 "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'");
        while (tables.executeStep()) {
            const auto table = tables.getColumn(0).getString();
            // when a run came says only when it goes again, and no second place says it
            const bool waits = table == "quarantine";
            queries.push_back((waits ? "SELECT id, book, key, first, last, digest, signature, bytes, lines FROM "
                                     : "SELECT * FROM ") +
                              table);
        }
        for (const auto& query : queries) {
            auto& said = out[query];
            SQLite::Statement s(db, query);
            const bool schema = query.find("sqlite_schema") != std::string::npos;
            while (s.executeStep()) {
                for (int n = 0; n < s.getColumnCount(); ++n)
                    schema ? void(said += without_comments(s.getColumn(n).getString()) +
                                          fmt::format(" {} ", s.getColumn(n).getType()))
                           : add_value(said, s.getColumn(n));
                said += '\n';
            }
        }
    } catch (const SQLite::Exception& e) {
        out["error"] = e.what();
    }
    return out;
}
std::string printed(std::string_view bytes) {
    std::string out;
    for (const char c : bytes)
        out += c >= ' ' && c <= '~' ? std::string(1, c) : fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
    return out;
}
std::string what_differs(const std::map<std::string, std::string>& whole,
                         const std::map<std::string, std::string>& now) {
    std::string out;
    for (const auto& [query, rows] : now) {
        const auto it = whole.find(query);
        if (it != whole.end() && it->second == rows) continue;
        out += (out.empty() ? "" : ", ") + query;
        if (it == whole.end()) continue;
        const auto at = static_cast<std::size_t>(
            std::mismatch(rows.begin(), rows.end(), it->second.begin(), it->second.end()).first - rows.begin());
        const auto from = at < 60 ? 0 : at - 60;
        out += fmt::format(" (near \"{}\")", printed(rows.substr(from, 90)));
    }
    return out;
}

enum class Told { said, nothing, wrongly };

// The remarks are those of the whole book: another one tells of the bit.
Told told_by_check(const std::filesystem::path& file, const std::vector<std::string>& remarks, std::string& words) {
    try {
        const auto book = Book::open(file, Access::read);
        const auto told = book.check(Judge({}, Notes::left_out));
        return told.problems.empty() && told.remarks == remarks ? Told::nothing : Told::said;
    } catch (const StorageError&) {
        return Told::said;
    } catch (const std::exception& e) {
        words = e.what();
        return Told::wrongly;
    }
}

}  // namespace

TEST_CASE("each flipped bit of a small book is told by check, or carries nothing" * files_alone("damaged bytes")) {
    const RoomInMemory room;
    const auto bytes = small_book(room.path);
    const auto file = room.path / "flipped";
    write_bytes(file, bytes);
    const auto sound = Book::open(file, Access::read).check(Judge({}, Notes::left_out));
    REQUIRE(sound.problems.empty());
    const auto whole = dump(file);
    const auto seed = number_from("TAREBOOK_SEED", std::random_device()());
    std::size_t said = 0, carried_nothing = 0;
    std::vector<std::string> wrong;
    const auto bits = bits_to_flip(file, bytes.size() * 8, seed);
    for (const auto bit : bits) {
        const auto page = bit / 8 / page_size + 1, byte = bit / 8 % page_size;
        INFO("page ", page, ", byte ", byte, ", bit ", bit % 8, "; bit ", bit, " of the file, TAREBOOK_SEED=", seed);
        auto flipped = bytes;
        flipped[bit / 8] = static_cast<char>(flipped[bit / 8] ^ (1 << bit % 8));
        for (const char* beside : {"-wal", "-shm", "-journal"}) std::filesystem::remove(file.string() + beside);
        write_bytes(file, flipped);
        std::string words;
        const auto told = told_by_check(file, sound.remarks, words);
        if (told == Told::said) {
            ++said;
            continue;
        }
        write_bytes(file, flipped);
        const auto differs =
            told == Told::wrongly ? "an error without a sentence: " + words : what_differs(whole, dump(file));
        if (differs.empty())
            ++carried_nothing;
        else
            wrong.push_back(fmt::format("page {}, byte {}, bit {}: {}", page, byte, bit % 8, differs));
        if (bits.size() > 100'000 && !differs.empty()) std::cerr << wrong.back() << std::endl;
    }
    // A folder that was taken away meanwhile would tell of each bit.
    write_bytes(file, bytes);
    CHECK(Book::open(file, Access::read).check(Judge({}, Notes::left_out)).problems.empty());
    for (std::size_t n = 0; n < std::min<std::size_t>(wrong.size(), 20); ++n) MESSAGE(wrong[n]);
    CHECK(wrong.empty());
    std::cout << "bits: " << bits.size() << " flipped of a book of " << bytes.size() << " bytes, " << said << " told, "
              << carried_nothing << " carried nothing; TAREBOOK_SEED=" << seed << "\n";
}
