"""The folders from which every world begins: an office with its register, two trucks that it trusts, books of older schemas."""
import os
import random
import sys
from point import must
from program import FOLDER_LIBRARY, Folder

sys.path.insert(0, os.path.join(os.environ["TAREBOOK_SOURCE"], "tests", "e2e"))
from older_book import older_book  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
START = ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"]
NOW = "2025-12-01T15:00:00Z"
REGISTER = [
    ["site", "add", "OAK", "--owner", "Quillpost Markets"],
    ["appliance", "add", "OAK/RACK-A", "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge",
     "900lb", "--charge-basis", "calculated"],
    ["circuit", "add", "OAK/RACK-A/4"], ["scale", "add", "S1", "--reads", "lb", "--division", "0.05lb"],
    *[["cylinder", "add", "RC-0%d" % n, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb",
       "--spec", "DOT-4BA400", "--tested", "2024-04"] for n in (1, 2, 3, 4)]]


class Template:
    def __init__(self, room):
        self.path = os.path.join(room, "template")
        self.traces, self.cards, self.own_ids, self.older = {}, {}, {}, {}
        dice = random.Random(1)
        folder = Folder(self.path, told=os.path.join(room, "told."))
        folder.library = FOLDER_LIBRARY

        def run(who, words, fault="none:::0", codes=(0, 4)):
            folder.more_env.update(TAREBOOK_FAULT_FOLDER=self.path, TAREBOOK_FAULT_RANDOM=str(dice.randrange(1 << 60)))
            ran = folder.run(["--book", os.path.join(self.path, who, "book"), *words], fault, now=NOW)
            must(ran.code in codes, "the template", ran)
            return ran.out.strip()
        for name in ("office", "truck-1", "truck-2", "mail", "spare"):
            os.makedirs(os.path.join(self.path, name))
        run("office", START)
        self.cards["office"], self.own_ids["office"] = run("office", ["books", "card"]), set()
        for n, words in enumerate(REGISTER):
            run("office", [*words, "--own-id", "register-%d" % n])
            self.own_ids["office"].add("register-%d" % n)
        run("office", ["send", "--to", os.path.join(self.path, "mail", "register"), "--register-only"])
        for truck in ("truck-1", "truck-2"):
            run(truck, [*START, "--shop", self.cards["office"]])
            run(truck, ["merge", os.path.join(self.path, "mail", "register")])
            self.cards[truck], self.own_ids[truck] = run(truck, ["books", "card"]), set()
            run("office", ["books", "trust", truck, "--card", self.cards[truck]])
        with open(os.path.join(self.path, "circuits.csv"), "w", encoding="utf-8") as f:
            f.write("site,appliance,circuit,refrigerant,nameplate_lb\nOAK,RACK-A,4,R-448A,900\n")
        with open(os.path.join(HERE, "visit.yaml"), encoding="utf-8") as f:
            self.sheet = f.read().replace("day: 2026-06-10", "day: 2026-05-30")
        # the log of a book that is no other's
        run("spare", START)
        run("spare", ["machine", "add", "M1"], "kill:T:1", codes=(-9,))
        with open(os.path.join(self.path, "spare", "book-wal"), "rb") as f:
            self.log = f.read()
        for schema in range(1, 9):
            with open(older_book(os.path.join(room, "older-%d" % schema), schema), "rb") as f:
                self.older[schema] = f.read()
