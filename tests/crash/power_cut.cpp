#include "power_cut.hpp"

#include <fcntl.h>
#include <sys/stat.h>
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

std::string folder_of(const std::string& path) {
    return path.substr(0, path.rfind('/'));
}

}  // namespace

Disk::Name& Disk::known(const std::string& path) {
    auto& name = names_[path];
    struct ::stat about {};
    if (!name.now && !name.certain && ::lstat(path.c_str(), &about) == 0 && S_ISREG(about.st_mode)) {
        name.now = name.certain = std::make_shared<Content>();  // from before this process came
        name.now->certain = bytes_of_file(path);
    }
    return name;
}

void Disk::renaming(std::vector<Named> names) {
    for (const auto& [path, content] : names) names_[path].now = content;
    renamings_.push_back({folder_of(names.front().first), std::move(names)});
}

void Disk::opened(const std::string& path, bool made) {
    auto& name = names_[path];
    if (name.now) return;
    if (made) return renaming({{path, std::make_shared<Content>()}});
    name.now = name.certain = std::make_shared<Content>();
    name.now->certain = bytes_of_file(path);
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
    known(path);
    renaming({{path, nullptr}});
}

void Disk::renamed(const std::string& from, const std::string& to) {
    if (const auto content = names_[from].now) return renaming({{to, content}, {from, nullptr}});
    // a folder: what it holds goes along, and what was not synced in it is not by that
    const auto moved = [&](std::string& path) {
        if (path == from || path.starts_with(from + "/")) path.replace(0, from.size(), to);
    };
    std::map<std::string, Name> names;
    for (const auto& [path, name] : names_) {
        auto there = path;
        moved(there);
        names[there] = name;
    }
    names_ = std::move(names);
    for (auto& one : renamings_) {
        moved(one.folder);
        for (auto& named : one.names) moved(named.first);
    }
}

void Disk::linked(const std::string& file, const std::string& to) {
    renaming({{to, names_[file].now}});
}

void Disk::folder_synced(const std::string& folder) {
    std::erase_if(renamings_, [&](const Renaming& one) {
        if (!folder.empty() && one.folder != folder) return false;
        for (const auto& [path, content] : one.names) names_[path].certain = content;
        return true;
    });
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
    // of the names that are not certain: none, all, those up to some point, or some of them
    const auto way = fault.any(4);
    const auto some = way == 2 && !renamings_.empty() ? fault.any(renamings_.size()) : 0;
    std::map<std::string, std::shared_ptr<Content>> left;
    for (const auto& [path, name] : names_) left[path] = name.certain;
    for (std::size_t i = 0; i < renamings_.size(); ++i)
        if (way == 1 || (way == 2 && i < some) || (way == 3 && fault.any(2) == 0))
            for (const auto& [path, content] : renamings_[i].names) left[path] = content;
    std::map<const Content*, Bytes> bytes;  // a file of two names is one
    for (const auto& [path, content] : left)
        if (content && !bytes.contains(content.get())) bytes[content.get()] = left_of(*content, fault);
    for (const auto& [path, content] : left) {
        // A name that the program itself took away, unseen by SQLite, is none of ours.
        if (names_.at(path).now && ::access(path.c_str(), F_OK) != 0) continue;
        if (content)
            write_file(path, bytes[content.get()]);
        else
            ::unlink(path.c_str());
    }
}

}  // namespace fault
