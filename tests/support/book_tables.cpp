#include "support/book_tables.hpp"

#include <fmt/format.h>

#include <fstream>
#include <sstream>
#include <stdexcept>

#include "book/server_book.hpp"
#include "book/server_engine.hpp"
#include "tarebook/book/server_address.hpp"
#include "units/hex.hpp"

namespace tarebook::test {

std::unique_ptr<Db> tables_at(const std::filesystem::path& place) {
    if (is_server_address(place)) return std::make_unique<Db>(server_engine(place));
    return std::make_unique<Db>(place, FileMode::make);
}

std::unique_ptr<Db> own_tables_at(const std::filesystem::path& place) {
    // On a server what a recording locks has to be there.
    if (is_server_address(place)) make_on_server(place, [](std::unique_ptr<Db> made) { made->script("COMMIT"); });
    return tables_at(place);
}

std::string text_of_row(const Answer& row, int columns) {
    std::string out;
    for (int n = 0; n < columns; ++n) {
        switch (row.type(n)) {
            case ColumnType::nothing:
                out += "NULL|";
                break;
            case ColumnType::bytes:
                out += hex_of_bytes(row.bytes(n)) + "|";
                break;
            case ColumnType::integer:
                out += fmt::format("{}|", row.integer(n));
                break;
            case ColumnType::real:
                out += fmt::format("{}|", row.real(n));
                break;
            case ColumnType::text:
                out += row.text(n) + "|";
        }
    }
    return out;
}

std::map<std::string, std::string> whole_book(const std::filesystem::path& place) {
    std::map<std::string, std::string> out;
    if (is_server_address(place)) {
        const auto db = tables_at(place);
        auto rows = db->ask(
            "SELECT tablename, table_to_xml(('tarebook.' || tablename)::regclass, true, false, '')::text FROM "
            "pg_tables "
            "WHERE schemaname = 'tarebook'");
        while (rows.next()) out[rows.text(0)] = rows.text(1);
    } else {
        for (const auto& entry : std::filesystem::directory_iterator(place.parent_path())) {
            if (!entry.is_regular_file()) continue;
            std::ostringstream bytes;
            bytes << std::ifstream(entry.path(), std::ios::binary).rdbuf();
            out[entry.path().filename().string()] = std::move(bytes).str();
        }
    }
    if (out.empty()) throw std::runtime_error("there is no book at " + place.string());
    return out;
}

}  // namespace tarebook::test
