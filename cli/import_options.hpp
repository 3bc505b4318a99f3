// Shared by the import commands.
#pragma once

#include <nlohmann/json.hpp>
#include <vector>

#include "session.hpp"
#include "tarebook/exchange/mapped_import.hpp"
#include "tarebook/report/sealed_years.hpp"

namespace tarebook::cli {

struct MapOptions {
    std::string file;
    Text map;
    bool dry_run = false;
};

void add_map_options(CLI::App& command, MapOptions& words);
int import_by_map(const Session& session, MapKind kind, const MapOptions& words);
/// For the report of an import.
nlohmann::ordered_json sealed_years_json(const std::vector<SealedYear>& years);
/// Adds `cylinders`, `sites` and `blank` to the group of import commands.
void setup_mapped_imports(CLI::App& group, Session& session);

}  // namespace tarebook::cli
