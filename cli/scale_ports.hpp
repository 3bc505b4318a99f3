// The port of a scale: a fact of this device, kept beside the book and not in it.
#pragma once

#include <cstdint>

#include "session.hpp"

namespace tarebook::cli {

struct ScalePortOptions {
    Text port, line;
    std::optional<int> baud;
    std::optional<double> wait;
    [[nodiscard]] bool typed() const { return port || line || baud || wait; }
};

void add_scale_port_options(CLI::App& command, ScalePortOptions& options);
/// What the options make of the port that the scale has: it is checked, and not kept yet. Nothing where the scale has
/// none from now on. Precondition: an option was typed.
std::optional<ScalePort> scale_port_of(const Session& session, const std::string& scale,
                                       const ScalePortOptions& options);
/// Keeps it, or forgets the one that was kept. Returns what is said of it.
std::string keep_port(const Session& session, const std::string& scale, const std::optional<ScalePort>& port);
/// A line for each scale that has a port here: of one, or of all.
std::string ports_text(const Session& session, const Text& scale);
/// Adds `scale listen`.
void setup_scale_listen(CLI::App& group, Session& session);

}  // namespace tarebook::cli
