// Files of movements, cylinders and circuits. Whatever the bytes: problems that each have a line, or rows; and the same
// rows in whatever pieces the bytes arrive.
#include "exchange/csv.hpp"

#include <algorithm>
#include <chrono>

#include "exchange/masters.hpp"
#include "exchange/movements_rows.hpp"
#include "promise.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

// Three bytes at a time: every seam between two pieces falls somewhere else than in one large piece.
class SmallPieces : public ByteSource {
 public:
    explicit SmallPieces(std::string_view text) : rest_(text) {}
    std::size_t read(char* into, std::size_t most) override {
        const auto n = std::min({most, rest_.size(), std::size_t{3}});
        std::copy_n(rest_.data(), n, into);
        rest_.remove_prefix(n);
        return n;
    }

 private:
    std::string_view rest_;
};

void sound(const FileProblems& problems, std::string_view text) {
    const auto lines = std::ranges::count(text, '\n') + std::ranges::count(text, '\r') + 1;
    promise(problems.count >= problems.listed.size(), "all problems are counted");
    for (const auto& p : problems.listed) {
        fuzz::helpful(p.error);
        promise(p.file == "old.csv", "a problem names its file");
        promise(p.line >= 0 && p.line <= lines, "a problem names a line of its file");
    }
}

void movements(std::string_view text) {
    const auto zone_of = [](std::string_view site) { return std::string(site == "S02" ? "UTC" : "America/Chicago"); };
    FileProblems problems;
    FileProblems again;
    TextSource whole(text);
    SmallPieces pieces(text);
    const auto rows = read_movements(whole, "old.csv", zone_of, problems);
    const auto rows_again = read_movements(pieces, "old.csv", zone_of, again);
    sound(problems, text);
    sound(again, text);
    promise(problems.empty() == again.empty(), "taken or refused, in whatever pieces the file is read");
    if (!problems.empty()) return;  // nothing is imported; how far the reading went is of no consequence
    promise(rows.size() == rows_again.size(), "the same rows, in whatever pieces the file is read");
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const auto& r = rows[i];
        promise(r.digest == rows_again[i].digest && r.line == rows_again[i].line && r.at == rows_again[i].at,
                "the same row, in whatever pieces the file is read");
        promise(r.before_mlb >= 0 && r.after_mlb >= 0, "no scale shows less than nothing");
        promise(r.repeat >= 1, "a row is the first of its kind, or a later one");
        promise(instant_from_text(instant_text(r.at)) == r.at, "an accepted instant is readable in an event");
    }
}

void masters(std::string_view text, std::vector<MasterEntry> (*read)(ByteSource&, const std::string&, FileProblems&)) {
    FileProblems problems;
    FileProblems again;
    TextSource whole(text);
    SmallPieces pieces(text);
    const auto entries = read(whole, "old.csv", problems);
    const auto entries_again = read(pieces, "old.csv", again);
    sound(problems, text);
    sound(again, text);
    promise(problems.empty() == again.empty(), "taken or refused, in whatever pieces the file is read");
    if (!problems.empty()) return;
    promise(std::ranges::equal(entries, entries_again,
                               [](const auto& a, const auto& b) { return a.code == b.code && a.values == b.values; }),
            "the same entries, in whatever pieces the file is read");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    // The first row says which of the three files it is; without such a word it is one of movements.
    const auto header = text.substr(0, text.find('\n'));
    if (header.find("water_capacity") != std::string_view::npos)
        masters(text, read_cylinders);
    else if (header.find("nameplate") != std::string_view::npos)
        masters(text, read_circuits);
    else
        movements(text);
    return 0;
}
