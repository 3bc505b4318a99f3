#include "spoilt_log.hpp"

#include <algorithm>
#include <cstdint>
#include <fstream>
#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace tarebook {
namespace {

// Source: sqlite.org/fileformat2.html, 4.1 to 4.3.
constexpr std::size_t log_header = 32, frame_header = 24;

std::uint32_t word(std::string_view bytes, std::size_t at, bool big = true) {
    std::uint32_t out = 0;
    for (std::size_t n = 0; n < 4; ++n) out = out << 8U | static_cast<unsigned char>(bytes[big ? at + n : at + 3 - n]);
    return out;
}

struct Sum {
    std::uint32_t first = 0, second = 0;
    void add(std::string_view bytes, bool big) {
        for (std::size_t at = 0; at + 8 <= bytes.size(); at += 8) {
            first += word(bytes, at, big) + second;
            second += word(bytes, at + 4, big) + first;
        }
    }
    friend bool operator==(const Sum&, const Sum&) = default;
};
Sum sum_at(std::string_view bytes, std::size_t at) {
    return {word(bytes, at), word(bytes, at + 4)};
}

bool is_number_of_log(std::uint32_t number) {
    return (number | 1U) == 0x377f0683U;
}

std::string read_at(std::ifstream& in, std::uintmax_t at, std::size_t size) {
    std::string out(size, '\0');
    in.clear();
    in.seekg(static_cast<std::streamoff>(at));
    in.read(out.data(), static_cast<std::streamsize>(size));
    out.resize(static_cast<std::size_t>(std::max<std::streamsize>(in.gcount(), 0)));
    return out;
}

std::size_t page_size_of(std::ifstream& book) {
    const auto header = read_at(book, 16, 2);
    if (header.size() < 2) return 0;
    const auto size =
        static_cast<std::size_t>(static_cast<unsigned char>(header[0])) << 8U | static_cast<unsigned char>(header[1]);
    const auto out = size == 1 ? std::size_t{65536} : size;
    return out >= 512 && (out & (out - 1)) == 0 ? out : 0;
}

// The pages that the log committed. The checksum of each frame continues that of the frame before it, so that frames
// verify each other without the header.
std::map<std::uint32_t, std::uintmax_t> committed_pages(std::ifstream& log, std::string_view header, std::size_t page,
                                                        bool big) {
    Sum made;
    made.add(header.substr(0, 24), big);
    std::optional<Sum> before;
    std::string salts;
    std::map<std::uint32_t, std::uintmax_t> committed, pages;
    for (std::uintmax_t at = log_header, n = 0;; at += frame_header + page, ++n) {
        const auto frame = read_at(log, at, frame_header + page);
        if (frame.size() < frame_header + page) break;
        const auto holds_after = [&](Sum sum) {
            sum.add(std::string_view(frame).substr(0, 8), big);
            sum.add(std::string_view(frame).substr(frame_header), big);
            return sum == sum_at(frame, 16);
        };
        const bool holds = before ? holds_after(*before) : holds_after(sum_at(header, 24)) || holds_after(made);
        before = sum_at(frame, 16);
        // Frames with other salts are left over from an earlier use of the log.
        if (holds && salts.empty()) salts = frame.substr(8, 8);
        if (!holds && n < 2) continue;  // damaged together with the header: it cannot verify the next frame
        if (!holds || frame.substr(8, 8) != salts) break;
        pages[word(frame, 0)] = at + frame_header;
        if (word(frame, 4) != 0) committed = pages;
    }
    return committed;
}

}  // namespace

bool spoilt_log_holds_more(const std::filesystem::path& book, const std::filesystem::path& log) {
    std::ifstream in(log, std::ios::binary), file(book, std::ios::binary);
    const auto header = read_at(in, 0, log_header);
    const auto page = page_size_of(file);
    if (header.size() < log_header || page == 0) return false;
    const auto number = word(header, 0);
    if (is_number_of_log(number)) {
        Sum sum;
        sum.add(std::string_view(header).substr(0, 24), (number & 1U) != 0);
        if (sum == sum_at(header, 24)) return false;
    }
    for (const bool big : {false, true})
        for (const auto& [which, at] : committed_pages(in, header, page, big))
            if (which == 0 || read_at(in, at, page) != read_at(file, std::uintmax_t{which - 1} * page, page))
                return true;
    return false;
}

}  // namespace tarebook
