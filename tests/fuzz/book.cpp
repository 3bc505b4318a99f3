// A book's file of which some bytes are others. Whatever they are: `check`, the questions of the reports and `salvage`
// come to an end, and refuse by the errors that the library defines. An input is a list of changes of a small book,
// four bytes each: a place, and what stands there; a place from 0xf00000 on is where the file ends.
#include <sodium.h>

#include <filesystem>

#include "promise.hpp"
#include "small_book.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/book/salvage.hpp"
#include "tarebook/checks/checks.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

// Always the same keys and ids, so that an input says the same book in each process.
void same_numbers(void* const out, const std::size_t size) {
    static std::uint64_t state = 1;
    for (std::size_t i = 0; i < size; ++i) {
        state = state * 6364136223846793005U + 1442695040888963407U;
        static_cast<unsigned char*>(out)[i] = static_cast<unsigned char>(state >> 56U);
    }
}
std::uint32_t same_number() {
    std::uint32_t out = 0;
    same_numbers(&out, sizeof out);
    return out;
}

struct Small {
    Small() {
        static randombytes_implementation same{
            [] { return "the same numbers"; }, same_number, nullptr, nullptr, same_numbers, nullptr};
        randombytes_set_implementation(&same);
        bytes = test::small_book(room.path);
    }
    test::RoomInMemory room;
    std::string bytes;
};

std::string changed(std::string bytes, const std::uint8_t* data, std::size_t size) {
    constexpr std::uint32_t cut = 0xf00000;
    for (std::size_t n = 0; n + 4 <= size; n += 4) {
        const auto place = std::uint32_t{data[n]} << 16U | std::uint32_t{data[n + 1]} << 8U | data[n + 2];
        if (bytes.empty()) break;
        if (place >= cut)
            bytes.resize(bytes.size() - (place - cut) % bytes.size());
        else
            bytes[place % bytes.size()] = static_cast<char>(data[n + 3]);
    }
    return bytes;
}

template <class F>
void ends(F&& f) {
    try {
        f();
    } catch (const StorageError& e) {
        promise(e.what()[0] != '\0', "an error says what was found");
    }
}

// What the reports ask of a book, each by itself.
void asked(const Book& book) {
    const auto first = Date{std::chrono::year(2026) / 1 / 1}, last = Date{std::chrono::year(2026) / 12 / 31};
    ends([&] { book.each_event([](const StoredEvent&) {}); });
    ends([&] { book.each_booked([](const BookedEvent&) {}); });
    ends([&] { book.each_cylinder([](CylinderNow&&) {}); });
    ends([&] { book.each_exception(first, last, [](KnownException&&) {}); });
    ends([&] { (void)book.balances(); });
    ends([&] { (void)book.open_findings(); });
    ends([&] { (void)book.flows_of_whole_jobs("", first, last); });
    ends([&] { (void)book.steps("RC-1"); });
    ends([&] { (void)book.cylinder_now("RC-2"); });
    ends([&] { (void)book.leaks(); });
    ends([&] { (void)book.statements(); });
    ends([&] { (void)book.resolutions(""); });
    ends([&] { (void)book.books(); });
    ends([&] { (void)book.chain_runs(false); });
    ends([&] { (void)book.event_named("E12"); });
    ends([&] { (void)book.entries().find(EntryKind::cylinder, "RC-1"); });
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const Small small;
    const auto file = small.room.path / "book";
    for (const auto* beside : {"-wal", "-shm", "-journal"}) std::filesystem::remove(file.string() + beside);
    test::write_bytes(file, changed(small.bytes, data, size));
    // one of the three, so that a second sees more of them
    const auto what = size == 0 ? 0 : data[size - 1] % 3;
    if (what == 0) {
        bool whole = false;
        ends([&] { whole = Book::open(file, Access::read).check(Judge({}, Notes::left_out)).problems.empty(); });
        promise(whole || size != 0, "a book to which nothing was done is in order");
    } else if (what == 1) {
        ends([&] { asked(Book::open(file, Access::read)); });
    } else {
        ends([&] { (void)salvage_rows(file); });
    }
    return 0;
}
