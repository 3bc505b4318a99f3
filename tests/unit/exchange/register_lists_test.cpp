#include <doctest/doctest.h>
#include <fmt/format.h>

#include "exchange/register_lists.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

namespace {

struct ReadList {
    FileProblems problems;
    std::vector<ListedEntry> entries;

    ReadList(std::vector<ListedEntry> (*read)(const Catalogue&, ByteSource&, const std::string&, FileProblems&),
             std::string_view text) {
        TextSource source(text);
        entries = read({}, source, "f.csv", problems);
    }
    [[nodiscard]] std::string told() const {
        std::string out;
        for (const auto& p : problems.listed)
            out += fmt::format("{}{} {} {}", out.empty() ? "" : "; ", p.line, p.field, p.error.name);
        return out;
    }
    /// "site OAK name=...".
    [[nodiscard]] std::vector<std::string> words() const {
        std::vector<std::string> out;
        for (const auto& e : entries) {
            out.push_back(fmt::format("{} {}", text_of(e.kind), e.code));
            for (const auto& [field, value] : e.values) out.back() += fmt::format(" {}={}", field, value.text);
        }
        return out;
    }
};

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("cylinders: only what the file says becomes a fact") {
    const ReadList m(read_cylinders,
                     "cylinder,size,refrigerant,water_capacity_lb,tare_lb,max_net_lb\n"
                     "RC-1,50,r448a,47.6,27.5,33.3\nRC-2,,,,,\n");
    CHECK(m.told().empty());
    CHECK(m.words() == Words{"cylinder RC-1 refrigerant=R-448A tare=27.50lb wc=47.60lb", "cylinder RC-2"});
    CHECK(m.entries[0].values.at("tare").mass == Mass::thousandths_of_a_pound(27'500));
    CHECK(m.entries[1].line == 3);
}

TEST_CASE("cylinders: what is wrong is told, also in columns that are read over") {
    const ReadList m(read_cylinders,
                     "cylinder,refrigerant,water_capacity_lb,tare_lb,max_net_lb\n"
                     "RC 1,R999,47kg,27.5lb,\nRC-2,,,,about 30\n,,,,\nRC-3,,,,\nRC-3,,,,\n");
    CHECK(m.told() ==
          "2 cylinder code-format; 2 refrigerant refrigerant-unknown; 2 water_capacity_lb weight-unit; "
          "3 max_net_lb weight-number; 6 cylinder entry-twice");
    CHECK(m.words() == Words{"cylinder RC-3"});
}

TEST_CASE("circuits: sites, appliances and circuits come once each, and nameplates add up to the full charge") {
    const ReadList m(read_circuits,
                     "site,appliance,circuit,refrigerant,nameplate_lb\n"
                     "OAK,RACK,1,R448A,40\nOAK,RACK,2,r-448a,25.5\nOAK,ICE,1,R404A,\nOAK,ICE,2,,12\nELM,AC,1,,\n");
    CHECK(m.told().empty());
    CHECK(m.words() == Words{"site OAK", "appliance OAK/RACK charge_basis=maker full_charge=65.50lb refrigerant=R-448A",
                             "circuit OAK/RACK/1 name=OAK/RACK/1", "circuit OAK/RACK/2 name=OAK/RACK/2",
                             "appliance OAK/ICE refrigerant=R-404A", "circuit OAK/ICE/1 name=OAK/ICE/1",
                             "circuit OAK/ICE/2 name=OAK/ICE/2", "site ELM", "appliance ELM/AC",
                             "circuit ELM/AC/1 name=ELM/AC/1"});
}

TEST_CASE("circuits: two refrigerants in one appliance, and a circuit that is there twice, are told") {
    const ReadList m(read_circuits,
                     "site,appliance,circuit,refrigerant,nameplate_lb\n"
                     "OAK,RACK,1,R448A,40\nOAK,RACK,2,R22,25\nOAK,RACK,1,R448A,40\nOAK,,3,R22,1\n");
    CHECK(m.told() == "3 refrigerant refrigerant-differs; 4 circuit entry-twice; 5 appliance cell-missing");
}
