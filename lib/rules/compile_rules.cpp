// Turns schema/rules into one source file of constant tables, so that the program needs no parser for its rules. Runs
// while building; an error in a pack stops the build.
//
//     compile_rules OUT.cpp PACK.yaml...
#include <fmt/format.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>

#include "pack_source.hpp"

namespace tarebook::rules {
namespace {

std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        if (c == '\n')
            out += "\\n";
        else
            out += c;
    }
    return out + '"';
}

std::string tables(const std::vector<std::string>& files) {
    std::string out =
        "// Generated from schema/rules by compile_rules. Do not edit.\n#include \"rules/compiled.hpp\"\n\n"
        "namespace tarebook::rules {\nnamespace {\n\n";
    std::set<std::string> ids;
    std::string index;
    for (std::size_t i = 0; i < files.size(); ++i) {
        const auto name = std::filesystem::path(files[i]).filename().string();
        const auto cells = read_cells(files[i]);
        const auto pack = build_pack(files[i], cells, {});
        if (pack.id + ".yaml" != name) throw BadPack(fmt::format("{}: holds pack {}", files[i], pack.id));
        if (!ids.insert(pack.id).second) throw BadPack(fmt::format("{}: pack {} twice", files[i], pack.id));
        out += fmt::format("constexpr ConstCell cells_{}[] = {{\n", i);
        for (const auto& c : cells)
            out += fmt::format("    {{{}, {}, {}, {}, {}, {}}},\n", quoted(c.section), quoted(c.id), quoted(c.key),
                               quoted(c.name), quoted(c.value), c.line);
        out += fmt::format("}};\nconst RulePack& pack_{}();\n", i);
        index += fmt::format("    {{{}, cells_{}, {}, pack_{}}},\n", quoted(name), i, cells.size(), i);
    }
    out += "constexpr CompiledSource all[] = {\n" + index + "};\n\n";
    for (std::size_t i = 0; i < files.size(); ++i)
        out += fmt::format(
            "const RulePack& pack_{}() {{\n    static const RulePack pack = build_compiled(all[{}]);\n    return "
            "pack;\n}}\n",
            i, i);
    out += "\n}  // namespace\n\n";
    out +=
        "constinit const std::span<const CompiledSource> compiled_sources{all};\n\n}  // namespace tarebook::rules\n";
    return out;
}

}  // namespace
}  // namespace tarebook::rules

int main(int argc, char** argv) {
    if (argc < 3) {
        std::fputs("usage: compile_rules OUT.cpp PACK.yaml...\n", stderr);
        return 2;
    }
    try {
        const auto text = tarebook::rules::tables({argv + 2, argv + argc});
        std::ofstream out(argv[1], std::ios::binary);
        out << text;
        out.close();
        if (!out) throw std::runtime_error(fmt::format("{}: cannot be written", argv[1]));
    } catch (const std::exception& e) {
        fmt::print(stderr, "{}\n", e.what());
        return 1;
    }
    return 0;
}
