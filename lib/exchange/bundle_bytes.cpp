#include "bundle_bytes.hpp"
#include "parcel_file.hpp"
#include "tarebook/units/new_file.hpp"
#include "units/hex.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sodium.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>

namespace tarebook {
namespace {

constexpr std::string_view sealed_begin = "tarebook sealed bundle 1\n";
constexpr std::size_t piece = 64U * 1024U;
constexpr std::size_t longest_line = 64U * 1024U;

using Stream = crypto_secretstream_xchacha20poly1305_state;
constexpr auto header_size = crypto_secretstream_xchacha20poly1305_HEADERBYTES;
constexpr auto key_size = crypto_secretstream_xchacha20poly1305_KEYBYTES;
constexpr auto more_size = crypto_secretstream_xchacha20poly1305_ABYTES;

Error bytes_error(std::string name, std::string what, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name), std::move(what), {}, std::move(expected), std::move(next)};
}
Error cannot_write(const std::filesystem::path& file) {
    return {ErrorKind::storage,
            "cannot-write",
            fmt::format("{} cannot be written: {}", file.string(), std::strerror(errno)),
            {},
            "a folder that may be written, with room",
            "choose another place with --to FILE"};
}
Error not_sealed_to_us() {
    return bytes_error("bundle-sealed", "the bundle is sealed to another book, or it is damaged",
                       "a bundle that was sealed to this book's key", "send it again: tarebook send --seal-to NAME");
}

}  // namespace

struct BundleWriter::State {
    std::filesystem::path name;
    std::optional<NewFile> file;
    bool sealed = false;
    Stream stream{};
    std::string waiting;
    std::uint64_t bytes = 0;
    std::optional<BookId> sender;  ///< of a parcel
    std::optional<Hasher> hasher;  ///< of its bytes

    void put(std::string_view out) {
        if (hasher) hasher->add(out);
        if (file->write(out)) bytes += out.size();
    }
    // Begins a stream that each of the keys opens.
    Result<std::vector<parcel_form::Box>> seal(const std::vector<std::string>& keys, std::string& header) {
        std::array<unsigned char, key_size> key{};
        crypto_secretstream_xchacha20poly1305_keygen(key.data());
        std::vector<parcel_form::Box> out;
        for (const auto& one : keys) {
            std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> signing{};
            std::array<unsigned char, crypto_box_PUBLICKEYBYTES> open{};
            if (!read_hex(one, signing) || crypto_sign_ed25519_pk_to_curve25519(open.data(), signing.data()) != 0)
                return fail({ErrorKind::refused,
                             "key-format",
                             "that is not the key of a book",
                             one,
                             "64 hexadecimal digits, as a card of `tarebook books card` has them",
                             {}});
            std::string sealed_key(key.size() + crypto_box_SEALBYTES, '\0');
            crypto_box_seal(reinterpret_cast<unsigned char*>(sealed_key.data()), key.data(), key.size(), open.data());
            out.push_back({std::move(sealed_key), one});
        }
        header.assign(header_size, '\0');
        crypto_secretstream_xchacha20poly1305_init_push(&stream, reinterpret_cast<unsigned char*>(header.data()),
                                                        key.data());
        sodium_memzero(key.data(), key.size());
        sealed = true;
        return out;
    }
    void put_piece(std::string_view in, bool last) {
        if (!sealed) return put(in);
        std::string out(in.size() + more_size, '\0');
        crypto_secretstream_xchacha20poly1305_push(
            &stream, reinterpret_cast<unsigned char*>(out.data()), nullptr,
            reinterpret_cast<const unsigned char*>(in.data()), in.size(), nullptr, 0,
            last ? crypto_secretstream_xchacha20poly1305_TAG_FINAL : crypto_secretstream_xchacha20poly1305_TAG_MESSAGE);
        put(out);
    }
};

BundleWriter::BundleWriter(std::unique_ptr<State> state) : state_(std::move(state)) {}
BundleWriter::~BundleWriter() = default;

Result<std::unique_ptr<BundleWriter>> BundleWriter::open(const std::filesystem::path& file,
                                                         const std::optional<std::string>& seal_to) {
    auto state = std::make_unique<State>();
    state->name = file;
    std::string begin;
    if (seal_to) {
        std::string header;
        const auto boxes = state->seal({*seal_to}, header);
        if (!boxes) return fail(boxes.error());
        begin = std::string(sealed_begin) + boxes->front().box + header;
    }
    state->file.emplace(file);
    if (!state->file->is_open()) return fail(cannot_write(file));
    state->put(begin);
    return std::unique_ptr<BundleWriter>(new BundleWriter(std::move(state)));
}

Result<std::unique_ptr<BundleWriter>> BundleWriter::open_parcel(const std::filesystem::path& folder,
                                                                parcel_form::Header header,
                                                                const std::vector<std::string>& keys) {
    auto state = std::make_unique<State>();
    state->sender = header.sender;
    std::string begin, stream;
    std::vector<parcel_form::Box> boxes;
    if (header.sealed) {
        auto sealed = state->seal(keys, stream);
        if (!sealed) return fail(sealed.error());
        boxes = std::move(*sealed);
    }
    header.devices = static_cast<std::int64_t>(boxes.size());
    begin = parcel_form::header(header) + "\n";
    for (const auto& one : boxes) begin += parcel_form::box(one) + "\n";
    // Until its content is known it has a name of its own: two programs may have one number on two machines.
    std::array<unsigned char, 8> random{};
    randombytes_buf(random.data(), random.size());
    state->name = folder / fmt::format(".{}-{}", hex(header.sender).substr(0, name_digits), hex_of_bytes(random));
    state->file.emplace(state->name, Readers::by_umask);
    if (!state->file->is_open()) return fail(cannot_write(folder));
    state->hasher.emplace();
    state->put(begin + stream);
    return std::unique_ptr<BundleWriter>(new BundleWriter(std::move(state)));
}

Result<std::uint64_t> BundleWriter::close_parcel(const std::function<std::string(std::string_view)>& sign) {
    auto& s = *state_;
    s.put_piece(s.waiting, true);
    const auto digest = s.hasher->digest();
    s.hasher.reset();
    s.put(parcel_form::closing(digest, hex_of_bytes(sign(parcel_form::message(digest)))));
    const auto folder = s.name.parent_path();
    s.name = folder / parcel_name(*s.sender, digest);
    s.file->call(s.name);
    // What has that name is the same, or it was damaged: it is replaced. Where the disk is not sure, the next look at
    // the folder finds it, or writes it again.
    if (const auto named = s.file->replace(); named == Named::no) return fail(cannot_write(folder));
    return s.bytes;
}

void BundleWriter::write(std::string_view bytes) {
    auto& s = *state_;
    s.waiting += bytes;
    while (s.waiting.size() > piece) {
        s.put_piece(std::string_view(s.waiting).substr(0, piece), false);
        s.waiting.erase(0, piece);
    }
}

void DigestedLines::line(std::string_view text) {
    for (const auto piece : {text, std::string_view("\n")}) {
        writer_.write(piece);
        hasher_.add(piece);
    }
    ++lines_;
}

Result<std::uint64_t> BundleWriter::close() {
    auto& s = *state_;
    s.put_piece(s.waiting, true);
    // what the file has is noted as sent next
    const auto named = s.file->take_name();
    if (named == Named::unsure)
        throw StorageError(fmt::format("{} is written, but the disk did not confirm it: {}. It is not noted as sent.",
                                       s.name.string(), std::strerror(errno)),
                           "check the disk, then send it again to another file", Written::unknown, true);
    if (named != Named::yes) return fail(cannot_write(s.name));
    return s.bytes;
}

struct BundleLines::State {
    int fd = -1;
    bool sealed = false, ended = false, final_piece = false;
    std::uint64_t left =
        UINT64_MAX;  // bytes of the file that are of the bundle: behind a parcel's there is its closing line
    Stream stream{};
    std::string buffer;  // read from the file, not yet handed out
    std::size_t at = 0;

    bool read_exactly(char* out, std::size_t n, std::size_t& got) {
        got = 0;
        n = static_cast<std::size_t>(std::min<std::uint64_t>(n, left));
        while (got < n) {
            const auto k = ::read(fd, out + got, n - got);
            if (k < 0 && errno == EINTR) continue;
            if (k < 0) return false;
            if (k == 0) break;
            got += static_cast<std::size_t>(k);
        }
        left -= got;
        return true;
    }
    // The stream goes on from here, with the key from the box.
    bool begin_stream(std::optional<std::string> key) {
        std::string header(header_size, '\0');
        std::size_t got = 0;
        if (!read_exactly(header.data(), header.size(), got) || got != header.size() || !key || key->size() != key_size)
            return false;
        sealed = crypto_secretstream_xchacha20poly1305_init_pull(
                     &stream, reinterpret_cast<const unsigned char*>(header.data()),
                     reinterpret_cast<const unsigned char*>(key->data())) == 0;
        sodium_memzero(key->data(), key->size());
        return sealed;
    }
    Result<void> begin_parcel(const Unseal& unseal, std::string_view public_key) {
        const auto lines = parcel_lines(fd);
        if (!lines)
            return fail(bytes_error("bundle-torn", "the parcel is not whole, or it was damaged",
                                    "a file as `tarebook sync` wrote it", "wait until all of it is there"));
        if (::lseek(fd, static_cast<off_t>(lines->content_at), SEEK_SET) < 0) return fail(not_sealed_to_us());
        left = lines->content_end - lines->content_at;
        if (!lines->header.sealed) return {};
        for (const auto& one : lines->boxes)
            if (one.public_key == public_key && begin_stream(unseal(one.box))) return {};
        return fail(not_sealed_to_us());
    }
    Result<void> fill() {
        buffer.erase(0, at);
        at = 0;
        std::string in(piece + (sealed ? more_size : 0), '\0');
        std::size_t got = 0;
        if (!read_exactly(in.data(), in.size(), got))
            return fail(bytes_error("bundle-torn",
                                    fmt::format("the bundle cannot be read to its end: {}", std::strerror(errno)),
                                    "a file that can be read", "copy it again"));
        in.resize(got);
        if (got == 0) ended = true;
        if (!sealed) {
            buffer += in;
            return {};
        }
        if (got == 0) return final_piece ? Result<void>{} : Result<void>(fail(not_sealed_to_us()));
        if (got < more_size || final_piece) return fail(not_sealed_to_us());
        std::string out(got - more_size, '\0');
        unsigned char tag = 0;
        if (crypto_secretstream_xchacha20poly1305_pull(&stream, reinterpret_cast<unsigned char*>(out.data()), nullptr,
                                                       &tag, reinterpret_cast<const unsigned char*>(in.data()), got,
                                                       nullptr, 0) != 0)
            return fail(not_sealed_to_us());
        final_piece = tag == crypto_secretstream_xchacha20poly1305_TAG_FINAL;
        buffer += out;
        return {};
    }
};

BundleLines::BundleLines(std::unique_ptr<State> state) : state_(std::move(state)) {}
BundleLines::~BundleLines() {
    if (state_->fd >= 0) ::close(state_->fd);
}

Result<std::unique_ptr<BundleLines>> BundleLines::open(const std::filesystem::path& file, const Unseal& unseal,
                                                       std::string_view public_key) {
    auto state = std::make_unique<State>();
    state->fd = ::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);  // a pipe does not make it wait
    std::unique_ptr<BundleLines> out(new BundleLines(std::move(state)));
    auto& s = *out->state_;
    struct stat about {};
    if (s.fd < 0 || ::fstat(s.fd, &about) != 0 || !S_ISREG(about.st_mode))
        return fail({ErrorKind::usage,
                     "bundle-missing",
                     fmt::format("{} cannot be read", file.string()),
                     {},
                     "a bundle that `tarebook send` made",
                     {}});
    std::string begin(sealed_begin.size(), '\0');
    std::size_t got = 0;
    if (!s.read_exactly(begin.data(), begin.size(), got)) got = 0;
    begin.resize(got);
    if (begin.starts_with(parcel_form::beginning)) {
        s.left = UINT64_MAX;
        if (auto begun = s.begin_parcel(unseal, public_key); !begun) return fail(begun.error());
        return out;
    }
    if (begin != sealed_begin) {
        s.buffer = begin;
        return out;
    }
    std::string sealed(key_size + crypto_box_SEALBYTES, '\0');
    if (!s.read_exactly(sealed.data(), sealed.size(), got) || got != sealed.size() || !s.begin_stream(unseal(sealed)))
        return fail(not_sealed_to_us());
    return out;
}

std::unique_ptr<BundleLines> BundleLines::of(std::string_view bytes) {
    auto state = std::make_unique<State>();
    state->buffer = bytes;
    state->ended = true;
    return std::unique_ptr<BundleLines>(new BundleLines(std::move(state)));
}

Result<std::optional<std::string_view>> BundleLines::next() {
    auto& s = *state_;
    for (std::size_t searched = s.at;;) {
        const auto end = s.buffer.find('\n', searched);
        if (end != std::string::npos && end - s.at <= longest_line) {
            const auto line = std::string_view(s.buffer).substr(s.at, end - s.at);
            s.at = end + 1;
            return line;
        }
        if (s.buffer.size() - s.at > longest_line)
            return fail(bytes_error("bundle-line-long", "a line is longer than 64 KiB",
                                    "lines as `tarebook send` writes them",
                                    "the file is not a bundle, or it was damaged on its way: copy it again"));
        if (s.ended) {
            if (s.at == s.buffer.size()) return std::optional<std::string_view>();
            return fail(bytes_error("bundle-torn", "the last line does not end", "a whole bundle", "copy it again"));
        }
        searched = s.buffer.size() - s.at;
        if (auto filled = s.fill(); !filled) return fail(filled.error());
    }
}

std::string parcel_name(const BookId& sender, const Digest& digest) {
    return fmt::format("{}-{}{}", hex(sender).substr(0, name_digits), hex(digest).substr(0, 32), parcel_ending);
}
std::string notice_name(const BookId& sender) {
    return hex(sender) + std::string(notice_ending);
}

std::optional<Error> name_in_use(const std::filesystem::path& to) {
    std::error_code ignored;
    if (!std::filesystem::exists(to, ignored)) return std::nullopt;
    return Error{ErrorKind::refused,
                 "file-exists",
                 fmt::format("{} exists already", to.string()),
                 {},
                 "a name that is not in use",
                 "choose another one with --to FILE"};
}

}  // namespace tarebook
