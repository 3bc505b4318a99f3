#include "command_table.hpp"

#include <algorithm>

namespace tarebook::cli {
namespace {

constexpr std::array<Command, 8> registers{{{"start", Use::office},
                                            {"site", Use::office},
                                            {"appliance", Use::office},
                                            {"circuit", Use::office},
                                            {"cylinder", Use::office},
                                            {"scale", Use::office},
                                            {"machine", Use::office},
                                            {"technician", Use::office}}};
constexpr std::array<Command, 10> movements{{{"receive", Use::cylinders},
                                             {"recover", Use::field},
                                             {"reuse", Use::field},
                                             {"charge", Use::field},
                                             {"transfer", Use::field},
                                             {"return", Use::cylinders},
                                             {"destroy", Use::cylinders},
                                             {"exchange", Use::cylinders},
                                             {"release", Use::field},
                                             {"pumpdown", Use::field}}};
constexpr std::array<Command, 10> cylinders{{{"weigh", Use::field},
                                             {"evacuate", Use::field},
                                             {"air-check", Use::field},
                                             {"requalify", Use::cylinders},
                                             {"move", Use::cylinders},
                                             {"condemn", Use::cylinders},
                                             {"lost", Use::cylinders},
                                             {"found", Use::cylinders},
                                             {"convert", Use::office},
                                             {"reclassify", Use::office}}};
constexpr std::array<Command, 2> dues{{{"due", Use::looking}, {"why", Use::looking}}};
constexpr std::array<Command, 7> leaks{{{"leak", Use::field},
                                        {"inspect", Use::field},
                                        {"repair", Use::field},
                                        {"leak-test", Use::field},
                                        {"plan", Use::office},
                                        {"mothball", Use::office},
                                        {"extension", Use::office}}};
constexpr std::array<Command, 2> reclaims{{{"settle", Use::office}, {"recycle", Use::cylinders}}};
constexpr std::array<Command, 1> stocktakes_only{{{"count", Use::cylinders}}};
constexpr std::array<Command, 1> stocks{{{"stock", Use::office}}};
constexpr std::array<Command, 3> corrections{
    {{"void", Use::office}, {"correct", Use::office}, {"resolve", Use::office}}};
constexpr std::array<Command, 5> reports{{{"room", Use::field},
                                          {"report", Use::looking},
                                          {"list", Use::looking},
                                          {"export", Use::year},
                                          {"check", Use::books}}};
constexpr std::array<Command, 1> jobs{{{"job", Use::office}}};
constexpr std::array<Command, 1> imports{{{"import", Use::office}}};
constexpr std::array<Command, 1> pressures{{{"pt", Use::field}}};
constexpr std::array<Command, 1> years{{{"seal", Use::year}}};
constexpr std::array<Command, 1> labels{{{"label", Use::cylinders}}};
constexpr std::array<Command, 1> pages_only{{{"pages", Use::looking}}};
constexpr std::array<Command, 7> keeps{{{"backup", Use::books},
                                        {"restore", Use::books},
                                        {"salvage", Use::books},
                                        {"prove", Use::books},
                                        {"verify", Use::books},
                                        {"upgrade", Use::books},
                                        {"doctor", Use::books}}};
constexpr std::array<Command, 1> people_only{{{"people", Use::books}}};
constexpr std::array<Command, 1> syncs_only{{{"sync", Use::books}}};
constexpr std::array<Command, 4> travels{
    {{"books", Use::books}, {"send", Use::books}, {"merge", Use::books}, {"refold", Use::hidden}}};
constexpr std::array<Command, 3> shells{
    {{"completion", Use::looking}, {"man", Use::looking}, {"complete", Use::hidden}}};
constexpr std::array<Command, 3> site_work{{{"isolate", Use::field}, {"fit", Use::field}, {"note", Use::field}}};
constexpr std::array<Command, 5> services{{{"pressure-test", Use::field},
                                           {"oil", Use::field},
                                           {"filter-drier", Use::field},
                                           {"identify", Use::field},
                                           {"compressor", Use::field}}};
constexpr std::array<Command, 1> open_visits_only{{{"visit", Use::field}}};

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
    {syncs_only, setup_sync_command},
    {travels, setup_book_commands},
    {keeps, setup_keep_commands},
    {people_only, setup_people_commands},
    {shells, setup_shell_commands, true},
});

const CommandGroup* group_of(std::string_view name) {
    for (const auto& group : groups)
        if (std::any_of(group.commands.begin(), group.commands.end(),
                        [&](const Command& command) { return command.name == name; }))
            return &group;
    return nullptr;
}

// `--reason leak`: the word behind an option is its value and no command.
bool is_value(std::string_view before) {
    return before.starts_with("--") && before.find('=') == std::string_view::npos;
}

}  // namespace

std::string_view title_of(Use use) {
    switch (use) {
        case Use::field:
            return "Today, in the field";
        case Use::cylinders:
            return "Cylinders";
        case Use::office:
            return "The office";
        case Use::year:
            return "The year";
        case Use::books:
            return "Books";
        case Use::looking:
            return "Looking";
        case Use::hidden:
            break;
    }
    return {};
}

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
