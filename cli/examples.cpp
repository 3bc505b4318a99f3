#include "examples.hpp"

#include <algorithm>
#include <array>

namespace tarebook::cli {
namespace {

struct Examples {
    std::string_view command, lines;
};

constexpr auto examples = std::to_array<Examples>({
    {"visit",
     "tarebook visit OAK --job 4105 --by ana --scale S1\n"
     "tarebook visit end"},
    {"start",
     "tarebook start --company \"My shop\" --zone America/Chicago\n"
     "tarebook start --company \"Kältedienst\" --units kg --zone Europe/Berlin --country DE"},
    {"site",
     "tarebook site add OAK --name \"Oak Street store\" --owner \"Quillpost Markets\"\n"
     "tarebook site list"},
    {"appliance",
     "tarebook appliance add OAK/RACK-A --category commercial-refrigeration --refrigerant R-448A --full-charge 900lb "
     "--charge-basis calculated\n"
     "tarebook appliance show OAK/RACK-A"},
    {"circuit",
     "tarebook circuit add OAK/RACK-A/4 --serves \"produce cases\" --close \"liquid: ball valve 5/8\"\n"
     "tarebook circuit expect OAK/RACK-A/4"},
    {"cylinder",
     "tarebook cylinder add RC-01 --use recovery --refrigerant R-448A --wc 47.6lb --tare 27.5lb --spec DOT-4BA400 "
     "--tested 2024-04\n"
     "tarebook cylinder correct RC-01 --tare 27.65lb"},
    {"scale",
     "tarebook scale add S1 --reads lb --division 0.05lb --port /dev/ttyUSB0 --baud 9600\n"
     "tarebook scale listen S1 --seconds 20"},
    {"machine",
     "tarebook machine add M1 --flammable no\n"
     "tarebook machine list"},
    {"technician",
     "tarebook technician add ana --name \"Ana Reyes\" --certificate UNI-7731 --certificate-type universal\n"
     "tarebook technician show ana"},
    {"receive",
     "tarebook receive R-448A 6x25lb --from \"Harlan Supply\"\n"
     "tarebook receive SC-01 --from \"Harlan Supply\" --gross 138.25lb --place truck-2 --price \"8.20 USD/lb\""},
    {"recover",
     "tarebook recover --circuit OAK/RACK-A/4 --into RC-01 --before 27.5lb --after 43.25lb --job 2207 --vacuum 10inHg\n"
     "tarebook recover begin --circuit OAK/RACK-A/4 --into RC-01 --before 27.5lb"},
    {"reuse",
     "tarebook reuse --circuit OAK/RACK-A/4 --from RC-01 --before 43.25lb --after 27.9lb --job 2207\n"
     "tarebook reuse --circuit OAK/RACK-A/4 --from RC-01 --net 15.35lb --emptied"},
    {"charge",
     "tarebook charge --circuit OAK/RACK-A/4 --from J-101 --net 6.2lb --reason leak --leak L-1\n"
     "tarebook charge --circuit OAK/RACK-A --from outside:Northline --net 4lb"},
    {"transfer",
     "tarebook transfer --from RC-03 --into RC-06 --from-before 43.10lb --from-after 38.40lb\n"
     "tarebook transfer --from RC-03 --into RC-06 --net 4.7lb --emptied"},
    {"return",
     "tarebook return RC-01 --to \"Larkfield Reclaim\" --gross 43.25lb --manifest LR-0606\n"
     "tarebook return RC-01 --to \"Larkfield Reclaim\""},
    {"destroy",
     "tarebook destroy RC-01 --to \"Larkfield Incineration\" --gross 43.25lb\n"
     "tarebook destroy RC-01 --to \"Larkfield Incineration\" --manifest D-17"},
    {"exchange",
     "tarebook exchange RC-01 --for RC-21 --with \"Harlan Supply\"\n"
     "tarebook exchange RC-01 --for RC-21 --with \"Harlan Supply\" --deposit \"60 USD\""},
    {"release",
     "tarebook release --circuit OAK/RACK-A/4 --mass 1.5lb --method \"gauge before and after\" --why \"hose burst\"\n"
     "tarebook release --cylinder RC-01 --before 29.1lb --after 28.6lb --method weighed --why \"valve did not seat\""},
    {"pumpdown",
     "tarebook pumpdown OAK/RACK-A/4 --left 5psig\n"
     "tarebook pumpdown OAK/RACK-A/4 --to OAK/RACK-B --mass 12lb --method \"receiver level\""},
    {"weigh",
     "tarebook weigh RC-01 --gross 29.10lb\n"
     "tarebook weigh RC-01 --gross 29.10 --scale S1"},
    {"evacuate",
     "tarebook evacuate --circuit OAK/RACK-A/4 --vacuum 480micron --held 30 --rise 40micron\n"
     "tarebook evacuate RC-01 --vacuum 500micron"},
    {"air-check",
     "tarebook air-check RC-01 --pressure 142psig --temperature 75F\n"
     "tarebook air-check RC-01 --pressure 9.8barg --temperature 24C"},
    {"requalify",
     "tarebook requalify RC-01 --tested 2026-05\n"
     "tarebook requalify RC-01 --tested 2026-05 --note \"new mark on the collar\""},
    {"move",
     "tarebook move RC-01 RC-02 --to truck-2\n"
     "tarebook move RC-01 --to shop --held-for 2207"},
    {"condemn",
     "tarebook condemn RC-01 --why \"dent over a quarter inch deep\"\n"
     "tarebook condemn RC-01 --why \"foot ring cracked\" --at \"2026-06-01 08:00\""},
    {"lost",
     "tarebook lost RC-01 --why \"not on any truck\"\n"
     "tarebook lost RC-01 --why \"left on a roof\" --job 2207"},
    {"found",
     "tarebook found RC-01 --gross 29.1lb --place shop\n"
     "tarebook found RC-01"},
    {"convert",
     "tarebook convert OAK/RACK-A --to R-449A --full-charge 860lb --charge-basis calculated\n"
     "tarebook convert OAK/RACK-A --to R-448A"},
    {"reclassify",
     "tarebook reclassify RC-01 --to-refrigerant R-404A --evidence \"laboratory LR-88\"\n"
     "tarebook reclassify RC-01 --to-condition reclaimed --evidence \"certificate 4711\""},
    {"leak",
     "tarebook leak add OAK/RACK-A --place \"flare nut, case 4\"\n"
     "tarebook leak add OAK/RACK-A --place \"shaft seal\" --job 2207"},
    {"inspect",
     "tarebook inspect OAK/RACK-A --method \"electronic detector\" --result no-leak\n"
     "tarebook inspect OAK/RACK-A --method \"soap solution\" --result leak"},
    {"repair",
     "tarebook repair L-1 --done \"new flare nut\"\n"
     "tarebook repair L-1 --done \"brazed anew\" --job 2207"},
    {"leak-test",
     "tarebook leak-test L-1 --stage initial --result pass\n"
     "tarebook leak-test L-1 --stage follow-up --result pass"},
    {"plan",
     "tarebook plan OAK/RACK-A --kind retrofit --by 2027-03-01\n"
     "tarebook plan OAK/RACK-A --kind retire --by 2027-06-30"},
    {"mothball",
     "tarebook mothball OAK/RACK-A --pressure 0psig\n"
     "tarebook mothball OAK/RACK-A --end"},
    {"extension",
     "tarebook extension OAK/RACK-A --for parts --until 2026-08-01 --asked 2026-06-10\n"
     "tarebook extension OAK/RACK-A --of plan-work --for relief --asked 2026-09-01"},
    {"settle",
     "tarebook settle E21 --refrigerant 15.1lb --oil 0.5lb --purity 99.6 --outcome reclaimed\n"
     "tarebook settle RC-01 --gross 43.2lb --tare 27.5lb --oil 0.5lb --credit \"14.30 USD\""},
    {"recycle",
     "tarebook recycle RC-01 --oil-separated --drier-passes 2 --acid-test pass\n"
     "tarebook recycle RC-01 --oil-separated --moisture-test pass --machine M1"},
    {"count",
     "tarebook count begin --place shop\n"
     "tarebook count weigh RC-01 --gross 29.1lb --cap on"},
    {"stock",
     "tarebook stock level R-448A --place truck-2 --at-least 20lb\n"
     "tarebook stock price R-448A \"32.00 USD/lb\""},
    {"due",
     "tarebook due\n"
     "tarebook due --within 90d --format ics"},
    {"why",
     "tarebook why E21\n"
     "tarebook why due/requalification/RC-01"},
    {"void",
     "tarebook void E21 --why \"wrong cylinder\"\n"
     "tarebook void E21 --why \"entered twice\""},
    {"correct",
     "tarebook correct E58 --after 44.10lb\n"
     "tarebook correct E65 --leak L-1"},
    {"resolve",
     "tarebook resolve E21 --why \"drawn down the same evening\"\n"
     "tarebook resolve due/requalification/RC-01 --why \"scrapped\""},
    {"room",
     "tarebook room RC-01\n"
     "tarebook room --for 62lb --refrigerant R-448A"},
    {"report",
     "tarebook report cylinder RC-01\n"
     "tarebook report site OAK --format html"},
    {"list",
     "tarebook list exceptions\n"
     "tarebook list exceptions --format csv"},
    {"export",
     "tarebook export year 2026 --to year-2026\n"
     "tarebook export sqlite --to shop.sqlite"},
    {"check",
     "tarebook check\n"
     "tarebook check --against head.line"},
    {"job",
     "tarebook job blank --site OAK --job 2208 --format html > visit.html\n"
     "tarebook job record visit.yaml"},
    {"import",
     "tarebook import movements old.csv --register --owner \"Quillpost Markets\"\n"
     "tarebook import cylinders list.csv --map list.yaml --dry-run"},
    {"pt",
     "tarebook pt R-448A --at 70F\n"
     "tarebook pt R-22 --cylinder-pressure 142psig --at 75F"},
    {"seal",
     "tarebook seal 2025\n"
     "tarebook seal 2025 --by ana"},
    {"pages",
     "tarebook pages --to pages\n"
     "tarebook pages --to quillpost --owner \"Quillpost Markets\""},
    {"label",
     "tarebook label RC-01\n"
     "tarebook label RC-01 RC-02 --format html"},
    {"isolate",
     "tarebook isolate OAK/RACK-A/4 --close \"liquid: ball valve 5/8\" --close \"suction: ball valve 1 3/8\"\n"
     "tarebook isolate OAK/RACK-A/4 --reopened"},
    {"fit",
     "tarebook fit OAK/RACK-A/4 --part \"expansion valve\" --tag \"EV-6 2T / batch 0417\"\n"
     "tarebook fit OAK/RACK-A/4 --part \"flare nut 5/8\" --quantity 2"},
    {"pressure-test",
     "tarebook pressure-test OAK/RACK-A/4 --pressure 300psig --held 60 --end 300psig --result pass\n"
     "tarebook pressure-test OAK/RACK-A/4 --pressure 20barg --held 30 --end 19.8barg --result fail"},
    {"oil",
     "tarebook oil OAK/RACK-A/4 --out 12oz --in 16oz --kind POE --grade \"ISO 32\"\n"
     "tarebook oil OAK/RACK-A/4 --out 350ml --acid-test fail"},
    {"filter-drier",
     "tarebook filter-drier OAK/RACK-A/4 --fitted \"core 48, with felt\" --why \"after opening\"\n"
     "tarebook filter-drier --machine M1 --refrigerant R-448A --oil POE"},
    {"identify",
     "tarebook identify RC-01 --refrigerant R-404A --part \"R-404A 99.2\" --air 0.5 --result pass\n"
     "tarebook identify OAK/RACK-A/4 --refrigerant mixed --part \"R-22 70\" --part \"R-404A 30\""},
    {"compressor",
     "tarebook compressor OAK/RACK-A/4 --of C2 --fitted \"scroll, 10 hp\" --fitted-serial 0417 --why \"seized\"\n"
     "tarebook compressor OAK/RACK-A/4 --why burn-out --acid-test fail"},
    {"note",
     "tarebook note \"gasket of case 3 torn\" --circuit OAK/RACK-A/4\n"
     "tarebook note --reading \"suction 42psig\" --reading \"box 36F\""},
    {"sync",
     "tarebook sync share\n"
     "tarebook sync"},
    {"books",
     "tarebook books trust truck-3 --card truck-3.card\n"
     "tarebook books trust --from cards"},
    {"send",
     "tarebook send --to monday.bundle\n"
     "tarebook send --to tuesday.bundle --since last"},
    {"merge",
     "tarebook merge truck-1.bundle\n"
     "tarebook merge truck-1.bundle truck-2.bundle"},
    {"backup",
     "tarebook backup --to friday.tarebook\n"
     "tarebook backup --into . --keep 14"},
    {"people",
     "tarebook people list\n"
     "tarebook people remove \"Ana Reyes\" --asked \"by the person, in a letter\""},
    {"doctor",
     "tarebook doctor\n"
     "tarebook doctor --book friday.tarebook"},
    {"restore",
     "tarebook restore friday.tarebook --to shop-again.tarebook\n"
     "tarebook restore friday.tarebook --to laptop.tarebook"},
    {"salvage",
     "tarebook salvage --to rescued.bundle\n"
     "tarebook salvage --to rescued-again.bundle"},
    {"prove",
     "tarebook prove E12 --to E12.proof\n"
     "tarebook prove E31 --to E31.proof"},
    {"verify",
     "tarebook verify head.line\n"
     "tarebook verify head.line --key card1.f917fd5d82ba6cd42bccd7e93fd15860.f917fd5d82ba6cd42bccd7e93fd15860."
     "1ad45857f7090e00364723beb85216c0dcf61117581082ed6883a4c0e35d633c"},
    {"upgrade",
     "tarebook upgrade --dry-run\n"
     "tarebook upgrade --copy before-upgrade.tarebook"},
    {"completion",
     "tarebook completion bash > ~/.local/share/bash-completion/completions/tarebook\n"
     "tarebook completion fish"},
    {"man",
     "tarebook man > tarebook.1\n"
     "tarebook man"},
});

}  // namespace

std::string_view examples_of(std::string_view command) {
    const auto it =
        std::find_if(examples.begin(), examples.end(), [&](const Examples& e) { return e.command == command; });
    return it == examples.end() ? std::string_view() : it->lines;
}

}  // namespace tarebook::cli
