#include "check_schema.hpp"

#include <algorithm>
#include <array>

#include "commit.hpp"
#include "migrations.hpp"
#include "snapshot.hpp"

namespace tarebook {
namespace {

// The SQL without spaces, line ends, comments and quotes around names (SQLite adds quotes when it renames): a migration
// and a command that makes an index again may break lines elsewhere. Literals stay as they are.
std::string words_of(std::string_view sql) {
    std::string out;
    bool literal = false;
    for (std::size_t i = 0; i < sql.size(); ++i) {
        if (sql[i] == '\'') literal = !literal;
        if (literal) {
            out += sql[i];
            continue;
        }
        if (sql.substr(i, 2) == "--") {
            i = std::min(sql.find('\n', i), sql.size());
            continue;
        }
        if (std::string_view(" \t\r\n\"").find(sql[i]) == std::string_view::npos) out += sql[i];
    }
    return out;
}

// SQL by kind and name.
using Schema = std::map<std::pair<std::string, std::string>, std::string>;

Schema read_schema(Db& db) {
    Schema out;
    // SQLite reads text of the schema that was turned into bytes without an error.
    auto s = db.ask(
        "SELECT type, name, tbl_name, sql, typeof(type) || typeof(name) || typeof(tbl_name) || typeof(sql) FROM "
        "sqlite_schema");
    while (s.next()) out[{s.text(0), s.text(1)}] = s.text(2) + ": " + words_of(s.bytes(3)) + " " + s.text(4);
    return out;
}

Schema schema_of_migrations(int until) {
    Db db(":memory:", FileMode::make);
    for (int version = 0; version < until; ++version) db.script(migration_sql[version]);
    return read_schema(db);
}

// The notes that the registers in the file should have. Registers that came before there were notes have none.
std::map<std::string, std::string> registers_here(Book::Impl& book) {
    std::map<std::string, std::string> out;
    for (auto s = book.db.ask("SELECT book, key, seq, body FROM snapshot"); s.next();) {
        BookId id{};
        if (s.bytes(0).size() != id.size()) continue;
        std::copy_n(s.bytes(0).data(), id.size(), reinterpret_cast<char*>(id.data()));
        out.emplace(snapshot_note(id, s.bytes(1)), head_text({s.integer(2), digest_of(s.bytes(3))}));
    }
    return out;
}

// What keeps the record must be there; a column that is missing is met by the questions.
void check_office_schema(Book::Impl& book, Problems& problems) {
    for (const auto* name : {"event_is_never_changed", "event_is_never_deleted"})
        if (!book.db.any("SELECT 1 FROM pg_trigger WHERE tgrelid = to_regclass('tarebook.event') AND tgname = ? AND "
                         "tgenabled = 'O'",
                         name))
            problems.add("the trigger {} is missing or switched off", name);
    for (const auto* name : {"event_order", "event_job", "event_own_id", "event_watched", "event_digest",
                             "posting_circuit", "settlement_returned", "finding_open", "field_owner_group"})
        if (!book.db.any(
                "SELECT 1 FROM pg_index i JOIN pg_class c ON c.oid = i.indexrelid JOIN pg_namespace s ON s.oid = "
                "c.relnamespace WHERE s.nspname = 'tarebook' AND c.relname = ? AND i.indisvalid",
                name))
            problems.add("the index {} is missing or not whole", name);
}

}  // namespace

void refuse_strange_sql(Book::Impl& book) {
    if (book.db.on_server()) return;  // who may change the tables there is the server's to say
    static const std::map<std::string, std::string> own = {
        {"event_is_never_changed",
         words_of("CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'an event is "
                  "never changed: void it and record anew'); END")},
        {"event_is_never_deleted",
         words_of("CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'an event is "
                  "never deleted: void it'); END")}};
    auto s = book.db.ask("SELECT type, name, sql FROM sqlite_schema WHERE type IN ('trigger', 'view')");
    while (s.next()) {
        const std::string type(s.bytes(0)), name(s.bytes(1));
        const auto it = own.find(name);
        if (type == "trigger" && it != own.end() && it->second == words_of(s.bytes(2))) continue;
        throw StorageError(fmt::format("the book {} has a {} {} that Tarebook did not make: it would run inside each "
                                       "command. Nothing was written.",
                                       book.path.string(), type, printable(name)),
                           "another program changed this file: keep a copy, and go on from the last backup (tarebook "
                           "restore)");
    }
}

void refuse_schema_of_another_number(Book::Impl& book, int version) {
    const auto made = schema_of_migrations(version), newest = schema_of_migrations(newest_schema);
    const auto found = read_schema(book.db);
    const bool lacks =
        std::any_of(made.begin(), made.end(), [&](const auto& one) { return !found.contains(one.first); });
    // A later schema may have added it, or made it anew under the same name.
    const bool has_later = std::any_of(found.begin(), found.end(), [&](const auto& one) {
        const auto later = newest.find(one.first), then = made.find(one.first);
        return later != newest.end() &&
               (then == made.end() || (one.second == later->second && one.second != then->second));
    });
    if (!lacks && !has_later) return;
    throw StorageError(
        fmt::format("the book {} is damaged: it says that its schema is {}, and its tables are not those "
                    "of that one. Nothing was written.",
                    book.path.string(), version),
        "stop recording in it, keep a copy, and go on from the last backup (tarebook restore)");
}

void check_schema(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks) {
    if (book.db.on_server()) return check_office_schema(book, problems);
    try {
        static const auto made = schema_of_migrations(newest_schema);
        const auto found = read_schema(book.db);
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
                problems.add("the {} \"{}\" was not made by Tarebook", key.first, key.second);
        }
    } catch (const DbError& e) {
        only_damage(e);
        problems.add("the schema cannot be read ({})", e.what());
    }
}

void check_info(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks) {
    try {
        std::map<std::string, std::string> said;
        for (auto s = book.db.ask("SELECT name, value FROM book"); s.next();) said.emplace(s.bytes(0), s.bytes(1));
        const auto number = [&](const char* name, std::int64_t least, std::int64_t most) {
            const auto it = said.find(name);
            if (it == said.end()) return;
            const auto value = std::atoll(it->second.c_str());
            if (it->second != std::to_string(value) || value < least || value > most)
                problems.add("the book says {} {}, expected {} to {}", name, it->second, least, most);
        };
        number("checks_edition", 1, INT32_MAX);
        number("own_branch", 0, UINT16_MAX);
        constexpr int first_kept_twice = 7;
        const std::string edition = said.contains("checks_edition") ? said.at("checks_edition") : "1";
        const std::string again = said.contains("checks_edition_again")           ? said.at("checks_edition_again")
                                  : std::atoi(edition.c_str()) < first_kept_twice ? edition
                                                                                  : "none";
        if (edition != again)
            problems.add(
                "the book says that its exceptions were found by edition {} of the checks, and a second time by {}: "
                "tarebook check --rebuild judges all events anew",
                edition, again);
        number("sent", 0, INT64_MAX);
        for (const auto* name : {"written", "log_base"}) {
            if (!said.contains(name)) continue;
            const auto head = head_from(said.at(name));
            auto own =
                book.db.ask_once(fmt::format("SELECT digest FROM event WHERE {} AND seq = ?", book.own_path_sql()));
            const bool any = head && own.with(head->seq).next() && digest_from(own.bytes(0)) == head->digest;
            if (!any && problems.empty())  // a missing event is reported already
                problems.add("the book says that it is {} \"{}\", and has no such event",
                             name == std::string_view("written") ? "written up to" : "written, before its log, up to",
                             said.at(name));
        }
        constexpr std::array<std::string_view, 17> known = {
            "id",         "company",       "units",     "zone",       "shop",    "sent",     "checks_edition",
            "own_branch", "moved_to",      "moving_to", "public_key", "written", "log_base", "checks_edition_again",
            "country",    "names_removed", end_mark};
        auto registers = registers_here(book);
        for (const auto& [name, value] : said) {
            if (!name.starts_with("register_")) continue;
            const auto it = registers.find(name);
            if (it == registers.end() || it->second != value)
                problems.add("the register of a book that was received is not what came ({})", name);
        }
        for (const auto& [name, value] : said)
            if (!name.starts_with("register_") && name != "locked_key" && name != "key_left_out" &&
                std::find(known.begin(), known.end(), name) == known.end())
                remarks.push_back(
                    printable(fmt::format("the book says \"{}\", which this program does not know", name)));

        auto s = book.db.ask(
            "SELECT e.body FROM event e JOIN origin o ON o.id = e.origin WHERE o.book = ? AND e.seq = 1", book.info.id);
        std::optional<kinds::Start> start;
        while (!start && s.next())
            if (const auto event = event_from_body(s.text(0)))
                if (const auto* k = std::get_if<kinds::Start>(&event->what)) start = *k;
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
        same("country", start->country.value_or(""));
        same("public_key", start->public_key);
        if (start->practice.has_value() != book.info.practice())
            problems.add("by its id the book is {} practice book, by its first event it is {}",
                         book.info.practice() ? "a" : "no", start->practice ? "one" : "none");
        if (start->shop || said.contains("shop")) same("shop", start->shop.value_or(hex(book.info.id)));
    } catch (const DbError& e) {
        only_damage(e);
        problems.add("what the book says of itself cannot be read ({})", e.what());
    }
}

}  // namespace tarebook
