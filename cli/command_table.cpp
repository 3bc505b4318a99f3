#include "command_table.hpp"

#include <algorithm>

namespace tarebook::cli {
namespace {

constexpr std::array<std::string_view, 8> registers{"start",    "site",  "appliance", "circuit",
                                                    "cylinder", "scale", "machine",   "technician"};
constexpr std::array<std::string_view, 10> movements{"receive", "recover", "reuse",    "charge",  "transfer",
                                                     "return",  "destroy", "exchange", "release", "pumpdown"};
constexpr std::array<std::string_view, 10> cylinders{"weigh",   "evacuate", "air-check", "requalify", "move",
                                                     "condemn", "lost",     "found",     "convert",   "reclassify"};
constexpr std::array<std::string_view, 2> dues{"due", "why"};
constexpr std::array<std::string_view, 7> leaks{"leak", "inspect",  "repair",   "leak-test",
                                                "plan", "mothball", "extension"};
constexpr std::array<std::string_view, 2> reclaims{"settle", "recycle"};
constexpr std::array<std::string_view, 1> stocktakes_only{"count"};
constexpr std::array<std::string_view, 1> stocks{"stock"};
constexpr std::array<std::string_view, 3> corrections{"void", "correct", "resolve"};
constexpr std::array<std::string_view, 5> reports{"room", "report", "list", "export", "check"};
constexpr std::array<std::string_view, 1> jobs{"job"};
constexpr std::array<std::string_view, 1> imports{"import"};
constexpr std::array<std::string_view, 1> pressures{"pt"};
constexpr std::array<std::string_view, 1> years{"seal"};
constexpr std::array<std::string_view, 1> labels{"label"};
constexpr std::array<std::string_view, 1> pages_only{"pages"};
constexpr std::array<std::string_view, 6> keeps{"backup", "restore", "salvage", "prove", "verify", "upgrade"};
constexpr std::array<std::string_view, 3> travels{"books", "send", "merge"};
constexpr std::array<std::string_view, 3> shells{"completion", "man", "complete"};
constexpr std::array<std::string_view, 3> site_work{"isolate", "fit", "note"};
constexpr std::array<std::string_view, 5> services{"pressure-test", "oil", "filter-drier", "identify", "compressor"};
constexpr std::array<std::string_view, 1> open_visits_only{"visit"};

constexpr auto groups = std::to_array<CommandGroup>({
    {open_visits_only, setup_open_visit_commands},
    {registers, setup_register_commands},
    {movements, setup_movement_commands},
    {cylinders, setup_cylinder_commands},
    {leaks, setup_leak_commands},
    {reclaims, setup_reclaim_commands},
    {stocktakes_only, setup_stocktake_commands},
    {stocks, setup_stock_commands},
    {dues, setup_due_commands},
    {corrections, setup_correction_commands},
    {reports, setup_report_commands},
    {jobs, setup_job_commands},
    {imports, setup_import_commands},
    {pressures, setup_pt_commands},
    {years, setup_year_commands},
    {labels, setup_label_commands},
    {pages_only, setup_pages_command},
    {site_work, setup_visit_commands},
    {services, setup_service_commands},
    {travels, setup_book_commands},
    {keeps, setup_keep_commands},
    {shells, setup_shell_commands, true},
});

const CommandGroup* group_of(std::string_view name) {
    for (const auto& group : groups)
        if (std::find(group.names.begin(), group.names.end(), name) != group.names.end()) return &group;
    return nullptr;
}

// `--reason leak`: the word behind an option is its value and no command.
bool is_value(std::string_view before) {
    return before.starts_with("--") && before.find('=') == std::string_view::npos;
}

}  // namespace

std::span<const CommandGroup> command_groups() {
    return groups;
}

const CommandGroup* group_named(const std::vector<std::string>& words) {
    const CommandGroup* named = nullptr;
    for (std::size_t i = 1; i < words.size(); ++i) {
        const auto* group = group_of(words[i]);
        if (!group || is_value(words[i - 1])) continue;
        // An option's value, or a sub-command, may have the name of a command: only the parser can tell.
        if (named && named != group) return nullptr;
        named = group;
    }
    return named;
}

}  // namespace tarebook::cli
