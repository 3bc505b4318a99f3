// What shall go wrong in this process, and at which call. The environment says it:
//
//     TAREBOOK_FAULT=WHAT:CALLS:AT:SEED:DISK   cut:MWTSDUC:17:4:512
//     TAREBOOK_FAULT_TRACE=FILE                each call as one letter; behind the call that was struck stands a "!"
//
// CALLS are the letters of the calls that are counted, AT is the one that is struck (from 1).
#pragma once

#include <cstdint>
#include <random>
#include <string>

namespace fault {

enum class What {
    none,
    kill,   ///< SIGKILL just before the call
    after,  ///< SIGKILL just after it
    torn,   ///< a part of the write, then SIGKILL
    cut,    ///< what a power cut leaves of the writes that were not synced, then SIGKILL; behind the last call: at the
            ///< end
    error,  ///< the call fails, once
    failed_cut,  ///< the same, and at the end what a power cut leaves
    errors,      ///< the call and all after it fail
    full,        ///< the disk is full from this call on: nothing grows, what is there can be written over
    nowhere,     ///< the same on a disk that also needs room to write over what is there
    pause,       ///< SIGSTOP just before the call: somebody else may have a turn
    shorts,      ///< the system call does a part of what was asked, or is interrupted
};

/// The letter of each is what CALLS and the trace use.
enum class Call : char {
    open = 'O',
    make = 'M',  ///< an open that makes the file
    read = 'R',
    write = 'W',
    truncate = 'T',
    sync = 'S',
    remove = 'D',
    rename = 'N',
    link = 'I',
    sync_folder = 'G',
    lock = 'L',
    unlock = 'U',
    access = 'A',
    size = 'F',
    close = 'C',
    system_read = 'r',
    system_write = 'w',
    end = 'E',        ///< of the program
    committed = 'K',  ///< no call: a commit lies in the log, and was synced
};

/// What the disk says of itself. SQLite writes its journal differently for each.
struct Claims {
    int sector_bytes = 4096;
    bool power_safe_overwrite = true;  ///< a power cut harms no byte outside the range that was being written
};

class Fault {
 public:
    /// The one of this process.
    static Fault& of_this_process();

    [[nodiscard]] What what() const { return what_; }
    [[nodiscard]] const Claims& claims() const { return claims_; }
    [[nodiscard]] bool has_struck() const { return struck_; }
    std::mt19937_64& random() { return random_; }
    /// 0 .. below - 1
    std::uint64_t any(std::uint64_t below) { return random_() % below; }

    /// Counts the call; true where it shall go wrong.
    bool due(Call call);
    /// In the trace alone.
    void note(Call call) const { trace(call, false); }
    /// Something goes wrong without being counted.
    void strike(Call call);

 private:
    Fault();
    void trace(Call call, bool strikes) const;

    What what_ = What::none;
    std::string calls_;
    std::uint64_t at_ = 0;
    std::uint64_t counted_ = 0;
    bool struck_ = false;
    Claims claims_;
    std::mt19937_64 random_;
    int trace_ = -1;
};

[[noreturn]] void die();

}  // namespace fault
