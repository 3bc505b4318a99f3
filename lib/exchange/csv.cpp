#include "csv.hpp"

#include <csv.h>
#include <algorithm>
#include <cstring>
#include <stdexcept>

#include "csv_guard.hpp"
#include "tarebook/units/utf8.hpp"

namespace tarebook {

std::size_t TextSource::read(char* into, std::size_t most) {
    const auto n = std::min(most, rest_.size());
    rest_.copy(into, n);
    rest_.remove_prefix(n);
    return n;
}

namespace {

// Only a line feed ends a row. A return before it counts as a blank after the last cell: so both kinds of line end are
// accepted, and a lone return stays visible as a control character.
int is_blank(unsigned char c) {
    return c == ' ' || c == '\t' || c == '\r' ? 1 : 0;
}
int is_row_end(unsigned char c) {
    return c == '\n' ? 1 : 0;
}

std::string_view bare(std::string_view s) {
    while (!s.empty() && is_blank(static_cast<unsigned char>(s.front())) != 0) s.remove_prefix(1);
    while (!s.empty() && is_blank(static_cast<unsigned char>(s.back())) != 0) s.remove_suffix(1);
    return s;
}

constexpr std::size_t piece_bytes = 128 * 1024;

}  // namespace

struct CsvReader::Machine {
    ByteSource& source;
    std::string name;
    FileProblems& problems;
    CsvLimits limits;
    csv_parser parser{};

    std::vector<char> piece = std::vector<char>(piece_bytes);
    std::size_t begin = 0, end = 0, bytes = 0;
    bool at_end = false, broken = false, first_piece = true;

    std::int64_t line = 1;        // the line of the file that is being fed
    std::int64_t row_line = 1;    // the line on which the row begins
    std::int64_t quote_line = 0;  // the line of the quote that is open now
    std::string text;             // the cells of the row, without a separator
    std::vector<std::size_t> ends;
    std::vector<std::string_view> cells;
    bool row_done = false;
    bool cell_too_long = false;

    Machine(ByteSource& s, std::string n, FileProblems& p, CsvLimits l)
        : source(s), name(std::move(n)), problems(p), limits(l) {
        if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0) throw std::bad_alloc();
        csv_set_space_func(&parser, is_blank);
        csv_set_term_func(&parser, is_row_end);
    }
    ~Machine() { csv_free(&parser); }
    Machine(const Machine&) = delete;
    Machine& operator=(const Machine&) = delete;

    // libcsv is C, so no exception may pass through it. Out of memory ends the program here, as anywhere.
    static void took_cell(void* bytes, std::size_t n, void* self) noexcept {
        auto& m = *static_cast<Machine*>(self);
        if (n > m.limits.cell_bytes) m.cell_too_long = true;
        if (m.ends.size() > m.limits.cells) return;
        if (!m.cell_too_long) m.text.append(static_cast<const char*>(bytes), n);
        m.ends.push_back(m.text.size());
    }
    static void took_row(int, void* self) noexcept { static_cast<Machine*>(self)->row_done = true; }

    bool stop(std::int64_t at, Error e) {
        problems.add({name, at, {}, std::move(e)});
        broken = true;
        return false;
    }

    bool fill() {
        begin = 0;
        end = source.read(piece.data(), piece.size());
        bytes += end;
        if (end == 0) {
            at_end = true;
            return true;
        }
        if (first_piece) {
            first_piece = false;
            // A byte order mark could be split only if the source gave less than it has; sources fill the piece.
            const std::string_view start(piece.data(), end);
            if (csv_guard::is_utf16(start)) return stop(1, csv_guard::utf16());
            if (start.starts_with(utf8_mark)) begin = utf8_mark.size();
        }
        if (const auto* zero = static_cast<const char*>(std::memchr(piece.data() + begin, 0, end - begin))) {
            const auto lines = std::count(static_cast<const char*>(piece.data()) + begin, zero, '\n');
            return stop(line + lines, csv_guard::zero_byte());
        }
        return true;
    }

    [[nodiscard]] bool in_quotes() const { return parser.pstate == in_cell && parser.quoted != 0; }
    static constexpr int row_not_begun = 0;  // libcsv's ROW_NOT_BEGUN
    static constexpr int in_cell = 2;        // libcsv's FIELD_BEGUN
    static constexpr int after_quote = 3;    // libcsv's FIELD_MIGHT_HAVE_ENDED

    // Splits a whole line without a quote in place, without a copy. Most lines are such lines, and libcsv, which calls
    // back for each cell and each byte, needs three times as long for them. False if the line is not such a line; then
    // nothing was read.
    bool take_plain_line() {
        const char* const from = piece.data() + begin;
        const char* const stop_at = piece.data() + end;
        const char* cell = from;
        const char* p = from;
        cells.clear();
        for (; p != stop_at; ++p) {
            const char c = *p;
            if (c > ',') continue;
            if (c == ',') {
                if (cells.size() > limits.cells) return false;
                cells.push_back(bare({cell, static_cast<std::size_t>(p - cell)}));
                cell = p + 1;
            } else if (c == '\n') {
                break;
            } else if (c == '"') {
                return false;
            }
        }
        if (p == stop_at || static_cast<std::size_t>(p - from) > limits.cell_bytes) return false;
        cells.push_back(bare({cell, static_cast<std::size_t>(p - cell)}));
        begin += static_cast<std::size_t>(p - from) + 1;
        ++line;
        return true;
    }

    // Feeds up to the end of one line, or of the piece. Only a quote out of place stops the parser.
    bool feed() {
        const char* from = piece.data() + begin;
        const auto* feed_end = static_cast<const char*>(std::memchr(from, '\n', end - begin));
        const bool whole = feed_end != nullptr;
        const std::size_t n = whole ? static_cast<std::size_t>(feed_end - from) + 1 : end - begin;
        const bool was_open = in_quotes();
        const std::size_t taken = csv_parse(&parser, from, n, took_cell, took_row, this);
        begin += n;
        if (taken != n) return stop(row_line, quote_out_of_place(was_open));
        if (cell_too_long || parser.entry_pos > limits.cell_bytes)
            return stop(row_line, in_quotes() && line > quote_line && quote_line > 0
                                      ? csv_guard::quote_open(quote_line)
                                      : csv_guard::cell_too_long(limits.cell_bytes));
        if (ends.size() > limits.cells) return stop(row_line, csv_guard::too_many_cells(limits.cells));
        if (in_quotes() && !was_open) quote_line = line;
        if (!whole) return true;
        ++line;
        if (line > limits.file_lines) return stop(line, csv_guard::too_many_lines(limits.file_lines));
        if (!row_done && in_quotes() && line - row_line > limits.row_lines)
            return stop(quote_line, csv_guard::quote_open(quote_line));
        return true;
    }
    [[nodiscard]] Error quote_out_of_place(bool was_open) const {
        const std::int64_t opened = was_open || in_quotes() || parser.pstate == after_quote ? quote_line : 0;
        return csv_guard::quote_out_of_place(ends.size() + 1, opened > 0 && opened < line ? opened : 0);
    }

    bool finish() {
        if (in_quotes()) return stop(quote_line, csv_guard::quote_open(quote_line));
        if (csv_fini(&parser, took_cell, took_row, this) != 0)
            return stop(row_line, csv_guard::quote_out_of_place(ends.size() + 1, 0));
        return row_done;
    }

    bool next() {
        text.clear();
        ends.clear();
        row_done = false;
        row_line = line;
        while (!row_done) {
            if (broken) return false;
            if (at_end) return false;
            if (begin == end) {
                if (!fill()) return false;
                if (at_end) {
                    if (!finish()) return false;
                    break;
                }
                if (begin == end) continue;
            }
            if (parser.pstate == row_not_begun && ends.empty()) {
                row_line = line;
                if (take_plain_line()) {
                    if (line > limits.file_lines) return stop(line, csv_guard::too_many_lines(limits.file_lines));
                    return true;
                }
            }
            if (!feed()) return false;
        }
        if (cell_too_long) return stop(row_line, csv_guard::cell_too_long(limits.cell_bytes));
        cells.clear();
        std::size_t from = 0;
        for (const auto to : ends) {
            cells.push_back(bare(std::string_view(text).substr(from, to - from)));
            from = to;
        }
        return true;
    }
};

CsvReader::CsvReader(ByteSource& source, std::string name, FileProblems& problems, CsvLimits limits)
    : machine_(std::make_unique<Machine>(source, std::move(name), problems, limits)) {}
CsvReader::~CsvReader() = default;

bool CsvReader::next() {
    for (;;) {
        if (!machine_->next()) return false;
        // Spreadsheets leave rows of commas alone.
        for (const auto cell : machine_->cells)
            if (!cell.empty()) return true;
    }
}
std::span<const std::string_view> CsvReader::cells() const {
    return machine_->cells;
}
std::int64_t CsvReader::line() const {
    return machine_->row_line;
}
bool CsvReader::broken() const {
    return machine_->broken;
}
std::size_t CsvReader::bytes_read() const {
    return machine_->bytes;
}
const std::string& CsvReader::name() const {
    return machine_->name;
}
void CsvReader::problem(std::int64_t line, std::string_view field, Error e) {
    machine_->problems.add({machine_->name, line, std::string(field), std::move(e)});
}

}  // namespace tarebook
