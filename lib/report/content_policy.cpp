#include "content_policy.hpp"

#include <fmt/format.h>
#include <nettle/base64.h>

#include <tuple>

#include "tarebook/event/event.hpp"

namespace tarebook::report {

std::string policy_hash(std::string_view inline_text) {
    const auto digest = digest_of(inline_text);
    std::string text(BASE64_ENCODE_RAW_LENGTH(std::tuple_size_v<Digest>), '\0');
    base64_encode_raw(text.data(), digest.size(), digest.data());
    return fmt::format("'sha256-{}'", text);
}

}  // namespace tarebook::report
