// What is set once on a machine or by a person, and stands where nothing was typed.
//
//     # /etc/tarebook/config, or ~/.config/tarebook/config, which goes before it
//     book = ~/books/shop.tarebook
//     units = kg
//     by = ana
//     scale = S1
//     packs = /etc/tarebook/town.yaml
//     refrigerants = ~/own-refrigerants.yaml
//     backups = /mnt/backup
//     sync = /mnt/share/tarebook
//     typist = Ana Reyes
//     device = front desk
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace tarebook::cli {

struct Config {
    /// `packs`: a rule pack for all that looks and records nothing, as --rules; `backups`: the folder of `backup
    /// --into`; `sync`: that of `sync`; `typist`: who types at this machine, as the shop writes it; `device`: what the
    /// machine is called.
    std::optional<std::string> book, units, by, scale, packs, refrigerants, backups, sync, typist, device;
    std::vector<std::string> files;  ///< that were read, in the order in which a later one goes before
};
/// The files that are read where they are there: that of TAREBOOK_CONFIG alone; without it /etc/tarebook/config, then
/// tarebook/config in XDG_CONFIG_HOME (~/.config).
std::vector<std::string> config_files();
/// Throws Stop (config-file) where one of them cannot be read or has a line that says nothing known.
Config read_config();

}  // namespace tarebook::cli
