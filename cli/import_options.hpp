// Shared by the import commands.
#pragma once

#include "session.hpp"
#include "tarebook/exchange/mapped_import.hpp"

namespace tarebook::cli {

struct MapOptions {
    std::string file;
    Text map;
    bool dry_run = false;
};

void add_map_options(CLI::App& command, MapOptions& words);
int import_by_map(const Session& session, MapKind kind, const MapOptions& words);
/// Adds `cylinders`, `sites` and `blank` to the group of import commands.
void setup_mapped_imports(CLI::App& group, Session& session);

}  // namespace tarebook::cli
