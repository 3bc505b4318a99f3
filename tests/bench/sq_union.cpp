// The yardstick of a merge: hashes each event of a bundle and inserts it where its digest is not there yet, in one
// transaction. Nothing is verified, nothing is folded.
//   sq_union DB BUNDLE
#include <openssl/evp.h>

#include <cstring>
#include <fstream>

#include "common.hpp"

int main(int argc, char** argv) {
    if (argc != 3) die("sq_union DB BUNDLE");
    sqlite3* db = open_db(argv[1], true);
    exec(db, "PRAGMA synchronous=EXTRA");
    exec(db, "CREATE TABLE IF NOT EXISTS event(seq INTEGER, digest BLOB UNIQUE, body TEXT)");
    exec(db, "BEGIN IMMEDIATE");
    auto* st = prep(db, "INSERT OR IGNORE INTO event VALUES (?,?,?)");
    EVP_MD* md = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    EVP_MD_CTX* ctx = EVP_MD_CTX_new();
    std::ifstream in(argv[2], std::ios::binary);
    unsigned char digest[32];
    int64_t rows = 0;
    for (std::string line; std::getline(in, line);) {
        if (line.find("\"prev\":\"") == std::string::npos) continue;
        EVP_DigestInit_ex2(ctx, md, nullptr);
        EVP_DigestUpdate(ctx, line.data(), line.size());
        EVP_DigestFinal_ex(ctx, digest, nullptr);
        sqlite3_bind_int64(st, 1, ++rows);
        sqlite3_bind_blob(st, 2, digest, 32, SQLITE_STATIC);
        sqlite3_bind_text(st, 3, line.data(), static_cast<int>(line.size()), SQLITE_STATIC);
        if (sqlite3_step(st) != SQLITE_DONE) die("insert");
        sqlite3_reset(st);
    }
    sqlite3_finalize(st);
    exec(db, "COMMIT");
    if (sqlite3_close(db) != SQLITE_OK) die("close");
    std::printf("%ld events\n", static_cast<long>(rows));
}
