#!/usr/bin/env python3
"""Outside source: the contract itself (docs/format.md), row by row: tricky notations, refusals, limits, JSON odds.

Expected trees are written here as sums (S in line, P across), not through any parser.
"""
import json
import math
import pathlib
import sys
import tempfile

from harness import Job, Tally, module_toml, quoted, run, states_of
from reference import INF, Assume, Band, Mode, across, copper_ohm_per_m, parse, state_ohms

A = Assume()
ONE = Mode([Band("short", 1200, "trouble"), Band("rest", 3400, "normal"), Band("open", math.inf, "alarm")])
SECONDS, MEGABYTES = 5, 300   # "bounded": the time and memory that the project allows itself for 5,000 circuits

# --- tricky notations that are right ----------------------------------------------------------------------------


def S(*items):
    return sum(items)


def P(a, b):
    return across(a, b)


class Ends:
    """One end (low or high) of every element, with some contacts active."""

    def __init__(self, high, active):
        self.high, self.active = high, active

    def r(self, ohms, percent=5):
        return ohms * (1 + percent / 100) if self.high else ohms * (1 - percent / 100)

    def w(self, metres, awg=22, stranded=False):
        return 2 * metres * copper_ohm_per_m((awg, stranded), A.hot if self.high else A.cold)

    def nc(self, name):
        return self.contact(name not in self.active)

    def no(self, name):
        return self.contact(name in self.active)

    def contact(self, closed):
        if closed:
            return 1.0 if self.high else 0.0
        return INF if self.high else 1e6


# text, contacts, what it is; the first ten are format.md's own table.
RIGHT = [
    ("nc:a - no:b | 470 ohm - 1k", "a b", lambda e: S(e.nc("a"), P(e.no("b"), S(e.r(470), e.r(1000))))),
    ("nc:a | 4.7k - 4.7k", "a", lambda e: P(e.nc("a"), S(e.r(4700), e.r(4700)))),
    ("(nc:a | 4.7k) - 4.7k", "a", lambda e: S(P(e.nc("a"), e.r(4700)), e.r(4700))),
    ("wire:20m - (nc:a - 12k) | nc:b - 4.7k", "a b",
     lambda e: S(e.w(20), P(S(e.nc("a"), e.r(12000)), S(e.nc("b"), e.r(4700))))),
    ("4k7-nc:a|no:b-1k", "a b", lambda e: S(e.r(4700), P(e.nc("a"), S(e.no("b"), e.r(1000))))),
    ("nc:a - 4.7k 1% | 10k 5 %", "a", lambda e: S(e.nc("a"), P(e.r(4700, 1), e.r(10000, 5)))),
    ("wire:38m - wire:2m@18AWG - 1k", "", lambda e: S(e.w(38, 22), e.w(2, 18), e.r(1000))),
    ("(wire:5m@18AWG - no:a) | wire:5m - 4.7k", "a", lambda e: P(S(e.w(5, 18), e.no("a")), S(e.w(5, 18), e.r(4700)))),
    ("nc:pir - nc:pir.tamper - no:pir | 1k", "pir pir.tamper",
     lambda e: S(e.nc("pir"), S(e.nc("pir.tamper"), P(e.no("pir"), e.r(1000))))),
    ("((nc:a))", "a", lambda e: e.nc("a")),
    ("nc:pir.alarm - 1k", "pir", lambda e: S(e.nc("pir"), e.r(1000))),
    ("wire:20m", "", lambda e: e.w(20)),
    ("wire:20m - open", "", lambda e: INF),
    # Not in the table, but in the text around it.
    ("wire:20m - joined", "", lambda e: e.w(20)),
    ("wire:20m@22AWG stranded - 1k", "", lambda e: S(e.w(20, 22, True), e.r(1000))),
    ("wire:38 m@22 AWG - 470R - 4R7 - 1M - 4.7 kohm - 2kΩ - 3Ω", "",
     lambda e: S(e.w(38), e.r(470), e.r(4.7), e.r(1e6), e.r(4700), e.r(2000), e.r(3))),
    ("wire:125ft - nc:a - 2.2k", "a", lambda e: S(e.w(125 * 0.3048), e.nc("a"), e.r(2200))),
    ("wire:10..60m - 1k", "", lambda e: S(e.w(60 if e.high else 10), e.r(1000))),
    ("wire:3.2ohm - 1k", "", lambda e: S(3.2, e.r(1000))),
    ("core:15m - nc:a^ - core:15m^ - 1k", "a", lambda e: S(e.w(7.5), e.nc("a"), e.w(7.5), e.r(1000))),
    ("joint:J1 - nc:a - 1k", "a", lambda e: S(0.5 if e.high else 0, e.nc("a"), e.r(1000))),
    ("smoke:D1 | 4.7k", "", lambda e: P(INF if e.high else 1e5, e.r(4700))),
    ("nc:дверь_2 - 1k", "дверь_2", lambda e: S(e.nc("дверь_2"), e.r(1000))),
    ("47uF | 4.7k", "", lambda e: e.r(4700)),
    ("  nc:a   -1k  ", "a", lambda e: S(e.nc("a"), e.r(1000))),
]

# text, column of the error (1 = first character of the network)
WRONG = [
    ("nc:front-door - 2.2k", 10), ("470", 1), ("4,7k", 1), ("4.7k1%", 1), ("nc:pir.mask", 8), ("nc:a -", 7),
    ("- nc:a", 1), ("nc:a || 1k", 7), ("()", 2), ("nc:a 1k", 6), ("nc:a) - 1k", 5), ("(nc:a - 1k", 11),
]


def right(tally):
    job = Job()
    job.module("M1", [("one", ONE)], "one")
    for number, (text, _, _) in enumerate(RIGHT):
        job.circuit(f"T{number}", text, "M1")
    job.circuit("lines", "LINES", "M1")
    job.circuits[-1] = job.circuits[-1].replace('"LINES"', '"""wire:38m\n  - nc:a\n  - 2.2k"""')
    circuits, answer = job.assess()
    rows = [(f"T{n}", *row) for n, row in enumerate(RIGHT)]
    rows.append(("lines", "over three lines", "a", lambda e: S(e.w(38), e.nc("a"), e.r(2200))))
    for tag, text, contacts, tree in rows:
        names, got = contacts.split(), states_of(circuits[tag])
        expected = {frozenset(), *(frozenset({n}) for n in names)} | ({frozenset(names)} if len(names) == 2 else set())
        tally.check(f"{text!r}: its contacts", set(got) == expected, sorted(map(sorted, got)))
        for active in expected & set(got):
            for key, high in (("lo", False), ("hi", True)):
                tally.near(f"{text!r} {sorted(active)} {key}", got[active]["ohms"][key], tree(Ends(high, active)), relative=1e-12)
    notes = [f for f in answer["findings"] if f["severity"] == "note" and "T1" in f["where"]]
    tally.check("'nc:a | 4.7k - 4.7k' carries a note that the contact bridges all that follows", notes,
                [f for f in answer["findings"] if "T1" in f["where"]][:4])
    tally.check("circuits come in the job's order", [c["tag"] for c in answer["circuits"]] == [row[0] for row in rows])


# --- refusals ---------------------------------------------------------------------------------------------------

class Folder:
    """A scratch folder with a small library; `refused` runs a text (or bytes, or a path) and returns the run and its errors."""

    def __init__(self):
        self.scratch = tempfile.TemporaryDirectory()
        self.path = pathlib.Path(self.scratch.name)
        (self.path / "library/equipment").mkdir(parents=True)
        (self.path / "library/equipment/m.toml").write_text(module_toml("t-module", [("m", ONE)], inputs=16))

    def run(self, job, *options):
        if isinstance(job, pathlib.Path):
            target = job
        else:
            target = self.path / "job.toml"
            target.write_bytes(job if isinstance(job, bytes) else job.encode())
        return run(["assess", target, "--json", *options, "--library", self.path / "library"], limit=30)

    def refused(self, tally, name, job):
        ran = self.run(job)
        tally.check(f"{name}: exit 2", ran.code == 2, f"exit {ran.code} {ran.err[-300:]!r}")
        try:
            errors = json.loads(ran.out)["errors"]
        except (ValueError, KeyError, TypeError):
            tally.check(f"{name}: the errors are JSON on stdout", False, ran.out[:200])
            return ran, []
        tally.check(f"{name}: at least one error, each with file, line, column, text, accept",
                    errors and all({"file", "line", "column", "text", "accept"} <= set(e) and e["text"] for e in errors), errors[:2])
        return ran, errors


MODULE = '[[module]]\nid = "M1"\nprofile = "t-module"\nmode = "m"\n'


def wrong(tally, folder):
    for text, column in WRONG:
        for before, indent in (('network = "', ""), ("network = '", ""), ('network   =    "', "   ")):
            quote = before[-1]
            job = f'format = 1\n{MODULE}\n[[circuit]]\ntag = "C1"\n{indent}{before}{text}{quote}\n'
            line = job.count("\n")
            _, errors = folder.refused(tally, f"{text!r}", job)
            want = (line, len(indent + before) + column)
            places = [(e["line"], e["column"]) for e in errors]
            tally.check(f"{text!r} written {indent + before!r}: error at line {want[0]} column {want[1]} and nowhere else",
                        places == [want], f"got {places} {[e['text'] for e in errors]}")
    # All of them in one file: as many errors, each in its line.
    lines = ["format = 1"]
    want = []
    for number, (text, column) in enumerate(WRONG):
        lines += ["[[circuit]]", f'tag = "C{number}"', f'network = "{text}"']
        want.append((len(lines), 11 + column))
    _, errors = folder.refused(tally, "twelve wrong networks", "\n".join(lines) + "\n")
    tally.check("twelve wrong networks are reported at once", sorted((e["line"], e["column"]) for e in errors) == want,
                sorted((e["line"], e["column"]) for e in errors))
    tally.check("the error names the file", all(str(e["file"]).endswith("job.toml") for e in errors), errors[:1])
    text = next((e["text"] + str(e["accept"]) for e in errors if e["line"] == want[0][0]), "")
    tally.check("'front-door' is told to be written front_door", "front_door" in text, text)


# Every line that ends in '# wrong' is an error, and no other line is.
ALL_AT_ONCE = '''format = 1
[site]
name = "Invented"
colour = "blue"                        # wrong: unknown key
rules = ["us-fire", "moon-fire"]       # wrong: unknown rule set
cable_temperature = "0 to 40"          # wrong: no unit
[assume]
joint_max = "0.5 m"                    # wrong: a length is no resistance
contact_closed_max = "-1 ohm"          # wrong: out of range
[[enclosure]]
id = "E1"
[[module]]
id = "M1"
enclosure = "E1"
profile = "t-module"
mode = "m"
[[module]]
id = "M2"
profile = "no-such-profile"            # wrong: unknown profile
[[module]]
id = "M3"
profile = "t-module"
mode = "no-such-mode"                  # wrong: unknown mode
[[circuit]]
tag = "C1"
network = "wire:20m - nc:a - 2.2k"
input = "M1.1"
[[circuit]]
tag = "C2"
input = "M1.1"                         # wrong: two circuits on one input
[[circuit]]
tag = "C1"                             # wrong: double tag
[[circuit]]
tag = "C3"
input = "M9.1"                         # wrong: no such module
[[circuit]]
tag = "C4"
input = "M1.17"                        # wrong: the module has 16 inputs
[[circuit]]
tag = "C5"
gauge = "22"                           # wrong: no unit
ends_in = "E7"                         # wrong: no such enclosure
[[circuit]]
tag = "C6"
duty = "disco"                         # wrong: no such duty
network = "nc:a - 470"                 # wrong: no unit
[[circuit]]
place = "nowhere"
'''


def all_at_once(tally, folder):
    _, errors = folder.refused(tally, "all at once", ALL_AT_ONCE)
    lines = ALL_AT_ONCE.splitlines()
    want = {n for n, line in enumerate(lines, 1) if "# wrong" in line}
    # A table without its tag: at its header, its first key or its end, as the program likes.
    tagless = set(range(len(lines) - 1, len(lines) + 1))
    got = {e["line"] for e in errors}
    for n in sorted(want):
        tally.check(f"line {n} is reported: {lines[n - 1]}", n in got, sorted(got))
    tally.check("the circuit without a tag is reported", got & tagless, sorted(got))
    tally.check("no right line is reported", got <= want | tagless, [(e["line"], e["text"]) for e in errors if e["line"] not in want | tagless])
    for e in errors:
        line = lines[e["line"] - 1] if 1 <= e["line"] <= len(lines) else ""
        tally.check(f"line {e['line']}: the column lies in the line", 1 <= e["column"] <= len(line) + 1, e)
    by_line = {e["line"]: e for e in errors}
    for key, n in (("colour", 4),):
        tally.check("an unknown key is marked where it stands", by_line.get(n, {}).get("column") == 1, by_line.get(n))

    for name, job in [("format = 2", "format = 2\n"), ("no format", '[site]\nname = "x"\n'), ("empty", ""),
                      ("format as text", 'format = "1"\n'), ("broken TOML", "format = 1\n[[circuit\n"),
                      ("key twice", 'format = 1\n[site]\nname = "a"\nname = "b"\n'),
                      ("a table where a list is meant", 'format = 1\n[circuit]\ntag = "C1"\n')]:
        folder.refused(tally, name, job)
    two_doors = 'format = 1\n[[device]]\nid = "door"\n' + "".join(
        f'[[circuit]]\ntag = "{tag}"\nnetwork = "nc:door - 1k"\n' for tag in ("C1", "C2"))
    folder.refused(tally, "a device of a name that stands in two circuits", two_doors)
    ran = folder.run(two_doors.replace('"door"', '"C01/door"', 1).replace('"C1"', '"C01"'))
    tally.check("C01/door names one of them", ran.code in (0, 1), ran.out[:300])


def profiles(tally, folder):
    """Section 3: what makes a profile an error. Each is a right profile with one thing changed."""
    good = module_toml("t-module", [("m", ONE)], inputs=16)
    volts = Mode([Band("short", 1.0, "trouble"), Band("rest", 3.3, "normal"), Band("open", math.inf, "alarm")],
                 0.02, "volt", (5, 0.02), (2200, 0.01))
    in_volts = module_toml("t-module", [("m", volts)], inputs=16)
    path = folder.path / "library/equipment/m.toml"
    job = with_network("wire:20m - nc:a - 2.2k")
    for name, text in [
        ("an unknown key", good.replace("inputs = 16", "inputs = 16\nhue = 3")),
        ("no basis", good.replace('basis = "invented"\n', "")),
        ("no inputs", good.replace("inputs = 16\n", "")),
        ("1001 inputs", good.replace("inputs = 16", "inputs = 1001")),
        ("a kind that is none", good.replace('"module"', '"gadget"')),
        ("a meaning that is none", good.replace('"alarm"', '"panic"')),
        ("bands not rising", good.replace("3400.0 ohm", "1100.0 ohm")),
        ("the last band with an edge", good.replace('"open", ', '"open", below = "9k", ')),
        ("no open end", good.replace('below = "3400.0 ohm", ', "")),
        # 1200 * 1.03 = 1236 > 1250 * 0.97 = 1212.5: nothing between them.
        ("an empty guaranteed band", good.replace("0.0 %", "3 %").replace("3400.0 ohm", "1250 ohm")),
        ("an edge without unit", good.replace("1200.0 ohm", "1200")),
        # 5 V less 2 % is 4.9 V.
        ("an edge at the least source volts", in_volts.replace("3.3 V", "4.9 V")),
        ("volt edges without a source", in_volts.replace('source = "5.0 V 2.0 %"\n', "")),
    ]:
        assert text not in (good, in_volts), name
        path.write_text(text)
        _, errors = folder.refused(tally, f"profile: {name}", job)
        tally.check(f"profile: {name}: the error names the profile's file", any(str(e["file"]).endswith("m.toml") for e in errors), errors)
    # The guaranteed band is a(1+t) to b(1-t), in the edges' own unit: 2.04..2.058 V is not empty, even if the
    # tolerance of the source lets no resistor be sure of it. Such a band reads `null`; it is no error.
    narrow = Mode([Band("short", 2.0, "trouble"), Band("drift", 2.1, "trouble"), Band("rest", 3.3, "normal"), Band("open", math.inf, "alarm")],
                  0.02, "volt", (5, 0.02), (2200, 0.01))
    for name, text in [("right as it is", good), ("right in volts", in_volts),
                       ("a narrow band in volts is no empty band", module_toml("t-module", [("m", narrow)], inputs=16))]:
        path.write_text(text)
        ran = folder.run(job)
        tally.check(f"profile: {name}", ran.code in (0, 1), ran.out[:400])
    path.write_text(good)


# --- little or nothing is enough --------------------------------------------------------------------------------

def little(tally, folder):
    ran = folder.run("format = 1\n")
    tally.check("format = 1 alone is a job", ran.code in (0, 1), (ran.code, ran.out[:200]))
    answer = json.loads(ran.out)
    tally.check("format = 1: no circuits, no supplies", answer["circuits"] == [] and answer["supplies"] == [], answer)
    tally.check("format = 1: a finding says what is missing", answer["findings"], answer)

    parts = f'''format = 1
{MODULE}
[[circuit]]
tag = "bare"
[[circuit]]
tag = "no-input"
network = "wire:20m - nc:a - 2.2k"
[[circuit]]
tag = "no-network"
input = "M1.3"
[[circuit]]
tag = "other"
other = "a class A return"
input = "M1.4"
[[circuit]]
tag = "spare"
network = "wire:20m - open"
'''
    ran = folder.run(parts)
    tally.check("missing parts are findings, not errors", ran.code in (0, 1), (ran.code, ran.out[:300]))
    circuits = {c["tag"]: c for c in json.loads(ran.out)["circuits"]}
    tally.check("every circuit is in the answer", list(circuits) == ["bare", "no-input", "no-network", "other", "spare"], list(circuits))
    rest = states_of(circuits["no-input"]).get(frozenset())
    tally.check("without input: ohms, and ok is null", rest and rest["ok"] is None and rest["ohms"]["lo"], rest)
    tally.check("without input: `why` says so", "why" in json.dumps(circuits["no-input"]), rest)
    where = " ".join(f["where"] for f in json.loads(ran.out)["findings"])
    for tag in ("bare", "no-network", "other"):
        tally.check(f"{tag}: has a finding", tag in where, where)

    ran = folder.run(parts.replace('mode = "m"\n', ""))
    tally.check("a module without mode is tried in all", ran.code in (0, 1), ran.out[:300])
    outside = pathlib.Path(folder.path / "elsewhere")
    outside.mkdir(exist_ok=True)
    (outside / "job.toml").write_text("format = 1\n")
    tally.check("JOB may be a folder", folder.run(outside).code in (0, 1))
    tally.check("no such job is exit 2 or 3, said in words", (ran := folder.run(folder.path / "none.toml")).code in (2, 3) and ran.out + ran.err, ran.code)


# --- JSON odds --------------------------------------------------------------------------------------------------

FAULTS = set("open short leak joint cross earth resistor-open resistor-short resistor-value stuck-at-rest stuck-active "
             "bridged lead-off head-removed polarity supply-lost".split())


def json_odds(tally, folder):
    job = "format = 1\n" + MODULE + "".join(
        f'[[circuit]]\ntag = "C{n}"\nduty = "intrusion"\ninput = "M1.{n + 1}"\nnetwork = {quoted(text)}\n'
        for n, text in enumerate(["wire:38m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k", "2.2k - wire:38m - nc:door",
                                  "wire:30m - no:a | wire:5m - no:b | 2.2k", "wire:20m - nc:pir.tamper - (nc:pir | 2.2k) - 2.2k",
                                  "wire:20m - (wire:12m - no:x) | wire:30m - no:y | 2.2k", "nc:a", "wire:20m - open"]))
    first, again = folder.run(job, "--all"), folder.run(job, "--all")
    tally.check("same job, same bytes", first.out == again.out and len(first.out) > 2)
    never = lambda name: tally.check(f"JSON never holds {name}", False)
    full, short = (json.loads(r.out, parse_constant=never) for r in (first, folder.run(job)))
    order = {"nothing-found": 0, "check": 1, "fix": 2, "stop": 3}
    worst = max(({"note": 0, "check": 1, "fix": 2, "stop": 3}[f["severity"]] for f in full["findings"]), default=0)
    tally.check("the verdict is the worst finding", order[full["verdict"]] == worst, full["verdict"])
    tally.check("exit 1 when there is something to stop for or fix", first.code == (1 if worst >= 2 else 0), first.code)
    for f in full["findings"]:
        tally.check(f"finding {f['code']}: kebab-case, with where, text, remedy",
                    f["code"].replace("-", "").isalnum() and f["code"] == f["code"].lower() and f["text"] and {"where", "remedy"} <= set(f), f)
    for circuit, less in zip(full["circuits"], short["circuits"]):
        tag, coverage = circuit["tag"], circuit["coverage"]
        tally.check(f"{tag}: the classes add up", coverage["total"] == sum(v for k, v in coverage.items() if k != "total"), coverage)
        tally.check(f"{tag}: --all lists every fault counted", len(circuit["faults"]) == coverage["total"], (len(circuit["faults"]), coverage))
        classes = {k: sum(f["class"] == k for f in circuit["faults"]) for k in coverage if k != "total"}
        tally.check(f"{tag}: each class as often as counted", all(coverage[k] == classes[k] for k in classes), (coverage, classes))
        tally.check(f"{tag}: without --all, those not announced",
                    less["faults"] == [f for f in circuit["faults"] if f["class"] != "announced"], len(less["faults"]))
        tally.check(f"{tag}: known kinds of fault", {f["fault"] for f in circuit["faults"]} <= FAULTS, {f["fault"] for f in circuit["faults"]} - FAULTS)
        keys = [(f["fault"], f["where"], f.get("leg")) for f in circuit["faults"]]   # an earth fault also has its leg
        tally.check(f"{tag}: one fault, one kind at one place", len(set(keys)) == len(keys), [k for k in keys if keys.count(k) > 1][:4])
        for item in circuit["states"] + circuit["faults"]:
            low, high = item["ohms"]["lo"], item["ohms"]["hi"]
            tally.check(f"{tag}: ohms lo <= hi", (INF if low is None else low) <= (INF if high is None else high), item)
        for f in circuit["faults"]:
            s = f["sizes"]
            tally.check(f"{tag}: sizes of {f['fault']} {f['where']}", s is None or s["lo"] is None or s["hi"] is None or s["lo"] <= s["hi"], f)
        for state in circuit["states"]:
            tally.check(f"{tag}: active is sorted", state["active"] == sorted(state["active"]), state["active"])
        bad = [r for r in circuit["remedies"] if r["kind"] not in ("mode", "value", "adapter", "move", "split")]
        tally.check(f"{tag}: known kinds of remedy", not bad, bad)
        hides = [bool(r["hides"]) for r in circuit["remedies"]]
        tally.check(f"{tag}: a remedy that hides is never first while another exists", not hides or not hides[0] or all(hides), hides)


# --- limits -----------------------------------------------------------------------------------------------------

def with_network(network):
    return f'format = 1\n{MODULE}[[circuit]]\ntag = "C1"\ninput = "M1.1"\nnetwork = {quoted(network)}\n'


def limits(tally, folder):
    def bounded(name, job):
        ran, errors = folder.refused(tally, name, job)
        tally.check(f"{name}: under {SECONDS} s", ran.seconds < SECONDS, f"{ran.seconds:.1f} s")
        tally.check(f"{name}: under {MEGABYTES} MB", ran.peak_mb < MEGABYTES, f"{ran.peak_mb:.0f} MB")
        tally.check(f"{name}: no panic", b"panicked" not in ran.err, ran.err[-300:])

    chain = lambda n: " - ".join(["1 ohm"] * (n - 1) + ["nc:a"])
    brackets = lambda n: "(" * n + "nc:a" + ")" * n
    bounded("60 MB of comment", b"format = 1\n" + (b"# " + b"x" * 97 + b"\n") * 600_000)
    bounded("60 MB of circuits", b"format = 1\n" + b'[[circuit]]\ntag = "C1"\nnetwork = "nc:a - 470"\n' * 1_250_000)
    bounded("an endless file", pathlib.Path("/dev/zero"))
    bounded("arrays 100,000 deep", "format = 1\n[site]\nrules = " + "[" * 100_000 + "]" * 100_000 + "\n")
    bounded("inline tables 50,000 deep", "format = 1\nx = " + "{ a = " * 50_000 + "1" + " }" * 50_000 + "\n")
    bounded("a key with 50,000 dots", "format = 1\n" + ".".join(["a"] * 50_000) + " = 1\n")
    bounded("not UTF-8", b'format = 1\n[site]\nname = "caf\xe9"\n')
    bounded("not UTF-8 in a comment", b"format = 1\n# caf\xe9\n")
    bounded("nothing but zero bytes", b"\0" * 1000)
    bounded("UTF-16", "format = 1\n".encode("utf-16"))
    bounded("100,000 elements", with_network(chain(100_000)))
    bounded("100,000 signs and no element", with_network("-" * 100_000))
    bounded("1000 brackets", with_network(brackets(1000)))
    bounded("a million open brackets", with_network("(" * 1_000_000))
    bounded("2,001 elements", with_network(chain(2001)))
    bounded("65 brackets", with_network(brackets(65)))
    bounded("a number beyond floating point", with_network("nc:a - 1" + "0" * 400 + "k"))
    bounded("a very long number", with_network("nc:a - " + "9" * 1_000_000))

    for name, text in [("2,000 elements", chain(2000)), ("64 brackets", brackets(64)),
                       ("2,000 elements, signs in turn", " | ".join(["1 ohm - 10k"] * 999 + ["nc:a - 4.7k"]))]:
        ran = folder.run(with_network(text))
        if tally.check(f"{name} are allowed", ran.code in (0, 1), (ran.code, ran.out[:200], ran.err[-200:])):
            network = parse(text, (22, False))
            got = states_of(json.loads(ran.out)["circuits"][0])
            for active in (frozenset(), frozenset({"a"})):
                for key, want in zip(("lo", "hi"), state_ohms(network, active, A)):
                    tally.near(f"{name}: {sorted(active)} {key}", got[active]["ohms"][key], want, relative=1e-9)
            # The time is in the benchmarks; here only that it ends.
            tally.check(f"{name}: no panic", b"panicked" not in ran.err)


def main():
    tally, folder = Tally(), Folder()
    right(tally)
    wrong(tally, folder)
    all_at_once(tally, folder)
    profiles(tally, folder)
    little(tally, folder)
    json_odds(tally, folder)
    limits(tally, folder)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
