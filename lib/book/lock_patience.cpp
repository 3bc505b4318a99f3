#include "lock_patience.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include <algorithm>
#include <ctime>
#include <fstream>
#include <sstream>
#include <thread>

namespace tarebook {
namespace {

using std::chrono::milliseconds;

constexpr milliseconds told_after{1'000};  // a shorter wait is not reported
constexpr milliseconds look_every{250};    // how often to look for progress
constexpr milliseconds patience{10'000};   // without progress
constexpr std::array<int, 11> naps_ms = {1, 2, 5, 10, 15, 20, 25, 25, 25, 50, 50};

std::string file_text(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

// Fields of /proc/PID/stat from the third on. The second, a name in brackets, may have blanks (proc(5)).
std::vector<std::string> process_fields(int process) {
    const auto text = file_text(fmt::format("/proc/{}/stat", process));
    const auto name_end = text.rfind(')');
    if (name_end == std::string::npos) return {};
    std::istringstream in(text.substr(name_end + 1));
    std::vector<std::string> out;
    for (std::string field; in >> field;) out.push_back(field);
    return out;
}
long long number_in(const std::vector<std::string>& fields, std::size_t index) {
    return index < fields.size() ? std::atoll(fields[index].c_str()) : 0;
}

// The name of the program; for this program also its command, the first word that is no option.
std::string program_of(int process) {
    const auto line = file_text(fmt::format("/proc/{}/cmdline", process));
    std::vector<std::string> words;
    for (std::size_t at = 0; at < line.size();) {
        const auto end = std::min(line.find('\0', at), line.size());
        words.push_back(line.substr(at, end - at));
        at = end + 1;
    }
    if (words.empty()) return {};
    auto name = std::filesystem::path(words[0]).filename().string();
    if (name == "tarebook")
        for (std::size_t i = 1; i < words.size(); ++i) {
            if (words[i] == "--book" || words[i] == "--units" || words[i] == "--format") {
                ++i;
                continue;
            }
            if (!words[i].empty() && words[i].front() == '-') continue;
            const bool command =
                words[i].size() < 20 && words[i].find_first_not_of("abcdefghijklmnopqrstuvwxyz-") == std::string::npos;
            if (command) name += " " + words[i];
            break;
        }
    std::replace_if(
        name.begin(), name.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }, '?');
    return name;
}

// When the machine started, in seconds since 1970, by /proc/stat.
long long machine_start() {
    const auto text = file_text("/proc/stat");
    const auto at = text.find("\nbtime ");
    return at == std::string::npos ? 0 : std::atoll(text.c_str() + at + 7);
}

LockHolder holder_of(int process) {
    constexpr std::size_t start_field = 19;  // field 22 of proc(5), counted from the third
    const auto ticks = number_in(process_fields(process), start_field);
    const auto hertz = std::max(1L, ::sysconf(_SC_CLK_TCK));
    return {process, program_of(process), Instant(std::chrono::seconds(machine_start() + ticks / hertz))};
}

}  // namespace

namespace {

struct LockLine {
    int process = 0;
    bool writes = false;
    long long first = 0, last = 0;  ///< bytes
};

// A line of /proc/locks: "1: POSIX  ADVISORY  WRITE 812 08:01:131074 1073741825 1073741825".
std::vector<LockLine> locks_on(const std::filesystem::path& file) {
    std::vector<LockLine> out;
    struct ::stat about {};
    if (::stat(file.c_str(), &about) != 0) return out;
    const auto named = fmt::format("{:02x}:{:02x}:{}", major(about.st_dev), minor(about.st_dev), about.st_ino);
    std::ifstream in("/proc/locks");
    for (std::string line; std::getline(in, line);) {
        std::istringstream words(line);
        std::string number, type, advisory, mode, process, inode, first, last;
        words >> number >> type >> advisory >> mode >> process >> inode >> first >> last;
        if (inode == named)
            out.push_back({std::atoi(process.c_str()), mode == "WRITE", std::atoll(first.c_str()),
                           last == "EOF" ? INT64_MAX : std::atoll(last.c_str())});
    }
    return out;
}

bool of_another(const LockLine& lock) {
    return lock.process > 0 && lock.process != ::getpid();
}

}  // namespace

std::optional<LockHolder> lock_holder(const std::filesystem::path& book) {
    // The program that records in a book with a log locks this byte of the index to the log (sqlite.org/walformat.html,
    // 2.3.1).
    constexpr long long writer = 120;
    for (const auto& lock : locks_on(book.string() + "-shm"))
        if (of_another(lock) && lock.writes && lock.first <= writer && writer <= lock.last)
            return holder_of(lock.process);
    int reader = 0;
    for (const auto& lock : locks_on(book)) {
        if (!of_another(lock)) continue;
        if (lock.writes) return holder_of(lock.process);
        reader = lock.process;
    }
    if (reader == 0) return std::nullopt;
    return holder_of(reader);
}

OpenBy open_by(const std::filesystem::path& book) {
    OpenBy out;
    for (const auto& lock : locks_on(book)) (lock.process == ::getpid() ? out.this_program : out.others) = true;
    return out;
}

LockPatience::Signs LockPatience::signs_now() const {
    Signs out;
    out.elsewhere = elsewhere_;
    out.holder = lock_holder(book_);
    if (out.holder) {
        const auto fields = process_fields(out.holder->process);
        constexpr std::size_t user = 11, system = 12;  // fields 14 and 15
        out.processor_ticks = number_in(fields, user) + number_in(fields, system);
    }
    std::size_t n = 0;
    for (const char* ending : {"", "-journal", "-wal"}) {
        struct ::stat about {};
        if (::stat((book_.string() + ending).c_str(), &about) != 0) about = {};
        out.files[n++] = about.st_size;
        out.files[n++] = about.st_mtim.tv_sec;
        out.files[n++] = about.st_mtim.tv_nsec;
    }
    return out;
}

bool LockPatience::again(int tries) {
    const auto now = Clock::now();
    if (tries == 0) {
        began_ = looked_ = moved_ = now;
        signs_ = {};
        ended_ = false;
    }
    const auto waited = std::chrono::duration_cast<milliseconds>(now - began_);
    if (waited >= told_after && now - looked_ >= look_every) {
        auto signs = signs_now();
        if (signs != signs_) moved_ = now;
        signs_ = std::move(signs);
        looked_ = now;
    }
    if (now - moved_ >= patience) return false;
    const auto nap = std::min(static_cast<std::size_t>(tries), naps_ms.size() - 1);
    const LockWait wait{waited, milliseconds(naps_ms.at(nap)), signs_.holder};
    if (!told_) {
        std::this_thread::sleep_for(wait.nap);
        return true;
    }
    ended_ = !told_(wait);
    return !ended_;
}

std::string LockPatience::holder_in_words() const {
    if (!signs_.holder) return "another program";
    const auto& h = *signs_.holder;
    const auto since = std::chrono::system_clock::to_time_t(h.running_since);
    std::tm local{};
    ::localtime_r(&since, &local);
    return fmt::format("{} (process {}, running since {:02}:{:02}:{:02})", h.program.empty() ? "a program" : h.program,
                       h.process, local.tm_hour, local.tm_min, local.tm_sec);
}

}  // namespace tarebook
