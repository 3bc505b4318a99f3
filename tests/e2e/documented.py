"""Every public type, function, constant and field of lib/include has its doc line, and no comment there is a riddle or an
example that a formatter has run together.

A doc line is a comment of `///` directly before a declaration, or `///<` behind it. It also serves like declarations that
follow without a blank line: overloads, functions of the same result and number of parameters, aliases, constants. Fields
and enumerators may be told of by the comment of their type; a field of type double says its unit itself, in its name or
in a comment. What the language defines needs no words: copies, moves, destructors, defaulted operators; nor do the
`fields` lists of event kinds, which event.hpp explains once."""
import collections
import os
import re
import sys

SOURCE = os.environ.get("TAREBOOK_SOURCE", os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
FOLDERS = [os.path.join(SOURCE, "lib/include/tarebook")]
if "TAREBOOK_BUILD" in os.environ:
    FOLDERS.append(os.path.join(os.environ["TAREBOOK_BUILD"], "lib/include/tarebook"))  # version.hpp

Token = collections.namedtuple("Token", "text line")
Item = collections.namedtuple("Item", "kind name first told")

TOKENS = re.compile(r"""(?P<raw>R"\(.*?\)")|(?P<string>"(?:\\.|[^"\\\n])*")|(?P<char>'(?:\\.|[^'\\\n])+')
    |(?P<comment>//[^\n]*)|(?P<block>/\*.*?\*/)|(?P<directive>^[ \t]*\#[^\n]*)
    |(?P<number>\d[\w'.]*)|(?P<word>[A-Za-z_]\w*)|(?P<sign><=>|<<=|::|->|&&|\|\||<=|==|!=|\+=|-=|\.\.\.|\[\[|\]\]|[^\s\w])""",
                    re.X | re.M | re.S)
RIDDLES = re.compile(r"\b(lies|whatever|nobody|where it is)\b", re.I)
UNIT = re.compile(r"(^|_)(percent|kelvin|kilopascals|kpa|celsius|fahrenheit|tonnes|t_co2e|g_mol|psig?|hours?|days?|share|fraction"
                  r"|gwp|odp)(_|$)")
LEAST = ("field", "function", "struct", "enumerator", "enum", "class", "constant", "alias")
CLOSES = {"(": ")", "{": "}", "[": "]", "[[": "]]"}


def runs_together(example):
    """Whether a call or an assignment follows a statement on its line, outside of brackets and comments."""
    code = re.sub(r'"(\\.|[^"\\])*"', '""', example).split("//")[0]
    depth = 0
    for at, letter in enumerate(code):
        depth += (letter in "({[") - (letter in ")}]")
        if letter == ";" and depth <= 0 and re.match(r"\s*(\w+ )*[\w.>:-]+(\(| = )", code[at + 1:]):
            return True
    return False


assert runs_together("f(1); rate->g();  // h") and runs_together("reason auto a = f(); auto b = g(a);")
assert not runs_together('for (a = 1; b = 2; c()) f("; f(1)");  // d; e()') and not runs_together("- a day; it counts (as one)")


class Header:
    def __init__(self, name, text):
        self.name, self.items, self.riddles = name, [], []
        self.before, self.behind, self.comment_lines, tokens, spoken = set(), set(), set(), [], []
        text = re.sub(r"\\\n", " \n", text)
        for found in TOKENS.finditer(text):
            line = text.count("\n", 0, found.start()) + 1 if found.lastgroup in ("comment", "block") else 0
            if found.lastgroup == "comment":
                words = found.group()
                alone = not text[text.rfind("\n", 0, found.start()) + 1:found.start()].strip()
                if words.startswith("///<"):
                    self.behind.add(line)
                elif alone:
                    self.comment_lines.add(line)
                    if words.startswith("///"):
                        self.before.add(line)
                if spoken and spoken[-1][1] == line - 1:  # a riddle may be cut by the end of a line
                    spoken[-1] = (spoken[-1][0] + " " + words.lstrip("/< "), line)
                else:
                    spoken.append((words, line))
                if words.startswith("//     ") and runs_together(words[7:]):
                    self.riddles.append("%s:%d has two statements of an example on one line" % (name, line))
            elif found.lastgroup not in ("block", "directive"):
                tokens.append(found)
        self.riddles += ["%s: the comment that ends at line %d says \"%s\"" % (name, line, riddle)
                         for words, line in spoken for riddle in RIDDLES.findall(words)]
        starts, line, at = [], 1, 0
        for found in tokens:
            line += text.count("\n", at, found.start())
            at = found.start()
            starts.append(Token(found.group(), line))
        self.tokens, self.at = starts, 0
        self.scope("", "namespace", False)
        assert self.at == len(self.tokens), "%s: read to line %d only" % (name, self.line())

    # The tokenizer's view: what comes next, and what is skipped.

    def next(self, ahead=0):
        return self.tokens[self.at + ahead].text if self.at + ahead < len(self.tokens) else ""

    def line(self):
        return self.tokens[min(self.at, len(self.tokens) - 1)].line

    def last_line(self):
        return self.tokens[self.at - 1].line

    def take(self):
        self.at += 1
        return self.tokens[self.at - 1].text

    def skip_pair(self):
        """Over a bracket and what is in it."""
        closing = CLOSES[self.take()]
        while self.next() != closing:
            if self.next() in CLOSES:
                self.skip_pair()
            else:
                self.take()
        self.take()

    def skip_angles(self):
        assert self.take() == "<"
        depth = 1
        while depth:
            if self.next() in CLOSES:
                self.skip_pair()
            else:
                depth += {"<": 1, ">": -1}.get(self.take(), 0)

    def to_end(self):
        """Over the rest of a declaration without a body."""
        while self.next() != ";":
            if self.next() in CLOSES:
                self.skip_pair()
            else:
                self.take()
        self.take()

    # Declarations.

    def told_before(self, first):
        line = first - 1
        while line in self.comment_lines:
            if line in self.before:
                return True
            line -= 1
        return False

    def told_behind(self, first, last):
        after = self.tokens[self.at].line if self.at < len(self.tokens) else 0
        return first in self.behind or last in self.behind or last + 1 in self.behind and after != last + 1

    def add(self, kind, name, like, first, last, around):
        """Notes an item, and whether it has a doc line of its own or shares the one of the like items before it."""
        group = around.get("group")  # what it is like, and its last line
        shares = group and group[0] == like and group[1] + 1 >= first
        before = self.told_before(first)
        told = before or self.told_behind(first, last) or shares
        around["group"] = (like, last) if kind != "field" and (before or shares) else None
        if not told and kind in ("field", "enumerator") and around["told"]:
            self.items.append(Item(kind, name, first, True))
            return False
        self.items.append(Item(kind, name, first, bool(told)))
        return told

    def scope(self, path, kind, told, public=True):
        """Declarations up to the closing bracket of a namespace or type."""
        around = {"told": told}
        while self.at < len(self.tokens) and self.next() != "}":
            first = self.line()
            word = self.next()
            if word == ";":
                self.take()
            elif word == "namespace":
                self.take()
                name = ""
                while self.next() != "{":
                    name += self.take()
                self.take()
                self.scope(path + name + "::", "namespace", False)
                self.take()
            elif word in ("public", "private", "protected") and self.next(1) == ":":
                public = word == "public"
                self.at += 2
                around["group"] = None
            else:
                items = len(self.items)
                self.declaration(path, kind, first, around)
                if not public:
                    del self.items[items:]

    def declaration(self, path, scope_kind, first, around):
        template = False
        while self.next() in ("template", "[[", "requires"):
            if self.next() == "[[":
                self.skip_pair()
            elif self.next() == "requires":
                raise AssertionError("%s:%d: a constraint that this reader does not know" % (self.name, self.line()))
            else:
                self.take()
                self.skip_angles()
                template = True
        word = self.next()
        if word in ("static_assert", "friend") and (word == "static_assert" or self.next(1) in ("class", "struct")):
            return self.to_end()
        if word == "using" and self.next(1) == "enum":
            return self.to_end()
        if word == "using":
            name = self.next(1)
            alias = self.next(2) == "="
            self.to_end()
            if alias:
                self.add("alias", path + name, "alias", first, self.last_line(), around)
            return None
        if word == "concept":
            name = self.next(1)
            self.to_end()
            return self.add("concept", path + name, "concept", first, self.last_line(), around)
        if word in ("class", "struct", "enum", "union") and self.is_type():
            return self.type(path, first, around)
        return self.function_or_value(path, scope_kind, first, around, template)

    def is_type(self):
        """Whether a body or a forward declaration follows, not a name used as a type."""
        ahead = 0
        while self.next(ahead) not in ("{", ";", "(", "="):
            ahead += 1
        return self.next(ahead) in ("{", ";")

    def type(self, path, first, around):
        kind = self.take()
        if kind == "enum" and self.next() in ("class", "struct"):
            self.take()
        while self.next() == "[[":
            self.skip_pair()
        name = path + self.take()
        while self.next() not in ("{", ";"):  # what it derives from
            if self.next() == "<":
                self.skip_angles()
            else:
                self.take()
        if self.next() == ";":  # a forward declaration: its doc line is where it is defined
            self.take()
            return None
        opened = self.line()
        self.take()
        place = len(self.items)
        self.items.append(None)
        # The words behind the opening bracket or the closing one belong to the type.
        end = self.at
        depth = 1
        while depth:
            depth += {"{": 1, "}": -1}.get(self.tokens[end].text, 0)
            end += 1
        closed = self.tokens[end - 1].line
        here, self.at = self.at, end + 1
        told = self.told_before(first) or self.told_behind(first, closed) or opened in self.behind
        self.at = here
        if kind == "enum":
            inside = {"told": told}
            while self.next() != "}":
                at = self.line()
                value = self.take()
                while self.next() not in (",", "}"):
                    self.take()
                if self.next() == ",":
                    self.take()
                self.add("enumerator", name + "::" + value, "enumerator", at, self.last_line(), inside)
        else:
            self.scope(name + "::", kind, told, public=kind != "class")
        assert self.take() == "}"
        self.to_end()
        self.items[place] = Item(kind, name, first, told)
        around["group"] = None
        return None

    def function_or_value(self, path, scope_kind, first, around, template):
        words, name = [], None
        while True:
            word = self.next()
            if word == "operator":
                self.take()
                name = "operator"
                while self.next() != "(" or name == "operator" and self.next(1) == ")":
                    name += ("" if name == "operator" else " ") + self.take()
                    if name == "operator(":
                        name += self.take()
                break
            if word == "<":
                at = self.at
                self.skip_angles()
                words.append("".join(t.text for t in self.tokens[at:self.at]))
            elif word == "[[":
                self.skip_pair()
            elif word == "[":  # an array
                self.skip_pair()
            elif word in ("(", "=", "{", ";", ","):
                break
            else:
                words.append(self.take())
        if self.next() != "(":
            return self.values(path, words, scope_kind, first, around)
        if name is None:
            name = words.pop()
            if words and words[-1] == "~":
                name = words.pop() + name
        at = self.at
        self.skip_pair()
        inside = self.tokens[at + 1:self.at - 1]
        depth, parameters = 0, 1 if inside else 0
        for token in inside:
            depth += {"<": 1, "(": 1, "{": 1, ">": -1, ")": -1, "}": -1}.get(token.text, 0)
            parameters += token.text == "," and depth == 0
        defaulted = self.end_of_function()
        bare = [w for w in words if w not in ("static", "constexpr", "consteval", "inline", "virtual", "explicit", "friend")]
        of_class = path.rsplit("::", 2)[-2] if path.endswith("::") and path.count("::") else ""
        own_type = {"".join(t.text for t in inside if t.text not in ("const", "&", "&&")).replace("other", ""), ""}
        special = scope_kind in ("class", "struct", "union") and (
            name.startswith("~") or name == of_class and (not inside or of_class in own_type)
            or name in ("operator =", "operator=") and of_class in own_type)
        if special or defaulted or template and name == "fields":
            return None
        like, group = ("function", name, " ".join(bare), parameters), around.get("group")
        if group and group[0][0] == "function" and (group[0][1] == name or group[0][2:] == like[2:]):
            around["group"] = (like, group[1])
        return self.add("function", path + name, like, first, self.last_line(), around)

    def end_of_function(self):
        """Over what follows the parameters; whether the language defines it (= default, = delete)."""
        defaulted = listed = False
        while True:
            word = self.next()
            if word == ";":
                self.take()
                return defaulted
            if word == "{":
                braces = listed and re.match(r"\w", self.next(-1))  # of an initialiser: member{value}
                self.skip_pair()
                if not braces:
                    return defaulted
            elif word in CLOSES:
                self.skip_pair()
            else:
                listed = listed or word == ":"
                defaulted = defaulted or word in ("default", "delete")
                self.take()

    def values(self, path, words, scope_kind, first, around):
        """Fields or constants, several in one declaration."""
        names = [words[-1]]
        while self.next() != ";":
            if self.next() == ",":
                self.take()
                names.append(self.next())
            elif self.next() == "<":
                self.skip_angles()
            elif self.next() in CLOSES:
                self.skip_pair()
            else:
                self.take()
        self.take()
        constant = "constexpr" in words or scope_kind == "namespace"
        kind = "constant" if constant else "field"
        if constant and path.split("::")[-3:-2] == ["kinds"] and names == ["name"]:
            return  # the kind's name in a body: as `fields`
        number = kind == "field" and any(re.search(r"\bdouble\b", w) for w in words)
        group = around.get("group")
        for name in names:
            around["group"] = group
            own = self.add(kind, path + name, (kind,), first, self.last_line(), around)
            if number and not own and not UNIT.search(name):
                self.items[-1] = Item(kind, path + name + ", a number without its unit,", first, False)


SAMPLE = """
namespace tarebook {
class Forward;
/// One.
using A = int;
using B = int;
using Bare = std::map<std::string, int>;  ///< behind
using C = int;

struct Told {  ///< what it is
    int a = 0, b = 1;
    double bare_number = 0;
    double length;  ///< mm
    Told();
    Told(const Told& other);
    friend bool operator==(const Told&, const Told&) = default;
    template <class S, class V>
    static void fields(S& s, V& v) { v("a", s.a); }
    int bare() const { return a < b ? a : b; }
    int operator()(int x) const;

    class Inner {
     public:
        /// Two of them, alike.
        explicit Inner(int x) : x_{x}, y_(2) { if (x) { y_ = 1; } }
        Inner operator+(Inner other) const;

     private:
        int hidden() const;
        int x_, y_ = 0;
    };
};
/// First.
std::optional<int> first(std::string_view text);
std::optional<int> second(std::string_view words);
std::optional<int> third(std::string_view words, int more = 2);
/// Fourth.
template <class T>
std::function<void(int)> fourth(std::vector<std::pair<int, T>> v) {
    return [v](int) {};
}

std::function<void(int)> fifth(std::vector<std::pair<int, int>> v);
enum class E { one, two };
enum class F {
    one,  ///< here
    two
};
inline constexpr int limit = 3;  ///< lb
inline constexpr int other_limit{3};
}  // namespace tarebook
"""
SAMPLE_TOLD = ("A B Bare C Told Told::a Told::b Told::length Told::Inner::Inner first second fourth F::one limit").split()
SAMPLE_BARE = ("Told::bare_number Told::bare Told::operator() Told::Inner Told::Inner::operator+ third fifth E E::one E::two F F::two "
               "other_limit").split()
sample = {(re.sub("^tarebook::|,.*", "", item.name), item.told) for item in Header("sample", SAMPLE).items}
wanted = {(name, True) for name in SAMPLE_TOLD} | {(name, False) for name in SAMPLE_BARE}
assert sample == wanted, "the reader of headers misreads its sample: %s" % sorted(sample ^ wanted)

headers = []
for folder in FOLDERS:
    for top, _, files in sorted(os.walk(folder)):
        for file in sorted(files):
            if file.endswith(".hpp"):
                with open(os.path.join(top, file), encoding="utf-8") as f:
                    headers.append(Header(os.path.relpath(os.path.join(top, file), folder), f.read()))
if len(sys.argv) > 1 and sys.argv[1] == "--list":
    for header in headers:
        for item in header.items:
            print("%s:%d %s %s%s" % (header.name, item.first, item.kind, item.name, "" if item.told else "  UNDOCUMENTED"))
seen = collections.Counter(item.kind for header in headers for item in header.items)
bad = ["%s:%d: %s %s has no doc line" % (header.name, item.first, item.kind, item.name)
       for header in headers for item in header.items if not item.told]
riddles = [told for header in headers for told in header.riddles]
assert len(headers) > 70 and sum(seen.values()) > 2000 and min(seen[k] for k in LEAST) > 10, (len(headers), seen)
counted = ", ".join("%d %s" % (count, kind) for kind, count in seen.most_common())
print("public headers: %d, %d items (%s); %d without a doc line, %d riddles"
      % (len(headers), sum(seen.values()), counted, len(bad), len(riddles)))
if bad or riddles:
    sys.exit("\n".join(bad + riddles))
