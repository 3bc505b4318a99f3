// Writes the table of tube sizes from schema/acr-tube.csv while building, and refuses a row that contradicts itself:
// inside diameter = outside - two walls, volume = that of a cylinder, each within the digits printed.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <fstream>
#include <numeric>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

std::vector<std::string> cells(const std::string& line) {
    std::vector<std::string> out{""};
    for (const char c : line) {
        if (c == ',' && out.size() < 6)
            out.emplace_back();
        else
            out.back() += c;
    }
    return out;
}

// 1.375 as "1 3/8": all sizes are whole sixteenths.
std::string trade_name(double inches) {
    const int sixteenths = static_cast<int>(std::lround(inches * 16));
    if (std::abs(sixteenths / 16.0 - inches) > 1e-9)
        throw std::runtime_error("the size is not a whole number of sixteenths");
    const int rest = sixteenths % 16;
    const int divisor = std::gcd(rest, 16);
    const std::string whole = sixteenths >= 16 ? fmt::format("{}", sixteenths / 16) : "";
    if (rest == 0) return whole;
    return fmt::format("{}{}{}/{}", whole, whole.empty() ? "" : " ", rest / divisor, 16 / divisor);
}

std::string compiled(std::istream& in) {
    std::string out =
        "// Written while building, by compile_tubes.\n#include \"refrigerant/tube_table.hpp\"\n\n"
        "namespace tarebook {\nnamespace {\nconstexpr TubeSize sizes[] = {\n";
    std::string line;
    std::getline(in, line);
    if (line != "kind,nominal_od_in,wall_in,id_in,volume_ft3_per_100ft,source") throw std::runtime_error("header");
    std::string last_kind;
    double last_outside = 0;
    double last_wall = 0;
    for (int number = 2; std::getline(in, line); ++number) {
        const auto row = cells(line);
        const auto refuse = [&](const char* why) { throw std::runtime_error(fmt::format("line {}: {}", number, why)); };
        if (row.size() != 6 || row[5].empty()) refuse("six cells, the last one a source");
        if (row[0] != "hard" && row[0] != "soft") refuse("kind is hard or soft");
        const double outside = std::stod(row[1]);
        const double wall = std::stod(row[2]);
        const double inside = std::stod(row[3]);
        const double volume = std::stod(row[4]);
        if (std::abs(outside - 2 * wall - inside) > 1e-6) refuse("inside is not outside less two walls");
        const double computed = 3.14159265358979 / 4 * inside * inside / 144 * 100;
        if (std::abs(computed - volume) > 0.00006) refuse("the volume is not that of its inside diameter");
        if (row[0] == last_kind && !(outside > last_outside || (outside == last_outside && wall > last_wall)))
            refuse("sizes rise, and so do the walls of one size");
        last_kind = row[0];
        last_outside = outside;
        last_wall = wall;
        if (row[5].find_first_of("\"\\") != std::string::npos) refuse("no quotes in a source");
        out += fmt::format(
            "    {{\"{}\", TubeWall::{}, Length::inches({}), Length::inches({}), Length::inches({}), \"{}\"}},\n",
            trade_name(outside), row[0], outside, wall, inside, row[5]);
    }
    return out + "};\n}  // namespace\nconst std::span<const TubeSize> tube_table = sizes;\n}  // namespace tarebook\n";
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fputs("usage: compile_tubes ACR-TUBE.csv OUT.cpp\n", stderr);
        return 2;
    }
    try {
        std::ifstream in(argv[1]);
        if (!in) throw std::runtime_error("cannot be read");
        const auto text = compiled(in);
        std::ofstream out(argv[2], std::ios::binary);
        out << text;
        out.close();
        if (!out) throw std::runtime_error("the table cannot be written");
    } catch (const std::exception& e) {
        fmt::print(stderr, "{}: {}\n", argv[1], e.what());
        return 1;
    }
    return 0;
}
