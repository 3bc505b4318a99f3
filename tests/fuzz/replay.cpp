// Runs a fuzz target over files, without clang: the seeds, and every input that ever broke a promise.
//   replay_TARGET FOLDER...      each folder may be absent; a replay of nothing at all fails
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>
#include <vector>

#include "promise.hpp"

int main(int argc, char** argv) {
    namespace fs = std::filesystem;
    std::size_t inputs = 0;
    for (int i = 1; i < argc; ++i) {
        if (!fs::exists(argv[i])) continue;
        for (const auto& file : fs::directory_iterator(argv[i])) {
            std::ifstream in(file.path(), std::ios::binary);
            const std::vector<char> bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
            // Named before it runs, so that the last line of an aborted run names the input.
            std::cout << file.path().string() << " (" << bytes.size() << " bytes)" << std::endl;
            LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
            ++inputs;
        }
    }
    std::cout << inputs << " inputs replayed\n";
    return inputs == 0 ? 1 : 0;
}
