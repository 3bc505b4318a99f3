// Reads the parts of refrigerants that the build and a person's own file share.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "catalogue_source.hpp"
#include "checked_yaml.hpp"

namespace tarebook::catalogue {

std::vector<std::string_view> refrigerant_fields();
SourceRefrigerant read_refrigerant(const CheckedMap& entry, const std::string& designation);
void check_designation(const CheckedMap& all, const std::string& designation);
/// `bad` gets column and reason. Precondition: it does not return. `last`: the row before, if there is one.
void check_row(const SourceRow* last, const SourceRow& row,
               const std::function<void(const char* column, const char* why)>& bad);

}  // namespace tarebook::catalogue
