// The yardstick of a check of many books' events: reads every body of a book and hashes it, nothing else.
//   sha_bodies BOOK
#include <openssl/evp.h>

#include <cstring>

#include "common.hpp"

int main(int argc, char** argv) {
    if (argc != 2) die("sha_bodies BOOK");
    sqlite3* db = open_db(argv[1]);
    auto* st = prep(db, "SELECT body, digest FROM event NOT INDEXED");
    EVP_MD* md = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    EVP_MD_CTX* ctx = EVP_MD_CTX_new();
    unsigned char digest[32];
    int64_t rows = 0;
    for (; sqlite3_step(st) == SQLITE_ROW; ++rows) {
        EVP_DigestInit_ex2(ctx, md, nullptr);
        EVP_DigestUpdate(ctx, sqlite3_column_blob(st, 0), static_cast<size_t>(sqlite3_column_bytes(st, 0)));
        EVP_DigestFinal_ex(ctx, digest, nullptr);
        if (std::memcmp(digest, sqlite3_column_blob(st, 1), 32) != 0)
            die("broken at event " + std::to_string(rows + 1));
    }
    sqlite3_finalize(st);
    if (sqlite3_close(db) != SQLITE_OK) die("close");
    std::printf("%ld events\n", static_cast<long>(rows));
}
