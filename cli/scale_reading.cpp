// Weights that a person types, or that the scale types for itself: the word `scale` and an empty answer read its port.
#include <fmt/format.h>

#include <iostream>

#include "session.hpp"
#include "tarebook/exchange/scale_port_file.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

bool is_scale_word(const std::string& text) {
    return text == "scale";
}

// The scales of this book that have a port on this device.
std::map<std::string, ScalePort> ports_of(const Session& s, const Book& book) {
    auto out = scale_ports(s.book_path());
    std::erase_if(out, [&](const auto& port) { return !book.entries().find(EntryKind::scale, port.first); });
    return out;
}

Stop no_port(std::string what, std::string expected, std::string next) {
    return {{ErrorKind::refused, "scale-no-port", std::move(what), "scale", std::move(expected), std::move(next)}};
}

[[noreturn]] void no_scale_to_read(const Session& s, const Book& book) {
    std::vector<std::string> codes;
    for (const auto& port : ports_of(s, book)) codes.push_back(port.first);
    const std::string next =
        "a port is set with: tarebook scale add ID --port /dev/ttyUSB0; a typed weight goes at any time";
    if (s.scale)
        throw no_port(fmt::format("scale {} has no port on this device", *s.scale),
                      codes.empty() ? "a typed weight" : "--scale " + joined(codes, "|") + ", or a typed weight", next);
    if (codes.empty()) throw no_port("no scale has a port on this device", "a typed weight", next);
    throw no_port("several scales have a port on this device", "--scale " + joined(codes, "|"),
                  "name the one that the cylinder stands on");
}

void tell_read(const Session& s, const Weight& weight) {
    if (!s.format || *s.format == "text") std::cerr << fmt::format("{} shows {}\n", *s.read_from, weight.typed);
}

}  // namespace

std::optional<Session::PortScale> Session::port_scale(const Book& book) const {
    if (scale) {
        auto port = scale_port(book_path(), *scale);
        return port ? std::optional(PortScale{*scale, std::move(*port)}) : std::nullopt;
    }
    const auto ports = ports_of(*this, book);
    if (ports.size() != 1) return std::nullopt;
    return PortScale{ports.begin()->first, ports.begin()->second};
}

ScaleReads Session::reads_of_scale(const Book& book, const std::string& code) const {
    const auto* entry = book.entries().find(EntryKind::scale, code);
    if (!entry) throw Stop{unknown_code(book, EntryKind::scale, code)};
    const auto word = entry->text("reads", {now, {}, 0}).value_or("");
    if (word == "lb") return ScaleReads::lb;
    if (word == "kg") return ScaleReads::kg;
    return word == "lb-oz" ? ScaleReads::lb_oz : ScaleReads::unknown;
}

Result<Weight> Session::read_now(const Book& book, const PortScale& from, ScaleShows shows) const {
    bool told = false;
    auto weight =
        tarebook::read_scale(from.port, reads_of_scale(book, from.code), shows, [&](const ScaleReader& reader) {
            if (!has_terminal || told) return;
            told = true;
            std::cerr << fmt::format("  waiting until {} stands still{}; Ctrl-C ends this, and nothing is written\n",
                                     from.code, reader.latest() ? " (" + text_of(*reader.latest()) + ")" : "");
        });
    if (weight) {
        read_from = from.code;
        scale_used = true;
    }
    return weight;
}

// One scale shows one weight at a time: a second one of the same command waits until the load was changed.
Weight Session::shown_weight(const Book& book, const std::string& text, ScaleShows shows) const {
    if (!is_scale_word(text)) return weight(book, text);
    if (at)
        throw slip("scale-now", "a scale shows what stands on it now, and --at says another time", *at,
                   "a typed weight, or no --at");
    const auto from = port_scale(book);
    if (!from) no_scale_to_read(*this, book);
    if (read_from && !has_terminal)
        throw slip("scale-twice", "one command cannot read two weights: the scale shows the same one still", text,
                   "one weight that is read and one that is typed",
                   "of a recovery: tarebook recover begin --before scale, and at its end recover finish --after scale");
    if (read_from) {
        std::string line;
        std::cerr << fmt::format("next weight, once it is on {}: [Enter reads {}] > ", from->code, from->code);
        if (!std::getline(std::cin, line)) throw slip("flag-missing", "a weight is missing", {}, "Enter, or a weight");
        if (const auto typed = trimmed(line); !typed.empty() && !is_scale_word(std::string(typed)))
            return weight(book, std::string(typed));
    }
    auto read = must(read_now(book, *from, shows));
    tell_read(*this, read);
    return read;
}

std::optional<Weight> Session::shown_weight(const Book& book, const Text& text, ScaleShows shows) const {
    if (!text) return std::nullopt;
    return shown_weight(book, *text, shows);
}

Weight Session::need_weight(const Book& book, const Text& value, const std::string& flag,
                            const std::string& question) const {
    const auto from = has_terminal && !at ? port_scale(book) : std::nullopt;
    // At a terminal `scale` for the weight after waits for Enter: the work is done between the two.
    const bool waits = from && value && is_scale_word(*value) && (read_from || asked.holds_answers());
    if (value && !waits) return shown_weight(book, *value);
    Question q{flag, question};
    q.check = [&](const std::string& typed) -> Result<void> {
        try {
            if (is_scale_word(typed)) no_scale_to_read(*this, book);  // a port would have been read before this
            (void)weight(book, typed);
            return {};
        } catch (const Stop& stop) {
            return fail(stop.error);
        }
    };
    if (from) {
        q.device = from->code;
        q.read = [&]() -> Result<std::string> {
            auto read = read_now(book, *from, ScaleShows::gross);
            if (!read) return fail(std::move(read.error()));
            tell_read(*this, *read);
            return std::move(read->typed);
        };
    }
    auto out = weight(book, need({}, q));
    if (auto device = asked.device_of(flag)) {
        out.from_scale = true;
        read_from = std::move(device);
    }
    return out;
}

Weighing Session::weighing(const Book& book, const Text& before, const Text& after, const Text& net,
                           const std::string& cylinder, ScaleShows net_shows) const {
    if (net && (before || after))
        throw slip("weighing-twice", "--net stands in place of a pair, not beside it", *net,
                   "--before and --after, or --net");
    Weighing w;
    if (net) {
        w.net = shown_weight(book, *net, net_shows);
        return w;
    }
    std::string expectation;
    if (has_terminal && !cylinder.empty() && (!before || !after)) {
        if (const auto gross = book.state(cylinder).gross; gross && !before)
            expectation = fmt::format(" (the book expects {})", mass_text(*gross, page_options(&book).units));
    }
    w.before =
        need_weight(book, before, "--before", fmt::format("gross weight before{}, for example 31.20lb", expectation));
    if (before_was_read) w.before->from_scale = true;
    w.after = need_weight(book, after, "--after", "gross weight after, for example 44.85lb");
    return w;
}

}  // namespace tarebook::cli
