#include "movements_texts.hpp"

#include <algorithm>
#include <cstring>
#include <functional>

namespace tarebook {
namespace {
constexpr std::size_t block_bytes = 256 * 1024;
constexpr std::size_t prefix_bytes = 4;
}  // namespace

TextPool::Kept::Kept(std::string_view text) : size_(static_cast<std::uint32_t>(text.size())) {
    static_assert(sizeof(Kept) == 16);
    if (is_short()) {
        std::memcpy(bytes_.data(), text.data(), text.size());
        return;
    }
    const char* at = text.data();
    std::memcpy(bytes_.data(), at, prefix_bytes);
    std::memcpy(bytes_.data() + prefix_bytes, &at, sizeof at);
}

std::string_view TextPool::Kept::view() const {
    if (is_short()) return {bytes_.data(), size_};
    const char* at = nullptr;
    std::memcpy(&at, bytes_.data() + prefix_bytes, sizeof at);
    return {at, size_};
}

bool TextPool::Kept::same(const Kept& other) const {
    if (is_short()) return std::memcmp(this, &other, sizeof *this) == 0;
    return size_ == other.size_ && view() == other.view();
}

std::size_t TextPool::Kept::hash() const {
    if (!is_short()) return std::hash<std::string_view>{}(view());
    std::uint64_t low = 0;
    std::uint32_t high = 0;
    std::memcpy(&low, bytes_.data(), sizeof low);
    std::memcpy(&high, bytes_.data() + sizeof low, sizeof high);
    std::uint64_t mixed = (low ^ (std::uint64_t{high} << 17U)) * 0x9E37'79B9'7F4A'7C15U;  // 2^64 / golden ratio
    mixed ^= mixed >> 32U;
    return (mixed + high) * 0xD6E8'FEB8'6659'FD93U >> 20U;
}

TextPool::TextPool() : texts_(1), slots_(64, 0) {}

TextId TextPool::add(std::string_view text) {
    if (text.empty()) return 0;
    const Kept wanted(text);
    if (texts_[last_].same(wanted)) return last_;
    const std::size_t mask = slots_.size() - 1;
    for (std::size_t at = wanted.hash() & mask;; at = (at + 1) & mask) {
        const TextId id = slots_[at];
        if (id == 0) {
            last_ = static_cast<TextId>(texts_.size());
            texts_.push_back(wanted.is_short() ? wanted : Kept(keep(text)));
            slots_[at] = last_;
            if (texts_.size() * 2 > slots_.size()) grow();
            return last_;
        }
        if (texts_[id].same(wanted)) return last_ = id;
    }
}

void TextPool::grow() {
    slots_.assign(slots_.size() * 2, 0);
    const std::size_t mask = slots_.size() - 1;
    for (TextId id = 1; id < texts_.size(); ++id) {
        std::size_t at = texts_[id].hash() & mask;
        while (slots_[at] != 0) at = (at + 1) & mask;
        slots_[at] = id;
    }
}

std::string_view TextPool::keep(std::string_view text) {
    if (text.size() > room_) {
        const std::size_t bytes = std::max(block_bytes, text.size());
        blocks_.push_back(std::make_unique<char[]>(bytes));
        free_ = blocks_.back().get();
        room_ = bytes;
    }
    std::memcpy(free_, text.data(), text.size());
    const std::string_view kept(free_, text.size());
    free_ += text.size();
    room_ -= text.size();
    return kept;
}

}  // namespace tarebook
