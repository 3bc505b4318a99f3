// Re-hashes the chain of a database made by 'sq_load ... full': the yardstick of `tarebook check`.
//   sq_chain DB
#include <openssl/evp.h>

#include "common.hpp"

namespace {

void append_hundredths(std::string& out, int64_t v) {
    out += std::to_string(v / 100);
    out += '.';
    out += static_cast<char>('0' + v % 100 / 10);
    out += static_cast<char>('0' + v % 10);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) die("sq_chain DB");
    sqlite3* db = open_db(argv[1]);
    exec(db, "PRAGMA cache_size=-262144");
    auto* st = prep(db,
                    "SELECT kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before,gross_after,"
                    "technician,job,hash FROM event ORDER BY id");
    EVP_MD_CTX* ctx = EVP_MD_CTX_new();
    EVP_MD* md = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    unsigned char h[32] = {};
    std::string line;
    int64_t rows = 0;
    while (sqlite3_step(st) == SQLITE_ROW) {
        line.clear();
        for (int c = 0; c < NCOL; ++c) {
            if (c) line += ',';
            if (c == BEFORE || c == AFTER)
                append_hundredths(line, sqlite3_column_int64(st, c));
            else if (const auto* t = sqlite3_column_text(st, c))
                line.append(reinterpret_cast<const char*>(t), static_cast<size_t>(sqlite3_column_bytes(st, c)));
        }
        EVP_DigestInit_ex2(ctx, md, nullptr);
        EVP_DigestUpdate(ctx, h, 32);
        EVP_DigestUpdate(ctx, line.data(), line.size());
        EVP_DigestFinal_ex(ctx, h, nullptr);
        if (std::memcmp(h, sqlite3_column_blob(st, NCOL), 32) != 0) die("broken at event " + std::to_string(rows + 1));
        ++rows;
    }
    sqlite3_finalize(st);
    if (sqlite3_close(db) != SQLITE_OK) die("close");
    std::printf("%ld events\n", static_cast<long>(rows));
}
