#include <algorithm>
#include <cctype>

#include "server_engine.hpp"

namespace tarebook {

ServerSql server_sql(std::string_view sql) {
    ServerSql out;
    bool literal = false;
    const auto skip = [&](std::size_t& i, std::string_view words) {
        if (literal || !sql.substr(i).starts_with(words)) return false;
        i += words.size() - 1;
        return true;
    };
    for (std::size_t i = 0; i < sql.size(); ++i) {
        if (sql[i] == '\'') literal = !literal;
        if (skip(i, " NOT INDEXED") || skip(i, "CROSS ")) continue;
        if (literal || sql[i] != '?') {
            out.text += sql[i];
            continue;
        }
        int number = 0;
        for (; i + 1 < sql.size() && std::isdigit(static_cast<unsigned char>(sql[i + 1])); ++i)
            number = number * 10 + (sql[i + 1] - '0');
        if (number == 0) number = out.values + 1;  // as SQLite counts them
        out.values = std::max(out.values, number);
        out.text += '$' + std::to_string(number);
    }
    return out;
}

}  // namespace tarebook
