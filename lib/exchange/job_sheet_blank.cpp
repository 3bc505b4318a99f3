// A sheet to fill in, with the site's circuits and how to isolate them as YAML comments. Lines that are left empty are
// not recorded.
#include <fmt/format.h>

#include <array>
#include <random>

#include "job_sheet_id.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/yaml_guard.hpp"

namespace tarebook {
namespace {

// The circuit's isolation points as YAML comments; a person removes the # to use them.
std::string isolation_of(const Entry& circuit) {
    const OrderKey last{Instant::max(), {}, 0};
    std::string out = fmt::format("#  - circuit: {}", circuit.code());
    if (const auto serves = circuit.text("serves", last)) out += "      # " + on_one_yaml_line(*serves);
    out += "\n";
    const auto close = circuit.text("close", last);
    if (!close)
        return out + "#    close:            # isolation points are not on record: write what was closed\n#    at:\n";
    out += "#    close:\n";
    for (const auto& point : split(*close, '\n')) out += fmt::format("#      - {}\n", in_yaml_quotes(point));
    return out + "#    at:\n";
}

constexpr std::string_view line_form = R"(
  - act:
    at:
    circuit:
    cylinder:
    from:
    into:
    before:
    after:
    reason:
    vacuum:
    held:
    note:
)";

}  // namespace

// Sheets are made on several machines and meet on paper: 48 random bits tell them apart.
std::string fresh_sheet_id(const std::string& site) {
    constexpr std::size_t longest_site_part = 40;
    std::random_device random;
    const auto half = [&] { return random() & 0xffffffU; };
    const auto first = half();
    return fmt::format("{}-{:06x}{:06x}", site.substr(0, longest_site_part), first, half());
}

Result<std::string> blank_job_sheet(const Book& book, const std::string& site, const std::optional<std::string>& job,
                                    const std::vector<std::string>& cautions) {
    if (!book.entries().find(EntryKind::site, site)) return fail(unknown_code(book, EntryKind::site, site));
    std::string out = fmt::format(
        "{}# Job sheet of one visit. Fill in, then: tarebook job record FILE\n"
        "# Leave the id as it is: with it the same sheet is recorded once. New lines go to the end.\n"
        "sheet: {}\n"
        "site: {}\n"
        "job: {}              # job or visit number\n"
        "day:               # 2026-11-25\n"
        "by:                # technician, as registered\n"
        "scale:             # scale, as registered: a bare number takes its unit\n"
        "note:\n"
        "readings:          # of the visit, as read: {{suction: 42psig, discharge: 210psig}}\n"
        "\n"
        "# Circuits that were isolated: take the # off, name the points closed in their order, the time, what was "
        "noted.\n"
        "isolated:\n",
        book.info().practice() ? "# PRACTICE: nothing in this book is real.\n" : "", fresh_sheet_id(site), site,
        job ? in_yaml_quotes(*job) : "");
    std::string warned;
    for (const auto& caution : cautions) warned += "# " + on_one_yaml_line(caution) + "\n";
    out.insert(out.find("sheet: "), warned);
    bool any = false;
    for (const auto& code : book.codes(EntryKind::circuit)) {
        if (site_of(code) != site) continue;
        out += isolation_of(*book.entries().find(EntryKind::circuit, code));
        any = true;
    }
    if (!any) out += "# no circuit of this site is on record\n";
    out +=
        "\n"
        "# What was weighed, in the order in which it happened. Keys left empty are left out, and so are empty lines.\n"
        "#   recover    circuit into before after | net; reason vacuum held rise drier machine gas vacuum_exception\n"
        "#              compressor\n"
        "#   reuse      circuit from before after | net; reason invoice leak ownership_exception emptied\n"
        "#   charge     circuit from before after | net; reason invoice leak ownership_exception emptied\n"
        "#   transfer   from into from-before from-after into-before into-after | net; hose-loss emptied\n"
        "#   return     cylinder to gross | before after; manifest\n"
        "#   receive    cylinder from gross | net; condition refrigerant lot invoice price place tare\n"
        "#   weigh      cylinder gross; leaking\n"
        "#   evacuate   circuit | cylinder; vacuum held rise\n"
        "#   release    circuit | cylinder; mass | before after; method why\n"
        "#   recycle    cylinder; oil-separated drier-passes machine acid-test moisture-test (pass|fail)\n"
        "#   leak       appliance place\n"
        "#   isolate    circuit close (a list, in order), or reopened (true)\n"
        "#   fit        circuit part tag quantity removed\n"
        "#   note       circuit text; hours (2.5)\n"
        "#   pressure-test  circuit pressure held end result (pass|fail); temperature end-temperature gas\n"
        "#   oil            circuit out in kind grade acid-test (pass|fail)\n"
        "#   filter-drier   circuit | machine; fitted removed refrigerant oil why\n"
        "#   identify       circuit | cylinder; refrigerant parts (a list: R-22 98.5) air result instrument\n"
        "#   compressor     circuit of fitted fitted-serial removed removed-serial why acid-test\n"
        "#   inspect    appliance method result (no-leak|leak)\n"
        "#   repair     leak done\n"
        "#   leak-test  leak stage (initial|follow-up) result (pass|fail)\n"
        "#   plan       appliance plan (retrofit|retire) until\n"
        "# Every line also takes: at (14:30; else that of the line before), by, scale, note, readings,\n"
        "# and anyway: \"reason\" where it did happen although it would be refused.\n"
        "weighings:";
    constexpr int lines = 4;
    for (int i = 0; i < lines; ++i) out += line_form;
    return out;
}

}  // namespace tarebook
