// Shared by the yardsticks: time, the generator's rows, and a plain schema in bare SQLite.
#pragma once
#include <sqlite3.h>

#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <string_view>

[[noreturn]] inline void die(const std::string& s) {
    std::fprintf(stderr, "%s\n", s.c_str());
    std::exit(1);
}

inline void exec(sqlite3* db, const char* sql) {
    char* e = nullptr;
    if (sqlite3_exec(db, sql, nullptr, nullptr, &e) != SQLITE_OK) die(std::string(sql) + ": " + (e ? e : "?"));
}

inline sqlite3* open_db(const std::string& path, bool create = false) {
    sqlite3* db;
    if (sqlite3_open_v2(path.c_str(), &db, SQLITE_OPEN_READWRITE | (create ? SQLITE_OPEN_CREATE : 0), nullptr) !=
        SQLITE_OK)
        die("open " + path + ": " + sqlite3_errmsg(db));
    return db;
}

inline sqlite3_stmt* prep(sqlite3* db, const char* sql) {
    sqlite3_stmt* s;
    if (sqlite3_prepare_v2(db, sql, -1, &s, nullptr) != SQLITE_OK) die(std::string(sql) + ": " + sqlite3_errmsg(db));
    return s;
}

inline void step_done(sqlite3* db, sqlite3_stmt* s) {
    if (sqlite3_step(s) != SQLITE_DONE) die(sqlite3_errmsg(db));
    sqlite3_reset(s);
}

inline void text(sqlite3_stmt* s, int i, std::string_view v) {
    if (v.empty())
        sqlite3_bind_null(s, i);
    else
        sqlite3_bind_text(s, i, v.data(), static_cast<int>(v.size()), SQLITE_STATIC);
}

inline std::string slurp(const std::string& path) {
    FILE* f = std::fopen(path.c_str(), "rb");
    if (!f) die("cannot read " + path);
    std::fseek(f, 0, SEEK_END);
    std::string s(static_cast<size_t>(std::ftell(f)), '\0');
    std::rewind(f);
    if (std::fread(s.data(), 1, s.size(), f) != s.size()) die("short read " + path);
    std::fclose(f);
    return s;
}

enum Col { KIND, DATE, TIME, SITE, APPLIANCE, CIRCUIT, CYLINDER, REFRIGERANT, BEFORE, AFTER, TECH, JOB, NCOL };

struct Row {
    std::string_view c[NCOL];
    int64_t before, after;
};

inline int64_t hundredths(std::string_view s) {  // the generator always writes two decimals
    int64_t v = 0;
    bool neg = false;
    for (char ch : s)
        if (ch == '-')
            neg = true;
        else if (ch != '.')
            v = v * 10 + (ch - '0');
    return neg ? -v : v;
}

// Calls f(row, line) for every data row of the generator's CSV (no quoting needed there).
template <class F>
void each_row(std::string_view all, F&& f) {
    size_t p = all.find('\n');
    if (p == std::string_view::npos) return;
    const char* q = all.data() + p + 1;
    const char* end = all.data() + all.size();
    Row r;
    while (q < end) {
        const char* nl = static_cast<const char*>(std::memchr(q, '\n', static_cast<size_t>(end - q)));
        if (!nl) nl = end;
        const char* line = q;
        int i = 0;
        while (i < NCOL) {
            const char* comma = static_cast<const char*>(std::memchr(q, ',', static_cast<size_t>(nl - q)));
            if (!comma) comma = nl;
            r.c[i++] = {q, static_cast<size_t>(comma - q)};
            if (comma == nl) break;
            q = comma + 1;
        }
        if (i != NCOL) die("bad row");
        r.before = hundredths(r.c[BEFORE]);
        r.after = hundredths(r.c[AFTER]);
        f(r, std::string_view(line, static_cast<size_t>(nl - line)));
        q = nl + 1;
    }
}

inline const char* SCHEMA = R"(
CREATE TABLE account(id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, site TEXT);
CREATE TABLE event(id INTEGER PRIMARY KEY, kind TEXT NOT NULL, date TEXT NOT NULL, time TEXT NOT NULL,
  site TEXT, appliance TEXT, circuit TEXT, cylinder TEXT NOT NULL, refrigerant TEXT NOT NULL,
  gross_before INTEGER NOT NULL, gross_after INTEGER NOT NULL,
  technician TEXT NOT NULL, job TEXT NOT NULL, hash BLOB);
CREATE TABLE posting(id INTEGER PRIMARY KEY, event_id INTEGER NOT NULL, account_id INTEGER NOT NULL,
  refrigerant TEXT NOT NULL, mass INTEGER NOT NULL);
CREATE TABLE balance(account_id INTEGER NOT NULL, refrigerant TEXT NOT NULL, mass INTEGER NOT NULL,
  PRIMARY KEY(account_id, refrigerant)) WITHOUT ROWID;
)";
inline const char* INDEXES = R"(
CREATE INDEX event_date ON event(date);
CREATE INDEX posting_event ON posting(event_id);
CREATE INDEX posting_account ON posting(account_id, refrigerant, mass);
)";
inline const char* INS_EVENT =
    "INSERT INTO event(kind,date,time,site,appliance,circuit,cylinder,refrigerant,"
    "gross_before,gross_after,technician,job,hash) VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?)";
inline const char* INS_POSTING = "INSERT INTO posting(event_id,account_id,refrigerant,mass) VALUES(?,?,?,?)";
inline const char* UPS_BALANCE = "INSERT INTO balance VALUES(?,?,?) ON CONFLICT DO UPDATE SET mass=mass+excluded.mass";

// Source and destination account names of a movement.
inline void accounts(const Row& r, std::string& src, std::string& dst) {
    std::string cyl = "Cylinder:";
    cyl += r.c[CYLINDER];
    std::string_view k = r.c[KIND];
    auto circuit = [&] {
        std::string s = "Circuit:";
        s.append(r.c[SITE]).append(":").append(r.c[APPLIANCE]).append(":").append(r.c[CIRCUIT]);
        return s;
    };
    if (k == "purchase")
        src = "Supplier", dst = cyl;
    else if (k == "return")
        src = cyl, dst = "Reclaimer";
    else if (k == "loss")
        src = cyl, dst = "Loss";
    else if (k == "charge")
        src = cyl, dst = circuit();
    else
        src = circuit(), dst = cyl;
}
