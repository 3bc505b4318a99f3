// An input as a file, for what is read by its name. One file a process, written anew for each input.
#pragma once

#include <unistd.h>

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>

namespace fuzz {

class InputFile {
 public:
    InputFile(const std::uint8_t* data, std::size_t size) : path_(name()) {
        std::FILE* file = std::fopen(path_.c_str(), "wb");
        if (!file || std::fwrite(data, 1, size, file) != size || std::fclose(file) != 0) {
            std::perror(path_.c_str());
            std::abort();
        }
    }
    ~InputFile() { std::remove(path_.c_str()); }
    InputFile(const InputFile&) = delete;
    InputFile& operator=(const InputFile&) = delete;
    [[nodiscard]] const std::string& path() const { return path_; }

 private:
    static std::string name() {
        const auto room = ::access("/dev/shm", W_OK) == 0 ? std::filesystem::path("/dev/shm")
                                                          : std::filesystem::temp_directory_path();
        return (room / ("tarebook-fuzz-" + std::to_string(::getpid()) + ".yaml")).string();
    }
    std::string path_;
};

}  // namespace fuzz
