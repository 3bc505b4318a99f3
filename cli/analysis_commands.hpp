// Sub-commands of `export` that make tables for analysts.
#pragma once

#include "session.hpp"

namespace tarebook::cli {

/// `export sqlite` and `export tables`.
void add_analysis_exports(CLI::App& exported, Session& session);

}  // namespace tarebook::cli
