// What a fuzz target promises about an input. A broken promise aborts with its sentence: libFuzzer keeps the input, and
// the replay (an ordinary test) fails.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "tarebook/units/error.hpp"

/// libFuzzer's entry: each target is one file that defines it. Returns 0.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace fuzz {

inline void promise(bool kept, const char* sentence) {
    if (kept) return;
    std::fprintf(stderr, "broken promise: %s\n", sentence);
    std::abort();
}

/// A refusal is something a person can act on: it has a name, says what was wrong and what would have been taken.
inline void helpful(const tarebook::Error& error) {
    promise(!error.name.empty(), "an error has a name");
    promise(!error.what.empty(), "an error says what was refused");
}

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

}  // namespace fuzz
