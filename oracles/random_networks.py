"""Seeded random networks in the notation. The generator draws a tree and prints it itself, so that a parser that
associates wrongly is caught by the tree and not copied."""
import random

from reference import METRES_PER_FOOT, Leaf

GAUGES = [(24, False), (22, False), (22, True), (20, False), (20, True), (18, False), (18, True)]
EOL = [1000, 1500, 2000, 2200, 3300, 3650, 3900, 4700, 5600, 6800, 8200, 10000, 12000, 22000, 47000]
NAMES = ["a", "b", "door", "pir", "leaf1", "tür", "roof_2", "x9"]


class Generator:
    def __init__(self, seed, names=NAMES, measured=True, smoke=True, ends=True, joints=True, ranges=True, max_leaves=14):
        self.rng = random.Random(seed)
        self.names, self.measured, self.smoke, self.ends = names, measured, smoke, ends
        self.joints, self.ranges, self.max_leaves = joints, ranges, max_leaves
        self.counter = 0

    # A leaf is (text, Leaf); a tree is a leaf or (sign, left, right).

    def wire(self):
        rng = self.rng
        kind = "core" if rng.random() < 0.15 else "wire"
        if self.measured and rng.random() < 0.1:
            ohms = rng.choice([3.2, 0.9, 12.5])
            return f"{kind}:{ohms}ohm", Leaf(kind, ohms=ohms)
        unit, scale = rng.choice([("m", 1.0), ("ft", METRES_PER_FOOT)])
        low = rng.choice([12, 20, 38, 55.5, 90, 150]) * (1 if unit == "m" else 3)
        high = low + 25 if self.ranges and rng.random() < 0.15 else low
        text = f"{low}..{high}" if high != low else f"{low}"
        gauge = rng.choice(GAUGES) if rng.random() < 0.4 else None
        at = ""
        if gauge:
            at = f"@{gauge[0]}{rng.choice(['', ' '])}AWG" + (" stranded" if gauge[1] else "")
        return f"{kind}:{text}{rng.choice(['', ' '])}{unit}{at}", Leaf(kind, length=(low * scale, high * scale), gauge=gauge)

    def resistor(self, values=EOL):
        rng = self.rng
        value = rng.choice(values)
        forms = [f"{value} ohm", f"{value}R"]
        if value >= 1000:
            whole, rest = divmod(value, 1000)
            tail = f"{rest:03d}".rstrip("0")
            forms += [f"{whole}k{tail}", f"{value / 1000:g}k", f"{value / 1000:g} kohm", f"{value / 1000:g}kΩ"]
        text, tolerance = rng.choice(forms), None
        if rng.random() < 0.4:
            percent = rng.choice([1, 2, 5, 10])
            tolerance = percent / 100
            text += rng.choice([f" {percent} %", f" {percent}%"])
        return text, Leaf("resistor", ohms=float(value), tolerance=tolerance)

    def contact(self, kind=None, its_role=None):
        rng = self.rng
        kind = kind or rng.choice(["nc", "no"])
        its_role = its_role or rng.choice(["", "", "", ".alarm", ".tamper", ".fault"])
        name = rng.choice(self.names)
        suffix = "" if its_role == ".alarm" else its_role
        return f"{kind}:{name}{its_role}", Leaf("contact", contact=name + suffix, normally=kind)

    def other(self):
        pick = self.rng.random()
        self.counter += 1
        if pick < 0.4 and self.joints:
            return f"joint:J{self.counter}", Leaf("joint")
        if pick < 0.6 and self.smoke:
            return f"smoke:D{self.counter}", Leaf("smoke")
        if pick < 0.8 and self.ends:
            return self.rng.choice([("joined", Leaf("joined")), ("open", Leaf("open")), ("47uF", Leaf("capacitor"))])
        return self.wire()

    def leaf(self):
        pick = self.rng.random()
        if pick < 0.35:
            return self.contact()
        if pick < 0.65:
            return self.resistor()
        return self.wire() if pick < 0.88 else self.other()

    def tree(self, leaves):
        """Any shape at all."""
        if leaves == 1:
            return self.leaf()
        split = self.rng.randint(1, leaves - 1) if self.rng.random() < 0.5 else 1
        return (self.rng.choice("-|"), self.tree(split), self.tree(leaves - split))

    def chain(self, *items):
        """Alternating pieces and signs, right-associative, as a person writes them."""
        tree = items[-1]
        for piece, sign in zip(items[-3::-2], items[-2::-2]):
            tree = (sign, piece, tree)
        return tree

    def trade(self):
        """The shapes of format.md's own table."""
        w, r, c = self.wire, self.resistor, self.contact
        shapes = [
            lambda: self.chain(w(), "-", c("nc"), "-", w(), "-", c("nc"), "-", r()),
            lambda: self.chain(w(), "-", c("no"), "|", w(), "-", c("no"), "|", r()),
            lambda: self.chain(w(), "-", c("nc", ".tamper"), "-", ("|", c("nc", ".alarm"), r()), "-", r()),
            lambda: self.chain(r(), "-", w(), "-", c("nc")),
            lambda: self.chain(("-", w(), c("nc")), "-", ("-", w(), c("nc")), "-", r()),          # home runs
            lambda: self.chain(w(), "-", ("-", w(), c("no")), "|", w(), "-", c("no"), "|", r()),  # T-tap
            lambda: self.chain(w(), "-", c("no"), "|", c("nc", ".fault"), "-", r()),
            lambda: self.chain(("|", c("nc"), r()), "-", ("|", c("nc"), r()), "-", r()),          # doubled
            lambda: self.chain(w(), "-", ("-", c("nc"), r()), "|", c("nc"), "-", r()),
            lambda: self.chain(r(), "|", w(), "-", c("nc"), "-", r()),                            # two ends
            lambda: self.chain(w(), "-", ("|", c("nc"), r()), "-", ("|", c("nc", ".fault"), r()), "-", r()),
        ]
        if self.smoke:
            smoke = lambda n: (f"smoke:D{n}", Leaf("smoke"))
            shapes.append(lambda: self.chain(w(), "-", smoke(1), "|", w(), "-", smoke(2), "|", r()))
        return self.rng.choice(shapes)()

    def network(self):
        """(text, program, circuit gauge): the program is the generator's own reversed Polish."""
        rng = self.rng
        tree = self.trade() if rng.random() < 0.4 else self.tree(rng.randint(1, self.max_leaves))
        gauge = rng.choice([(22, False), (24, False), (18, True)])
        self.current = gauge
        program = []
        text = self.write(tree, program)
        return text, program, gauge

    def write(self, tree, program):
        rng = self.rng
        if len(tree) == 2:
            text, leaf = tree
            if leaf.length is not None:
                self.current = leaf.gauge or self.current
                leaf = Leaf(leaf.kind, length=leaf.length, gauge=self.current)
            program.append(leaf)
            if rng.random() < 0.04 and leaf.kind in ("core", "contact", "resistor"):
                text += "^"                       # in the return leg: other faults, same ohms
            return f"({text})" if rng.random() < 0.04 else text
        sign, left, right = tree
        first = self.write(left, program)
        second = self.write(right, program)
        program.append(sign)
        if len(left) == 3:
            first = f"({first})"
        if len(right) == 3 and rng.random() < 0.15:
            second = f"({second})"                # brackets that change nothing
        blank = " " if rng.random() < 0.85 else ""
        return first + blank + sign + blank + second
