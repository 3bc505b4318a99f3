// In place of server_engine.cpp where the headers of PostgreSQL's client were not there when the program was built.
#include "server_engine.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

std::unique_ptr<Engine> server_engine(const std::filesystem::path& address) {
    throw StorageError("this program was built without PostgreSQL's client library, and cannot open " +
                           address.string() + ". Nothing was written.",
                       "build it where libpq-dev is installed, or keep the book in a file");
}

}  // namespace tarebook
