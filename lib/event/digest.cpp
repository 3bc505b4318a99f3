// SHA-256 by nettle, which uses the processor's own instructions if it has any: a check hashes every body.
#include <nettle/sha2.h>

#include "tarebook/event/event.hpp"

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

struct Hasher::State {
    sha256_ctx context{};
};
Hasher::Hasher() : state_(std::make_unique<State>()) {
    sha256_init(&state_->context);
}
Hasher::~Hasher() = default;
void Hasher::add(std::string_view bytes) {
    sha256_update(&state_->context, bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
}
Digest Hasher::digest() {
    Digest digest;
    sha256_digest(&state_->context, digest.size(), digest.data());
    return digest;
}

namespace {
template <std::size_t N>
std::string hex_of(const std::array<std::uint8_t, N>& bytes) {
    return hex_of_bytes({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
}
template <std::size_t N>
std::optional<std::array<std::uint8_t, N>> from_hex(std::string_view text) {
    if (text.size() != 2 * N) return std::nullopt;
    static constexpr auto values = [] {
        std::array<std::int8_t, 256> v{};
        v.fill(-1);
        for (int i = 0; i < 10; ++i) v[static_cast<std::size_t>('0' + i)] = static_cast<std::int8_t>(i);
        for (int i = 0; i < 6; ++i) v[static_cast<std::size_t>('a' + i)] = static_cast<std::int8_t>(10 + i);
        return v;
    }();
    std::array<std::uint8_t, N> out{};
    for (std::size_t i = 0; i < N; ++i) {
        const int high = values[static_cast<unsigned char>(text[2 * i])];
        const int low = values[static_cast<unsigned char>(text[2 * i + 1])];
        if (high < 0 || low < 0) return std::nullopt;
        out[i] = static_cast<std::uint8_t>(high * 16 + low);
    }
    return out;
}
}  // namespace

std::string hex_of_bytes(std::string_view bytes) {
    static constexpr char digits[] = "0123456789abcdef";
    std::string out(2 * bytes.size(), '0');
    auto at = out.begin();
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        *at++ = digits[byte >> 4U];
        *at++ = digits[byte & 15U];
    }
    return out;
}
std::string hex(const BookId& id) {
    return hex_of(id);
}
std::string hex(const Digest& digest) {
    return hex_of(digest);
}
bool is_practice(const BookId& id) {
    return std::equal(practice_mark.begin(), practice_mark.end(), id.end() - practice_mark.size());
}
std::optional<BookId> book_id_from_hex(std::string_view text) {
    return from_hex<16>(text);
}
std::optional<Digest> digest_from_hex(std::string_view text) {
    return from_hex<32>(text);
}

}  // namespace tarebook
