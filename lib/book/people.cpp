#include "people.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "atomic_book_file.hpp"
#include "journal.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

// The book says so from the removal of a name until its file is laid out anew.
constexpr const char* names_removed = "names_removed";

// The code that the name has, else a new one.
std::string code_for(Book::Impl& book, const std::string& name) {
    if (auto known = book.db.text("SELECT code FROM person WHERE name = ? ORDER BY code LIMIT 1", name)) return *known;
    std::string salt(person_salt_size, '\0');
    randombytes_buf(salt.data(), salt.size());
    const auto code = person_code(salt, name);
    book.db.run("INSERT INTO person(code, salt, name) VALUES (?, ?, ?)", code, Bytes{salt}, name);
    return code;
}

// The last one at or before an event on its way through the chain.
std::optional<kinds::Typist> typist_at(Book::Impl& book, std::int64_t origin, std::int64_t seq) {
    static const std::string sql = fmt::format(
        "SELECT body FROM event WHERE {} AND kind = 'typist' AND origin = ? AND seq <= ? ORDER BY seq DESC LIMIT 1",
        watched_kinds);
    while (origin != 0) {
        auto s = book.db.ask(sql.c_str(), origin, seq);
        if (s.next())
            if (const auto event = event_from_body(s.bytes(0)))
                if (const auto* typist = std::get_if<kinds::Typist>(&event->what)) return *typist;
        const auto& known = book.origins.at(origin);
        seq = known.parent_seq;
        origin = known.parent;
    }
    return std::nullopt;
}

Typing told(Db& db, const kinds::Typist& typist) {
    Typing out;
    if (typist.person) out.name = shown_name(db, *typist.person);
    out.device = typist.device.value_or("");
    return out;
}

std::optional<kinds::RemoveName> removal(Book::Impl& book, std::int64_t row) {
    const auto stored = book.load(row);
    if (const auto* k = std::get_if<kinds::RemoveName>(&stored.event.what)) return *k;
    return std::nullopt;
}

}  // namespace

void set_names_apart(Book::Impl& book, Event& draft) {
    auto* entry = std::get_if<kinds::Entry>(&draft.what);
    if (!entry || entry->entry != EntryKind::technician) return;
    const auto name = entry->values.find("name");
    if (name == entry->values.end() || name->second.text.empty() || is_person_code(name->second.text)) return;
    name->second.text = code_for(book, name->second.text);
}

bool keep_person(Book::Impl& book, const PersonName& person) {
    return book.db.run("INSERT INTO person(code, salt, name) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", person.code,
                       Bytes{person.salt}, person.name) > 0;
}

std::set<std::string> codes_of_people(Book::Impl& book) {
    std::set<std::string> out;
    for (auto s = book.db.ask("SELECT DISTINCT f.value FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = "
                              "'technician' AND f.name = 'name'");
         s.next();)
        if (is_person_code(s.bytes(0))) out.insert(s.text(0));
    for (const auto row : rows_of_kind(book, kinds::Typist::name)) {
        const auto stored = book.load(row);
        const auto* typist = std::get_if<kinds::Typist>(&stored.event.what);
        if (typist && typist->person && is_person_code(*typist->person)) out.insert(*typist->person);
    }
    return out;
}

void remove_names(Book::Impl& book, std::string_view codes) {
    if (!book.db.on_server()) book.db.script("PRAGMA secure_delete = ON");
    for (const auto code : split(codes, ' ')) {
        if (!is_person_code(code)) continue;
        if (book.db.any("SELECT 1 FROM person WHERE code = ? AND name IS NOT NULL", code))
            set_info(book.db, names_removed, "yes");
        book.db.run("INSERT INTO person(code) VALUES (?) ON CONFLICT(code) DO UPDATE SET salt = NULL, name = NULL",
                    code);
    }
    book.reg.forget();
}

std::string shown_name(Db& db, std::string_view code) {
    if (!is_person_code(code)) return std::string(code);
    auto s = db.ask("SELECT name FROM person WHERE code = ?", code);
    if (!s.next()) return "(name not here)";
    return s.is_null(0) ? "(name removed)" : s.text(0);
}

Entry with_names(Db& db, const Entry& technician) {
    Entry out = technician;
    const auto names = technician.fields().find("name");
    if (names != technician.fields().end())
        for (const auto& [from, value] : names->second) out.set("name", from, {shown_name(db, value.text), {}});
    return out;
}

std::optional<Event> new_typist(Book::Impl& book, const Typing& typing, const Head& last, Instant now) {
    const auto before = typist_at(book, book.writer().origin, last.seq);
    if (typing.name ? before && before->person && told(book.db, *before) == typing : !before || !before->person)
        return std::nullopt;
    Event out;
    out.book = book.writer().book;
    out.branch = book.writer().branch;
    out.seq = last.seq + 1;
    out.previous = last.digest;
    out.recorded = now;
    const auto when = moment_in_zone(now, book.info.zone);
    out.when = when ? *when : Moment{now, {}, "UTC"};
    kinds::Typist what;
    if (typing.name) {
        what.person = code_for(book, *typing.name);
        if (!typing.device.empty()) what.device = typing.device;
    }
    out.what = std::move(what);
    return out;
}

void check_people(Book::Impl& book, Problems& problems) {
    std::set<std::string, std::less<>> removed;
    for (const auto row : rows_of_kind(book, kinds::RemoveName::name))
        if (const auto k = removal(book, row)) {
            const bool counts = !book.db.any("SELECT 1 FROM ineffective WHERE event = ?", row);
            for (const auto code : split(k->people, ' ')) {
                removed.emplace(code);
                const bool gone =
                    book.db.any("SELECT 1 FROM person WHERE code = ? AND name IS NULL AND salt IS NULL", code);
                if (counts && is_person_code(code) && !gone)
                    problems.add("{}: its name was to go, and is not removed", short_person(code));
            }
        }
    for (auto s = book.db.ask("SELECT code, salt, name FROM person ORDER BY code"); s.next();) {
        const auto code = s.text(0);
        if (!is_person_code(code))
            problems.add("the names of people: a row has no code");
        else if (s.is_null(2) && !removed.contains(code))
            problems.add("{}: its name is not here, and no event removed it", short_person(code));
        else if (!s.is_null(2) && (s.type(2) != ColumnType::text || s.type(1) != ColumnType::bytes ||
                                   person_code(s.bytes(1), s.bytes(2)) != code))
            problems.add("{}: the name that is here is not the one that was recorded", short_person(code));
    }
}

const tarebook::Entry* ShownRegister::find(EntryKind kind, std::string_view code) const {
    const auto* entry = reg_.find(kind, code);
    if (!entry || kind != EntryKind::technician) return entry;
    if (seen_ != reg_.changes()) {
        technicians_.clear();
        seen_ = reg_.changes();
    }
    auto it = technicians_.find(code);
    if (it == technicians_.end()) it = technicians_.emplace(std::string(code), with_names(db_, *entry)).first;
    return &it->second;
}

Result<void> Book::set_typing(Typing typing) {
    constexpr std::size_t longest = 200;
    const auto good = [](std::string_view text) {
        return text.size() <= longest && is_utf8(text) && text.find_first_not_of(" \t") != std::string_view::npos &&
               std::string_view("=+-@\t\r").find(text.front()) == std::string_view::npos &&
               std::none_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; });
    };
    for (const auto& [what, text] : {std::pair("the typist", typing.name.value_or("x")),
                                     {"the device", typing.device.empty() ? std::string("x") : typing.device}})
        if (!good(text))
            return fail({ErrorKind::usage,
                         "typist-form",
                         fmt::format("{} cannot be recorded as it is written", what),
                         text,
                         "a name on one line, of at most 200 bytes, that does not begin with = + - or @",
                         {}});
    impl_->typing = std::move(typing);
    return {};
}

std::optional<Typing> Book::typed_by(const EventHandle& event) const {
    return guarded(*impl_, [&]() -> std::optional<Typing> {
        auto s = impl_->db.ask("SELECT origin, seq FROM event WHERE id = ?", impl_->row_of(event));
        if (!s.next()) return std::nullopt;
        const auto typist = typist_at(*impl_, s.integer(0), s.integer(1));
        if (!typist || !typist->person) return std::nullopt;
        return told(impl_->db, *typist);
    });
}

std::string Book::name_of_person(std::string_view code) const {
    return guarded(*impl_, [&] { return shown_name(impl_->db, code); });
}

std::optional<std::string> Book::code_of_person(std::string_view name) const {
    return guarded(*impl_, [&] {
        return impl_->db.text("SELECT code FROM person WHERE name = ? ORDER BY code LIMIT 1", std::string(name));
    });
}

std::vector<PersonName> Book::person_names() const {
    return guarded(*impl_, [&] {
        std::vector<PersonName> out;
        auto s = impl_->db.ask("SELECT code, salt, name FROM person WHERE name IS NOT NULL ORDER BY code");
        while (s.next()) out.push_back({s.text(0), s.text(1), s.text(2)});
        return out;
    });
}

std::vector<KnownPerson> Book::people() const {
    return guarded(*impl_, [&] {
        std::map<std::string, KnownPerson, std::less<>> out;
        const auto of = [&](const std::string& code) -> KnownPerson& {
            auto& one = out[code];
            one.code = code;
            return one;
        };
        for (auto s = impl_->db.ask("SELECT DISTINCT f.value, e.code FROM entry e JOIN field f ON f.entry = e.id WHERE "
                                    "e.kind = 'technician' AND f.name = 'name' ORDER BY e.code");
             s.next();)
            if (is_person_code(s.bytes(0))) of(s.text(0)).technicians.push_back(s.text(1));
        for (const auto row : rows_of_kind(*impl_, kinds::Typist::name)) {
            const auto stored = impl_->load(row);
            const auto* typist = std::get_if<kinds::Typist>(&stored.event.what);
            if (typist && typist->person) of(*typist->person).typed = true;
        }
        for (const auto row : rows_of_kind(*impl_, kinds::RemoveName::name))
            if (const auto k = removal(*impl_, row))
                for (const auto code : split(k->people, ' '))
                    if (auto& one = of(std::string(code)); !one.removed_by) one.removed_by = impl_->name_of_row(row);
        std::vector<KnownPerson> all;
        for (auto& [code, one] : out) {
            one.name = impl_->db.text("SELECT name FROM person WHERE code = ?", code).value_or("");
            all.push_back(std::move(one));
        }
        std::sort(all.begin(), all.end(), [](const KnownPerson& a, const KnownPerson& b) {
            return std::tuple(a.name.empty(), a.name, a.technicians, a.code) <
                   std::tuple(b.name.empty(), b.name, b.technicians, b.code);
        });
        return all;
    });
}

std::vector<std::string> Book::events_that_say(std::string_view words) const {
    return guarded(*impl_, [&] {
        std::string as_stored;  // as a canonical body spells it
        for (const char c : words) {
            if (c == '"' || c == '\\') as_stored += '\\';
            as_stored += c;
        }
        std::vector<std::string> out;
        auto s = impl_->db.ask("SELECT origin, seq, digest, body FROM event ORDER BY at, origin, seq");
        while (s.next())
            if (s.bytes(3).find(as_stored) != std::string_view::npos)
                out.push_back(impl_->name_of(s.integer(0), s.integer(1), s.digest(2)));
        return out;
    });
}

bool Book::lay_out_anew() {
    return guarded(*impl_, [&] {
        auto& db = impl_->db;
        let_go();
        if (db.on_server()) {  // the table is written anew; the server's log and its backups are the server's
            db.script("VACUUM FULL person");
            db.run("DELETE FROM book WHERE name = ?", std::string(names_removed));
            return true;
        }
        // What SQLite copies meanwhile stays in memory, as far as there is room for a book.
        constexpr std::int64_t most_in_memory = 256LL << 20;
        const auto size = db.integer("PRAGMA page_count").value_or(0) * db.integer("PRAGMA page_size").value_or(0);
        if (size < most_in_memory) db.script("PRAGMA temp_store = MEMORY");
        db.script("VACUUM");
        impl_->forget();
        if (has_log(db) && !take_log_in(db, impl_->path)) return false;
        db.run("DELETE FROM book WHERE name = ?", std::string(names_removed));
        return true;
    });
}

bool Book::has_bytes_of_removed() const {
    return guarded(*impl_,
                   [&] { return impl_->db.any("SELECT 1 FROM book WHERE name = ?", std::string(names_removed)); });
}

}  // namespace tarebook
