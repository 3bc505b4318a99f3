// A small RFC 4180 reader for test data: quoted fields, doubled quotes, commas and line breaks inside quotes. Throws on
// a row that has another number of fields than the header, because a row that is misread tests nothing.
#pragma once

#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tarebook::tests {

class CsvRow {
 public:
    explicit CsvRow(std::map<std::string, std::string> fields) : fields_(std::move(fields)) {}
    [[nodiscard]] const std::string& operator[](const std::string& column) const {
        const auto it = fields_.find(column);
        if (it == fields_.end()) throw std::runtime_error("no column " + column);
        return it->second;
    }
    [[nodiscard]] double number(const std::string& column) const { return std::stod((*this)[column]); }

 private:
    std::map<std::string, std::string> fields_;
};

inline std::vector<std::vector<std::string>> csv_records(std::string_view text) {
    std::vector<std::vector<std::string>> records;
    std::vector<std::string> record;
    std::string field;
    bool quoted = false;
    bool anything = false;
    auto end_record = [&] {
        if (anything) {
            record.push_back(std::move(field));
            records.push_back(std::move(record));
        }
        field.clear();
        record.clear();
        anything = false;
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted) {
            if (c != '"')
                field += c;
            else if (i + 1 < text.size() && text[i + 1] == '"')
                field += text[++i];
            else
                quoted = false;
        } else if (c == '\n') {
            end_record();
        } else if (c != '\r') {
            anything = true;
            if (c == '"')
                quoted = true;
            else if (c == ',')
                record.push_back(std::exchange(field, {}));
            else
                field += c;
        }
    }
    if (quoted) throw std::runtime_error("a quoted field does not end");
    end_record();
    return records;
}

inline std::vector<CsvRow> read_csv(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    if (!in) throw std::runtime_error("cannot read " + file);
    std::ostringstream text;
    text << in.rdbuf();
    const auto records = csv_records(text.str());
    if (records.empty()) throw std::runtime_error("no header in " + file);
    std::vector<CsvRow> rows;
    for (std::size_t i = 1; i < records.size(); ++i) {
        if (records[i].size() != records[0].size())
            throw std::runtime_error(file + ": record " + std::to_string(i) + " has another number of fields");
        std::map<std::string, std::string> fields;
        for (std::size_t j = 0; j < records[i].size(); ++j) fields[records[0][j]] = records[i][j];
        rows.emplace_back(std::move(fields));
    }
    return rows;
}

}  // namespace tarebook::tests
