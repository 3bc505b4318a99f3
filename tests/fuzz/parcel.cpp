// What stands in a folder that devices share: a device's notice, and a parcel. Whatever the bytes: refused, or byte for
// byte one of the seeds, which are the only ones here whose keys anybody had.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string>

#include "exchange/bundle_bytes.hpp"
#include "exchange/parcel_file.hpp"
#include "input_file.hpp"
#include "promise.hpp"
#include "tarebook/exchange/device_notice.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

const std::set<std::string, std::less<>>& parcel_seeds() {
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

void read_to_the_end(const std::filesystem::path& file) {
    // No box opens for us: what is plain is read to its end, what is sealed is refused with a sentence.
    auto lines = BundleLines::open(
        file, [](std::string_view) { return std::nullopt; }, std::string(64, '0'));
    if (!lines) return fuzz::helpful(lines.error());
    for (;;) {
        auto line = (*lines)->next();
        if (!line) return fuzz::helpful(line.error());
        if (!*line) return;
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string bytes(fuzz::text_of(data, size));
    const bool is_seed = parcel_seeds().contains(bytes);
    if (const auto notice = notice_from(bytes)) promise(is_seed, "no notice is taken that its device did not sign");
    const fuzz::InputFile file(data, size);
    const ReadFile open(file.path());
    promise(open.is_open(), "the input is a file");
    if (const auto lines = parcel_lines(open.fd())) {
        promise(lines->content_end <= size && lines->content_at <= lines->content_end,
                "a parcel's content is inside of it");
        promise(parcel_form::header_from(parcel_form::header(lines->header)).has_value(),
                "what was read can be written");
        promise(parcel_fault(open.fd(), *lines).has_value() || is_seed, "no parcel is whole that nobody signed");
    }
    read_to_the_end(file.path());
    return 0;
}
