#include "checked_sheet.hpp"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/mark.h>
#include <yaml-cpp/parser.h>

#include <sstream>
#include <unordered_set>

#include "tarebook/exchange/job_sheet.hpp"
#include "units/yaml_guard.hpp"

namespace tarebook::exchange {
namespace {

struct NoTree {
    FileProblem problem;
};

// Builds the tree from the library's events. It checks depth, anchors and tags a second time, for what the scan of the
// bytes took for text and the library does not.
class Builder : public YAML::EventHandler {
 public:
    Builder(const std::string& name, FileProblems& problems) : name_(name), problems_(problems) {}

    SheetNode root;
    bool any = false;

    void OnDocumentStart(const YAML::Mark& mark) override {
        if (any) stop(mark, "sheet-second-document", "one file is one sheet; here another begins", {}, "one document");
        any = true;
    }
    void OnDocumentEnd() override {}
    void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override {
        refuse_extras(mark, "", anchor);
        take(mark, node(SheetNode::Kind::nothing, mark));
    }
    void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
        stop(mark, "sheet-anchor", "a sheet takes no alias", {}, "the value itself");
    }
    void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  const std::string& value) override {
        refuse_extras(mark, tag, anchor);
        auto scalar = node(SheetNode::Kind::text, mark);
        // A plain "null" or "~" is an empty value, as in the library.
        if (tag == "?" && (value == "~" || value == "null")) scalar.kind = SheetNode::Kind::nothing;
        scalar.text = value;
        take(mark, std::move(scalar));
    }
    void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                         YAML::EmitterStyle::value) override {
        refuse_extras(mark, tag, anchor);
        open(mark, SheetNode::Kind::list);
    }
    void OnSequenceEnd() override { close(); }
    void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                    YAML::EmitterStyle::value) override {
        refuse_extras(mark, tag, anchor);
        open(mark, SheetNode::Kind::map);
    }
    void OnMapEnd() override { close(); }

 private:
    struct Open {
        SheetNode node;
        std::unordered_set<std::string> seen;
        bool has_key = false;    // a key was read, its value is next
        bool duplicate = false;  // the value belongs to a key that the map has already
    };

    static SheetNode node(SheetNode::Kind kind, const YAML::Mark& mark) {
        SheetNode out;
        out.kind = kind;
        out.line = mark.line + 1;
        return out;
    }
    [[noreturn]] void stop(const YAML::Mark& mark, const char* error, std::string what, std::string seen,
                           std::string expected) const {
        throw NoTree{{name_,
                      mark.line + 1,
                      {},
                      {ErrorKind::usage, error, std::move(what), std::move(seen), std::move(expected), {}}}};
    }
    void refuse_extras(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor) const {
        if (anchor != 0) stop(mark, "sheet-anchor", "a sheet takes no anchor", {}, "the value itself");
        if (!tag.empty() && tag != "?" && tag != "!")
            stop(mark, "sheet-tag", "a sheet takes no tag", tag.substr(0, 40), "the value itself");
    }
    void open(const YAML::Mark& mark, SheetNode::Kind kind) {
        if (!open_.empty() && open_.back().node.kind == SheetNode::Kind::map && !open_.back().has_key)
            stop(mark, "sheet-complex-key", "a key must be plain text", {}, "key: value");
        if (open_.size() >= deepest_yaml)
            stop(mark, "sheet-too-deep", "lists and keys are nested too deeply", {},
                 fmt::format("at most {} levels", deepest_yaml));
        open_.push_back({node(kind, mark), {}, false, false});
    }
    void close() {
        auto done = std::move(open_.back().node);
        open_.pop_back();
        put(std::move(done));
    }
    void take(const YAML::Mark& mark, SheetNode scalar) {
        if (open_.empty() || open_.back().node.kind != SheetNode::Kind::map || open_.back().has_key) {
            put(std::move(scalar));
            return;
        }
        auto& map = open_.back();
        if (scalar.empty()) stop(mark, "sheet-shape", "a key is missing before the colon", {}, "key: value");
        const std::int64_t line = mark.line + 1;
        if (scalar.text == "<<")
            problems_.add({name_,
                           line,
                           scalar.text,
                           {ErrorKind::usage,
                            "sheet-merge-key",
                            "a sheet takes no merge key",
                            "<<",
                            "the values themselves",
                            {}}});
        map.has_key = true;
        map.duplicate = !map.seen.insert(scalar.text).second;
        if (map.duplicate)
            problems_.add({name_,
                           line,
                           scalar.text,
                           {ErrorKind::usage, "sheet-duplicate-key", "the key is there twice", scalar.text,
                            "each key once", "leave one of the two"}});
        else
            map.node.keys.push_back({std::move(scalar.text), line});
    }
    void put(SheetNode value) {
        if (open_.empty()) {
            root = std::move(value);
            return;
        }
        auto& parent = open_.back();
        if (parent.node.kind == SheetNode::Kind::map) {
            parent.has_key = false;
            if (parent.duplicate) return;
        }
        parent.node.items.push_back(std::move(value));
    }

    const std::string& name_;
    FileProblems& problems_;
    std::vector<Open> open_;
};

}  // namespace

std::optional<SheetNode> read_sheet_tree(std::string_view text, const std::string& name, FileProblems& problems) {
    const auto before = problems.count;
    if (text.size() > longest_job_sheet)
        problems.add({name,
                      0,
                      {},
                      {ErrorKind::usage, "sheet-too-large", "the file is too large for one visit",
                       fmt::format("over {} bytes", longest_job_sheet), fmt::format("at most {}", longest_job_sheet),
                       "one sheet a visit; old records come in with tarebook import"}});
    else
        guard_yaml(text, name, sheet_guard, problems);
    if (problems.count > before) return std::nullopt;
    std::istringstream in(plain_yaml_text(text));
    Builder builder(name, problems);
    try {
        YAML::Parser parser(in);
        while (parser.HandleNextDocument(builder)) {
        }
    } catch (NoTree& no) {
        problems.add(std::move(no.problem));
        return std::nullopt;
    } catch (const YAML::Exception& e) {
        problems.add({name,
                      e.mark.line + 1,
                      {},
                      {ErrorKind::usage,
                       "sheet-syntax",
                       "this is not YAML: " + e.msg,
                       {},
                       "key: value",
                       "text with a colon and a space, or with # [ ] { } at its start, goes into \"quotes\"; the lines "
                       "of a list begin at one column"}});
        return std::nullopt;
    }
    if (!builder.any || builder.root.empty()) {
        problems.add({name,
                      0,
                      {},
                      {ErrorKind::usage,
                       "sheet-empty",
                       "the sheet is empty",
                       {},
                       "a filled-in job sheet",
                       "tarebook job blank --site SITE"}});
        return std::nullopt;
    }
    return std::move(builder.root);
}

}  // namespace tarebook::exchange
