// The typed forms of pipes and vessels.
#include <fmt/format.h>

#include <cstdlib>

#include "tarebook/refrigerant/piping.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/decimal.hpp"

namespace tarebook {
namespace {

constexpr const char* pipe_form = "what runs in it, size, wall and length: liquid 5/8 hard 120ft";
constexpr const char* vessel_form = "name, inside volume and share of liquid: coil 0.42ft3 30% liquid";

std::vector<std::string_view> words_of(std::string_view text) {
    std::vector<std::string_view> out;
    while (!(text = trimmed(text)).empty()) {
        const auto end = std::min(text.find_first_of(" \t"), text.size());
        out.push_back(text.substr(0, end));
        text.remove_prefix(end);
    }
    return out;
}

/// "120ft" as a number and its unit.
struct Figure {
    double value = 0;
    std::string unit;
    bool ok = false;
};
Figure figure_of(std::string_view text) {
    Figure f;
    const auto n = decimal::take_number(text);
    f.ok = n.digits > 0 && n.digits <= 9;
    f.value = n.value();
    f.unit = decimal::lower(trimmed(text));
    return f;
}

Result<Length> length_of(std::string_view text, std::string_view typed) {
    const auto f = figure_of(text);
    const bool feet = f.unit == "ft";
    if (!f.ok || (!feet && f.unit != "m"))
        return usage("length-unit", fmt::format("\"{}\" is not a length in feet or metres", text), std::string(typed),
                     "120ft or 36.5m");
    const auto length = feet ? Length::feet(f.value) : Length::metres(f.value);
    if (length <= Length::metres(0) || length > Length::feet(5000))
        return usage("length-range", "no pipe of a circuit has that length", std::string(typed),
                     "above zero, up to 5000 ft");
    return length;
}

Result<Volume> volume_of(std::string_view text, std::string_view typed) {
    const auto f = figure_of(text);
    std::optional<Volume> volume;
    if (f.unit == "ft3") volume = Volume::cubic_feet(f.value);
    if (f.unit == "in3") volume = Volume::cubic_feet(f.value / 1728);
    if (f.unit == "l") volume = Volume::litres(f.value);
    if (!f.ok || !volume)
        return usage("volume-unit", fmt::format("\"{}\" is not a volume with its unit", text), std::string(typed),
                     "0.42ft3, 725in3 or 12L");
    if (*volume <= Volume::litres(0) || *volume > Volume::litres(100'000))
        return usage("volume-range", "no part of a circuit has that volume", std::string(typed),
                     "above zero, up to 3500 ft3 (100 m3)");
    return *volume;
}

/// Calls `take` for each line that is not empty.
template <class Take>
Result<void> each_line(std::string_view text, Take take) {
    for (const auto part : split(text, '\n'))
        if (const auto line = trimmed(part); !line.empty())
            if (auto taken = take(line); !taken) return fail(taken.error());
    return {};
}

}  // namespace

std::string_view text_of(PipeRole role) {
    switch (role) {
        case PipeRole::liquid:
            return "liquid";
        case PipeRole::suction:
            return "suction";
        case PipeRole::hot_gas:
            return "hot-gas";
    }
    std::abort();
}

Result<Pipe> parse_pipe(std::string_view typed) {
    const auto words = words_of(typed);
    const std::string seen(typed);
    if (words.size() < 4 || words.size() > 5) return usage("pipe-words", "cannot read a pipe", seen, pipe_form);
    std::optional<PipeRole> role;
    for (const auto r : {PipeRole::liquid, PipeRole::suction, PipeRole::hot_gas})
        if (words[0] == text_of(r)) role = r;
    if (!role)
        return usage("pipe-role", fmt::format("\"{}\" does not say what runs in the pipe", words[0]), seen,
                     "liquid|suction|hot-gas", did_you_mean(words[0], split("liquid|suction|hot-gas", '|')));
    const auto kind = words[words.size() - 2];
    if (kind != "hard" && kind != "soft")
        return usage("pipe-wall", fmt::format("\"{}\" does not say which tube it is", kind), seen, "hard|soft",
                     "hard: straight lengths; soft: from a coil");
    std::string size(words[1]);
    if (words.size() == 5) size += " " + std::string(words[2]);  // 1 3/8
    const auto tube = parse_tube_size(size, kind == "hard" ? TubeWall::hard : TubeWall::soft);
    if (!tube) return fail(tube.error());
    const auto length = length_of(words.back(), typed);
    if (!length) return fail(length.error());
    return Pipe{*role, *tube, *length};
}

Result<Vessel> parse_vessel(std::string_view typed) {
    const auto words = words_of(typed);
    const std::string seen(typed);
    if (words.size() < 4 || words.back() != "liquid")
        return usage("vessel-words", "cannot read a component's volume", seen, vessel_form,
                     words.empty() || words.back() == "liquid"
                         ? ""
                         : "say the share of liquid, also where it is none: 0% liquid");
    const auto share = figure_of(words[words.size() - 2]);
    if (!share.ok || share.unit != "%" || share.value > 100)
        return usage("vessel-share", fmt::format("\"{}\" is not a share in percent", words[words.size() - 2]), seen,
                     "0% to 100% liquid");
    const auto volume = volume_of(words[words.size() - 3], typed);
    if (!volume) return fail(volume.error());
    std::string name;
    for (std::size_t i = 0; i + 3 < words.size(); ++i) name += (i ? " " : "") + std::string(words[i]);
    return Vessel{name, *volume, share.value};
}

Result<Piping> parse_piping(std::string_view pipes, std::string_view vessels) {
    Piping piping;
    auto taken = each_line(pipes, [&](std::string_view line) -> Result<void> {
        auto pipe = parse_pipe(line);
        if (!pipe) return fail(pipe.error());
        piping.pipes.push_back(*pipe);
        return {};
    });
    if (!taken) return fail(taken.error());
    taken = each_line(vessels, [&](std::string_view line) -> Result<void> {
        auto vessel = parse_vessel(line);
        if (!vessel) return fail(vessel.error());
        piping.vessels.push_back(std::move(*vessel));
        return {};
    });
    if (!taken) return fail(taken.error());
    return piping;
}

}  // namespace tarebook
