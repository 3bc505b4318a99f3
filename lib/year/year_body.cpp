// Reads from a body what the sums of a year need.
#include "tarebook/year/year.hpp"

namespace tarebook {
namespace {

struct Found : BodyParts {
    bool pair = false, net = false, gross = false, mass_given = false, stamped = false;
    bool into_gross = false;  // of the second cylinder
    std::string_view cylinder, from, into, reason;

    void words(std::string_view key, std::string_view v) override {
        if (key == "cylinder")
            cylinder = v;
        else if (key == "from")
            from = v;
        else if (key == "into")
            into = v;
        else if (key == "reason")
            reason = v;
    }
    void mass(std::string_view key, Mass /*mass*/) override {
        if (key == "gross") gross = true;
        if (key == "net") net = true;
        if (key == "mass") mass_given = true;
    }
    void weighing(std::string_view key, const WeighingMasses& w) override {
        pair = pair || (w.before && w.after);
        net = net || w.net;
        (key == "into_weighing" ? into_gross : gross) |= w.before || w.after;
    }
    void yes(std::string_view key) override { stamped = stamped || key == "stamped"; }
};

Basis basis_of(std::string_view kind, const Found& f) {
    const bool scale = f.pair || f.gross || f.into_gross;
    if (f.from.starts_with("outside:")) return Basis::stated;  // put in by others, by their invoice
    if (kind == kinds::Receive::name) return scale && !f.stamped ? Basis::weighed : Basis::stated;
    if (kind == kinds::Opening::name) return scale ? Basis::weighed : Basis::stated;
    if (kind == kinds::Release::name || kind == kinds::Pumpdown::name)
        return f.pair ? Basis::weighed : Basis::estimated;
    if (scale) return Basis::weighed;
    // A net weight comes from a scale that was zeroed with the cylinder on it.
    return f.net && !f.mass_given ? Basis::weighed : Basis::estimated;
}

}  // namespace

YearWords YearWordsReader::read(const YearEvent& event) {
    if (event.kind == kinds::Entry::name) return {};
    static const Found nothing;
    Found parts;
    const Found& found = reader_.read(event.body, event_, parts) ? parts : nothing;
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
