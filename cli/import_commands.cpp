#include "session.hpp"

namespace tarebook::cli {

void setup_import_commands(CLI::App&, Session&) {}

}  // namespace tarebook::cli
