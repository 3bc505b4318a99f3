// Files of movements, cylinders and circuits, and a list through a mapping ("Cyl #"). Whatever the bytes: problems
// that each have a line, or rows; and the same rows in whatever pieces the bytes arrive.
#include "exchange/csv.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

#include <algorithm>
#include <chrono>

#include "exchange/mapped_table.hpp"
#include "exchange/movements_rows.hpp"
#include "exchange/register_lists.hpp"
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
    const auto rows = read_movements({}, whole, "old.csv", zone_of, problems);
    const auto rows_again = read_movements({}, pieces, "old.csv", zone_of, again);
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

void register_list(std::string_view text,
                   std::vector<ListedEntry> (*read)(const Catalogue&, ByteSource&, const std::string&, FileProblems&)) {
    FileProblems problems;
    FileProblems again;
    TextSource whole(text);
    SmallPieces pieces(text);
    const auto entries = read({}, whole, "old.csv", problems);
    const auto entries_again = read({}, pieces, "old.csv", again);
    sound(problems, text);
    sound(again, text);
    promise(problems.empty() == again.empty(), "taken or refused, in whatever pieces the file is read");
    if (!problems.empty()) return;
    promise(std::ranges::equal(entries, entries_again,
                               [](const auto& a, const auto& b) { return a.code == b.code && a.values == b.values; }),
            "the same entries, in whatever pieces the file is read");
}

// What a list says through a mapping, field by field: the same in whatever pieces it is read.
std::string seen_through(const ImportMap& map, ByteSource& source, FileProblems& problems) {
    static const std::string map_name = "old.csv";  // columns that the list lacks are told at the mapping's line
    static const ReferenceData data;
    MappedTable table(data, map, map_name, source, "old.csv", problems);
    std::string out;
    if (!table.open()) return out;
    const auto now = *instant_from_text("2026-06-01T15:00:00Z");
    while (table.next()) {
        out += table.code("cylinder", true).value_or("?");
        for (const auto* field : {"refrigerant", "wc", "tare", "tested", "flammable"})
            if (const auto value = table.value(field)) out += '\t' + value->text;
        if (const auto gross = table.weight("gross")) {
            promise(!gross->mass.is_negative(), "no scale shows less than nothing");
            out += '\t' + gross->typed;
        }
        if (const auto when = table.moment("counted_on", "counted_at", "America/Chicago", now))
            out += '\t' + moment_iso(*when);
        out += '\n';
    }
    return out;
}

void mapped(std::string_view text) {
    static const ImportMap map = [] {
        FileProblems none;
        auto read = read_import_map(
            "import: cylinders\nweights: lb\ndates: MM/DD/YY hh:mm\nnothing: [\"?\"]\nskip: {\"Cyl #\": "
            "[Total]}\nfields:\n"
            "  cylinder: \"Cyl #\"\n  refrigerant: {column: Gas, words: {old: unknown}}\n  wc: {column: WC, unit: L}\n"
            "  tare: TW\n  tested: {column: Test, dates: MM/YYYY}\n  flammable: {column: A2L, words: {Y: \"yes\"}}\n"
            "  gross: {column: Now, unit: lb-oz}\n  counted_on: Day\n",
            "map.yaml", MapKind::cylinders, none);
        promise(none.empty(), "the mapping of this target is sound");
        return read;
    }();
    FileProblems problems;
    FileProblems again;
    TextSource whole(text);
    SmallPieces pieces(text);
    const auto seen = seen_through(map, whole, problems);
    const auto seen_again = seen_through(map, pieces, again);
    for (const auto& p : problems.listed) fuzz::helpful(p.error);
    promise(problems.empty() == again.empty(), "taken or refused, in whatever pieces the file is read");
    if (problems.empty()) promise(seen == seen_again, "the same values, in whatever pieces the file is read");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    // The first row says which of the files it is; without such a word it is one of movements.
    const auto header = text.substr(0, text.find('\n'));
    if (header.find("water_capacity") != std::string_view::npos)
        register_list(text, read_cylinders);
    else if (header.find("Cyl #") != std::string_view::npos)
        mapped(text);
    else if (header.find("nameplate") != std::string_view::npos)
        register_list(text, read_circuits);
    else
        movements(text);
    return 0;
}
