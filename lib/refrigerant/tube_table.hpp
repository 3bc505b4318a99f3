// The generated table. compile_tubes writes its definition into the build folder.
#pragma once

#include "tarebook/refrigerant/tube.hpp"

namespace tarebook {

extern const std::span<const TubeSize> tube_table;

}  // namespace tarebook
