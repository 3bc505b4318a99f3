// Texts that recur, each kept once and named by a number: a cell of a million rows then takes four bytes.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <string_view>
#include <vector>

namespace tarebook {

using TextId = std::uint32_t;

class TextPool {
 public:
    TextPool();
    /// Number 0 is the empty text.
    TextId add(std::string_view text);
    /// Valid until the next add.
    [[nodiscard]] std::string_view operator[](TextId id) const { return texts_[id].view(); }
    [[nodiscard]] std::size_t size() const { return texts_.size(); }

 private:
    // Codes are short: texts of up to twelve bytes are in the table itself, so that finding one reads one cache line
    // and not two. Of a longer text the table has the first bytes and a pointer.
    class Kept {
     public:
        Kept() = default;
        explicit Kept(std::string_view text);  ///< keeps a pointer to a long one
        [[nodiscard]] std::string_view view() const;
        [[nodiscard]] bool is_short() const { return size_ <= bytes_.size(); }
        [[nodiscard]] bool same(const Kept& other) const;
        [[nodiscard]] std::size_t hash() const;

     private:
        std::uint32_t size_ = 0;
        std::array<char, 12> bytes_{};
    };

    void grow();
    std::string_view keep(std::string_view text);

    std::vector<std::unique_ptr<char[]>> blocks_;
    std::size_t room_ = 0;
    char* free_ = nullptr;
    std::vector<Kept> texts_;
    std::vector<TextId> slots_;  // open addressing; 0 is a free slot, because the empty text is never looked up
    TextId last_ = 0;            // neighbouring rows often have the same text
};

}  // namespace tarebook
