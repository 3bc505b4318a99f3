// One durable append to a database made by 'sq_load ... full': last hash read, SHA-256, one event row, two postings
// under three indexes, two maintained balances, commit. Journal mode and synchronous are those of a book.
//   sq_append DB
#include <openssl/evp.h>

#include "common.hpp"

namespace {

// A cylinder at random: name without "Cylinder:", and its refrigerant.
std::pair<std::string, std::string> any_cylinder(sqlite3* db) {
    auto* most = prep(db, "SELECT max(id) FROM account");
    sqlite3_step(most);
    const auto accounts = static_cast<uint64_t>(sqlite3_column_int64(most, 0));
    sqlite3_finalize(most);
    auto* s = prep(db,
                   "SELECT substr(a.name, 10), b.refrigerant FROM account a JOIN balance b ON b.account_id=a.id "
                   "WHERE a.id=? AND a.name LIKE 'Cylinder:%'");
    std::pair<std::string, std::string> found;
    auto x = static_cast<uint64_t>(std::chrono::steady_clock::now().time_since_epoch().count()) | 1;
    while (found.first.empty()) {
        x ^= x << 13, x ^= x >> 7, x ^= x << 17;
        sqlite3_bind_int64(s, 1, static_cast<int64_t>(x % accounts) + 1);
        if (sqlite3_step(s) == SQLITE_ROW)
            found = {reinterpret_cast<const char*>(sqlite3_column_text(s, 0)),
                     reinterpret_cast<const char*>(sqlite3_column_text(s, 1))};
        sqlite3_reset(s);
    }
    sqlite3_finalize(s);
    return found;
}

int64_t account(sqlite3* db, sqlite3_stmt* find, const std::string& name) {
    text(find, 1, name);
    if (sqlite3_step(find) != SQLITE_ROW) die("no account " + name + ": " + sqlite3_errmsg(db));
    const int64_t id = sqlite3_column_int64(find, 0);
    sqlite3_reset(find);
    return id;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) die("sq_append DB");
    sqlite3* db = open_db(argv[1]);
    exec(db, "PRAGMA journal_mode=DELETE");
    exec(db, "PRAGMA synchronous=EXTRA");
    auto* ev = prep(db, INS_EVENT);
    auto* po = prep(db, INS_POSTING);
    auto* ba = prep(db, UPS_BALANCE);
    auto* last = prep(db, "SELECT hash FROM event ORDER BY id DESC LIMIT 1");
    auto* find = prep(db, "SELECT id FROM account WHERE name=?");
    const auto [cylinder, refrigerant] = any_cylinder(db);

    exec(db, "BEGIN IMMEDIATE");
    unsigned char h[32] = {};
    if (sqlite3_step(last) == SQLITE_ROW) std::memcpy(h, sqlite3_column_blob(last, 0), 32);
    sqlite3_reset(last);
    const int64_t ids[2] = {account(db, find, "Cylinder:" + cylinder), account(db, find, "Loss")};
    const std::string line =
        "loss,2024-12-31,18:00,S01,A01,C01," + cylinder + "," + refrigerant + ",50.00,49.98,tech01,J1";
    EVP_MD_CTX* ctx = EVP_MD_CTX_new();
    EVP_MD* md = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    EVP_DigestInit_ex2(ctx, md, nullptr);
    EVP_DigestUpdate(ctx, h, 32);
    EVP_DigestUpdate(ctx, line.data(), line.size());
    EVP_DigestFinal_ex(ctx, h, nullptr);
    int i = 1;
    for (const std::string_view v :
         {std::string_view("loss"), std::string_view("2024-12-31"), std::string_view("18:00"), std::string_view("S01"),
          std::string_view("A01"), std::string_view("C01"), std::string_view(cylinder), std::string_view(refrigerant)})
        text(ev, i++, v);
    sqlite3_bind_int64(ev, i++, 5000);
    sqlite3_bind_int64(ev, i++, 4998);
    text(ev, i++, "tech01");
    text(ev, i++, "J1");
    sqlite3_bind_blob(ev, i, h, 32, SQLITE_STATIC);
    step_done(db, ev);
    const int64_t event = sqlite3_last_insert_rowid(db);
    for (int side = 0; side < 2; ++side) {
        const int64_t mass = side ? 2 : -2;
        sqlite3_bind_int64(po, 1, event), sqlite3_bind_int64(po, 2, ids[side]);
        text(po, 3, refrigerant), sqlite3_bind_int64(po, 4, mass);
        step_done(db, po);
        sqlite3_bind_int64(ba, 1, ids[side]), text(ba, 2, refrigerant), sqlite3_bind_int64(ba, 3, mass);
        step_done(db, ba);
    }
    exec(db, "COMMIT");
    for (auto* s : {ev, po, ba, last, find}) sqlite3_finalize(s);
    if (sqlite3_close(db) != SQLITE_OK) die("close");
}
