#include "session.hpp"

namespace tarebook::cli {

void setup_job_commands(CLI::App&, Session&) {}

}  // namespace tarebook::cli
