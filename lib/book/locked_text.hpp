// A text that is kept out of swap space and core dumps, and wiped before its memory is given back.
#pragma once

#include <sodium.h>

#include <cstring>
#include <memory>
#include <new>
#include <string_view>

namespace tarebook {

class LockedText {
 public:
    LockedText() = default;
    LockedText& operator=(std::string_view text) {
        bytes_.reset(static_cast<char*>(sodium_malloc(text.size() + 1)));
        if (!bytes_) throw std::bad_alloc();
        if (!text.empty()) std::memcpy(bytes_.get(), text.data(), text.size());
        size_ = text.size();
        return *this;
    }
    [[nodiscard]] std::string_view view() const { return {bytes_.get(), size_}; }
    [[nodiscard]] bool empty() const { return size_ == 0; }

 private:
    struct Free {
        void operator()(char* bytes) const { sodium_free(bytes); }  // wipes it first
    };
    std::unique_ptr<char, Free> bytes_;
    std::size_t size_ = 0;
};

}  // namespace tarebook
