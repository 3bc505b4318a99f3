// Bundles, as a hostile sender may make them. Whatever the bytes: refused with a sentence, or byte for byte one of the
// seeds, which are the only bundles here whose keys anybody had. And each line that is called canonical is what a JSON
// library makes of it.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "promise.hpp"
#include "tarebook/event/canonical_json.hpp"
#include "tarebook/exchange/bundle.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

// That of the seeds.
constexpr std::string_view shop_of_seeds = "eba8ef6c83565d3feaa8e2fa486975c2";

const std::set<std::string, std::less<>>& seeds() {
    static const auto all = [] {
        std::set<std::string, std::less<>> out;
        for (const auto& file : std::filesystem::directory_iterator(TAREBOOK_FUZZ_SEEDS)) {
            std::ifstream in(file.path(), std::ios::binary);
            out.emplace(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
        }
        return out;
    }();
    return all;
}

void canonical_is_canonical(std::string_view line) {
    if (not_canonical(line)) return;
    const auto tree = nlohmann::json::parse(line, nullptr, false);
    promise(!tree.is_discarded(), "canonical bytes are JSON");
    promise(tree.dump() == line, "canonical bytes are those that a JSON library writes");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto bytes = fuzz::text_of(data, size);
    const auto verified = verify_bundle(bytes, *book_id_from_hex(shop_of_seeds));
    if (verified)
        promise(seeds().contains(bytes), "nothing is taken that nobody signed");
    else
        fuzz::helpful(verified.error());

    for (auto rest = bytes; !rest.empty();) {
        const auto line = rest.substr(0, rest.find('\n'));
        canonical_is_canonical(line);
        rest.remove_prefix(std::min(rest.size(), line.size() + 1));
    }
    return 0;
}
