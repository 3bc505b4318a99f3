// A CSV file as rows of cells, read as a stream: at most one row and one piece of the file are in memory.
//
// libcsv splits rows with quotes (RFC 4180: doubled quotes, line ends inside quotes); a plain line is split at its
// commas. Guards before and behind it refuse what the library accepts: bytes that are no text, an open quote, cells and
// rows without end. Each refusal names its line. Cells come without the blanks around them; blank lines are left out.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/units/file_problem.hpp"
#include "tarebook/units/utf8.hpp"

namespace tarebook {

/// Bytes in pieces: from a file, or from text in memory for tests and fuzzing.
class ByteSource {
 public:
    ByteSource() = default;
    ByteSource(const ByteSource&) = delete;
    ByteSource& operator=(const ByteSource&) = delete;
    virtual ~ByteSource() = default;
    /// Reads at most `most` bytes; 0 at the end. Throws Refused (file-unreadable).
    virtual std::size_t read(char* into, std::size_t most) = 0;
    /// How many bytes there are, for progress; 0 if that is not known.
    [[nodiscard]] virtual std::size_t size() const { return 0; }
};

/// Error: file-missing, file-not-regular, file-unreadable.
Result<std::unique_ptr<ByteSource>> open_file(const std::filesystem::path& path);

class TextSource : public ByteSource {
 public:
    explicit TextSource(std::string_view text) : rest_(text), size_(text.size()) {}
    std::size_t read(char* into, std::size_t most) override;
    [[nodiscard]] std::size_t size() const override { return size_; }

 private:
    std::string_view rest_;
    std::size_t size_;
};

struct CsvLimits {
    std::size_t cell_bytes = 64 * 1024;
    std::size_t cells = 256;
    /// A quoted cell may have line ends, and a forgotten quote would take the whole file.
    std::int64_t row_lines = 1000;
    std::int64_t file_lines = 100'000'000;  ///< a longer file is not a shop's records
};

class CsvReader {
 public:
    /// `name`: the file's name, for problems.
    CsvReader(ByteSource& source, std::string name, FileProblems& problems, CsvLimits limits = {});
    ~CsvReader();
    CsvReader(const CsvReader&) = delete;
    CsvReader& operator=(const CsvReader&) = delete;

    /// Reads the next row that is not blank. False at the end, and after a problem that ends the reading. The cells are
    /// valid until the next call.
    bool next();
    [[nodiscard]] std::span<const std::string_view> cells() const;
    [[nodiscard]] std::int64_t line() const;  ///< the line on which the row begins, from 1
    [[nodiscard]] bool broken() const;        ///< a problem ended the reading
    [[nodiscard]] std::size_t bytes_read() const;
    [[nodiscard]] const std::string& name() const;

    void problem(std::int64_t line, std::string_view field, Error error);

 private:
    struct Machine;
    std::unique_ptr<Machine> machine_;
};

/// A column that a file may have, by the name in its first row.
struct CsvColumn {
    std::string_view name;
    bool needed = true;
};

/// The advice for a row of one cell, whose cells another program separated by another letter.
std::optional<std::string> other_separator(std::string_view only_cell, std::ptrdiff_t at_least = 2);

/// Finds each column in the rows of one file by the names in its first row; columns may come in any order and case.
class CsvColumns {
 public:
    /// Reads the first row. Problems: csv-empty, header-missing, header-twice, header-unknown.
    static bool read_header(CsvReader& reader, std::span<const CsvColumn> columns, CsvColumns& out);

    /// Takes any names from the first row, or from the first row at or after a line: cell(i) is then in the i-th
    /// column. Problems: csv-empty, text-not-utf8.
    static bool read_names(CsvReader& reader, CsvColumns& out, std::int64_t from_line = 1);
    [[nodiscard]] const std::vector<std::string>& names() const { return seen_; }

    /// Reads the next row that has as many cells as the header. Other rows are reported (row-short, row-long,
    /// text-not-utf8) and left out.
    bool next(CsvReader& reader);
    /// Empty if the file does not have the column.
    [[nodiscard]] std::string_view cell(std::size_t column) const {
        const int at = place_[column];
        return at < 0 ? std::string_view() : row_[static_cast<std::size_t>(at)];
    }
    [[nodiscard]] bool has(std::size_t column) const { return place_[column] >= 0; }

 private:
    [[nodiscard]] bool sound(CsvReader& reader) const;

    std::vector<int> place_;
    std::vector<std::string> seen_;
    std::span<const std::string_view> row_;
};

}  // namespace tarebook
