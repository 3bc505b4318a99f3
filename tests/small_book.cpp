#include "small_book.hpp"

#include <SQLiteCpp/SQLiteCpp.h>
#include <unistd.h>

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <utility>
#include <vector>

#include "book/transaction.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/bundle.hpp"

namespace tarebook::test {
namespace {

namespace fs = std::filesystem;

Weight lb(const std::string& typed) {
    return parse_weight(typed, ScaleReads::lb).value();
}
Moment at_hour(int hour) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 3 / 2) + std::chrono::hours(hour);
    m.zone = "UTC";
    return m;
}
Event event_of(int hour, What what) {
    Event e;
    e.when = at_hour(hour);
    e.recorded = e.when.at;
    e.what = std::move(what);
    return e;
}

// Something in each field.
struct Fill {
    void operator()(const char*, std::string& v) const { v = "RC-1"; }
    void operator()(const char*, std::optional<std::string>& v) const { v = "RC-2"; }
    void operator()(const char*, bool& v) const { v = true; }
    void operator()(const char*, std::int64_t& v) const { v = 7; }
    void operator()(const char*, std::optional<std::int64_t>& v) const { v = 7; }
    void operator()(const char*, Weight& v) const { v = lb("20lb"); }
    void operator()(const char*, std::optional<Weight>& v) const {
        v = lb("21lb");
        v->from_scale = true;
    }
    void operator()(const char*, Weighing& v) const {
        v.before = lb("20lb");
        v.after = lb("21lb");
    }
    void operator()(const char*, FieldValues& v) const { v["tare"] = {"17lb", lb("17lb").mass}; }
    template <class T>
    void operator()(const char*, T&) const {}
};

// What a book says of itself and of others is recorded by the acts themselves.
template <class K>
constexpr bool filled_in =
    !std::is_same_v<K, kinds::Start> && !std::is_same_v<K, kinds::Trust> && !std::is_same_v<K, kinds::Withdraw> &&
    !std::is_same_v<K, kinds::Merge> && !std::is_same_v<K, kinds::Unknown>;

template <std::size_t... N>
std::vector<Event> every_kind(std::index_sequence<N...> /*kinds*/) {
    std::vector<Event> out;
    const auto add = [&]<class K>(std::type_identity<K>) {
        if constexpr (filled_in<K>) {
            K kind;
            Fill fill;
            K::fields(kind, fill);
            out.push_back(event_of(100 + static_cast<int>(out.size()), std::move(kind)));
        }
    };
    (add(std::type_identity<std::variant_alternative_t<N, AnyKind>>{}), ...);
    out.front().by = "ana";
    out.front().job = "2207";
    out.front().own_id = "first";
    out.front().note = "a note";
    out.front().anyway = "a reason";
    out.front().accepted = {{"gap", "RC-1", "as it stood"}};
    return out;
}

std::vector<StoredEvent> append(Book& book, std::vector<Event> drafts) {
    const Judge judge({}, Notes::left_out);
    auto transaction = Book::Transaction::begin(book);
    const auto outcomes = transaction.judge(drafts, judge);
    return transaction.commit(drafts, outcomes, judge);
}

Event entry(EntryKind kind, const std::string& code, FieldValues values) {
    return event_of(1, kinds::Entry{kind, code, true, std::move(values)});
}
std::vector<Event> own_register() {
    const FieldValue r22{"R-22", {}}, tare{"17lb", lb("17lb").mass};
    return {entry(EntryKind::site, "OAK", {{"owner", {"Quillpost Markets", {}}}}),
            entry(EntryKind::appliance, "OAK/RACK-A", {{"refrigerant", r22}, {"charge", {"900lb", lb("900lb").mass}}}),
            entry(EntryKind::circuit, "OAK/RACK-A/4", {{"serves", {"cases", {}}}}),
            entry(EntryKind::cylinder, "RC-1", {{"tare", tare}, {"refrigerant", r22}}),
            entry(EntryKind::cylinder, "RC-2", {{"tare", tare}, {"refrigerant", r22}}),
            entry(EntryKind::technician, "ana", {{"name", {"Ana", {}}}})};
}

kinds::Recover recovered() {
    kinds::Recover k;
    k.circuit = "OAK/RACK-A/4";
    k.into = "RC-1";
    k.weighing.before = lb("17lb");
    k.weighing.after = lb("29lb");
    return k;
}
// A return and the statement about it, a weight and its void, a settled exception.
void acts_on_acts(Book& book) {
    append(book, {event_of(2, recovered())});
    kinds::Return sent;
    sent.cylinder = "RC-1";
    sent.to = "Millrace Reclaim";
    sent.gross = lb("29lb");
    const auto stored = append(book, {event_of(3, kinds::Weigh{"RC-2", lb("22lb"), false}), event_of(4, sent)});
    kinds::Settle settle;
    Fill fill;
    kinds::Settle::fields(settle, fill);
    settle.target = hex(stored[1].digest);
    append(book, {event_of(5, settle), event_of(6, kinds::Void{hex(stored[0].digest), "not this one"})});
    for (const auto& finding : book.open_findings()) {
        kinds::Resolve k;
        kinds::Resolve::fields(k, fill);
        k.finding = finding.id;
        append(book, {event_of(7, k)});
        return;
    }
}

std::string sent(const Book& book, const fs::path& to, bool with_register) {
    SendOptions options;
    options.with_register = with_register;
    if (!send_bundle(book, to, options, at_hour(500).at)) throw std::runtime_error("a bundle cannot be sent");
    return to;
}

void with_small_pages(const fs::path& file) {
    SQLite::Database db(file.string(), SQLite::OPEN_READWRITE);
    db.execAndGet("PRAGMA journal_mode = DELETE");
    db.exec("PRAGMA page_size = 512");
    db.exec("VACUUM");
}

}  // namespace

RoomInMemory::RoomInMemory() {
    const auto base = ::access("/dev/shm", W_OK) == 0 ? fs::path("/dev/shm") : fs::temp_directory_path();
    auto name = (base / "tarebook-small-XXXXXX").string();
    if (!::mkdtemp(name.data())) throw std::runtime_error("no folder for a small book");
    path = name;
}
RoomInMemory::~RoomInMemory() {
    std::error_code ignored;
    fs::remove_all(path, ignored);
}

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}
void write_bytes(const fs::path& file, std::string_view bytes) {
    std::ofstream(file, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

std::string small_book(const fs::path& folder) {
    const auto file = folder / "office";
    {
        const std::string company = "Pelican Refrigeration";
        auto office = Book::create(file, company, DisplayUnits::lb, "UTC", at_hour(0));
        const auto shop = office.info().shop;
        auto truck = Book::create(folder / "truck", company, DisplayUnits::lb, "UTC", at_hour(0), shop);
        auto stranger = Book::create(folder / "stranger", company, DisplayUnits::lb, "UTC", at_hour(0), shop);
        auto lost = Book::create(folder / "lost", company, DisplayUnits::lb, "UTC", at_hour(0), shop);
        append(office, own_register());
        acts_on_acts(office);
        append(office, every_kind(std::make_index_sequence<std::variant_size_v<AnyKind>>{}));
        for (const auto* book : {&truck, &lost})
            append(office, {event_of(400, kinds::Trust{hex(book->info().id), book->info().public_key, "truck", {}})});
        append(truck, {entry(EntryKind::cylinder, "RC-9", {{"tare", {"17lb", lb("17lb").mass}}}),
                       event_of(300, kinds::Weigh{"RC-9", lb("22lb"), false}),
                       event_of(301, kinds::Weigh{"RC-2", lb("23lb"), false})});
        append(stranger, {event_of(300, kinds::Weigh{"RC-2", lb("24lb"), false})});
        append(lost, {event_of(300, kinds::Weigh{"RC-2", lb("25lb"), false})});
        std::vector<fs::path> bundles{sent(truck, folder / "1", true), sent(stranger, folder / "2", true),
                                      sent(lost, folder / "3", false)};
        if (!merge_bundles(office, bundles, at_hour(500))) throw std::runtime_error("a bundle cannot be merged");
        append(office, {event_of(501, kinds::Withdraw{hex(lost.info().id), "the device is lost", {}})});
    }
    with_small_pages(file);
    auto out = bytes_of(file);
    std::error_code ignored;
    for (const auto& one : fs::directory_iterator(folder)) fs::remove(one.path(), ignored);
    return out;
}

}  // namespace tarebook::test
