#include "check_schema.hpp"

#include <algorithm>
#include <array>

#include "migrations.hpp"
#include "scan.hpp"

namespace tarebook {
namespace {

// Without spaces, line ends and comments: a migration and a command that makes an index again may break lines
// elsewhere.
std::string words_of(std::string_view sql) {
    std::string out;
    for (std::size_t i = 0; i < sql.size(); ++i) {
        if (sql.substr(i, 2) == "--") {
            i = std::min(sql.find('\n', i), sql.size());
            continue;
        }
        if (std::string_view(" \t\r\n").find(sql[i]) == std::string_view::npos) out += sql[i];
    }
    return out;
}

// By kind and name.
using Schema = std::map<std::pair<std::string, std::string>, std::string>;

Schema schema_of(Db& db) {
    Schema out;
    for (Scan s(db, "SELECT type, name, tbl_name, sql FROM sqlite_schema"); s.next();)
        out[{std::string(s.bytes(0)), std::string(s.bytes(1))}] = std::string(s.bytes(2)) + ": " + words_of(s.bytes(3));
    return out;
}

Schema schema_of_migrations() {
    Db db(":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    for (int version = 0; version < newest_schema; ++version) db.run(migration_sql[version]);
    return schema_of(db);
}

}  // namespace

void refuse_strange_sql(Book::Impl& book) {
    // SQLite calls the table by its older name where it is asked for by programs of any age
    constexpr std::array<std::string_view, 2> own = {"event_is_never_changed", "event_is_never_deleted"};
    Scan s(book.db, "SELECT type, name FROM sqlite_schema WHERE type IN ('trigger', 'view')");
    while (s.next()) {
        const std::string type(s.bytes(0)), name(s.bytes(1));
        if (type == "trigger" && std::find(own.begin(), own.end(), name) != own.end()) continue;
        throw StorageError(fmt::format("the book {} has a {} {}, which is none of its own: it would run inside "
                                       "each command. Nothing was written.",
                                       book.path.string(), type, printable(name)),
                           "another program changed this file: keep a copy, and go on from the last backup (tarebook "
                           "restore)");
    }
}

void check_schema(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks) {
    try {
        const auto made = schema_of_migrations();
        const auto found = schema_of(book.db);
        for (const auto& [key, sql] : made) {
            const auto it = found.find(key);
            if (it == found.end())
                problems.add("the {} {} is missing", key.first, key.second);
            else if (it->second != sql)
                problems.add("the {} {} is not as Tarebook makes it", key.first, key.second);
        }
        for (const auto& [key, sql] : found) {
            if (made.contains(key)) continue;
            if (key.second.starts_with("sqlite_stat"))
                remarks.push_back(fmt::format("{}: another program looked at how the rows are spread", key.second));
            else
                problems.add("the {} \"{}\" is none of the book's own", key.first, key.second);
        }
    } catch (const SQLite::Exception& e) {
        only_damage(e);
        problems.add("the schema cannot be read ({})", e.what());
    }
}

void check_info(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks) {
    try {
        std::map<std::string, std::string> said;
        for (Scan s(book.db, "SELECT name, value FROM book"); s.next();) said.emplace(s.bytes(0), s.bytes(1));
        const auto number = [&](const char* name, std::int64_t least, std::int64_t most) {
            const auto it = said.find(name);
            if (it == said.end()) return;
            const auto value = std::atoll(it->second.c_str());
            if (it->second != std::to_string(value) || value < least || value > most)
                problems.add("the book says {} {}, expected {} to {}", name, it->second, least, most);
        };
        number("checks_edition", 1, INT32_MAX);
        number("own_branch", 0, UINT16_MAX);
        number("sent", 0, INT64_MAX);
        constexpr std::array<std::string_view, 9> known = {"id",   "company",        "units",      "zone",      "shop",
                                                           "sent", "checks_edition", "own_branch", "public_key"};
        for (const auto& [name, value] : said)
            if (name != "locked_key" && std::find(known.begin(), known.end(), name) == known.end())
                remarks.push_back(
                    printable(fmt::format("the book says \"{}\", which this program does not know", name)));

        auto& s = book.db.statement(
            "SELECT e.body FROM event e JOIN origin o ON o.id = e.origin WHERE o.book = ? AND e.seq = 1");
        bind_bytes(s, 1, book.info.id);
        std::optional<kinds::Start> start;
        while (!start && s.executeStep())
            if (const auto event = event_from_body(s.getColumn(0).getString()))
                if (const auto* k = std::get_if<kinds::Start>(&event->what)) start = *k;
        s.reset();
        if (!start) return problems.add("the first event of the book does not say whose book it is");
        const auto same = [&](const char* name, const std::string& of_event) {
            const auto it = said.find(name);
            const auto value = it == said.end() ? std::string() : it->second;
            if (value != of_event)
                problems.add("the book says {} \"{}\", its first event \"{}\"", name, value, of_event);
        };
        same("company", start->company);
        same("units", start->units);
        same("zone", start->zone);
        same("public_key", start->public_key);
        if (start->shop || said.contains("shop")) same("shop", start->shop.value_or(hex(book.info.id)));
    } catch (const SQLite::Exception& e) {
        only_damage(e);
        problems.add("what the book says of itself cannot be read ({})", e.what());
    }
}

}  // namespace tarebook
