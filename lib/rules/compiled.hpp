// The generated tables. compile_rules writes their definition into the build folder.
#pragma once

#include <span>

#include "pack_source.hpp"

namespace tarebook::rules {

extern const std::span<const CompiledSource> compiled_sources;

/// For the generated `pack` functions alone.
RulePack build_compiled(const CompiledSource& source);

}  // namespace tarebook::rules
