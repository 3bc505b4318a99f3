#include "config.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "session.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook::cli {
namespace {

std::string set_in_environment(const char* name) {
    const char* value = std::getenv(name);
    return value ? value : "";
}

std::string_view without_blanks(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

class ConfigReader {
 public:
    explicit ConfigReader(Config& config) : config_(config) {}

    void read(const std::string& file) {
        std::error_code ignored;
        if (!std::filesystem::exists(file, ignored)) return;
        constexpr std::size_t longest = 64U * 1024U;
        const auto text = read_whole(file, longest);
        if (!text) throw slip("config-file", "a configuration cannot be read", file, text.error().what);
        config_.files.push_back(file);
        int number = 0;
        for (std::size_t at = 0; at < text->size();) {
            const auto end = std::min(text->find('\n', at), text->size());
            take(file, ++number, without_blanks(std::string_view(*text).substr(at, end - at)));
            at = end + 1;
        }
    }

 private:
    struct Name {
        const char* name;
        Text Config::*value;
        bool is_path;
    };
    static constexpr Name names[] = {{"book", &Config::book, true},       {"units", &Config::units, false},
                                     {"by", &Config::by, false},          {"scale", &Config::scale, false},
                                     {"packs", &Config::packs, true},     {"refrigerants", &Config::refrigerants, true},
                                     {"backups", &Config::backups, true}, {"sync", &Config::sync, true},
                                     {"typist", &Config::typist, false},  {"device", &Config::device, false}};

    void take(const std::string& file, int number, std::string_view line) {
        if (line.empty() || line.front() == '#') return;
        const auto refuse = [&](const std::string& what, const std::string& expected, std::string next = {}) {
            throw slip("config-file", fmt::format("{}:{}: {}", file, number, what), std::string(line), expected,
                       std::move(next));
        };
        const auto equals = line.find('=');
        const auto name = std::string(without_blanks(line.substr(0, equals)));
        const auto value = equals == std::string_view::npos ? "" : std::string(without_blanks(line.substr(equals + 1)));
        for (const auto& known : names) {
            if (name != known.name) continue;
            if (value.empty()) refuse("a setting without a value", name + " = VALUE");
            if (name == "units" && value != "lb" && value != "kg") refuse("no such units", "lb|kg");
            config_.*known.value = known.is_path ? whole_path(value, refuse) : value;
            return;
        }
        std::vector<std::string> all;
        for (const auto& known : names) all.emplace_back(known.name);
        refuse("no such setting", "book, units, by, scale, packs, refrigerants, backups, sync, typist or device",
               did_you_mean(name, all, "tarebook man"));
    }
    template <class Refuse>
    static std::string whole_path(const std::string& value, const Refuse& refuse) {
        if (is_server_address(value)) return value;
        if (value.starts_with("~/")) {
            const auto home = set_in_environment("HOME");
            if (home.empty()) refuse("there is no home folder", "a whole path");
            return home + value.substr(1);
        }
        if (value.front() != '/')
            refuse("the path depends on where the command is typed", "a path that begins with / or ~/");
        return value;
    }

    Config& config_;
};

}  // namespace

std::vector<std::string> config_files() {
    if (const char* named = std::getenv("TAREBOOK_CONFIG"))
        return *named ? std::vector<std::string>{named} : std::vector<std::string>{};
    std::vector<std::string> out{"/etc/tarebook/config"};
    if (const auto shared = set_in_environment("XDG_CONFIG_HOME"); !shared.empty())
        out.push_back(shared + "/tarebook/config");
    else if (const auto home = set_in_environment("HOME"); !home.empty())
        out.push_back(home + "/.config/tarebook/config");
    return out;
}

Config read_config() {
    Config out;
    ConfigReader reader(out);
    for (const auto& file : config_files()) reader.read(file);
    return out;
}

}  // namespace tarebook::cli
