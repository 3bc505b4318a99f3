// The rows of a person's file, seen through a mapping: one of our fields is asked for, and the cell that it comes from
// answers, as a checked value. Complaints name the person's column and cell.
#pragma once

#include <memory>

#include "csv.hpp"
#include "import_map.hpp"
#include "tarebook/event/moment.hpp"

namespace tarebook {

class MappedTable {
 public:
    MappedTable(const ImportMap& map, const std::string& map_name, ByteSource& source, const std::string& name,
                FileProblems& problems);

    /// Reads the first row. Problems: csv-*, header-twice, text-not-utf8, map-no-column, map-column-open.
    bool open();
    /// The next row that can be read; good() is true again.
    bool next();

    /// What the field's cell says, after words: and nothing:; absent where the cell says nothing.
    [[nodiscard]] std::optional<std::string> text(std::string_view field) const;
    /// The same, for a text that goes into the book as it is. Problems: text-formula, text-too-long.
    std::optional<std::string> sound_text(std::string_view field);
    /// As text, checked against the rule of the field; a problem where it breaks it.
    std::optional<FieldValue> value(std::string_view field);
    std::optional<Weight> weight(std::string_view field);
    /// One part of a code. Problems: cell-missing where it is needed, code-format.
    std::optional<std::string> code(std::string_view field, bool needed);
    /// A day alone is the beginning of that day: all its movements come after. Problems: date-format, time-*.
    std::optional<Moment> moment(std::string_view day, std::string_view time, const std::string& zone, Instant now);
    /// Whether a time of day is known: from its own field, or from the field of the day.
    [[nodiscard]] bool has_time(std::string_view day, std::string_view time) const;

    void problem(std::string_view field, Error error);
    /// How many rows the mapping let pass by.
    [[nodiscard]] std::size_t skipped() const { return skipped_; }
    [[nodiscard]] bool good() const { return good_; }
    [[nodiscard]] std::int64_t line() const { return csv_.line(); }
    [[nodiscard]] const std::string& name() const { return csv_.name(); }
    /// What people call the field: its column in their file.
    [[nodiscard]] std::string column_of(std::string_view field) const;

 private:
    [[nodiscard]] bool is_skipped() const;
    std::optional<FieldValue> checked(const MappedField& mapped, const std::string& text);
    template <class T>
    std::optional<T> taken(std::string_view field, Result<T> result) {
        if (result) return std::move(*result);
        problem(field, std::move(result.error()));
        return std::nullopt;
    }

    const ImportMap& map_;
    const std::string& map_name_;
    FileProblems& problems_;
    CsvReader csv_;
    CsvColumns cells_;
    std::map<std::string, std::size_t> place_;  // by plain name
    std::vector<std::size_t> nameless_;
    bool good_ = true;
    std::size_t skipped_ = 0;
};

}  // namespace tarebook
