#include "mapped_drafts.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include <algorithm>
#include <array>

#include "csv_guard.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

bool same(const FieldValue& a, const FieldValue& b) {
    return a.mass && b.mass ? *a.mass == *b.mass : a.text == b.text;
}

std::string flag_of(std::string field) {
    std::replace(field.begin(), field.end(), '_', '-');
    return "--" + field;
}

// Reports fields that the book has never had with this value. A value that was corrected since is no problem.
void compare(const Entry& known, const MappedEntry& entry, const std::string& file, FileProblems& problems) {
    for (const auto& [field, value] : entry.values) {
        const auto it = known.fields().find(field);
        const bool has = it != known.fields().end();
        if (has && std::any_of(it->second.begin(), it->second.end(),
                               [&, &said = value](const DatedValue& d) { return same(d.value, said); }))
            continue;
        const auto place = entry.places.find(field);
        const auto& where = place == entry.places.end() ? MappedEntry::Place{entry.line, {}} : place->second;
        const auto on_record = has ? it->second.back().value.text : std::string();
        problems.add(
            {file,
             where.line,
             where.column,
             {ErrorKind::refused, "entry-differs",
              fmt::format("{} is on record with {}, and the file says {}", entry.code,
                          has ? fmt::format("{} {}", field, on_record) : fmt::format("no {}", field), value.text),
              value.text, has ? on_record : "nothing",
              fmt::format("mend the file, or the register: tarebook {} correct {} {} \"{}\"", text_of(entry.kind),
                          entry.code, flag_of(field), value.text)}});
    }
}

std::string weights_of(const Weighing& w) {
    if (w.is_pair()) return fmt::format("{} -> {}", w.before->typed, w.after->typed);
    return w.net ? w.net->typed + " net" : std::string("no weight");
}

struct Words {
    std::string operator()(const kinds::Entry& k) const {
        std::string fields;
        for (const auto& rule : field_rules(k.entry))
            if (const auto it = k.values.find(std::string(rule.name)); it != k.values.end()) {
                auto text = it->second.text;
                std::replace(text.begin(), text.end(), '\n', ';');
                fields += fmt::format("{} {} {}", fields.empty() ? "" : ",", rule.name, text);
            }
        return fmt::format("{} {}:{}", text_of(k.entry), k.code, fields.empty() ? " nothing but its code" : fields);
    }
    std::string operator()(const kinds::Opening& k) const {
        return fmt::format("{} held {} of {}, {}, {}", k.cylinder,
                           k.gross ? k.gross->typed + " gross" : k.net->typed + " net",
                           k.refrigerant.value_or("a refrigerant that is not on record"),
                           k.owner.empty() ? "owner not on record" : "of " + k.owner, text_of(k.condition));
    }
    std::string operator()(const kinds::Weigh& k) const {
        return fmt::format("{} weighed {}", k.cylinder, k.gross.typed);
    }
    std::string operator()(const kinds::Receive& k) const {
        return fmt::format("purchase {} from {}: {}", k.cylinder, k.from,
                           k.gross ? k.gross->typed + " gross" : weights_of(k.weighing));
    }
    std::string operator()(const kinds::Recover& k) const {
        return fmt::format("recover {} into {}: {}", k.circuit, k.into, weights_of(k.weighing));
    }
    std::string put(const char* word, const kinds::Put& k) const {
        return fmt::format("{} {} from {}: {} ({})", word, k.circuit, k.from, weights_of(k.weighing),
                           text_of(k.reason));
    }
    std::string operator()(const kinds::Charge& k) const { return put("charge", k); }
    std::string operator()(const kinds::Reuse& k) const { return put("reuse", k); }
    std::string operator()(const kinds::Return& k) const {
        return fmt::format("return {} to {}: {}", k.cylinder, k.to,
                           k.gross ? k.gross->typed + " gross" : weights_of(k.weighing));
    }
    std::string operator()(const kinds::Release& k) const {
        return fmt::format("loss from {}: {}", k.cylinder.value_or(""),
                           k.mass ? k.mass->typed + " net" : weights_of(k.weighing));
    }
    std::string operator()(const kinds::PressureTest& k) const {
        return fmt::format("pressure-test {}: {}{}, {}", k.circuit, k.pressure, k.end ? " to " + *k.end : "", k.result);
    }
    std::string operator()(const kinds::Oil& k) const {
        return fmt::format("oil {}:{}{}{}", k.circuit, k.taken_out ? " " + *k.taken_out + " out" : "",
                           k.put_in ? " " + *k.put_in + " in" : "", k.oil ? " of " + *k.oil : "");
    }
    std::string operator()(const kinds::FilterDrier& k) const {
        return fmt::format("filter-drier {}{}", k.machine ? *k.machine : k.circuit.value_or(""),
                           k.fitted ? ": " + *k.fitted : "");
    }
    std::string operator()(const kinds::Identify& k) const {
        return fmt::format("identify {}: {}{}", k.cylinder ? *k.cylinder : k.circuit.value_or(""),
                           k.composition ? *k.composition : k.refrigerant.value_or(""),
                           k.result ? (k.composition || k.refrigerant ? ", " : "") + *k.result : "");
    }
    std::string operator()(const kinds::Compressor& k) const {
        return fmt::format("compressor {}{}: {}", k.circuit, k.fitted ? ", " + *k.fitted : "", k.why);
    }
    template <class Other>
    std::string operator()(const Other&) const {
        return std::string(Other::name);
    }
};

}  // namespace

std::string MappedRowIds::of(const Moment& when, const std::string& words) {
    const auto local = static_cast<std::uint64_t>((when.at + when.offset).time_since_epoch().count());
    std::array<unsigned char, 16> digest{};
    crypto_generichash(digest.data(), digest.size(), reinterpret_cast<const unsigned char*>(words.data()), words.size(),
                       nullptr, 0);
    auto id = fmt::format("map:{:010x}-{}", local, hex_of_bytes(digest).substr(0, 12));
    if (const auto n = ++repeats_[id]; n > 1) id += fmt::format("/{}", n);
    return id;
}

void draft_entry(const Book& book, const MappedEntry& entry, const Moment& when, Instant now, const std::string& file,
                 MapKind kind, FileProblems& problems, MappedDrafts& out) {
    if (const auto* known = book.entries().find(entry.kind, entry.code)) {
        ++out.entries_already;
        compare(*known, entry, file, problems);
        return;
    }
    for (const auto& field : map_fields(kind))
        if (field.matters && field.of == entry.kind && !entry.values.contains(std::string(field.rule.name)))
            ++out.not_said[field.name];
    Event e;
    e.when = when;
    e.recorded = now;
    // An entry that was voided and comes again is another event: the number of the book's head makes its name another
    // one.
    e.own_id = fmt::format("entry:{}:{}@{}", text_of(entry.kind), entry.code, book.head().seq);
    kinds::Entry what{entry.kind, entry.code, true, entry.values};
    if (what.values.empty()) what.values["name"] = {entry.code, {}};
    e.what = std::move(what);
    out.keep(std::move(e), entry.line);
}

std::string words_of_draft(const Event& draft) {
    auto words = std::visit(Words{}, draft.what);
    return std::holds_alternative<kinds::Entry>(draft.what) ? words : moment_text(draft.when) + "  " + words;
}

}  // namespace tarebook
