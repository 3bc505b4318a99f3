// Two books in one program, opened with different own refrigerants and rule packs: each is judged by its own alone.
#include <fmt/format.h>

#include <fstream>

#include "shop_book.hpp"
#include "tarebook/checks/fill_now.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace two_books_test {

namespace {

class TwoFiles {
 public:
    TwoFiles() {
        auto name = (std::filesystem::temp_directory_path() / "tarebook-two-XXXXXX").string();
        if (!::mkdtemp(name.data())) throw std::runtime_error("no folder for the files of this test");
        folder_ = name;
    }
    TwoFiles(const TwoFiles&) = delete;
    TwoFiles& operator=(const TwoFiles&) = delete;
    ~TwoFiles() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }

    // The rows are those of R-410A, under another name.
    [[nodiscard]] Catalogue catalogue(const std::string& gas) const {
        auto text = fmt::format(
            "source: s\nedition: e\ndate: d\nrefrigerants:\n  {}:\n    class: HFC blend\n"
            "    composition: {{R-32: 50, R-125: 50}}\n    safety_group: A1\n    molar_mass_g_mol: 72.585\n"
            "    status: memory\n    verified: []\n    critical_c: 71.3\n    p_uncertainty_pct: 2\n"
            "    rho_uncertainty_pct: 1\n    table:\n",
            gas);
        for (const auto& r : Catalogue().find("R-410A")->saturation.rows)
            text += fmt::format("      - [{}, {}, {}, {}, {}]\n", r.temperature.in_celsius(), r.bubble.in_kilopascals(),
                                r.dew.in_kilopascals(), r.liquid.in_kg_per_m3(), r.vapor.in_kg_per_m3());
        return Catalogue::with_own(written("gas.yaml", text)).value();
    }
    // A town that bans gas of a potential of `from` and more from service.
    [[nodiscard]] Rulebook rulebook(const std::string& id, int from) const {
        const auto text = fmt::format(
            "pack: {0}\ntitle: \"Rules of {0}\"\njurisdiction: ZZ\nsource: \"a test\"\ndate: \"2026-01-01\"\nrules:\n"
            "  {0}.ban:\n    kind: service-ban\n    clause: \"{0} 1\"\n    gwp_set: ar4\n    gwp_from: {1}\n"
            "    basis: clause\n    status: confirmed\n",
            id, from);
        return Rulebook().with(load_rule_pack(written("pack.yaml", text)).value());
    }

 private:
    [[nodiscard]] std::string written(const char* name, const std::string& text) const {
        const auto file = (folder_ / name).string();
        std::ofstream(file, std::ios::binary) << text;
        return file;
    }
    std::filesystem::path folder_;
};

Event kept_for(const std::string& code, const std::string& gas) {
    FieldValues fields{{"tare", {"27.5lb", lb("27.5lb").mass}},
                       {"wc", {"47.6lb", lb("47.6lb").mass}},
                       {"spec", {"DOT-4BA400", {}}},
                       {"refrigerant", {gas, {}}}};
    return draft(2, kinds::Entry{EntryKind::cylinder, code, true, std::move(fields)});
}

// The clauses that speak against a charge of R-22 into a rack.
std::vector<std::string> bans(Book& book) {
    kinds::Charge charge;
    charge.from = "RC-1";
    charge.circuit = "OAK/RACK-A/4";
    charge.weighing = {lb("30lb"), lb("25lb"), {}};
    std::vector<std::string> out;
    for (const auto& e : record(book, {draft(9, charge)}, {.dry_run = true}).exceptions)
        if (e.finding.check == "service-ban") out.push_back(e.finding.text);
    return out;
}

std::vector<Event> rack() {
    const auto entry = [](EntryKind kind, const char* code, FieldValues fields) {
        return draft(3, kinds::Entry{kind, code, true, std::move(fields)});
    };
    return {entry(EntryKind::site, "OAK", {{"name", {"Oak Street", {}}}, {"owner", {"Quillpost Markets", {}}}}),
            entry(EntryKind::appliance, "OAK/RACK-A",
                  {{"refrigerant", {"R-22", {}}}, {"category", {"commercial-refrigeration", {}}}}),
            entry(EntryKind::circuit, "OAK/RACK-A/4", {{"serves", {"cases", {}}}}), weighed(4, "RC-1", "30lb")};
}

}  // namespace

TEST_CASE("of two books in one program each knows its own refrigerants and no others") {
    const TwoFiles files;
    const ShopBook one_shop, other_shop;
    auto one = Book::open(one_shop.path(), Access::write, {.catalogue = files.catalogue("R-9001A")});
    auto other = Book::open(other_shop.path(), Access::write, {.catalogue = files.catalogue("R-9002A")});
    CHECK(one.catalogue().find("R-9002A") == nullptr);
    CHECK(other.catalogue().find("R-9001A") == nullptr);
    CHECK(one.catalogue().find("R-22") == other.catalogue().find("R-22"));  // compiled in: one for all

    CHECK(record(one, {kept_for("RC-2", "R-9001A")}, {}));
    CHECK(problems(record(one, {kept_for("RC-3", "R-9002A")}, {})) == std::vector<std::string>{"0 field-form"});
    CHECK(problems(record(other, {kept_for("RC-2", "R-9001A")}, {})) == std::vector<std::string>{"0 field-form"});
    CHECK(record(other, {kept_for("RC-3", "R-9002A")}, {}));

    // The same file, opened again, is answered by what it is opened with.
    const auto limit = [](const Book& book) {
        return fill_limit_now(book.reference_data(), book.cylinder_now("RC-2").value());
    };
    REQUIRE(limit(one));
    CHECK(limit(one)->rule() != "unknown-contents-65-percent");
    const auto plain = Book::open(one_shop.path(), Access::read);
    REQUIRE(limit(plain));
    CHECK(limit(plain)->limit() < limit(one)->limit());  // an unknown gas may be a light one
    CHECK(one.copy_in_memory().catalogue().find("R-9001A") == one.catalogue().find("R-9001A"));
}

TEST_CASE("of two books in one program each is judged by its own rule packs and no others") {
    const TwoFiles files;
    const ShopBook one_shop, other_shop, plain_shop;
    auto one = Book::open(one_shop.path(), Access::write, {.rules = files.rulebook("town-a", 1000)});
    auto other = Book::open(other_shop.path(), Access::write, {.rules = files.rulebook("town-b", 1)});
    auto plain = plain_shop.open();
    for (auto* book : {&one, &other, &plain}) REQUIRE(record(*book, rack(), {}));
    CHECK(one.rules().find("town-b") == nullptr);
    CHECK(other.rules().find("town-a") == nullptr);
    CHECK(plain.rules().find("town-a") == nullptr);

    // R-22 has a potential of 1810 over 100 years (IPCC AR4, table 2.14).
    REQUIRE(bans(one).size() == 1);
    CHECK(bans(one)[0].find("town-a 1 bans gas of 1000 and more") != std::string::npos);
    REQUIRE(bans(other).size() == 1);
    CHECK(bans(other)[0].find("town-b 1 bans gas of 1 and more") != std::string::npos);
    CHECK(bans(plain).empty());

    const auto packs_at = [](const Book& book) {
        std::vector<std::string> out;
        for (const auto* pack : packs_of_place(book.rules(), book.entries(), "OAK/RACK-A/4", {Instant::max(), {}, 0}))
            out.push_back(pack->id);
        return out;
    };
    CHECK(packs_at(one) == std::vector<std::string>{"us-82f", "us-84c", "us-49cfr", "town-a"});
    CHECK(packs_at(other) == std::vector<std::string>{"us-82f", "us-84c", "us-49cfr", "town-b"});
    CHECK(packs_at(plain) == std::vector<std::string>{"us-82f", "us-84c", "us-49cfr"});
}

TEST_CASE("a refrigerant is good as long as a catalogue has it, also where that is a copy") {
    const TwoFiles files;
    Catalogue copy;
    const Refrigerant* gas = nullptr;
    {
        const auto first = files.catalogue("R-9003A");
        gas = first.find("R-9003A");
        copy = first;
    }
    REQUIRE(gas != nullptr);
    CHECK(copy.find("r9003a") == gas);
    CHECK(gas->designation == "R-9003A");
    CHECK(gas->composition[0].entry == copy.find("R-32"));
}

}  // namespace two_books_test
