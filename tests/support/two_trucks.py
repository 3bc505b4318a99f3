"""The book of an office with the bundles of two trucks, whose cylinders are their own or shared: for tests and figures of
what is judged anew. `rows` are the movements of each truck."""
import os
import subprocess

import server_shop

HEAD = "kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n"
SHARED = ("S-1", "S-2")


def cylinders_of(truck, own):
    return ["T%d-%d" % (truck, n) for n in range(own)] + list(SHARED)


def movements(truck, rows, own):
    """Recoveries of a twentieth of a pound each, minute by minute, of both trucks in the same days."""
    weights, out = {}, [HEAD]
    codes = cylinders_of(truck, own)
    for n in range(rows):
        minute = 2 * n + truck
        code = codes[n % len(codes)]
        before = weights.get(code, 2750)
        after = before + 5 if before < 6000 else before
        weights[code] = after
        out.append("recover,2026-%02d-%02d,%02d:%02d,OAK,RACK-A,4,%s,R-448A,%d.%02d,%d.%02d,ana,J%d\n" % (
            6 + minute // (28 * 1440), 1 + minute // 1440 % 28, minute // 60 % 24, minute % 60, code, before // 100, before % 100,
            after // 100, after % 100, n % 50))
    return "".join(out)


class TwoTrucks:
    def __init__(self, shop, rows, own=4):
        self.shop, self.now = shop, "2026-12-30T15:00:00Z"
        self.office = os.path.join(shop.folder, "office.tarebook")
        shop.small_shop(self.office)
        for truck in (1, 2):
            for code in cylinders_of(truck, own)[:own] + (list(SHARED) if truck == 1 else []):
                self.ok(self.office, "cylinder", "add", code, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "95.2lb",
                        "--tare", "27.5lb", "--spec", "DOT-4BA400", "--tested", "2024-04")
        register = os.path.join(shop.folder, "register.bundle")
        self.ok(self.office, "send", "--to", register, "--register")
        card = self.ok(self.office, "books", "card").strip()
        self.cards, self.bundles = [], []
        for truck in (1, 2):
            book = os.path.join(shop.folder, "truck-%d.tarebook" % truck)
            self.ok(book, "start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", card)
            self.ok(book, "books", "trust", "office", "--card", card)
            self.ok(book, "merge", register)
            table = os.path.join(shop.folder, "truck-%d.csv" % truck)
            with open(table, "w") as f:
                f.write(movements(truck, rows, own))
            self.ok(book, "import", "movements", table, "--anyway", "made up")
            bundle = os.path.join(shop.folder, "truck-%d.bundle" % truck)
            self.ok(book, "send", "--to", bundle, *(["--register"] if truck == 2 else []))  # with what one has registered all counts anew
            self.bundles.append(bundle)
            self.cards.append(self.ok(book, "books", "card").strip())
            self.ok(self.office, "books", "trust", "truck-%d" % truck, "--card", self.cards[-1])
            self.ok(self.office, "merge", bundle)

    def ok(self, book, *words, **more):
        return self.shop.ok(book, *words, now=self.now, **{"timeout": 600, **more})

    def start(self, book, *words, person="ana"):
        return subprocess.Popen([server_shop.BIN, *words], env=self.shop.env(book, person, self.now), stdin=subprocess.DEVNULL,
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=self.shop.folder)
