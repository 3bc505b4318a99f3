// SHA-256 by nettle, which uses the processor's own instructions if it has any: a check hashes every body.
#include <nettle/sha2.h>

#include "tarebook/event/event.hpp"
#include "units/hex.hpp"

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
template <class Bytes>
std::optional<Bytes> from_hex(std::string_view text) {
    Bytes out{};
    return read_hex(text, out) ? std::optional(out) : std::nullopt;
}
}  // namespace

std::string hex(const BookId& id) {
    return hex_of_bytes(id);
}
std::string hex(const Digest& digest) {
    return hex_of_bytes(digest);
}
bool is_practice(const BookId& id) {
    return std::equal(practice_mark.begin(), practice_mark.end(), id.end() - practice_mark.size());
}
std::optional<BookId> book_id_from_hex(std::string_view text) {
    return from_hex<BookId>(text);
}
std::optional<Digest> digest_from_hex(std::string_view text) {
    return from_hex<Digest>(text);
}

}  // namespace tarebook
