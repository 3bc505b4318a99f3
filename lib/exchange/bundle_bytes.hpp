// The bytes of a bundle: plain, or sealed to one key, or a parcel that is sealed to several. What is sealed is
// libsodium's secretstream (XChaCha20-Poly1305) in pieces of 64 KiB under a key of its own, which is sealed to each
// receiver (X25519 sealed box): at most one piece is in memory.
#pragma once

#include <cstdio>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "parcel_form.hpp"
#include "tarebook/event/event.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

class BundleWriter {
 public:
    /// Errors: cannot-write, key-format.
    static Result<std::unique_ptr<BundleWriter>> open(const std::filesystem::path& file,
                                                      const std::optional<std::string>& seal_to);
    /// Begins a parcel in a folder. `header.devices` is set to the number of `keys`, those of the devices to which it
    /// is sealed; without `sealed` it is plain. Errors: as open().
    static Result<std::unique_ptr<BundleWriter>> open_parcel(const std::filesystem::path& folder,
                                                             parcel_form::Header header,
                                                             const std::vector<std::string>& keys);
    ~BundleWriter();
    BundleWriter(const BundleWriter&) = delete;
    BundleWriter& operator=(const BundleWriter&) = delete;
    void write(std::string_view bytes);
    /// Returns when the whole file is on the disk. Error: cannot-write.
    Result<std::uint64_t> close();
    /// The same of a parcel: it takes the name of its content. `sign`: 64 bytes under the sender's key.
    Result<std::uint64_t> close_parcel(const std::function<std::string(std::string_view)>& sign);

 private:
    struct State;
    explicit BundleWriter(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

/// Writes a bundle's lines, and knows their digest: its last line is signed over it.
class DigestedLines {
 public:
    explicit DigestedLines(BundleWriter& writer) : writer_(writer) {}
    void line(std::string_view text);
    [[nodiscard]] std::int64_t lines() const { return lines_; }
    /// Of all lines so far, each with its "\n".
    Digest digest() { return hasher_.digest(); }

 private:
    BundleWriter& writer_;
    Hasher hasher_;
    std::int64_t lines_ = 0;
};

/// How the names of a shared folder's files end, and how its files begin that are not there yet.
inline constexpr std::string_view parcel_ending = ".tarebook-parcel", notice_ending = ".tarebook-device";
inline constexpr std::size_t name_digits = 16;  ///< of its sender's id, with which each name begins
std::string parcel_name(const BookId& sender, const Digest& digest);
std::string notice_name(const BookId& sender);

/// Error (refused): file-exists, where a file has that name; a bundle replaces none.
std::optional<Error> name_in_use(const std::filesystem::path& to);

class BundleLines {
 public:
    using Unseal = std::function<std::optional<std::string>(std::string_view)>;
    /// Of a bundle or a parcel. `public_key`: for which `unseal` opens, in hex. Errors: bundle-missing, bundle-sealed,
    /// bundle-torn.
    static Result<std::unique_ptr<BundleLines>> open(const std::filesystem::path& file, const Unseal& unseal,
                                                     std::string_view public_key);
    /// Reads a plain bundle that is in memory already.
    static std::unique_ptr<BundleLines> of(std::string_view bytes);
    ~BundleLines();
    BundleLines(const BundleLines&) = delete;
    BundleLines& operator=(const BundleLines&) = delete;
    /// The next line without its end, valid until the next call; empty at the end of the file. Errors: bundle-torn,
    /// bundle-line-long, bundle-sealed.
    Result<std::optional<std::string_view>> next();

 private:
    struct State;
    explicit BundleLines(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

}  // namespace tarebook
