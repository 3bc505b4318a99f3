// Several fuzz targets in one program, which is called by the name of each: fuzz_bundle, fuzz_csv ...
#include <string>

#include "promise.hpp"

// TAREBOOK_FUZZ_TARGETS: TARGET(bundle)TARGET(csv)...; each defines fuzz_bundle(), fuzz_csv() ...
#define TARGET(name) extern "C" int fuzz_##name(const std::uint8_t* data, std::size_t size);
TAREBOOK_FUZZ_TARGETS
#undef TARGET

namespace {

struct Target {
    std::string_view name;
    int (*run)(const std::uint8_t* data, std::size_t size);
};
#define TARGET(name) {#name, fuzz_##name},
constexpr Target targets[] = {TAREBOOK_FUZZ_TARGETS};
#undef TARGET

const Target* chosen = nullptr;

}  // namespace

extern "C" int LLVMFuzzerInitialize(int*, char*** words);
extern "C" int LLVMFuzzerInitialize(int*, char*** words) {
    const std::string_view called = **words;
    for (const auto& target : targets)
        if (called.ends_with(std::string("fuzz_").append(target.name))) chosen = &target;
    if (!chosen) {
        std::fprintf(stderr, "call it by the name of a target, such as fuzz_bundle\n");
        std::exit(2);
    }
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    return chosen->run(data, size);
}
