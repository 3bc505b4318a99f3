// The register lists beside a movements file: a file of cylinders and a file of circuits, as entries of the register.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "csv.hpp"
#include "tarebook/event/event.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

namespace tarebook {

/// One row that becomes an entry; it has the values of the file and no others.
struct ListedEntry {
    EntryKind kind = EntryKind::cylinder;
    std::string code;
    FieldValues values;
    std::int64_t line = 0;
    std::string file;
};

/// `cylinder,size,refrigerant,water_capacity_lb,tare_lb,max_net_lb`. The size is a name, and the largest net weight is
/// the shop's own rule: both are read and checked, and are no part of the register. Problems: those of CsvReader and
/// CsvColumns; code-*, refrigerant-unknown, weight-*, entry-twice.
std::vector<ListedEntry> read_cylinders(const Catalogue& catalogue, ByteSource& source, const std::string& name,
                                        FileProblems& problems);

/// `site,appliance,circuit,refrigerant,nameplate_lb`: sites, appliances and circuits, in the order of their rows. The
/// full charge of an appliance is the sum of its circuits' nameplates, if each of them has one. Problems: as above;
/// refrigerant-differs if two circuits of one appliance do not agree.
std::vector<ListedEntry> read_circuits(const Catalogue& catalogue, ByteSource& source, const std::string& name,
                                       FileProblems& problems);

}  // namespace tarebook
