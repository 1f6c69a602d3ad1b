#!/usr/bin/env python3
"""An independent second reading of docs/format.md: notation, element bounds, bands, meanings, masking.

Nothing here comes from the Rust crates: the grammar of section 2 is read again from the contract, and the
copper formula from ASTM B258 / IEC 60028. The oracles compare `loopwright assess --json` with this file, and this
file with ngspice (`reference.py --selftest`), so an error has to be made twice, in two languages, to stay hidden.

A network is held as a reversed-Polish list: leaves, and the signs "-" (in line) and "|" (across). That is the
notation's own right-associative reading, and neither parsing nor evaluation recurses along a chain.
"""
import itertools
import math
import re
import sys
from dataclasses import dataclass, field

INF = math.inf

# --- copper -----------------------------------------------------------------------------------------------------

METRES_PER_FOOT = 0.3048  # international foot, exact


def copper_ohm_per_m(gauge, celsius):
    """One conductor. `gauge` is (awg, stranded).

    ASTM B258: d = 0.127 mm * 92^((36-n)/39). IEC 60028: 1/58 ohm*mm2/m at 20 C, 0.00393 per kelvin.
    Stranded: 2 % lay allowance of ASTM B8.
    """
    awg, stranded = gauge
    diameter_mm = 0.127 * 92 ** ((36 - awg) / 39)
    area_mm2 = math.pi / 4 * diameter_mm ** 2
    at_20 = (1 / 58) / area_mm2
    return at_20 * (1 + 0.00393 * (celsius - 20)) * (1.02 if stranded else 1)


# --- what a job assumes -----------------------------------------------------------------------------------------

@dataclass
class Assume:
    """The defaults of format.md section 1; a script that writes others into its job changes them here too."""
    cold: float = 0.0
    hot: float = 40.0
    contact_closed_max: float = 1.0
    contact_open_min: float = 1e6
    resistor_tolerance: float = 0.05
    joint_max: float = 0.5
    smoke_dry_min: float = 1e5
    length_tolerance: float = 0.0
    gauge: tuple = (22, False)


# --- elements ---------------------------------------------------------------------------------------------------

@dataclass(frozen=True)
class Leaf:
    kind: str                 # wire core resistor contact joint smoke joined open capacitor
    length: tuple = None      # metres (lo, hi)
    gauge: tuple = None       # (awg, stranded); None: inherited from the left
    ohms: float = None        # measured wire, resistor
    tolerance: float = None   # resistor; None: the job's
    contact: str = None       # "pir" or "pir.tamper": as JSON's `active` spells it
    normally: str = None      # "nc" or "no"


@dataclass
class Network:
    program: list = field(default_factory=list)   # leaves and signs, reversed Polish

    @property
    def leaves(self):
        return [item for item in self.program if not isinstance(item, str)]

    @property
    def contacts(self):
        return sorted({leaf.contact for leaf in self.leaves if leaf.kind == "contact"})


def role(contact):
    """'pir.tamper' -> 'tamper'; no suffix is alarm."""
    return contact.split(".")[1] if "." in contact else "alarm"


LENGTH = re.compile(r"(wire|core):([\d.]+?)(?:\.\.([\d.]+))?\s*(m|ft)(?:@(\d+)\s*AWG(\s*stranded)?)?$")
MEASURED = re.compile(r"(wire|core):([\d.]+)\s*(?:ohm|R)$")
CONTACT = re.compile(r"(nc|no):([^\W\d_]\w*)(?:\.(alarm|tamper|fault))?$")
RESISTOR = re.compile(r"(\d[\d.]*)\s*(R|ohm|Ω|kohm|kΩ|k|Mohm|MΩ|M)(\d*)(?:\s+([\d.]+)\s*%)?$")
MULTIPLIER = {"R": 1, "ohm": 1, "Ω": 1, "k": 1e3, "kohm": 1e3, "kΩ": 1e3, "M": 1e6, "Mohm": 1e6, "MΩ": 1e6}


def parse_element(text):
    text = " ".join(text.split()).removesuffix("^").strip()   # a return-leg mark moves no ohms
    text = re.sub(r"\s*([:@])\s*", r"\1", text)
    if text in ("joined", "open"):
        return Leaf(text)
    if re.fullmatch(r"[\d.]+\s*[unpm]F", text):
        return Leaf("capacitor")
    if text.startswith("joint:"):
        return Leaf("joint")
    if text.startswith("smoke:"):
        return Leaf("smoke")
    if found := CONTACT.match(text):
        kind, name, its_role = found.groups()
        suffix = f".{its_role}" if its_role not in (None, "alarm") else ""
        return Leaf("contact", contact=name + suffix, normally=kind)
    if found := MEASURED.match(text):
        return Leaf(found[1], ohms=float(found[2]))
    if found := LENGTH.match(text):
        kind, low, high, unit, awg, stranded = found.groups()
        scale = METRES_PER_FOOT if unit == "ft" else 1.0
        gauge = (int(awg), bool(stranded)) if awg else None
        return Leaf(kind, length=(float(low) * scale, float(high or low) * scale), gauge=gauge)
    if found := RESISTOR.match(text):
        number, letter, decimals, percent = found.groups()
        value = float(f"{number}.{decimals}" if decimals else number) * MULTIPLIER[letter]
        return Leaf("resistor", ohms=value, tolerance=float(percent) / 100 if percent else None)
    raise ValueError(f"not an element: {text!r}")


def parse(text, gauge):
    """Format.md section 2. `a - rest` and `a | rest`: right-associative, equal precedence."""
    levels = [([], [])]          # per open bracket: pieces (each a program) and the signs between them
    for token in re.split(r"([-|()])", text):
        token = token.strip()
        pieces, signs = levels[-1]
        if not token:
            continue
        if token == "(":
            levels.append(([], []))
        elif token == ")":
            levels.pop()
            levels[-1][0].append(fold(pieces, signs))
        elif token in "-|":
            signs.append(token)
        else:
            leaf = parse_element(token)
            if leaf.length is not None:      # the nearest gauge to the left in the text; brackets do not hide it
                gauge = leaf.gauge or gauge
                leaf = Leaf(leaf.kind, length=leaf.length, gauge=gauge)
            pieces.append([leaf])
    (pieces, signs), = levels
    return Network(fold(pieces, signs))


def fold(pieces, signs):
    if len(pieces) != len(signs) + 1:
        raise ValueError("an element is wanted")
    return list(itertools.chain.from_iterable(pieces)) + signs[::-1]


# --- bounds and evaluation --------------------------------------------------------------------------------------

def bounds(leaf, active, a):
    """Least and greatest ohms of one element; `active` holds the contacts that are not at rest."""
    if leaf.kind in ("joined",):
        return 0.0, 0.0
    if leaf.kind in ("open", "capacitor"):
        return INF, INF
    if leaf.kind == "joint":
        return 0.0, a.joint_max
    if leaf.kind == "smoke":
        return a.smoke_dry_min, INF
    if leaf.kind == "contact":
        closed = (leaf.normally == "nc") != (leaf.contact in active)
        return (0.0, a.contact_closed_max) if closed else (a.contact_open_min, INF)
    if leaf.kind == "resistor":
        tolerance = a.resistor_tolerance if leaf.tolerance is None else leaf.tolerance
        return leaf.ohms * (1 - tolerance), leaf.ohms * (1 + tolerance)
    if leaf.ohms is not None:          # measured out and back: exact, whatever the temperature
        return leaf.ohms, leaf.ohms
    conductors = 2 if leaf.kind == "wire" else 1
    low, high = leaf.length
    return (conductors * low * (1 - a.length_tolerance) * copper_ohm_per_m(leaf.gauge, a.cold),
            conductors * high * (1 + a.length_tolerance) * copper_ohm_per_m(leaf.gauge, a.hot))


def across(x, y):
    if x == 0 or y == 0:
        return 0.0
    if x == INF or y == INF:
        return min(x, y)
    return x * y / (x + y)


def evaluate(program, values):
    """`values`: one number per leaf, in the order of the text."""
    stack, values = [], iter(values)
    for item in program:
        if item == "-":
            y, x = stack.pop(), stack.pop()
            stack.append(x + y)
        elif item == "|":
            y, x = stack.pop(), stack.pop()
            stack.append(across(x, y))
        else:
            stack.append(next(values))
    total, = stack
    return total


def state_ohms(network, active, a):
    """Resistance never falls when an element rises, so all-low and all-high are the exact ends (methods.md, 1)."""
    ends = [bounds(leaf, active, a) for leaf in network.leaves]
    return (evaluate(network.program, (low for low, _ in ends)),
            evaluate(network.program, (high for _, high in ends)))


def states(network):
    """Rest, each contact alone, each pair."""
    for size in (0, 1, 2):
        yield from (frozenset(chosen) for chosen in itertools.combinations(network.contacts, size))


# --- the same network as a graph: for ngspice, by nodes instead of by series and parallel ------------------------

def edges(network):
    """(node, node, leaf index): the network laid out between node 0 (return) and node 1 (terminal)."""
    stack, index = [], 0
    for item in network.program:
        if isinstance(item, str):
            right, left = stack.pop(), stack.pop()
            stack.append((item, left, right))
        else:
            stack.append(index)
            index += 1
    todo, laid, node = [(stack.pop(), 1, 0)], [], 2
    while todo:
        piece, here, there = todo.pop()
        if isinstance(piece, int):
            laid.append((here, there, piece))
        elif piece[0] == "|":
            todo += [(piece[1], here, there), (piece[2], here, there)]
        else:
            todo += [(piece[1], here, node), (piece[2], node, there)]
            node += 1
    return laid


def reduced_graph(network, values):
    """Resistors for a nodal solver, which knows neither 0 ohm nor infinity: nodes joined by 0 ohm become one node,
    infinite elements are left out, and so is whatever no longer hangs on the return.

    Gives 0.0 or INF where no solver is needed, otherwise a list (node, node, ohms).
    """
    laid = edges(network)
    values = list(values)
    parent = list(range(2 + 2 * len(laid)))

    def find(n):
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    for here, there, leaf in laid:
        if values[leaf] == 0:
            a, b = sorted((find(here), find(there)))
            parent[b] = a              # the smaller number stays, so 0 and 1 keep their names
    if find(1) == find(0):
        return 0.0
    kept = [(find(u), find(v), values[leaf]) for u, v, leaf in laid if values[leaf] not in (0, INF)]
    kept = [edge for edge in kept if edge[0] != edge[1]]
    neighbours = {}
    for u, v, _ in kept:
        neighbours.setdefault(u, []).append(v)
        neighbours.setdefault(v, []).append(u)
    reached, todo = {0}, [0]
    while todo:
        for n in neighbours.get(todo.pop(), []):
            if n not in reached:
                reached.add(n)
                todo.append(n)
    if 1 not in reached:
        return INF
    return [edge for edge in kept if edge[0] in reached]


# --- bands, meanings, masking -----------------------------------------------------------------------------------

@dataclass
class Band:
    name: str
    below: float      # INF for the last; unit as the mode's
    means: str


@dataclass
class Mode:
    """`unit`: ohm, volt, percent (of the source) or learned (percent of the value learned at rest)."""
    bands: list
    edge_tolerance: float = 0.0
    unit: str = "ohm"
    source: tuple = None      # volts (nominal, tolerance)
    pull_up: tuple = None     # ohms (nominal, tolerance)

    def band_edges(self, index, widened):
        """Lower and upper edge of a band: guaranteed a(1+t)..b(1-t), widened a(1-t)..b(1+t); format.md section 3."""
        t = -self.edge_tolerance if widened else self.edge_tolerance
        low = self.bands[index - 1].below * (1 + t) if index else 0.0
        return low, self.bands[index].below * (1 - t)

    def reading(self, ohms):
        """The interval in the unit of the edges. Each edge is met by one end only, so the ends of source and
        pull-up may be taken apart although all edges share them (methods.md, 5)."""
        low, high = ohms
        if self.unit == "ohm":
            return ohms
        (volts, vt), (pull, pt) = self.source or (1, 0), self.pull_up
        if self.unit == "percent":
            volts, vt = 1.0, 0.0

        def ratio(r, p):
            return 1.0 if r == INF else r / (r + p)
        return (volts * (1 - vt) * ratio(low, pull * (1 + pt)), volts * (1 + vt) * ratio(high, pull * (1 - pt)))

    def band_of(self, reading):
        """The band whose guaranteed part holds all of the reading, or None."""
        for i in range(len(self.bands)):
            low, high = self.band_edges(i, widened=False)
            if low <= reading[0] and reading[1] <= high:
                return i
        return None

    def may_read(self, reading):
        """Every band whose widened part meets the reading."""
        reached = []
        for i in range(len(self.bands)):
            low, high = self.band_edges(i, widened=True)
            if reading[1] >= low and reading[0] <= high:
                reached.append(i)
        return reached


def meanings(mode, network, given=None):
    """What each band means to this circuit, by the three rules of format.md section 3."""
    means = [band.means for band in mode.bands]
    if len(means) == 3:
        kinds = {(role(leaf.contact), leaf.normally) for leaf in network.leaves if leaf.kind == "contact"}
        kinds |= {("alarm", "no") for leaf in network.leaves if leaf.kind == "smoke"}   # raises by closing the pair
        if not kinds:
            means[0] = means[2] = "trouble"
        for its_role in ("alarm", "tamper"):
            sides = {normally for r, normally in kinds if r == its_role}
            if sides:
                means[0] = its_role if "no" in sides else "trouble"
                means[2] = its_role if "nc" in sides else "trouble"
                break
    for i, band in enumerate(mode.bands):
        means[i] = (given or {}).get(band.name, means[i])
    return means


def wanted(active, duty="intrusion"):
    """The meanings that do for this set of active contacts."""
    roles = {role(contact) for contact in active}
    if not roles:
        return {"normal"}
    if "alarm" in roles:
        alarm = {"supervisory" if duty == "valve" else "alarm"}
        return alarm | ({"tamper", "trouble"} if roles - {"alarm"} else set())
    return {"tamper", "trouble"} if "tamper" in roles else {"trouble"}


def masking_sets(network, mode, means, a):
    """Every non-empty set of active contacts that may read a band that means normal: 2^n evaluations."""
    contacts = network.contacts
    for size in range(1, len(contacts) + 1):
        for chosen in itertools.combinations(contacts, size):
            reading = mode.reading(state_ohms(network, frozenset(chosen), a))
            if any(means[i] == "normal" for i in mode.may_read(reading)):
                yield chosen


# --- selftest ---------------------------------------------------------------------------------------------------

def selftest():
    """Hand sums first, then the nodes of ngspice where it is installed."""
    from harness import Tally, have_ngspice
    tally = Tally()
    a, g = Assume(), (22, False)

    # conductors.csv, geometry column: 18 AWG 20.948 and 16 AWG stranded 13.438 ohm/km at 20 C (half of the last digit).
    tally.near("18 AWG solid", copper_ohm_per_m((18, False), 20) * 1000, 20.948, absolute=0.0005)
    tally.near("16 AWG stranded", copper_ohm_per_m((16, True), 20) * 1000, 13.438, absolute=0.0005)
    # Table 8 of NFPA 70 chapter 9 as printed in conductors.csv: 18 AWG solid 7.77 ohm/kft at 75 C; ours is nominal
    # copper at 75 C by 0.00393/K: 7.765, and the file's own check line says so.
    tally.near("18 AWG at 75 C", copper_ohm_per_m((18, False), 75) * 304.8, 7.765, absolute=0.0005)

    hand = [
        # text, active, low, high by hand at 0..40 C (resistors 5 %, contact 0..1 ohm, open 1 Mohm..)
        ("nc:a - 4.7k", [], 4465, 4936),
        ("nc:a - 4.7k", ["a"], 1e6 + 4465, INF),
        ("nc:a | 4.7k", [], 0, 4935 / 4936),
        ("(nc:a | 2k) - 1k 1 %", ["a"], 990 + 1e6 * 1900 / 1001900, 1010 + 2100),
        ("no:a | 4k7 5%", [], 1e6 * 4465 / 1004465, 4935),
        ("wire:3.2ohm - joined", [], 3.2, 3.2),
        ("wire:3.2ohm - open", [], INF, INF),
        ("470R - joint:J | 47uF", [], 446.5, 493.5 + 0.5),
        ("smoke:D1 | 1M 0 %", [], 1e5 * 1e6 / 1.1e6, 1e6),
        ("nc:a - no:b | 470 ohm 0% - 1k 0%", [], 1470 * 1e6 / 1001470, 1 + 1470),
    ]
    for text, active, low, high in hand:
        got = state_ohms(parse(text, g), frozenset(active), a)
        tally.near(f"{text} {active} low", got[0], low, relative=1e-12)
        tally.near(f"{text} {active} high", got[1], high, relative=1e-12)

    # 50 ft at 20 C fixed: 22 AWG is 52.96 ohm/km (16.14 ohm/kft, wire tables): 2 * 50 ft = 100 ft = 1.614 ohm.
    fixed = Assume(cold=20, hot=20)
    tally.near("50 ft of 22 AWG", state_ohms(parse("wire:50ft", g), frozenset(), fixed)[0], 1.614, absolute=0.0005)
    # Gauges: the first wire has the circuit's, the third takes 18 AWG from inside the bracket.
    got = [leaf.gauge for leaf in parse("wire:1m - (wire:2m@18 AWG stranded - 1k) | wire:5m", g).leaves if leaf.length]
    tally.check("gauges go left to right", got == [(22, False), (18, True), (18, True)], got)

    mode = Mode([Band("short", 1200, "trouble"), Band("rest", 3400, "normal"), Band("open", INF, "alarm")], 0.03)
    # 1.2k * 1.03 = 1236 and 3.4k * 0.97 = 3298: guaranteed, both edges included, so they meet the widened
    # neighbours there; 1.2k * 0.97 = 1164 and 3.4k * 1.03 = 3502: widened.
    for reading, band, may in [((1236, 3298), 1, [0, 1, 2]), ((1237, 3297), 1, [1]), ((1235, 2000), None, [0, 1]), ((3501, 3502), None, [1, 2]),
                               ((3503, INF), 2, [2]), ((0, 1163), 0, [0])]:
        tally.check(f"band of {reading}", mode.band_of(reading) == band, mode.band_of(reading))
        tally.check(f"may read {reading}", mode.may_read(reading) == may, mode.may_read(reading))
    volts = Mode(mode.bands, unit="volt", source=(5, 0.02), pull_up=(2200, 0.01))
    # By hand: 5.1 V * 2310/(2310+2178) = 2.625 V, 4.9 V * 2090/(2090+2222) = 2.375 V.
    tally.near("volts low", volts.reading((2090, 2310))[0], 2.375, absolute=1e-12)
    tally.near("volts high", volts.reading((2090, 2310))[1], 2.625, absolute=1e-12)

    # 3.3k / 6.8k doubled on 2.2k: a band from 5k to 6k is reached by a alone (5.5k) only.
    doubled = Mode([Band("low", 5000, "alarm"), Band("mid", 6000, "normal"), Band("x", 8000, "alarm"), Band("high", INF, "alarm")])
    net = parse("(nc:a | 3.3k 1 %) - (nc:b | 6.8k 1 %) - 2.2k 1 %", g)
    found = list(masking_sets(net, doubled, [b.means for b in doubled.bands], a))
    tally.check("doubled pair masks by a alone", found == [("a",)], found)

    # Parser, evaluation and node layout against the generator's own trees and ngspice.
    from random_networks import Generator
    generator = Generator(seed=7)
    cases, want = [], []
    for _ in range(200):
        text, tree, gauge = generator.network()
        net = parse(text, gauge)
        tally.check(f"parsed as drawn: {text}", net.program == tree, net.program)
        for active in states(net):
            ends = [bounds(leaf, active, a)[0] for leaf in net.leaves]
            cases.append(reduced_graph(net, ends))
            want.append((text, sorted(active), state_ohms(net, active, a)[0]))
    if have_ngspice():
        from ngspice_networks import solve
        for (text, active, ohms), got in zip(want, solve(cases)):
            tally.near(f"ngspice {text} {active}", ohms, got, relative=1e-9)
    else:
        print("skipped: ngspice is not installed")
    return tally.finish()


if __name__ == "__main__":
    if sys.argv[1:] != ["--selftest"]:
        sys.exit("usage: reference.py --selftest")
    import reference   # the module, not this script: one Leaf class for parser and generator
    sys.exit(reference.selftest())
