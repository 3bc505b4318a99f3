#include "sync_folder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "bundle_bytes.hpp"
#include "parcel_file.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

constexpr std::string_view unfinished_mark = ".part-";  // as NewFile has it

bool name_has(std::string_view name, std::string_view part) {
    return name.find(part) != std::string_view::npos;
}

WhyLeft why_left(ParcelFault fault) {
    switch (fault) {
        case ParcelFault::unreadable:
            return WhyLeft::unreadable;
        case ParcelFault::torn:
            return WhyLeft::torn;
        case ParcelFault::damaged:
            break;
    }
    return WhyLeft::damaged;
}

// A name that `sync` gives begins with digits of its sender: these. Nothing for any other name.
std::optional<std::string_view> sender_digits(std::string_view name) {
    constexpr std::size_t size = name_digits + 1 + 32 + parcel_ending.size();
    if (name.size() != size || !name.ends_with(parcel_ending) || name[name_digits] != '-') return std::nullopt;
    const auto digits = name.substr(0, name_digits);
    return is_hex(digits) ? std::optional(digits) : std::nullopt;
}

}  // namespace

bool is_older(const DeviceNotice& one, const DeviceNotice& other) {
    const auto rank = [](const DeviceNotice& n) { return std::tuple(n.head.seq, n.at, n.card.public_key); };
    return rank(one) < rank(other);
}

Result<FolderNames> names_in(const std::filesystem::path& folder, const BookId& own) {
    FolderNames out;
    const auto mine = hex(own).substr(0, name_digits);
    std::error_code failed;
    for (auto at = std::filesystem::directory_iterator(folder, failed); !failed && at != end(at);
         at.increment(failed)) {
        auto name = at->path().filename().string();
        if (name_has(name, unfinished_mark)) {
            if (name.starts_with("." + mine) || name.starts_with(mine)) out.unfinished.push_back(std::move(name));
        } else if (name_has(name, parcel_ending)) {
            out.parcels.push_back(std::move(name));
        } else if (name_has(name, notice_ending)) {
            out.notices.push_back(std::move(name));
        }
    }
    if (failed)
        return fail({ErrorKind::storage, "sync-folder", "the folder cannot be read",
                     folder.string() + ": " + failed.message(),
                     "a folder that is there, such as a stick that is plugged in or a share that is connected",
                     "make it, plug it in or connect it, then the same command again"});
    std::sort(out.parcels.begin(), out.parcels.end());
    std::sort(out.notices.begin(), out.notices.end());
    return out;
}

std::vector<FolderNotice> notices_in(const std::filesystem::path& folder, const std::vector<std::string>& names,
                                     std::vector<LeftFile>& left) {
    std::map<BookId, FolderNotice> latest;
    for (const auto& name : names) {
        const auto bytes = read_whole(folder / name, largest_notice);
        auto notice = bytes ? notice_from(*bytes) : std::nullopt;
        if (!notice) {
            left.push_back({name, bytes ? WhyLeft::damaged : WhyLeft::unreadable, {}});
            continue;
        }
        auto [at, fresh] = latest.try_emplace(notice->card.book);
        if (fresh || is_older(at->second.notice, *notice)) at->second = {name, std::move(*notice)};
    }
    std::vector<FolderNotice> out;
    for (auto& [book, one] : latest) out.push_back(std::move(one));
    return out;
}

std::vector<FolderParcel> parcels_in(const std::filesystem::path& folder, const std::vector<std::string>& names,
                                     const std::function<bool(std::string_view)>& passes_over,
                                     std::vector<LeftFile>& left) {
    std::vector<FolderParcel> out;
    std::map<std::string, std::size_t> seen;  // by all that was read of it
    for (const auto& name : names) {
        if (const auto digits = sender_digits(name); digits && passes_over(*digits)) continue;
        const ReadFile file(folder / name);
        if (!file.is_open()) {
            left.push_back({name, WhyLeft::unreadable, {}});
            continue;
        }
        auto lines = parcel_lines(file.fd());
        if (!lines) {
            left.push_back({name, why_left(lines.error()), {}});
            continue;
        }
        FolderParcel one{name, {}, lines->header, lines->closing.digest, lines->content_end + parcel_form::closing_size,
                         {}};
        auto read = hex(one.digest) + parcel_form::header(one.header);
        for (auto& box : lines->boxes) {
            read += box.public_key;
            one.keys.insert(std::move(box.public_key));
        }
        const auto [at, fresh] = seen.try_emplace(std::move(read), out.size());
        if (fresh)
            out.push_back(std::move(one));
        else
            out[at->second].doubles.push_back(name);
    }
    return out;
}

ParcelLook look_at(const std::filesystem::path& folder, const FolderParcel& parcel) {
    ParcelLook out{parcel.name, WhyLeft::unreadable};
    for (auto at = parcel.doubles.size() + 1; at > 0; --at) {
        const auto& name = at > parcel.doubles.size() ? parcel.name : parcel.doubles[at - 1];
        const ReadFile file(folder / name);
        const auto lines = file.is_open() ? parcel_lines(file.fd()) : tl::unexpected(ParcelFault::unreadable);
        if (!lines) continue;
        if (lines->closing.digest != parcel.digest) continue;  // it was replaced just now
        const auto fault = parcel_fault(file.fd(), *lines);
        if (!fault) return {name, std::nullopt};
        out.fault = why_left(*fault);
    }
    return out;
}

}  // namespace tarebook
