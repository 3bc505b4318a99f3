// Bulk load of the generator's CSV into bare SQLite, in one transaction with prepared statements.
//   sq_load CSV DB MODE
// MODE: late   rows, then the three indexes at the end: the yardstick of an import
//       full   indexes from the start, maintained balances, and a SHA-256 chain (h = SHA-256(h' || line)): what
//              sq_append and sq_chain work on
#include <openssl/evp.h>
#include <unistd.h>

#include <unordered_map>

#include "common.hpp"

int main(int argc, char** argv) {
    if (argc != 4) die("sq_load CSV DB late|full");
    const std::string path = argv[2];
    const bool full = std::string(argv[3]) == "full";
    const std::string all = slurp(argv[1]);
    for (const char* x : {"", "-wal", "-shm", "-journal"}) ::unlink((path + x).c_str());
    sqlite3* db = open_db(path, true);
    exec(db, "PRAGMA cache_size=-256000");
    exec(db, SCHEMA);
    if (full) exec(db, INDEXES);
    exec(db, "BEGIN");
    auto* ev = prep(db, INS_EVENT);
    auto* po = prep(db, INS_POSTING);
    auto* ba = prep(db, UPS_BALANCE);
    auto* ac = prep(db, "INSERT INTO account(name,site) VALUES(?,?)");
    std::unordered_map<std::string, int64_t> ids;
    auto id = [&](const std::string& name, std::string_view site) {
        auto [it, fresh] = ids.try_emplace(name, 0);
        if (fresh) {
            text(ac, 1, name);
            text(ac, 2, name.starts_with("Circuit:") ? site : std::string_view());
            step_done(db, ac);
            it->second = sqlite3_last_insert_rowid(db);
        }
        return it->second;
    };
    unsigned char h[32] = {};
    EVP_MD_CTX* ctx = EVP_MD_CTX_new();
    EVP_MD* md = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    auto post = [&](int64_t event, int64_t account, std::string_view ref, int64_t mass) {
        sqlite3_bind_int64(po, 1, event);
        sqlite3_bind_int64(po, 2, account);
        text(po, 3, ref);
        sqlite3_bind_int64(po, 4, mass);
        step_done(db, po);
        if (!full) return;
        sqlite3_bind_int64(ba, 1, account);
        text(ba, 2, ref);
        sqlite3_bind_int64(ba, 3, mass);
        step_done(db, ba);
    };
    std::string src;
    std::string dst;
    each_row(all, [&](const Row& r, std::string_view line) {
        accounts(r, src, dst);
        const int64_t a = id(src, r.c[SITE]);
        const int64_t b = id(dst, r.c[SITE]);
        const int64_t m = std::abs(r.after - r.before);
        int i = 1;
        for (int c = KIND; c <= REFRIGERANT; ++c) text(ev, i++, r.c[c]);
        sqlite3_bind_int64(ev, i++, r.before);
        sqlite3_bind_int64(ev, i++, r.after);
        text(ev, i++, r.c[TECH]);
        text(ev, i++, r.c[JOB]);
        if (full) {
            EVP_DigestInit_ex2(ctx, md, nullptr);
            EVP_DigestUpdate(ctx, h, 32);
            EVP_DigestUpdate(ctx, line.data(), line.size());
            EVP_DigestFinal_ex(ctx, h, nullptr);
            sqlite3_bind_blob(ev, i, h, 32, SQLITE_STATIC);
        }
        step_done(db, ev);
        const int64_t e = sqlite3_last_insert_rowid(db);
        post(e, a, r.c[REFRIGERANT], -m);
        post(e, b, r.c[REFRIGERANT], m);
    });
    if (!full) exec(db, INDEXES);
    exec(db, "COMMIT");
    for (auto* s : {ev, po, ba, ac}) sqlite3_finalize(s);
    if (sqlite3_close(db) != SQLITE_OK) die("close");
}
