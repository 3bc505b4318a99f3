// Events: what happened, each one typed, dated fact. An event is made once, at the edge, from what a person typed; its
// canonical bytes never change again (I3), and its digest covers them and the digest of its predecessor (I4).
//
// A kind is a plain struct with one `fields` function that names its parts; encoding, decoding and printing all walk
// that one list. Codes (cylinder, circuit ...) are the book's own: a circuit is SITE/APPLIANCE/CIRCUIT.
#pragma once

#include <array>
#include <compare>
#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

#include "tarebook/event/moment.hpp"
#include "tarebook/units/mass.hpp"
#include "tarebook/units/money.hpp"

namespace tarebook {

/// 128 bits that name a book, and 256 bits (SHA-256) that name an event.
using BookId = std::array<std::uint8_t, 16>;
using Digest = std::array<std::uint8_t, 32>;

/// Lower-case hex digits, two a byte.
std::string hex(const BookId& id);
std::string hex(const Digest& digest);
/// Takes 32 lower-case hex digits; nothing for any other text.
std::optional<BookId> book_id_from_hex(std::string_view text);
/// The last letters of the id of a practice book. Each event, chain, card and signed head of it carries the id, and a
/// bundle shows it without the book's first event, too.
inline constexpr std::string_view practice_mark = "PRACTICE";
/// Whether the id is that of a practice book.
bool is_practice(const BookId& id);
/// Takes 64 lower-case hex digits; nothing for any other text.
std::optional<Digest> digest_from_hex(std::string_view text);

/// Total order of events: instant, book, branch, sequence.
struct OrderKey {
    Instant at{};
    BookId book{};
    std::int64_t seq = 0;      ///< from 1, in the chain of its book
    std::uint16_t branch = 0;  ///< 0 unless the book was copied and both copies went on
    friend bool operator==(const OrderKey&, const OrderKey&) = default;
    /// By instant, then book, branch and sequence.
    friend auto operator<=>(const OrderKey& a, const OrderKey& b) {
        return std::tie(a.at, a.book, a.branch, a.seq) <=> std::tie(b.at, b.book, b.branch, b.seq);
    }
};

/// What gas is, from best to worst: where two lots meet, the mixture is the worse of the two.
enum class Condition { virgin, reclaimed, recycled, recovered };
/// Why gas was taken out of equipment or put in. `purged`: it takes the place of gas that a purge unit sent to be
/// destroyed.
enum class Reason { open, put_back, leak, initial, conversion, seasonal, overcharge, disposal, purged };

/// The word of the record and of the command line: "reclaimed", "put-back".
std::string_view text_of(Condition condition);
std::string_view text_of(Reason reason);
/// The value of such a word; nothing for any other text.
std::optional<Condition> condition_from(std::string_view text);
/// The value of such a word; nothing for any other text.
std::optional<Reason> reason_from(std::string_view text);

/// What a scale showed of one cylinder: before and after, or the net of a scale zeroed with the cylinder on it.
struct Weighing {
    std::optional<Weight> before;
    std::optional<Weight> after;
    std::optional<Weight> net;
    /// Whether both gross weights are there.
    [[nodiscard]] bool is_pair() const { return before && after; }
    /// after - before, else the net, else zero. Negative where the cylinder got lighter in a pair; a net has no sign.
    [[nodiscard]] Mass gained() const;
    friend bool operator==(const Weighing&, const Weighing&) = default;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("after", s.after), v("before", s.before), v("net", s.net);
    }
};

/// One field of a register entry: words, or a weight that was typed.
struct FieldValue {
    std::string text;
    std::optional<Mass> mass;  ///< exact, where the field is a weight; text is then as typed
    friend bool operator==(const FieldValue&, const FieldValue&) = default;
};
/// Values by the name of the field.
using FieldValues = std::map<std::string, FieldValue>;

/// What the register lists. `stock`: what a gas is sold for, and how much of it the shop wants at a place.
enum class EntryKind { site, appliance, circuit, cylinder, scale, machine, technician, stock };
/// How many there are.
inline constexpr std::size_t entry_kind_count = 8;
/// The word of the record and of the command line: "cylinder".
std::string_view text_of(EntryKind kind);
/// The value of such a word; nothing for any other text.
std::optional<EntryKind> entry_kind_from(std::string_view text);

namespace kinds {

/// The first event of every book: whose it is, and how its words are meant.
struct Start {
    static constexpr std::string_view name = "start";
    std::string company, units, zone, public_key;  ///< units: lb | kg; zone: IANA name; public_key: Ed25519, hex
    std::optional<std::string> country;   ///< ISO 3166-1 alpha-2: the country of the shop, and of what is at no site
    std::optional<std::string> restored;  ///< BOOK:SEQ:DIGEST: the head of the copy that this book goes on from
    std::optional<std::string> shop;      ///< hex: the id of the first book of the shop, which may be this one
    std::optional<std::string> practice;  ///< yes: nothing in the book is real
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("company", s.company), v("country", s.country), v("practice", s.practice), v("public_key", s.public_key),
            v("restored", s.restored), v("shop", s.shop), v("units", s.units), v("zone", s.zone);
    }
};

/// Adds or corrects one entry of the register; the event's moment is the moment from which the values hold.
struct Entry {
    static constexpr std::string_view name = "entry";
    EntryKind entry = EntryKind::site;
    std::string code;
    bool adds = false;  ///< a new entry; else a correction of one that is there
    FieldValues values;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("adds", s.adds), v("code", s.code), v("entry", s.entry), v("values", s.values);
    }
};

/// What a counted cylinder held when the book took it over.
struct Opening {
    static constexpr std::string_view name = "opening";
    std::string cylinder, owner;             ///< owner: empty if not on record
    std::optional<std::string> refrigerant;  ///< absent if not on record; "mixed" for a mixture
    Condition condition = Condition::recovered;
    std::optional<Weight> gross, net;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("condition", s.condition), v("cylinder", s.cylinder), v("gross", s.gross), v("net", s.net),
            v("owner", s.owner), v("refrigerant", s.refrigerant);
    }
};

/// A cylinder came in from a supplier, or gas came in with one that was there.
struct Receive {
    static constexpr std::string_view name = "receive";
    std::string cylinder, from;
    std::optional<std::string> refrigerant, lot, invoice;
    Condition condition = Condition::virgin;
    std::optional<Weight> gross;  ///< what the scale says now; alone it means: all above the tare came in
    Weighing weighing;
    bool stamped = false;             ///< the net is the maker's stamp, not a weighing
    std::optional<Price> price = {};  ///< what was paid for it
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("condition", s.condition), v("cylinder", s.cylinder), v("from", s.from), v("gross", s.gross),
            v("invoice", s.invoice), v("lot", s.lot), v("price", s.price), v("refrigerant", s.refrigerant),
            v("stamped", s.stamped), v("weighing", s.weighing);
    }
};

/// Gas went from equipment into a cylinder.
struct Recover {
    static constexpr std::string_view name = "recover";
    std::string circuit, into;  ///< circuit: or the appliance, where the job was done at the rack; into: a cylinder
    Weighing weighing;
    Reason reason = Reason::open;
    std::optional<std::string> vacuum, rise, drier, machine, gas;  ///< vacuum: 10inHg; gas: clean | burnt-out | acid
    std::optional<std::string> vacuum_exception;                   ///< "leaking: WHY" ..., 40 CFR 82.156(a)(1) and (2)
    std::optional<std::string> compressor;  ///< of a small appliance: runs | does-not-run, 40 CFR 82.156(b)
    std::optional<std::int64_t> held_min;   ///< minutes for which the vacuum was held
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("compressor", s.compressor), v("drier", s.drier), v("gas", s.gas),
            v("held_min", s.held_min), v("into", s.into), v("machine", s.machine), v("reason", s.reason),
            v("rise", s.rise), v("vacuum", s.vacuum), v("vacuum_exception", s.vacuum_exception),
            v("weighing", s.weighing);
    }
};

/// Gas went into equipment: what a charge and a reuse have in common.
struct Put {
    std::string circuit, from;  ///< from: a cylinder, or outside:NAME for a charge made by others
    Weighing weighing;
    Reason reason = Reason::leak;
    std::optional<std::string> invoice;
    std::optional<std::string> leak;                 ///< L-3: additions for one leak are counted as one
    std::optional<std::string> ownership_exception;  ///< "sister-company: WHY" ..., 40 CFR 82.154(d)
    std::optional<std::string> destroyed;            ///< "98: HOW", percent of what was purged and this replaces
    bool emptied = false;                            ///< the cylinder is empty now
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("destroyed", s.destroyed), v("emptied", s.emptied), v("from", s.from),
            v("invoice", s.invoice), v("leak", s.leak), v("ownership_exception", s.ownership_exception),
            v("reason", s.reason), v("weighing", s.weighing);
    }
};
/// Gas went into equipment from a cylinder, or others put it in.
struct Charge : Put {
    static constexpr std::string_view name = "charge";
};
/// Recovered gas went back into equipment.
struct Reuse : Put {
    static constexpr std::string_view name = "reuse";
};

/// Gas went from one cylinder into another.
struct Transfer {
    static constexpr std::string_view name = "transfer";
    std::string from, into;
    Weighing from_weighing, into_weighing;
    std::optional<std::string> hose_loss;  ///< atmosphere | lost: where a difference of the two sides went
    bool emptied = false;                  ///< `from` is empty now
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("emptied", s.emptied), v("from", s.from), v("from_weighing", s.from_weighing), v("hose_loss", s.hose_loss),
            v("into", s.into), v("into_weighing", s.into_weighing);
    }
};

/// A cylinder's gas left the shop: what a return and a destruction have in common.
struct Send {
    std::string cylinder, to;
    std::optional<Weight> gross;
    Weighing weighing;  ///< a pair where the cylinder was emptied there and stays ours
    std::optional<std::string> manifest;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("gross", s.gross), v("manifest", s.manifest), v("to", s.to),
            v("weighing", s.weighing);
    }
};
/// A cylinder's gas went to a reclaimer.
struct Return : Send {
    static constexpr std::string_view name = "return";
};
/// A cylinder's gas went to a destruction facility.
struct Destroy : Send {
    static constexpr std::string_view name = "destroy";
};

/// A cylinder went to a supplier in exchange for another one.
struct Exchange {
    static constexpr std::string_view name = "exchange";
    std::string cylinder, for_cylinder, with;  ///< for_cylinder: the one that came; with: the supplier
    std::optional<Weight> gross;
    std::optional<std::string> deposit;        ///< money in words: only events recorded before deposit_amount have it
    std::optional<Money> deposit_amount = {};  ///< what was left with the supplier for the one that came
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("deposit", s.deposit), v("deposit_amount", s.deposit_amount),
            v("for_cylinder", s.for_cylinder), v("gross", s.gross), v("with", s.with);
    }
};

/// Gas went to the air.
struct Release {
    static constexpr std::string_view name = "release";
    std::optional<std::string> circuit, cylinder;  ///< one of them
    std::optional<Weight> mass;                    ///< estimated; absent where the cylinder was weighed
    Weighing weighing;  ///< of the cylinder: a pair. It is a measured loss, and its weights are levels
    std::string method, why;
    /// What went to the air: the pair's difference, else the estimate, else zero.
    [[nodiscard]] Mass released() const;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("cylinder", s.cylinder), v("mass", s.mass), v("method", s.method),
            v("weighing", s.weighing), v("why", s.why);
    }
};

/// A circuit was pumped down. Its refrigerant went to another part of the same appliance, where nothing moves in the
/// book, or into another appliance, by estimate.
struct Pumpdown {
    static constexpr std::string_view name = "pumpdown";
    std::string circuit;
    std::optional<std::string> left;  ///< pressure that the circuit was left at, as typed: 5psig
    std::optional<std::string> to;    ///< another appliance
    std::optional<Weight> mass;       ///< estimated; only with `to`
    std::optional<std::string> method;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("left", s.left), v("mass", s.mass), v("method", s.method), v("to", s.to);
    }
};

/// A gross weight of a cylinder, and nothing moved.
struct Weigh {
    static constexpr std::string_view name = "weigh";
    std::string cylinder;
    Weight gross;
    bool leaking = false;  ///< the cylinder leaks: it is neither filled nor carried
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("gross", s.gross), v("leaking", s.leaking);
    }
};

/// A circuit or cylinder was pulled to a vacuum.
struct Evacuate {
    static constexpr std::string_view name = "evacuate";
    std::optional<std::string> circuit, cylinder;  ///< one of them
    std::optional<std::string> vacuum, rise;       ///< as typed: 500micron
    std::optional<std::int64_t> held_min;          ///< minutes for which the vacuum was held
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("cylinder", s.cylinder), v("held_min", s.held_min), v("rise", s.rise),
            v("vacuum", s.vacuum);
    }
};

// What of a visit moves no gas.

/// A circuit was closed off from its appliance, or opened again.
struct Isolate {
    static constexpr std::string_view name = "isolate";
    std::string circuit;
    std::optional<std::string> points;  ///< what was closed, in the order of closing
    bool reopened = false;              ///< put back into service instead
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("points", s.points), v("reopened", s.reopened);
    }
};

/// A part was fitted.
struct Fit {
    static constexpr std::string_view name = "fit";
    std::string circuit, part;
    std::optional<std::string> tag, removed;  ///< tag: the maker's, as typed; removed: what came out
    std::optional<std::int64_t> quantity;     ///< one where absent
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("part", s.part), v("quantity", s.quantity), v("removed", s.removed), v("tag", s.tag);
    }
};

/// A circuit was filled with dry nitrogen, or another gas, to see whether it holds.
struct PressureTest {
    static constexpr std::string_view name = "pressure-test";
    std::string circuit, pressure, result;  ///< pressure: at its start, as typed: 300psig; pass | fail
    std::optional<std::string> end;         ///< what the gauge showed at its end
    std::optional<std::string> gas;         ///< nitrogen where absent; else "nitrogen and helium" ...
    std::optional<std::string> temperature, end_temperature;  ///< of the circuit at its start and end: 75F
    std::optional<std::int64_t> held_min;                     ///< minutes for which it was held
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("end", s.end), v("end_temperature", s.end_temperature), v("gas", s.gas),
            v("held_min", s.held_min), v("pressure", s.pressure), v("result", s.result),
            v("temperature", s.temperature);
    }
};

/// Oil came out of a circuit, or went in, or both.
struct Oil {
    static constexpr std::string_view name = "oil";
    std::string circuit;
    std::optional<std::string> oil, grade;         ///< oil: mineral | AB | POE | PVE | PAG | PAO; grade: as on its can
    std::optional<std::string> taken_out, put_in;  ///< as typed: 32oz, 950ml, 2lb
    std::optional<std::string> acid_test;          ///< of what came out: pass | fail
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("acid_test", s.acid_test), v("circuit", s.circuit), v("grade", s.grade), v("oil", s.oil),
            v("put_in", s.put_in), v("taken_out", s.taken_out);
    }
};

/// A filter-drier was changed: that of a circuit, or that of a recovery machine.
struct FilterDrier {
    static constexpr std::string_view name = "filter-drier";
    std::optional<std::string> circuit, machine;  ///< one of them
    std::optional<std::string> fitted, removed;   ///< as they read
    std::optional<std::string> refrigerant, oil;  ///< of a machine: what it pumps from now on, and with which oil
    std::optional<std::string> why;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("fitted", s.fitted), v("machine", s.machine), v("oil", s.oil),
            v("refrigerant", s.refrigerant), v("removed", s.removed), v("why", s.why);
    }
};

/// What a refrigerant identifier showed of the gas in a cylinder or a circuit. It moves nothing.
struct Identify {
    static constexpr std::string_view name = "identify";
    std::optional<std::string> circuit, cylinder;  ///< one of them
    std::optional<std::string> refrigerant;        ///< what it named: a designation, mixed or unknown
    std::optional<std::string> composition;        ///< percent of each part: "R-22 98.5, R-134a 1.5"
    std::optional<std::string> air;                ///< percent
    std::optional<std::string> result;             ///< its own verdict: pass | fail
    std::optional<std::string> instrument;         ///< as it reads
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("air", s.air), v("circuit", s.circuit), v("composition", s.composition), v("cylinder", s.cylinder),
            v("instrument", s.instrument), v("refrigerant", s.refrigerant), v("result", s.result);
    }
};

/// A compressor was replaced.
struct Compressor {
    static constexpr std::string_view name = "compressor";
    std::string circuit, why;
    std::optional<std::string> of;  ///< which one, where there are several: "C2, medium temperature"
    std::optional<std::string> fitted, fitted_serial, removed, removed_serial;  ///< as their plates read
    std::optional<std::string> acid_test;                                       ///< of the old oil: pass | fail
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("acid_test", s.acid_test), v("circuit", s.circuit), v("fitted", s.fitted),
            v("fitted_serial", s.fitted_serial), v("of", s.of), v("removed", s.removed),
            v("removed_serial", s.removed_serial), v("why", s.why);
    }
};

/// What was read, seen or photographed.
struct Note {
    static constexpr std::string_view name = "note";
    std::optional<std::string> circuit, text;
    std::optional<std::string> readings;             ///< "suction 42psig, box 36F", as read
    std::optional<std::string> photo, photo_sha256;  ///< name and digest (hex) of a file that is not in the book
    std::optional<std::int64_t> minutes = {};        ///< worked on the job
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("circuit", s.circuit), v("minutes", s.minutes), v("photo", s.photo), v("photo_sha256", s.photo_sha256),
            v("readings", s.readings), v("text", s.text);
    }
};

/// A cylinder passed its test for requalification.
struct Requalify {
    static constexpr std::string_view name = "requalify";
    std::string cylinder, tested;     ///< tested: YYYY-MM, as stamped
    std::optional<std::string> mark;  ///< of the tester, as stamped
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("mark", s.mark), v("tested", s.tested);
    }
};

/// A cylinder is at another place now.
struct Move {
    static constexpr std::string_view name = "move";
    std::string cylinder, place;
    std::optional<std::string> held_for;  ///< job or customer that it is kept for
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("held_for", s.held_for), v("place", s.place);
    }
};

/// A cylinder is not to be used again.
struct Condemn {
    static constexpr std::string_view name = "condemn";
    std::string cylinder, why;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("why", s.why);
    }
};

/// An appliance has another refrigerant now.
struct Convert {
    static constexpr std::string_view name = "convert";
    std::string appliance, refrigerant;
    FieldValues values;  ///< a new full charge and its basis, where known
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("appliance", s.appliance), v("refrigerant", s.refrigerant), v("values", s.values);
    }
};

/// Corrects what is known of a lot, on evidence: its refrigerant, owner or condition.
struct Reclassify {
    static constexpr std::string_view name = "reclassify";
    std::string cylinder, evidence;
    std::optional<std::string> lot_refrigerant, lot_owner;              ///< of which lots; of all where absent
    std::optional<std::string> to_refrigerant, to_owner, to_condition;  ///< from now on; unchanged where absent
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("evidence", s.evidence), v("lot_owner", s.lot_owner),
            v("lot_refrigerant", s.lot_refrigerant), v("to_condition", s.to_condition), v("to_owner", s.to_owner),
            v("to_refrigerant", s.to_refrigerant);
    }
};

/// A cylinder cannot be found, or was stolen: its gas is lost with it.
struct Lost {
    static constexpr std::string_view name = "lost";
    std::string cylinder, why;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("why", s.why);
    }
};

/// A lost cylinder is back, with its gas.
struct Found {
    static constexpr std::string_view name = "found";
    std::string cylinder;
    std::optional<Weight> gross;
    std::optional<std::string> place;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cylinder", s.cylinder), v("gross", s.gross), v("place", s.place);
    }
};

/// What gauge and thermometer showed on a cylinder at rest. It moves nothing; the verdict is computed at each look, see
/// air_check.hpp.
struct AirCheck {
    static constexpr std::string_view name = "air_check";
    std::string cylinder, pressure, temperature;  ///< as typed: 142psig, 75F
    /// How far the two may be off, and the barometer or altitude of the place; as typed, the usual ones where absent.
    std::optional<std::string> gauge_accuracy, thermometer_accuracy, barometer, altitude;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("altitude", s.altitude), v("barometer", s.barometer), v("cylinder", s.cylinder),
            v("gauge_accuracy", s.gauge_accuracy), v("pressure", s.pressure), v("temperature", s.temperature),
            v("thermometer_accuracy", s.thermometer_accuracy);
    }
};

/// Takes its target out of all balances, from the target's own moment on. A void cannot itself be voided: record anew.
struct Void {
    static constexpr std::string_view name = "void";
    std::string target, why;  ///< target: digest in hex
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("target", s.target), v("why", s.why);
    }
};

/// Says what became of an exception, a clock or a branch, so that it is no longer listed as open.
struct Resolve {
    static constexpr std::string_view name = "resolve";
    std::string finding, why;  ///< finding: check/subject/E12, the id of a clock, or branch/DIGEST
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("finding", s.finding), v("why", s.why);
    }
};

/// A leak that was found. The n-th of a book is called L-n, also where others before it were voided.
struct Leak {
    static constexpr std::string_view name = "leak";
    std::string appliance, place;  ///< place: where on it, in words
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("appliance", s.appliance), v("place", s.place);
    }
};

/// A person looked for leaks on an appliance, or at the system that detects them.
struct Inspect {
    static constexpr std::string_view name = "inspect";
    std::string appliance, method, result;  ///< result: no-leak | leak; of a detection system: pass | fail
    std::optional<std::string> of = {};     ///< detection-system: its audit and calibration
    std::optional<std::string> parts = {};  ///< all: all visible and accessible parts; else which, and why not all
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("appliance", s.appliance), v("method", s.method), v("of", s.of), v("parts", s.parts), v("result", s.result);
    }
};

/// A leak was repaired.
struct Repair {
    static constexpr std::string_view name = "repair";
    std::string leak, done;  ///< leak: L-3; done: what was done, in words
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("done", s.done), v("leak", s.leak);
    }
};

/// A verification test of a repair.
struct LeakTest {
    static constexpr std::string_view name = "leak-test";
    std::string leak, stage, result;  ///< stage: initial | follow-up; result: pass | fail
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("leak", s.leak), v("result", s.result), v("stage", s.stage);
    }
};

/// A plan to retrofit or retire an appliance whose leak rate stays too high.
struct Plan {
    static constexpr std::string_view name = "plan";
    std::string appliance, plan, by;  ///< plan: retrofit | retire; by: YYYY-MM-DD
    /// What 40 CFR 82.157(h)(2) asks a plan to say. `to`: the refrigerant that it gets, or that its replacement has.
    std::optional<std::string> to = {}, to_charge = {}, procedure = {}, gas_goes = {}, appliance_goes = {},
                               signed_by = {};
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("appliance", s.appliance), v("appliance_goes", s.appliance_goes), v("by", s.by), v("gas_goes", s.gas_goes),
            v("plan", s.plan), v("procedure", s.procedure), v("signed_by", s.signed_by), v("to", s.to),
            v("to_charge", s.to_charge);
    }
};

/// An appliance was evacuated to the pressure of the atmosphere at most and shut down for a time; or that time ended.
struct Mothball {
    static constexpr std::string_view name = "mothball";
    std::string appliance;
    std::optional<std::string> pressure;  ///< what it was evacuated to, as typed: 0psig
    bool ended = false;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("appliance", s.appliance), v("ended", s.ended), v("pressure", s.pressure);
    }
};

/// More time for a repair or for the work of a plan; or that the plan need not be carried out.
struct Extension {
    static constexpr std::string_view name = "extension";
    std::string appliance, of, ground;        ///< of: repair | plan-work; ground: process-shutdown | parts ...
    std::optional<std::string> until, asked;  ///< YYYY-MM-DD; asked: the day on which the authority was asked
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("appliance", s.appliance), v("asked", s.asked), v("ground", s.ground), v("of", s.of), v("until", s.until);
    }
};

/// A year was closed: what its events and balances were then. Later entries are amendments, told by comparing.
struct Seal {
    static constexpr std::string_view name = "seal";
    std::string year;      ///< 2026
    std::string events;    ///< how many of that year, seals left out
    std::string root;      ///< Merkle root over their digests in total order (RFC 6962), hex
    std::string balances;  ///< digest of the year's balances, hex
    std::string heads;     ///< BOOK:SEQ:DIGEST of each book, parted by blanks
    /// Under which checks and rule packs its pages were made then: "checks 8, us-82f 2026-11-29"
    std::optional<std::string> edition = {};
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("balances", s.balances), v("edition", s.edition), v("events", s.events), v("heads", s.heads),
            v("root", s.root), v("year", s.year);
    }
};

/// A reclaimer's statement about one return: what came in, and what became of it. What the statement does not say is
/// absent.
struct Settle {
    static constexpr std::string_view name = "settle";
    std::string target, cylinder;             ///< target: the return's digest in hex; cylinder: the one it sent
    std::optional<Weight> gross, tare;        ///< of the cylinder, as it came in
    std::optional<Weight> refrigerant;        ///< without oil, water and air
    std::optional<Weight> oil, water, air;    ///< air: with all else that does not condense
    std::optional<std::string> gas;           ///< designation, or "mixed"
    std::optional<std::string> purity, lab;   ///< purity: percent by mass
    std::optional<std::string> credit;        ///< money in words: only events recorded before credit_amount have it
    std::optional<std::string> outcome;       ///< reclaimed | destroyed | rejected
    std::optional<std::string> dated;         ///< YYYY-MM-DD, as the statement is dated
    std::optional<Money> credit_amount = {};  ///< what the reclaimer credits for it
    /// Oil, water and air, together.
    [[nodiscard]] Mass contaminants() const;
    /// Gross less tare; nothing unless both are stated.
    [[nodiscard]] std::optional<Mass> received() const;
    /// The refrigerant, else what was received less the contaminants (zero at least); nothing where neither is stated.
    [[nodiscard]] std::optional<Mass> stated() const;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("air", s.air), v("credit", s.credit), v("credit_amount", s.credit_amount), v("cylinder", s.cylinder),
            v("dated", s.dated), v("gas", s.gas), v("gross", s.gross), v("lab", s.lab), v("oil", s.oil),
            v("outcome", s.outcome), v("purity", s.purity), v("refrigerant", s.refrigerant), v("tare", s.tare),
            v("target", s.target), v("water", s.water);
    }
};

/// Used gas was cleaned in the shop or on the site, for its owner's equipment: oil separation, passes through driers.
struct Recycle {
    static constexpr std::string_view name = "recycle";
    std::string cylinder;
    std::optional<std::string> machine, acid_test, moisture_test;  ///< tests: pass | fail
    std::optional<std::int64_t> drier_passes;
    bool oil_separated = false;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("acid_test", s.acid_test), v("cylinder", s.cylinder), v("drier_passes", s.drier_passes),
            v("machine", s.machine), v("moisture_test", s.moisture_test), v("oil_separated", s.oil_separated);
    }
};

// The physical count. What was found is recorded as it was found: a weight is a level as any other, and its meaning is
// derived at each look. `count` is the digest, in hex, of the event that began it.

/// A count began: all cylinders of a place are to be weighed.
struct StocktakeBegin {
    static constexpr std::string_view name = "count-begin";
    std::string place;
    bool blind = false;  ///< the person who weighs is not told what the book expects
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("blind", s.blind), v("place", s.place);
    }
};

/// A cylinder was found and weighed.
struct StocktakeWeigh {
    static constexpr std::string_view name = "count-weigh";
    std::string count, cylinder;
    Weight gross;
    std::optional<std::string> cap;    ///< on | off: the cap over its valve
    std::optional<std::string> label;  ///< the gas that its label says, as designated
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cap", s.cap), v("count", s.count), v("cylinder", s.cylinder), v("gross", s.gross), v("label", s.label);
    }
};

/// A cylinder was looked for, and not found.
struct StocktakeMissing {
    static constexpr std::string_view name = "count-missing";
    std::string count, cylinder;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("count", s.count), v("cylinder", s.cylinder);
    }
};

/// A cylinder that stands there and has no entry in the register.
struct StocktakeUnknown {
    static constexpr std::string_view name = "count-unknown";
    std::string count, code;  ///< code: what is written on it
    std::optional<Weight> gross;
    std::optional<std::string> cap, label;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("cap", s.cap), v("code", s.code), v("count", s.count), v("gross", s.gross), v("label", s.label);
    }
};

/// Why a cylinder was not as the book had it.
struct StocktakeReason {
    static constexpr std::string_view name = "count-reason";
    std::string count, code, why;
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("code", s.code), v("count", s.count), v("why", s.why);
    }
};

/// A count ended.
struct StocktakeClose {
    static constexpr std::string_view name = "count-close";
    std::string count;
    std::optional<std::string> second_person;  ///< who watched, beside the one who closed it
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("count", s.count), v("second_person", s.second_person);
    }
};

// About books, not about gas. Each counts only in the book that recorded it.

/// From now on the events of another book count here.
struct Trust {
    static constexpr std::string_view name = "trust";
    std::string book, key, called;    ///< hex; Ed25519, hex; what it is called here
    std::optional<std::string> from;  ///< YYYY-MM-DD: since when it is trusted, as the person said
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("book", s.book), v("called", s.called), v("from", s.from), v("key", s.key);
    }
};

/// Ends the trust in another book: of its events those up to `last` count, and no later one.
struct Withdraw {
    static constexpr std::string_view name = "withdraw";
    std::string book, why;
    std::optional<std::string> last;  ///< SEQ:DIGEST; nothing counts where absent
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("book", s.book), v("last", s.last), v("why", s.why);
    }
};

/// Events of other books came in.
struct Merge {
    static constexpr std::string_view name = "merge";
    std::string heads;  ///< BOOK:SEQ:DIGEST of each book they came from, parted by blanks
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("heads", s.heads);
    }
};

// About people, not about gas. Their names stand beside the chain (book/people.hpp): an event has a code.

/// Who typed the events that follow on this chain, up to the next one of this kind, and on which device. It is recorded
/// by itself, before the first event of another person or device. No check looks at it.
struct Typist {
    static constexpr std::string_view name = "typist";
    std::optional<std::string> device, person;  ///< person: a code; absent where no name was set
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("device", s.device), v("person", s.person);
    }
};

/// A person asked for their name to go: from now on the book knows these codes without a name.
struct RemoveName {
    static constexpr std::string_view name = "remove-name";
    std::string asked, people;  ///< asked: who asked, and how, in words; people: codes, parted by blanks
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("asked", s.asked), v("people", s.people);
    }
};

/// A kind or version that this program does not know: kept and listed; it moves nothing.
struct Unknown {
    static constexpr std::string_view name = "unknown";
    std::string kind, body;
    template <class S, class V>
    static void fields(S&, V&) {}
};

}  // namespace kinds

/// Every kind of event; Unknown is the last.
using AnyKind =
    std::variant<kinds::Start, kinds::Entry, kinds::Opening, kinds::Receive, kinds::Recover, kinds::Charge,
                 kinds::Reuse, kinds::Transfer, kinds::Return, kinds::Destroy, kinds::Exchange, kinds::Release,
                 kinds::Weigh, kinds::Evacuate, kinds::Requalify, kinds::Move, kinds::Condemn, kinds::Convert,
                 kinds::Reclassify, kinds::Lost, kinds::Found, kinds::AirCheck, kinds::Void, kinds::Resolve,
                 kinds::Pumpdown, kinds::Leak, kinds::Inspect, kinds::Repair, kinds::LeakTest, kinds::Plan, kinds::Seal,
                 kinds::Settle, kinds::Recycle, kinds::StocktakeBegin, kinds::StocktakeWeigh, kinds::StocktakeMissing,
                 kinds::StocktakeUnknown, kinds::StocktakeReason, kinds::StocktakeClose, kinds::Isolate, kinds::Fit,
                 kinds::Note, kinds::Trust, kinds::Withdraw, kinds::Merge, kinds::Mothball, kinds::Extension,
                 kinds::PressureTest, kinds::Oil, kinds::FilterDrier, kinds::Identify, kinds::Compressor, kinds::Typist,
                 kinds::RemoveName, kinds::Unknown>;

/// The place of a kind among all; their number for a type that is no kind.
template <class Kind, class... All>
consteval std::size_t place_among(std::type_identity<std::variant<All...>> /*all*/) {
    std::size_t out = 0;
    bool found = false;
    ((found = found || std::is_same_v<Kind, All>, out += found ? 0 : 1), ...);
    return out;
}
/// The place of a kind in AnyKind.
template <class Kind>
inline constexpr std::size_t kind_place = place_among<Kind>(std::type_identity<AnyKind>{});
/// A type that is a kind of event.
template <class Kind>
concept OneOfKinds = kind_place<Kind> < std::variant_size_v<AnyKind>;

/// What happened: one of the kinds. To copy, move, assign or destroy one of fifty-five takes a quarter of a megabyte
/// of machine code, which lib/event/what.cpp has once for all files.
class What : public AnyKind {
 public:
    What();
    What(const What& other);
    What(What&& other) noexcept;
    What& operator=(const What& other);
    What& operator=(What&& other) noexcept;
    ~What();
    /// One of this kind.
    template <OneOfKinds Kind>
    What(Kind kind) : What(kind_place<Kind>, &kind) {}
    /// Becomes one of this kind.
    template <OneOfKinds Kind>
    What& operator=(Kind kind) {
        return *this = What(kind_place<Kind>, &kind);
    }
    /// Becomes an empty one of this kind, and returns it.
    template <OneOfKinds Kind>
    Kind& emplace() {
        return std::get<Kind>(*this = Kind{});
    }

 private:
    What(std::size_t place, void* kind);  // moves from *kind, which is of the kind at that place
};

/// A finding that the person took on with --anyway, with the text that it had then.
struct Accepted {
    std::string check, subject, text;  ///< as in Finding
    template <class S, class V>
    static void fields(S& s, V& v) {
        v("check", s.check), v("subject", s.subject), v("text", s.text);
    }
};

/// One dated fact. All but `branch` is in its canonical bytes.
struct Event {
    BookId book{};
    std::int64_t seq = 0;
    Digest previous{};                                ///< of the event before it in the chain; zeros of the first
    Moment when;                                      ///< when it happened
    Instant recorded{};                               ///< when it was recorded
    std::optional<std::string> by, job, scale, note;  ///< by: who did it; scale: the code of the one that was read
    std::optional<std::string> own_id;  ///< given by the caller: the same id with the same words is recorded once (I7)
    std::optional<std::string> anyway;  ///< why it was recorded against a refusal
    std::vector<Accepted> accepted;     ///< the refusals that were taken on
    What what;
    std::uint16_t branch = 0;  ///< of its book's chain, as the book that holds it counts branches; no part of the body

    Event();
    Event(const Event& other);
    Event(Event&& other) noexcept;
    Event& operator=(const Event& other);
    Event& operator=(Event&& other) noexcept;
    ~Event();
    /// Its place in the total order.
    [[nodiscard]] OrderKey order() const { return {when.at, book, seq, branch}; }
    /// The name of its kind: "recover"; of Unknown the name that its bytes have. Good as long as the event.
    [[nodiscard]] std::string_view kind() const;
};

/// The number `v` in the bodies that this program writes.
inline constexpr std::int64_t body_version = 1;

/// The event's bytes in the form of RFC 8785: what is stored, hashed and sent. Of Unknown the bytes that it came in.
std::string canonical_body(const Event& event);
/// The event of canonical bytes. A kind or version that this program does not know becomes kinds::Unknown. Error
/// (storage): body-unreadable, where the bytes are no canonical event.
Result<Event> event_from_body(std::string_view body);
/// As event_from_body, for bytes from outside: they are also compared with what canonical_body would write. Error
/// (storage): body-unreadable.
Result<Event> event_from_line(std::string_view line);
/// SHA-256.
Digest digest_of(std::string_view body);
/// SHA-256 of bytes that come in pieces.
class Hasher {
 public:
    Hasher();
    Hasher(const Hasher&) = delete;
    Hasher& operator=(const Hasher&) = delete;
    ~Hasher();
    /// The next piece.
    void add(std::string_view bytes);
    /// Of all pieces since the last call; the next piece begins anew.
    Digest digest();

 private:
    struct State;
    std::unique_ptr<State> state_;
};

/// What the event says without its place in a book: no book, number, digest or time of recording. Two events with the
/// same own_id are the same where these words are.
std::string words_of(const Event& event);

/// Whether a kind is about books or people, not gas: seals, trust, withdrawals, merges, who typed, and names that were
/// removed. A year is the same without them.
bool is_about_books(std::string_view kind);

/// Codes of the cylinders whose contents or state the event touches, in a fixed order, each once; empty where it
/// touches none.
std::vector<std::string> cylinders_of(const Event& event);

/// The weights of the event that came from a scale's port and were not typed: "before", "after", "net", "gross"; of a
/// transfer "from before" ... Empty where each was typed.
std::vector<std::string> weights_from_scale(const Event& event);

/// The appliance that a leak, an inspection, a plan, a mothballing or an extension is about; empty for other kinds.
/// Good as long as the event.
std::string_view appliance_named_by(const Event& event);
/// The code of the circuit that the event names, "SITE/APPLIANCE/CIRCUIT"; empty if it names none.
std::string circuit_named_by(const Event& event);
/// "L-3" that a charge, reuse, repair or test names; empty where none is named. Good as long as the event.
std::string_view leak_named_by(const Event& event);
/// Digest in hex of the count that a weight, a reason or a closing belongs to; empty for other kinds. Good as long as
/// the event.
std::string_view stocktake_named_by(const Event& event);
/// "L-3" for 3.
std::string leak_code(std::int64_t number);
/// 3 for "L-3"; nothing for any other text.
std::optional<std::int64_t> leak_number(std::string_view code);

/// The fields of a register entry that an event sets: its own, or those that a requalification or conversion implies.
struct RegisterChange {
    EntryKind entry;
    std::string code;
    bool adds;
    FieldValues values;
};
/// Nothing where the event sets none.
std::optional<RegisterChange> register_change(const Event& event);

}  // namespace tarebook
