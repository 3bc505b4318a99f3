#include "power_cut.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <iterator>

namespace fault {
namespace {

Disk::Bytes bytes_of_file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

// Past every layer: these bytes are what the next process finds.
void write_file(const std::string& path, const Disk::Bytes& bytes) {
    const int fd = ::open(path.c_str(), O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, 0600);
    for (std::size_t done = 0; fd >= 0 && done < bytes.size();) {
        const auto n = ::write(fd, bytes.data() + done, bytes.size() - done);
        if (n <= 0) break;
        done += static_cast<std::size_t>(n);
    }
    if (fd >= 0) ::close(fd);
}

}  // namespace

void Disk::opened(const std::string& path, bool made) {
    auto& name = names_[path];
    if (name.now) return;
    name.now = std::make_shared<Content>();
    if (made) return;
    name.now->certain = bytes_of_file(path);
    name.certain = name.now;
}

void Disk::written(const std::string& path, std::uint64_t offset, const unsigned char* data, std::size_t size) {
    names_[path].now->pending.push_back({offset, Bytes(data, data + size), false});
}

void Disk::truncated(const std::string& path, std::uint64_t size) {
    names_[path].now->pending.push_back({size, {}, true});
}

void Disk::synced(const std::string& path) {
    auto& content = *names_[path].now;
    for (const auto& change : content.pending) apply(content.certain, change);
    content.pending.clear();
}

void Disk::removed(const std::string& path) {
    auto& name = names_[path];
    if (!name.now && !name.certain) {  // never opened by this process: it was there for certain
        name.certain = std::make_shared<Content>();
        name.certain->certain = bytes_of_file(path);
    }
    name.now.reset();
}

void Disk::folder_synced() {
    for (auto& [path, name] : names_) name.certain = name.now;
}

void Disk::apply(Bytes& bytes, const Change& change) {
    const auto offset = static_cast<std::size_t>(change.offset);
    if (change.truncates) {
        bytes.resize(offset);
        return;
    }
    if (bytes.size() < offset + change.data.size()) bytes.resize(offset + change.data.size());
    std::copy(change.data.begin(), change.data.end(), bytes.begin() + static_cast<std::ptrdiff_t>(offset));
}

void Disk::apply_in_part(Bytes& bytes, const Change& change, Fault& fault) {
    if (change.truncates) {
        if (fault.any(2) == 0) apply(bytes, change);
        return;
    }
    const auto sector = static_cast<std::size_t>(fault.claims().sector_bytes);
    const auto begin = static_cast<std::size_t>(change.offset);
    const auto end = begin + change.data.size();
    for (std::size_t at = begin / sector * sector; at < end; at += sector) {
        auto from = std::max(at, begin);
        auto to = std::min(at + sector, end);
        const auto fate = fault.any(8);
        if (fate < 3) continue;  // this sector did not reach the disk, though one behind it may
        if (bytes.size() < to) bytes.resize(to);
        std::copy(change.data.begin() + static_cast<std::ptrdiff_t>(from - begin),
                  change.data.begin() + static_cast<std::ptrdiff_t>(to - begin),
                  bytes.begin() + static_cast<std::ptrdiff_t>(from));
        if (fate < 7) continue;
        // The power went while this sector was being written.
        if (!fault.claims().power_safe_overwrite) {
            from = at;
            to = std::min(at + sector, bytes.size());
        }
        for (auto i = from; i < to; ++i) bytes[i] = static_cast<unsigned char>(fault.any(256));
    }
}

Disk::Bytes Disk::left_of(const Content& content, Fault& fault) {
    Bytes bytes = content.certain;
    const auto& pending = content.pending;
    const auto way = fault.any(4);
    if (way == 0) return bytes;  // nothing since the last sync
    if (way == 1) {              // everything, as after a mere kill
        for (const auto& change : pending) apply(bytes, change);
    } else if (way == 2) {  // up to some point in order, and that one in part
        const auto whole = pending.empty() ? 0 : static_cast<std::size_t>(fault.any(pending.size()));
        for (std::size_t i = 0; i < whole; ++i) apply(bytes, pending[i]);
        if (whole < pending.size()) apply_in_part(bytes, pending[whole], fault);
    } else {  // some of them, each wholly or in part
        for (const auto& change : pending) {
            const auto fate = fault.any(3);
            if (fate == 0) apply(bytes, change);
            if (fate == 1) apply_in_part(bytes, change, fault);
        }
    }
    return bytes;
}

void Disk::cut(Fault& fault) const {
    for (const auto& [path, name] : names_) {
        // A name that the program itself took away, not SQLite, is none of ours.
        if (name.now && ::access(path.c_str(), F_OK) != 0) continue;
        const auto& left = name.certain == name.now || fault.any(2) == 0 ? name.now : name.certain;
        if (left)
            write_file(path, left_of(*left, fault));
        else
            ::unlink(path.c_str());
    }
}

}  // namespace fault
