#include "leak_log.hpp"

#include <algorithm>

#include "shared_text.hpp"

namespace tarebook::report {
namespace {

using Kind = LeakEvent::Kind;

struct Placed {
    OrderKey order;
    LeakEvent event;
};

}  // namespace

LeakLog::LeakLog(const Book& book) {
    std::map<std::string, std::string, std::less<>> where;  // appliance by leak
    std::map<std::string, std::vector<Placed>> placed;
    const auto add = [&](const std::string& appliance, const StoredEvent& stored, LeakEvent e) {
        e.on = stored.event.when.date();
        e.source = event_ref(book, stored);
        e.order = stored.event.order();
        placed[appliance].push_back({stored.event.order(), std::move(e)});
    };
    for (const auto& leak : book.leaks()) {
        where[leak.code] = leak.appliance;
        codes_[leak.event.id] = leak.code;
        if (leak.event.voided_by) continue;
        LeakEvent e;
        e.kind = Kind::found;
        e.leak = leak.code;
        e.text = std::get<kinds::Leak>(leak.event.event.what).place;
        add(leak.appliance, leak.event, std::move(e));
    }
    for (const auto& stored : book.watched_events(kinds::Inspect::name)) {
        const auto& k = std::get<kinds::Inspect>(stored.event.what);
        LeakEvent e;
        e.kind = k.of ? Kind::audited : Kind::inspected;
        e.good = k.result == "no-leak" || k.result == "pass";
        e.text = k.method;
        add(k.appliance, stored, std::move(e));
    }
    if (!where.empty()) {
        for (const auto& stored : book.watched_events(kinds::Repair::name)) {
            const auto& k = std::get<kinds::Repair>(stored.event.what);
            LeakEvent e;
            e.kind = Kind::repaired;
            e.leak = book.leak_named_in(stored.event);
            e.text = k.done;
            const auto& appliance = where[e.leak];
            add(appliance, stored, std::move(e));
        }
        for (const auto& stored : book.watched_events(kinds::LeakTest::name)) {
            const auto& k = std::get<kinds::LeakTest>(stored.event.what);
            LeakEvent e;
            e.kind = Kind::tested;
            e.leak = book.leak_named_in(stored.event);
            e.follow_up = k.stage == "follow-up";
            e.good = k.result == "pass";
            const auto& appliance = where[e.leak];
            add(appliance, stored, std::move(e));
        }
    }
    for (const auto& stored : book.watched_events(kinds::Plan::name)) {
        const auto& k = std::get<kinds::Plan>(stored.event.what);
        LeakEvent e;
        e.kind = Kind::planned;
        e.text = k.plan;
        e.retires = k.plan == "retire";
        if (k.to) e.to = book.catalogue().find(*k.to);
        if (const auto day = parse_date(k.by)) e.by = *day;
        add(k.appliance, stored, std::move(e));
    }
    for (const auto& stored : book.watched_events(kinds::Mothball::name)) {
        const auto& k = std::get<kinds::Mothball>(stored.event.what);
        LeakEvent e;
        e.kind = k.ended ? Kind::in_use : Kind::mothballed;
        e.text = k.pressure.value_or("");
        add(k.appliance, stored, std::move(e));
    }
    for (const auto& stored : book.watched_events(kinds::Extension::name)) {
        const auto& k = std::get<kinds::Extension>(stored.event.what);
        LeakEvent e;
        e.kind = Kind::extended;
        e.of = k.of;
        e.ground = k.ground;
        e.text = extension_text(k);
        if (k.until)
            if (const auto day = parse_date(*k.until)) e.by = *day;
        add(k.appliance, stored, std::move(e));
    }
    for (auto& [appliance, list] : placed) {
        std::sort(list.begin(), list.end(), [](const Placed& a, const Placed& b) { return a.order < b.order; });
        auto& out = events_[appliance];
        for (auto& one : list) out.push_back(std::move(one.event));
    }
}

const std::vector<LeakEvent>& LeakLog::of(std::string_view appliance) const {
    static const std::vector<LeakEvent> none;
    const auto it = events_.find(appliance);
    return it == events_.end() ? none : it->second;
}

std::string LeakLog::code_of(std::int64_t event_id) const {
    const auto it = codes_.find(event_id);
    return it == codes_.end() ? std::string() : it->second;
}

}  // namespace tarebook::report
