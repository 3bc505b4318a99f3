#include "tarebook/seal.hpp"

namespace tarebook {
namespace {

std::string_view bytes_of(const Digest& digest) {
    return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

Digest node(const Digest& left, const Digest& right) {
    std::string bytes(1, '\x01');
    bytes += bytes_of(left);
    bytes += bytes_of(right);
    return digest_of(bytes);
}

}  // namespace

void MerkleTree::add(std::string_view data) {
    std::string bytes(1, '\0');
    bytes += data;
    wholes_.push_back({1, digest_of(bytes)});
    ++leaves_;
    while (wholes_.size() > 1 && wholes_[wholes_.size() - 2].leaves == wholes_.back().leaves) {
        const auto right = wholes_.back();
        wholes_.pop_back();
        auto& left = wholes_.back();
        left = {left.leaves + right.leaves, node(left.digest, right.digest)};
    }
}

Digest MerkleTree::root() const {
    if (wholes_.empty()) return digest_of(std::string_view());
    auto at = wholes_.rbegin();
    Digest out = at->digest;
    while (++at != wholes_.rend()) out = node(at->digest, out);
    return out;
}

}  // namespace tarebook
