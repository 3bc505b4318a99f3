#include "sorted_drafts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "references.hpp"
#include "tarebook/checks/draft_form.hpp"

namespace tarebook {

void name_target_by_digest(const Book& book, Event& draft) {
    if (auto* v = std::get_if<kinds::Void>(&draft.what))
        if (const auto target = book.event_named(v->target)) v->target = hex(target->digest);
    if (auto* k = std::get_if<kinds::Settle>(&draft.what))
        if (const auto target = book.event_named(k->target)) {
            k->target = hex(target->digest);
            if (const auto* sent = std::get_if<kinds::Return>(&target->event.what)) k->cylinder = sent->cylinder;
        }
}

void take_country_of_book(const Book& book, Event& draft) {
    const auto& country = book.info().country;
    auto* entry = std::get_if<kinds::Entry>(&draft.what);
    if (!entry || !entry->adds || law_of_the_us(country)) return;
    if (entry->entry == EntryKind::site || entry->entry == EntryKind::cylinder)
        entry->values.try_emplace("country", FieldValue{country, {}});
}

SortedDrafts sorted_lines(const Book& book, const std::vector<DraftLine>& lines) {
    SortedDrafts out;
    References references(book);
    std::set<std::string, std::less<>> open;
    bool all_open = false;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const auto& line = lines[i];
        if (!line.draft) {
            out.all_read = false;
            open.insert(line.cylinders.begin(), line.cylinders.end());
            all_open = all_open || line.any_cylinder;
            continue;
        }
        auto draft = *line.draft;
        take_country_of_book(book, draft);
        const auto cylinders = cylinders_of(draft);
        auto errors = draft_form_problems(book.reference_data(), draft);
        // Lines that name a refused entry must not be reported for an unknown code too.
        if (!errors.empty() && std::holds_alternative<kinds::Entry>(draft.what)) (void)references.check(draft);
        if (errors.empty()) {
            name_target_by_digest(book, draft);
            auto there = draft.own_id ? already_there(book, draft) : std::optional<StoredEvent>();
            if (there && *there) {
                out.already.push_back(std::move(**there));
                continue;
            }
            if (!there)
                errors.push_back(std::move(there.error()));
            else if (auto error = references.check(draft))
                errors.push_back(std::move(*error));
            else if (auto held = refuse_or_accept_void_of_entry(book, draft))
                errors.push_back(std::move(*held));
        }
        if (!errors.empty()) {
            for (auto& error : errors) out.problems.push_back({i, std::move(error)});
            open.insert(cylinders.begin(), cylinders.end());
            continue;
        }
        const bool touched = all_open || std::any_of(cylinders.begin(), cylinders.end(),
                                                     [&](const std::string& c) { return open.contains(c); });
        // Contents that flow out of a cylinder with unknown contents are unknown too.
        if (touched) open.insert(cylinders.begin(), cylinders.end());
        out.fresh.push_back(std::move(draft));
        out.line_of.push_back(i);
        out.judgeable.push_back(!touched);
    }
    return out;
}

SortedDrafts sorted_command(const Book& book, std::vector<Event> drafts) {
    SortedDrafts out;
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        auto& draft = drafts[i];
        take_country_of_book(book, draft);
        // One own id for the command, and from it one for each event.
        if (i > 0 && draft.own_id && draft.own_id == drafts[0].own_id) *draft.own_id += fmt::format("#{}", i + 1);
        for (auto& error : draft_form_problems(book.reference_data(), draft))
            out.problems.push_back({i, std::move(error)});
    }
    if (!out.problems.empty()) return out;
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        name_target_by_digest(book, drafts[i]);
        if (!drafts[i].own_id) continue;
        auto there = already_there(book, drafts[i]);
        if (!there)
            out.problems.push_back({i, std::move(there.error())});
        else if (*there)
            out.already.push_back(std::move(**there));
    }
    if (!out.problems.empty()) out.already.clear();
    if (!out.problems.empty() || !out.already.empty()) return out;
    References references(book);
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        auto error = references.check(drafts[i]);
        if (!error) error = refuse_or_accept_void_of_entry(book, drafts[i]);
        if (error) out.problems.push_back({i, std::move(*error)});
        out.line_of.push_back(i);
        out.judgeable.push_back(true);
    }
    out.fresh = std::move(drafts);
    return out;
}

}  // namespace tarebook
