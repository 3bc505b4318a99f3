// Steps of a visit that move no gas: isolate, fit, note.
#include <fmt/format.h>

#include <filesystem>
#include <memory>

#include "session.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/hours.hpp"

namespace tarebook::cli {
namespace {

struct VisitOptions {
    Text subject, part, tag, removed, circuit, photo, hours;
    std::vector<std::string> close, readings;
    std::optional<std::int64_t> quantity;
    bool reopened = false;
};

std::string in_order(const std::vector<std::string>& words, const char* between) {
    std::string out;
    for (const auto& word : words) out += (out.empty() ? "" : between) + word;
    return out;
}

// The points that the register has for this circuit, if none are typed.
Text points_of(const Book& book, const std::string& circuit, const std::vector<std::string>& typed) {
    if (!typed.empty()) return in_order(typed, ", then ");
    const auto* entry = book.entries().find(EntryKind::circuit, circuit);
    const auto lines = entry ? entry->text("close", {Instant::max(), {}, 0}) : std::nullopt;
    if (!lines || lines->empty()) return std::nullopt;
    std::string out;
    for (const char c : *lines) out += c == '\n' ? std::string(", then ") : std::string(1, c);
    return out;
}

// Of a circuit that is isolated by the book, a person is asked whether it is back in service.
bool is_reopened(const Session& s, const Book& book, const std::string& circuit, const VisitOptions& o) {
    if (o.reopened || !o.close.empty() || !s.has_terminal) return o.reopened;
    const auto before = isolated_before(book, circuit, OrderKey{s.now + std::chrono::minutes(15), {}, 0});
    if (!before) return false;
    Question q{"--reopened", fmt::format("{} is isolated since {} ({}); what was done now", circuit,
                                         moment_text(before->event.when), before->name)};
    q.offers = {{"reopened", "it is back in service"}, {"isolated", "isolated once more, at other points"}};
    q.check = [](const std::string& typed) -> Result<void> {
        if (typed == "reopened" || typed == "isolated") return {};
        return fail(slip("word-unknown", "that is neither", typed, "reopened|isolated").error);
    };
    return s.need({}, q) == "reopened";
}

// Asked for where the circuit had to be asked for, or where the register has none.
std::string points_asked(const Session& s, const Text& of_register) {
    Question q{"--close", "what was closed, in order: liquid valve, then suction valve"};
    if (of_register) q.offers = {{*of_register, ""}};
    return s.need({}, q);
}

int isolate(const Session& s, const VisitOptions& o) {
    auto book = s.open(Access::write);
    kinds::Isolate k;
    if (o.reopened && !o.close.empty())
        throw slip("flags-together", "back in service, or closed, not both", o.close.front(), "--reopened, or --close");
    k.circuit = s.need_circuit(book, o.subject, "CIRCUIT");
    const bool was_asked = s.has_terminal && s.asked.holds_answers();
    k.reopened = is_reopened(s, book, k.circuit, o);
    if (!k.reopened) {
        k.points = points_of(book, k.circuit, o.close);
        if (s.has_terminal && o.close.empty() && (was_asked || !k.points)) k.points = points_asked(s, k.points);
        if (!k.points)
            throw slip("flag-missing", "--close is missing: the register has no points for this circuit", {},
                       "what was closed, once each in order: --close \"liquid: ball valve 5/8\"");
    }
    const auto site = site_of(k.circuit);
    const auto whole = s.with_person_and_job(book, k.circuit);
    return whole.record_and_tell(book, {whole.draft(book, std::move(k), site)});
}

int fit(const Session& s, const VisitOptions& o) {
    auto book = s.open(Access::write);
    kinds::Fit k;
    k.circuit = s.need_circuit(book, o.subject, "CIRCUIT");
    k.part = s.need(o.part, "--part", "what was fitted: \"expansion valve\"");
    k.tag = o.tag;
    k.removed = o.removed;
    k.quantity = o.quantity;
    const auto site = site_of(k.circuit);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

// The digest of a photo identifies the picture in the event, and the book stays small.
Digest digest_of_file(const std::string& path) {
    constexpr std::size_t largest_photo = 256U << 20U;
    const auto bytes = read_whole(path, largest_photo);
    if (!bytes)
        throw slip("photo-unreadable", "cannot read the photo: " + bytes.error().what, path, bytes.error().expected);
    if (bytes->empty())
        throw slip("photo-unreadable", "the photo is empty", path, "a file that is there and not empty");
    return digest_of(*bytes);
}

int note(const Session& s, const VisitOptions& o) {
    auto book = s.open(Access::write);
    kinds::Note k;
    if (o.circuit) k.circuit = s.need_circuit(book, o.circuit);
    k.text = o.subject;
    if (!o.readings.empty()) k.readings = in_order(o.readings, ", ");
    if (o.photo) {
        k.photo_sha256 = hex(digest_of_file(*o.photo));
        k.photo = std::filesystem::path(*o.photo).filename().string();
    }
    if (o.hours) k.minutes = must(parse_hours(*o.hours));
    if (!k.text && !k.readings && !k.photo && !k.minutes)
        throw slip("flag-missing", "there is nothing to note", {},
                   "TEXT, --reading \"suction 42psig\", --hours 2.5 or --photo FILE");
    const auto site = site_of(k.circuit.value_or(""));
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

}  // namespace

void setup_visit_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<VisitOptions>();
    auto command = [&](const char* name, const char* help, const char* word,
                       int (*run)(const Session&, const VisitOptions&)) {
        return recording_command(root, s, o, name, help, &VisitOptions::subject, "subject", word, run);
    };
    auto* c = command("isolate", "a circuit was closed off, or is back in service", "circuit or appliance", isolate);
    c->add_option("--close", o->close, "what was closed, once each in order; else as the register has it");
    c->add_flag("--reopened", o->reopened, "it is back in service");
    c = command("fit", "a part was fitted", "circuit or appliance", fit);
    c->add_option("--part", o->part, "what it is, for example expansion valve");
    c->add_option("--tag", o->tag, "the maker's tag, as it reads");
    c->add_option("--quantity", o->quantity, "how many (one)")->check(CLI::Range(1, 1000));
    c->add_option("--removed", o->removed, "what came out, with its tag");
    c = command("note", "what was seen, read or photographed", "the remark, in quotation marks", note);
    c->add_option("--circuit", o->circuit, "circuit or appliance that it is about");
    c->add_option("--reading", o->readings, "as read, once each, for example suction 42psig");
    c->add_option("--hours", o->hours, "worked on the job: 2.5, or 2:30");
    c->add_option("--photo", o->photo, "file; its name and SHA-256 go on record, the photo stays where it is");
}

}  // namespace tarebook::cli
