// Files of an export: written piece by piece, hashed on the way, and moved to their place together or not at all.
#pragma once

#include <array>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/event/event.hpp"
#include "tarebook/units/error.hpp"
#include "units/csv_text.hpp"

namespace tarebook::report {

struct WrittenFile {
    std::string name;
    std::uint64_t bytes = 0;
    Digest sha256{};
};

/// A write failed; becomes the error export-not-written.
struct NotWritten {
    std::string what;
};

/// A file of plain bytes, or of CSV.
class OutFile : public CsvText {
 public:
    explicit OutFile(const std::filesystem::path& path);
    /// Begins with a row of the field names. `practice`: the first field of each row of a practice book.
    template <class Fields>
    OutFile(const std::filesystem::path& path, const Fields& fields, std::string_view practice) : OutFile(path) {
        if (!practice.empty()) cell("practice");
        for (const auto& field : fields) cell(std::string_view(field.name));
        end_row();
        begin_rows_with(practice);
    }
    OutFile(const OutFile&) = delete;
    OutFile& operator=(const OutFile&) = delete;
    ~OutFile();
    void put(std::string_view bytes);
    void end_row();
    WrittenFile close();

 private:
    void flush();
    struct Hash;
    std::string name_;
    std::FILE* file_ = nullptr;
    std::unique_ptr<Hash> hash_;
    std::string buffer_;
    std::uint64_t bytes_ = 0;
};

/// A folder that gets its name when it is finished; an unfinished one is removed. The next export to the same name
/// removes what a killed one left.
class ExportFolder {
 public:
    /// Errors: export-folder (not empty, or no folder), export-not-written.
    static Result<ExportFolder> make(const std::filesystem::path& to);
    ExportFolder(ExportFolder&& other) noexcept
        : to_(std::move(other.to_)), making_(std::move(other.making_)), lock_(other.lock_), open_(other.open_) {
        other.open_ = false;
        other.lock_ = -1;
    }
    ExportFolder& operator=(ExportFolder&&) = delete;
    ~ExportFolder();
    [[nodiscard]] std::filesystem::path file(const std::string& name) const { return making_ / name; }
    void finish();  ///< throws NotWritten

 private:
    ExportFolder(std::filesystem::path to, std::filesystem::path making, int lock)
        : to_(std::move(to)), making_(std::move(making)), lock_(lock) {}
    std::filesystem::path to_, making_;
    int lock_ = -1;  ///< on the unfinished folder: another export does not remove a locked one
    bool open_ = true;
};

}  // namespace tarebook::report
