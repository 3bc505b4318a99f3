// The engine of a book on a PostgreSQL server.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "engine.hpp"

namespace tarebook {

/// Connects. Throws DbError, and StorageError if this build or this machine cannot talk to a server.
std::unique_ptr<Engine> server_engine(const std::filesystem::path& address);

/// The SQL of a file's engine as the server takes it: question marks become $1, $2 ..., and words that only tell SQLite
/// in which order to read are left out. The few texts that differ otherwise are chosen by Db::on_server().
struct ServerSql {
    std::string text;
    int values = 0;  ///< how many it takes
};
ServerSql server_sql(std::string_view sql);

}  // namespace tarebook
