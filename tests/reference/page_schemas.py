"""Each page in JSON against its JSON Schema in schema/output: its name stands in the page (`page`), and a field has the
same kind on every page (schema/output/fields.json). run_cases.py gives it all that golden cases print in JSON."""
import glob
import json
import os
import threading

import jsonschema

FOLDER = os.path.join(os.environ["TAREBOOK_SOURCE"], "schema", "output")
FIELDS = "fields.json"


def loaded():
    out = {}
    for path in glob.glob(os.path.join(FOLDER, "*.json")):
        with open(path) as f:
            out[os.path.basename(path)] = json.load(f)
    return out


SCHEMAS = loaded()
STORE = {name: text for name, text in SCHEMAS.items()}
met, lock = set(), threading.Lock()
validators = {}


def validator(page):
    if page not in validators:
        schema = SCHEMAS[page + ".schema.json"]
        resolver = jsonschema.RefResolver("", schema, store=STORE)
        validators[page] = jsonschema.Draft202012Validator(schema, resolver=resolver)
    return validators[page]


def problems_of(text):
    """Of what a command printed; nothing where it is no JSON page."""
    if not text.startswith("{"):
        return []
    try:
        page = json.loads(text)
    except ValueError:
        return []  # a case that pipes it through something
    if "schema_version" not in page:
        return []
    name = page.get("page")
    if not name or name + ".schema.json" not in SCHEMAS:
        return ["a page in JSON without a schema: %s" % name]
    with lock:
        met.add(name)
        return ["page %s: %s: %s" % (name, "/".join(str(p) for p in e.absolute_path), e.message[:200])
                for e in list(validator(name).iter_errors(page))[:3]]


def never_met():
    """Schemas that no page was held to, and fields that no schema names."""
    pages = {name[:-len(".schema.json")] for name in SCHEMAS if name.endswith(".schema.json")}
    yield from ("schema/output/%s.schema.json: no golden case prints that page" % name for name in sorted(pages - met))
    used = set()

    def walk(value):
        if isinstance(value, dict):
            if "$ref" in value:
                used.add(value["$ref"].rsplit("/", 1)[-1])
            for v in value.values():
                walk(v)
        elif isinstance(value, list):
            for v in value:
                walk(v)
    for schema in SCHEMAS.values():
        walk(schema)
    yield from ("schema/output/fields.json: no page has the field %s" % name
                for name in sorted(set(SCHEMAS[FIELDS]["$defs"]) - used))
