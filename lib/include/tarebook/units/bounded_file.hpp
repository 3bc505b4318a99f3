// A whole file in memory, of a size that is bounded before it is read.
//
//     const auto text = read_whole("E6.proof", 1U << 20U);
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// The bytes of an ordinary file. Pipes and devices are refused, since they may never end. Errors (usage):
/// file-missing, file-not-regular, file-too-large, file-unreadable.
Result<std::string> read_whole(const std::filesystem::path& file, std::size_t most_bytes);

}  // namespace tarebook
