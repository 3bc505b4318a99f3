// What the sums of a year want to know from a body. Most bodies are skimmed; the others are read whole.
#include "tarebook/year.hpp"

namespace tarebook {
namespace {

struct Found {
    bool pair = false, net = false, gross = false, mass = false, stamped = false;
    bool into_gross = false;  // of the second cylinder
    std::string_view cylinder, from, into, reason;
};

// Handed the parts of a kind by a Skimmer, or by the fields of an Event.
class PartsOf {
 public:
    explicit PartsOf(Found& found) : f_(found) {}
    void operator()(std::string_view key, std::string_view v) {
        if (key == "cylinder")
            f_.cylinder = v;
        else if (key == "from")
            f_.from = v;
        else if (key == "into")
            f_.into = v;
        else if (key == "reason")
            f_.reason = v;
    }
    void operator()(std::string_view key, Mass) {
        if (key == "gross") f_.gross = true;
        if (key == "net") f_.net = true;
        if (key == "mass") f_.mass = true;
    }
    void operator()(std::string_view key, const WeighingMasses& w) {
        f_.pair = f_.pair || (w.before && w.after);
        f_.net = f_.net || w.net;
        (key == "into_weighing" ? f_.into_gross : f_.gross) |= w.before || w.after;
    }

    void operator()(const char* key, const std::string& v) { (*this)(key, std::string_view(v)); }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) (*this)(key, std::string_view(*v));
    }
    void operator()(const char* key, const Weight& v) { (*this)(key, v.mass); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) (*this)(key, v->mass);
    }
    void operator()(const char* key, const Weighing& v) {
        const auto mass = [](const std::optional<Weight>& w) { return w ? std::optional(w->mass) : std::nullopt; };
        (*this)(key, WeighingMasses{mass(v.before), mass(v.after), mass(v.net)});
    }
    void operator()(const char* key, Reason v) { (*this)(key, text_of(v)); }
    void operator()(const char*, Condition) {}
    void operator()(const char*, bool) {}
    void operator()(const char*, const std::optional<std::int64_t>&) {}
    void operator()(const char*, EntryKind) {}
    void operator()(const char*, const FieldValues&) {}

 private:
    Found& f_;
};

// Inside words a quotation mark is escaped, so that these bytes can only be the field.
bool says(std::string_view body, std::string_view field) {
    return body.find(field) != std::string_view::npos;
}

Basis basis_of(std::string_view kind, const Found& f) {
    const bool scale = f.pair || f.gross || f.into_gross;
    if (f.from.starts_with("outside:")) return Basis::stated;  // what others put in, by their invoice
    if (kind == kinds::Receive::name) return scale && !f.stamped ? Basis::weighed : Basis::stated;
    if (kind == kinds::Opening::name) return scale ? Basis::weighed : Basis::stated;
    if (kind == kinds::Release::name || kind == kinds::Pumpdown::name)
        return f.pair ? Basis::weighed : Basis::estimated;
    if (scale) return Basis::weighed;
    // a net weight is that of a scale which was zeroed with the cylinder on it
    return f.net && !f.mass ? Basis::weighed : Basis::estimated;
}

}  // namespace

YearWords YearWordsReader::read(const YearEvent& event) {
    Found found;
    PartsOf parts(found);
    if (event.kind == kinds::Entry::name) return {};
    SkimmedEvent skimmed;
    if (!skimmer_.read(event.body, skimmed, parts)) {
        found = {};
        if (const auto whole = event_from_body(event.body)) {
            std::visit([&](const auto& k) { std::decay_t<decltype(k)>::fields(k, parts); }, whole->what);
            // the words go with the event that was read
            std::size_t kept = 0;
            for (auto* word : {&found.cylinder, &found.from, &found.into})
                if (!word->empty() && kept < kept_.size()) {
                    kept_[kept] = *word;
                    *word = kept_[kept++];
                } else if (!word->empty()) {
                    *word = {};
                }
            found.reason =
                found.reason.empty() ? found.reason : text_of(reason_from(found.reason).value_or(Reason::leak));
        }
    }
    found.stamped = event.kind == kinds::Receive::name && says(event.body, "\"stamped\":true");
    YearWords out;
    out.basis = basis_of(event.kind, found);
    out.reason = reason_from(found.reason).value_or(Reason::leak);
    if (found.gross)
        out.weighed[0] = !found.cylinder.empty()              ? found.cylinder
                         : event.kind == kinds::Recover::name ? found.into
                                                              : found.from;
    if (found.into_gross) out.weighed[1] = found.into;
    return out;
}

}  // namespace tarebook
