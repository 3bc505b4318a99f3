// A CSV file as rows of cells, read as a stream: never more of it in memory than one row and one piece of the file.
//
// libcsv takes rows with quotes apart (RFC 4180: doubled quotes, line ends inside quotes); a plain line needs only its
// commas. Before and behind stand the guards that the library does not have: bytes that are no text, a quote that
// nobody closed, cells and rows without end. Each refusal names its line. Cells come without the blanks around them,
// blank lines do not come at all.
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

/// Bytes in pieces: a file, or text in memory for tests and fuzzing.
class ByteSource {
 public:
    ByteSource() = default;
    ByteSource(const ByteSource&) = delete;
    ByteSource& operator=(const ByteSource&) = delete;
    virtual ~ByteSource() = default;
    /// Fills at most `most` bytes; 0 at the end. Throws std::system_error where the file cannot be read.
    virtual std::size_t read(char* into, std::size_t most) = 0;
    /// How many bytes there are; 0 where that is not known. For progress only.
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
    std::int64_t row_lines = 1000;  ///< a quoted cell may hold line ends; a forgotten quote holds the whole file
    std::int64_t file_lines = 100'000'000;  ///< beyond that a file is not a shop's records
};

class CsvReader {
 public:
    /// `name` is the file's name, for problems.
    CsvReader(ByteSource& source, std::string name, FileProblems& problems, CsvLimits limits = {});
    ~CsvReader();
    CsvReader(const CsvReader&) = delete;
    CsvReader& operator=(const CsvReader&) = delete;

    /// The next row that is not blank; false at the end, and after a problem that nothing can follow. The cells live
    /// until the next call.
    bool next();
    [[nodiscard]] std::span<const std::string_view> cells() const;
    [[nodiscard]] std::int64_t line() const;  ///< where the row begins, from 1
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

/// Where each column stands in the rows of one file. Reads the first row; the order of columns is free, their case too.
/// Problems: csv-empty, header-missing, header-twice, header-unknown.
/// What to do where a row is one cell, because another program parted its cells: in the same words everywhere.
std::optional<std::string> other_separator(std::string_view only_cell, std::ptrdiff_t at_least = 2);

class CsvColumns {
 public:
    static bool read_header(CsvReader& reader, std::span<const CsvColumn> columns, CsvColumns& out);

    /// Takes whatever names the first row has, or the first from a line on: cell(i) is then that of the i-th column.
    /// Problems: csv-empty, text-not-utf8.
    static bool read_names(CsvReader& reader, CsvColumns& out, std::int64_t from_line = 1);
    [[nodiscard]] const std::vector<std::string>& names() const { return seen_; }

    /// Reads the next row and sees that it has as many cells as the header. Rows that do not are told (row-short,
    /// row-long, text-not-utf8) and left out.
    bool next(CsvReader& reader);
    /// Empty where the file does not have the column.
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
