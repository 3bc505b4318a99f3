// SHA-256 by nettle, which uses the processor's own instructions where there are any: a check hashes every body.
#include <nettle/sha2.h>

#include "tarebook/event.hpp"

namespace tarebook {

Digest digest_of(std::string_view body) {
    static_assert(SHA256_DIGEST_SIZE == std::tuple_size_v<Digest>);
    Digest digest;
    sha256_ctx context;
    sha256_init(&context);
    sha256_update(&context, body.size(), reinterpret_cast<const std::uint8_t*>(body.data()));
    sha256_digest(&context, digest.size(), digest.data());
    return digest;
}

namespace {
template <std::size_t N>
std::string hex_of(const std::array<std::uint8_t, N>& bytes) {
    static constexpr char digits[] = "0123456789abcdef";
    std::string out;
    out.reserve(2 * N);
    for (const auto b : bytes) out += digits[b >> 4U], out += digits[b & 15U];
    return out;
}
template <std::size_t N>
std::optional<std::array<std::uint8_t, N>> from_hex(std::string_view text) {
    if (text.size() != 2 * N) return std::nullopt;
    std::array<std::uint8_t, N> out{};
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        int v = -1;
        if (c >= '0' && c <= '9') v = c - '0';
        if (c >= 'a' && c <= 'f') v = c - 'a' + 10;
        if (v < 0) return std::nullopt;
        out[i / 2] = static_cast<std::uint8_t>(out[i / 2] * 16 + v);
    }
    return out;
}
}  // namespace

std::string hex(const BookId& id) {
    return hex_of(id);
}
std::string hex(const Digest& digest) {
    return hex_of(digest);
}
std::optional<BookId> book_id_from_hex(std::string_view text) {
    return from_hex<16>(text);
}
std::optional<Digest> digest_from_hex(std::string_view text) {
    return from_hex<32>(text);
}

}  // namespace tarebook
