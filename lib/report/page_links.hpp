// The links between the pages of a folder: which file has the page of a code, and a text with its codes linked.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>

namespace tarebook::report {

/// "appliance-OAK.RACK-A.html". Letters that a name of a file or of a link may not have become ~ and two digits.
std::string page_file(std::string_view kind, std::string_view code);

/// ASCII letters small: two names that are then equal are one for some disks.
std::string in_small_letters(std::string text);

class PageLinks {
 public:
    /// A file for a page; one whose name differs from another's by capitals alone gets a number, for disks that see no
    /// difference.
    std::string file_for(std::string_view kind, std::string_view code);
    /// Wherever the code stands it leads to the file.
    void add(std::string code, std::string file) { codes_.emplace(std::move(code), std::move(file)); }
    /// A whole text that leads to a file.
    void add_phrase(std::string words, std::string file) { phrases_.emplace(std::move(words), std::move(file)); }
    /// A job may be a plain number: it is linked behind the word "job" and in columns of jobs.
    void add_job(std::string job, std::string file) { jobs_.emplace(std::move(job), std::move(file)); }
    /// The text for HTML, with links.
    [[nodiscard]] std::string marked(std::string_view text) const;
    [[nodiscard]] std::string marked_job(std::string_view job) const;

    std::string here;      ///< the file that is written: nothing links to itself
    std::string concerns;  ///< for the foot: the last event that concerns the page; empty if none does
    bool is_index = false;

 private:
    [[nodiscard]] std::string linked(const std::string& file, std::string_view words) const;
    std::map<std::string, std::string, std::less<>> codes_, jobs_, phrases_;
    std::set<std::string> taken_;  // in small letters
};

}  // namespace tarebook::report
