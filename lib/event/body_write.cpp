// Canonical bytes: RFC 8785 (JSON Canonicalization Scheme) narrowed to what the book writes: lower-case ASCII keys in
// order, strings, whole numbers below 2^53, true; no null, no fraction. Every `fields` list names its parts in that
// order, so the bytes are written in one pass; the property tests hold them against a JSON library's.
#include <algorithm>
#include <cassert>

#include "tarebook/event/event.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

class Writer {
 public:
    explicit Writer(std::string& out) : out_(out) { out_ += '{'; }
    void close() { out_ += '}'; }

    void operator()(const char* key, std::string_view v) { begin(key), quote(v); }
    void operator()(const char* key, const std::string& v) { begin(key), quote(v); }
    void operator()(const char* key, bool v) {
        if (v) begin(key), out_ += "true";
    }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) begin(key), quote(*v);
    }
    void operator()(const char* key, std::int64_t v) { begin(key), out_ += std::to_string(v); }
    void operator()(const char* key, const std::optional<std::int64_t>& v) {
        if (v) (*this)(key, *v);
    }
    void operator()(const char* key, const Weight& v) { begin(key), weight(v.mass, v.typed, v.from_scale); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) (*this)(key, *v);
    }
    void operator()(const char* key, const std::optional<Money>& v) {
        if (v) begin(key), money(*v, {});
    }
    void operator()(const char* key, const std::optional<Price>& v) {
        if (v) begin(key), money(v->amount, text_of(v->per));
    }
    void operator()(const char* key, Condition v) { (*this)(key, text_of(v)); }
    void operator()(const char* key, Reason v) { (*this)(key, text_of(v)); }
    void operator()(const char* key, EntryKind v) { (*this)(key, text_of(v)); }
    void operator()(const char* key, const FieldValues& v) {
        if (v.empty()) return;
        begin(key);
        Writer inner(out_);
        for (const auto& [name, value] : v) {
            inner.begin_name(name);
            if (value.mass)
                weight(*value.mass, value.text, false);
            else
                quote(value.text);
        }
        inner.close();
    }
    void operator()(const char* key, const Weighing& v) {
        if (!v.before && !v.after && !v.net) return;
        begin(key);
        object(v);
    }
    void operator()(const char* key, const std::vector<Accepted>& v) {
        if (v.empty()) return;
        begin(key);
        char before = '[';
        for (const auto& one : v) {
            out_ += before;
            object(one);
            before = ',';
        }
        out_ += ']';
    }
    /// The parts of the event's kind.
    void operator()(const char* key, const What& what) {
        begin(key);
        std::visit([&](const auto& k) { object(k); }, what);
    }

 private:
    // Precondition: `key` is one of our own, which need no escape.
    void begin(std::string_view key) {
        next(key);
        out_ += '"';
        out_ += key;
        out_ += "\":";
    }
    // A key of a map comes from a body and may need escapes.
    void begin_name(std::string_view name) {
        next(name);
        quote(name);
        out_ += ':';
    }
    void next(std::string_view key) {
        assert((first_ || last_ < key) && "fields are named in order");
        last_ = key;
        if (!first_) out_ += ',';
        first_ = false;
    }
    template <class T>
    void object(const T& parts) {
        Writer inner(out_);
        T::fields(parts, inner);
        inner.close();
    }
    void weight(Mass mass, const std::string& typed, bool from_scale) {
        out_ += "{\"count\":\"";
        out_ += std::to_string(mass.count());
        out_ += from_scale ? "\",\"read\":true,\"typed\":" : "\",\"typed\":";
        quote(typed);
        out_ += '}';
    }
    void money(const Money& amount, std::string_view per) {
        Writer inner(out_);
        inner("currency", amount.currency.code());
        inner("minor", amount.minor);
        if (!per.empty()) inner("per", per);
        inner.close();
    }
    // RFC 8785, 3.2.2.2: only what must be escaped, in its shortest form.
    void quote(std::string_view text) {
        const auto plain = [](char c) { return static_cast<unsigned char>(c) >= 0x20 && c != '"' && c != '\\'; };
        out_ += '"';
        for (auto at = text.begin(); at != text.end();) {
            const auto end = std::find_if_not(at, text.end(), plain);
            out_.append(at, end);
            if (end == text.end()) break;
            at = end + 1;
            const char c = *end;
            out_ += '\\';
            switch (c) {
                case '\b':
                    out_ += 'b';
                    break;
                case '\t':
                    out_ += 't';
                    break;
                case '\n':
                    out_ += 'n';
                    break;
                case '\f':
                    out_ += 'f';
                    break;
                case '\r':
                    out_ += 'r';
                    break;
                case '"':
                case '\\':
                    out_ += c;
                    break;
                default:
                    out_ += "u00";
                    write_hex({&c, 1}, std::back_inserter(out_));
            }
        }
        out_ += '"';
    }

    std::string& out_;
    std::string_view last_;
    bool first_ = true;
};

}  // namespace

std::string canonical_body(const Event& event) {
    if (const auto* unknown = std::get_if<kinds::Unknown>(&event.what)) return unknown->body;
    std::string out;
    out.reserve(640);
    Writer w(out);
    w("accepted", event.accepted);
    w("anyway", event.anyway);
    w("at", instant_text(event.when.at));
    w("book", hex(event.book));
    w("by", event.by);
    w("date", date_text(event.when.date()));
    w("job", event.job);
    w("kind", event.kind());
    w("note", event.note);
    w("offset_min", static_cast<std::int64_t>(event.when.offset.count()));
    w("own_id", event.own_id);
    w("prev", hex(event.previous));
    w("recorded", instant_text(event.recorded));
    w("scale", event.scale);
    w("seq", event.seq);
    w("v", body_version);
    w("what", event.what);
    w("zone", event.when.zone);
    w.close();
    return out;
}

std::string words_of(const Event& event) {
    // The reason and the name of the scale are part of the content; the moment of recording is not.
    std::string out;
    Writer w(out);
    w("anyway", event.anyway);
    w("at", instant_text(event.when.at));
    w("by", event.by);
    w("job", event.job);
    w("kind", event.kind());
    w("note", event.note);
    w("own_id", event.own_id);
    w("scale", event.scale);
    w("what", event.what);
    w.close();
    return out;
}

}  // namespace tarebook
