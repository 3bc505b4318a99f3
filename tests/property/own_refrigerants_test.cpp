// Whatever file of own refrigerants is taken, its curves are in order; whatever is not taken is refused with file and
// line. Files are drawn: a good one with rough rows, and a good one with a few bytes or lines changed.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "runs.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace {

using Row = std::array<double, 5>;

std::string next_name() {
    static int number = 0;
    return fmt::format("R-9{:06}", number++);
}

double drawn_share() {
    return *rc::gen::resize(100, rc::gen::inRange(0, 100'001)) / 100'000.0;
}
std::size_t drawn_below(std::size_t n) {
    return *rc::gen::resize(100, rc::gen::inRange<std::size_t>(0, n));
}

std::string file_of(const std::string& name, const std::vector<Row>& rows, double critical_c) {
    std::string out = fmt::format(
        "source: s\nedition: e\ndate: d\nrefrigerants:\n  {}:\n    class: HFC blend\n"
        "    composition: {{R-32: 50, R-125: 50}}\n    safety_group: A1\n    molar_mass_g_mol: 72.585\n"
        "    status: memory\n    verified: []\n    critical_c: {}\n    p_uncertainty_pct: 2\n"
        "    rho_uncertainty_pct: 1\n    table:\n",
        name, critical_c);
    for (const auto& r : rows) out += fmt::format("      - [{}, {}, {}, {}, {}]\n", r[0], r[1], r[2], r[3], r[4]);
    return out;
}

std::vector<Row> shipped_rows() {
    std::vector<Row> rows;
    for (const auto& r : Catalogue().find("R-410A")->saturation.rows)
        rows.push_back({r.temperature.in_celsius(), r.bubble.in_kilopascals(), r.dew.in_kilopascals(),
                        r.liquid.in_kg_per_m3(), r.vapor.in_kg_per_m3()});
    return rows;
}

Result<Catalogue> load(const std::string& text) {
    const auto file =
        (std::filesystem::temp_directory_path() / fmt::format("tarebook-own-property-{}.yaml", getpid())).string();
    std::ofstream(file, std::ios::binary) << text;
    auto loaded = Catalogue::with_own(file);
    std::filesystem::remove(file);
    if (!loaded) {
        RC_ASSERT(loaded.error().name == "refrigerants-file");
        RC_ASSERT(loaded.error().what.starts_with(file + ":"));
        const char digit = loaded.error().what.at(file.size() + 1);
        RC_ASSERT(digit >= '1' && digit <= '9');
    }
    return loaded;
}

// Over the whole table, in steps finer than any row.
void in_order(const Refrigerant& r) {
    const auto& s = r.saturation;
    RC_ASSERT(s.low() <= Temperature::celsius(0));
    RC_ASSERT(r.cylinder->no_liquid_at_55c || s.high() >= Temperature::celsius(55));
    RC_ASSERT(r.cylinder->no_liquid_at_55c == !r.cylinder->at_55c.has_value());
    std::optional<SaturationPoint> last;
    constexpr int steps = 400;
    constexpr double same = 1e-13;  // the last digit of exp is allowed to differ
    for (int i = 0; i <= steps; ++i) {
        const double t = s.low().in_celsius() + (s.high() - s.low()).in_kelvin() * i / steps;
        const auto p = saturation_at(r, Temperature::celsius(std::min(t, s.high().in_celsius())));
        RC_ASSERT(p.has_value());
        for (const double v :
             {p->bubble.in_kilopascals(), p->dew.in_kilopascals(), p->liquid.in_kg_per_m3(), p->vapor.in_kg_per_m3()})
            RC_ASSERT(std::isfinite(v) && v > 0);
        RC_ASSERT(p->bubble >= p->dew);
        if (last) {
            RC_ASSERT(p->bubble.in_kilopascals() >= last->bubble.in_kilopascals() * (1 - same));
            RC_ASSERT(p->dew.in_kilopascals() >= last->dew.in_kilopascals() * (1 - same));
            RC_ASSERT(p->liquid.in_kg_per_m3() <= last->liquid.in_kg_per_m3() * (1 + same));
            RC_ASSERT(p->vapor.in_kg_per_m3() >= last->vapor.in_kg_per_m3() * (1 - same));
        }
        last = *p;
    }
}

}  // namespace

TEST_CASE("of rough rows those files are taken whose curves are in order, and no others") {
    int taken = 0, drawn = 0;
    holds("own refrigerants with rough rows", 1500, [&] {
        auto rows = shipped_rows();
        const double rough = std::pow(10, -1 - 5 * drawn_share());
        for (auto& row : rows)
            for (std::size_t i = 1; i < row.size(); ++i) row[i] *= 1 + rough * (drawn_share() - 0.5);
        const std::size_t first = drawn_below(rows.size() - 3);
        const std::size_t last =
            *rc::gen::arbitrary<bool>() ? rows.size() : first + 3 + drawn_below(rows.size() - first - 2);
        rows = {rows.begin() + static_cast<std::ptrdiff_t>(drawn_share() < 0.5 ? 0 : first),
                rows.begin() + static_cast<std::ptrdiff_t>(last)};
        const double critical = drawn_share() < 0.7 ? 71.3 : rows.back()[0] + 5 * drawn_share();
        const auto loaded = load(file_of(next_name(), rows, critical));
        ++drawn;
        if (!loaded) return;
        ++taken;
        for (const auto& r : loaded->own()) in_order(r);
    });
    MESSAGE(taken << " of " << drawn << " taken");
    CHECK(taken > drawn / 20);
    CHECK(taken < drawn);
}

TEST_CASE("a file with bytes and lines changed is taken with curves in order, or refused at a line") {
    int taken = 0, drawn = 0;
    holds("own refrigerants with changed bytes", 3000, [&] {
        auto text = file_of(next_name(), shipped_rows(), 71.3);
        const std::string bytes = "0123456789.-+eE[]{},:#&*!|>%@`'\"\\\n\t \r\x01\xc3\xff~?nai";
        const auto changes = 1 + drawn_below(3);
        for (std::size_t n = 0; n < changes && !text.empty(); ++n) {
            const auto at = drawn_below(text.size());
            switch (drawn_below(5)) {
                case 0:
                    text[at] = bytes[drawn_below(bytes.size())];
                    break;
                case 1:
                    text.insert(at, 1, bytes[drawn_below(bytes.size())]);
                    break;
                case 2:
                    text.erase(at, 1 + drawn_below(3));
                    break;
                case 3: {  // a line twice, or gone
                    const auto begin = text.rfind('\n', at) + 1;
                    const auto end = std::min(text.find('\n', at), text.size() - 1) + 1;
                    const auto line = text.substr(std::min(begin, end), end - std::min(begin, end));
                    *rc::gen::arbitrary<bool>() ? text.insert(std::min(begin, end), line)
                                                : text.erase(std::min(begin, end), line.size());
                    break;
                }
                default:
                    text.resize(at);
            }
        }
        const auto loaded = load(text);
        ++drawn;
        if (!loaded) return;
        ++taken;
        for (const auto& r : loaded->own()) in_order(r);
    });
    MESSAGE(taken << " of " << drawn << " taken");
    CHECK(taken > drawn / 100);
    CHECK(taken < drawn);
}
