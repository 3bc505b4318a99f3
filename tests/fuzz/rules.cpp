// A person's own rule pack. Whatever the bytes: a refusal that names file and line, or a pack whose rules can be asked
// of any appliance on any day.
#include <algorithm>

#include "input_file.hpp"
#include "promise.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/clocks.hpp"
#include "tarebook/rules/rulebook.hpp"
#include "tarebook/rules/rules.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

void asked(const RulePack& pack) {
    promise(!pack.id.empty() && !pack.title.empty() && !pack.source.empty(), "a pack says what it is and where from");
    for (const auto& rule : pack.rules) promise(!rule.clause.empty(), "a rule names its clause");
    const RulePack* const packs[] = {&pack};
    promise(!packs_text(packs).empty(), "a page can say which pack applied");
    const auto day = [](int year) { return Date{std::chrono::year(year) / 3 / 31}; };
    RuleSubject subject;
    subject.refrigerant = Catalogue().find("R-448A");
    subject.full_charge = Mass::pounds(900);
    subject.category = ApplianceCategory::commercial_refrigeration;
    for (const int year : {1, 2026, 9999}) (void)leak_repair_regimes(packs, subject, day(year));
    ApplianceHistory history;
    history.appliance = "OAK/RACK-A";
    history.subjects = {{day(2024), subject}};
    history.on_record_since = day(2024);
    (void)appliance_clocks(packs, history, day(2026));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const fuzz::InputFile file(data, size);
    const auto pack = load_rule_pack(file.path());
    if (pack) {
        asked(*pack);
        return 0;
    }
    fuzz::helpful(pack.error());
    promise(pack.error().what.starts_with(file.path()), "a problem names its file");
    return 0;
}
