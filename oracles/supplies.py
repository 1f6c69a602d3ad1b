"""Supply trees for the oracles: drawn at random, written as job text, solved by plain sweeps, solved by ngspice."""
import random
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field

from reference import copper_ohm_per_m


@dataclass
class Load:
    at: int
    kind: str            # A, W or ohm
    standby: float
    alarm: float
    count: int = 1
    minimum: float = None
    shed: bool = False

    def draws(self, alarm, volts):
        value = self.alarm if alarm else self.standby
        if value == 0:
            return 0.0
        one = {"A": value, "W": value / volts, "ohm": volts / value}[self.kind]
        return self.count * one


@dataclass
class Tree:
    """Points 1.. hang on points before them; point 0 is the supply. A run is ohms, or (metres, awg, stranded)."""
    parents: list = field(default_factory=list)
    runs: list = field(default_factory=list)
    loads: list = field(default_factory=list)

    def ohms(self, celsius):
        """Out and back, from the geometry of copper; a measured run is what it is."""
        return [run if isinstance(run, float) else 2 * run[0] * copper_ohm_per_m(run[1:], celsius) for run in self.runs]


def number(value):
    text = repr(float(value))
    return f"{value:.15f}".rstrip("0") if "e" in text else text


def draw(rng, points, cables=False, resistive=True, heavy=1.0):
    tree = Tree()
    for point in range(1, points + 1):
        tree.parents.append(rng.choice([max(0, point - 1), rng.randrange(point)]))
        if cables and rng.random() < 0.8:
            tree.runs.append((rng.choice([3, 8, 15, 30]), rng.choice([22, 20, 18, 16]), rng.random() < 0.3))
        else:
            tree.runs.append(round(rng.uniform(0.02, 1.2), 4))
    kinds = ["A", "W", "ohm"] if resistive else ["A", "W"]
    for _ in range(rng.randint(1, 2 * points)):
        kind, at = rng.choice(kinds), rng.randint(0, points)
        low, high = {"A": (0.002, 0.05), "W": (0.02, 0.5), "ohm": (150.0, 3000.0)}[kind]
        standby = rng.uniform(low, high)
        factor = heavy * rng.uniform(1, 4)
        alarm = standby / factor if kind == "ohm" else standby * factor
        if rng.random() < 0.3:
            standby = 0.0 if kind != "ohm" else standby
        tree.loads.append(Load(at, kind, float(f"{standby:.6g}"), float(f"{alarm:.6g}"), rng.choice([1, 1, 1, 2, 3])))
    return tree


def supply_toml(supply_id, profile, tree, more=""):
    """A `[[supply]]` with the tree's runs and loads; points are named `P7_3`."""
    name = lambda point: supply_id if point == 0 else f"{supply_id}_{point}"
    runs, loads = [], []
    for i, run in enumerate(tree.runs):
        made = f'ohms = "{number(run)} ohm"' if isinstance(run, float) else \
            f'cable = "{run[0]} m of {run[1]} AWG{" stranded" if run[2] else ""}"'
        runs.append(f'{{ from = "{name(tree.parents[i])}", to = "{name(i + 1)}", {made} }}')
    for i, load in enumerate(tree.loads):
        extra = f', minimum = "{load.minimum} V"' if load.minimum is not None else ""
        extra += ", shed = true" if load.shed else ""
        loads.append(f'{{ at = "{name(load.at)}", name = "load {i}", count = {load.count}, '
                     f'standby = "{number(load.standby)} {load.kind}", alarm = "{number(load.alarm)} {load.kind}"{extra} }}')
    return (f'[[supply]]\nid = "{supply_id}"\nprofile = "{profile}"\n{more}'
            f'runs = [{", ".join(runs)}]\nloads = [{", ".join(loads)}]\n')


def profile_toml(profile_id, volts, cut_off=8.0, more=""):
    return (f'id = "{profile_id}"\nkind = "supply"\ntitle = "Supply for tests"\nbasis = "invented"\nvolts = "{volts}"\n'
            f'limit = "1000 A"\ncut_off = "{number(cut_off)} V"\n{more}')


def sweep(tree, ohms, source_volts, source_ohms, alarm, on_battery=False, steps=100000):
    """The greatest solution by sweeps from the source's volts down, resistances folded into the conductances and each
    constant power as the current it took a sweep ago: falls to it. None where a voltage falls to nothing."""
    points = len(tree.parents) + 1
    into = [source_ohms] + list(ohms)
    fixed, siemens, watts = [0.0] * points, [0.0] * points, [0.0] * points
    for load in tree.loads:
        value = load.count * (load.alarm if alarm else load.standby)
        if value == 0 or (load.shed and on_battery):
            continue
        if load.kind == "A":
            fixed[load.at] += value
        elif load.kind == "W":
            watts[load.at] += value
        else:
            siemens[load.at] += load.count ** 2 / value
    volts = [source_volts] * points
    for _ in range(steps):
        a = [fixed[p] + watts[p] / volts[p] for p in range(points)]
        g = list(siemens)
        for p in range(points - 1, 0, -1):
            share = 1 / (1 + into[p] * g[p])
            a[tree.parents[p - 1]] += a[p] * share
            g[tree.parents[p - 1]] += g[p] * share
        moved = 0.0
        for p in range(points):
            before = source_volts if p == 0 else volts[tree.parents[p - 1]]
            new = (before - into[p] * a[p]) / (1 + into[p] * g[p])
            if new <= 0:
                return None
            moved = max(moved, abs(new - volts[p]))
            volts[p] = new
        if moved < 1e-13:
            return volts
    return None


def ngspice(cases):
    """Volts of every point of every case `(tree, ohms, volts, source ohms, alarm)`; constant powers as behavioural
    sources, started from the source's volts, so that the greatest solution is the one that is found."""
    lines = ["supply trees", ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 gmin=1e-15 itl1=2000 numdgt=15"]
    for i, (tree, ohms, volts, source_ohms, alarm) in enumerate(cases):
        node = lambda point: f"n{i}_{point}"
        lines.append(f"V{i} s{i} 0 DC {volts!r}")
        lines.append(f"R{i}_s s{i} {node(0)} {max(source_ohms, 1e-9)!r}")
        for point, (parent, ohm) in enumerate(zip(tree.parents, ohms), 1):
            lines.append(f"R{i}_{point} {node(parent)} {node(point)} {max(ohm, 1e-9)!r}")
        for j, load in enumerate(tree.loads):
            value = load.alarm if alarm else load.standby
            if value == 0:
                continue
            at = node(load.at)
            if load.kind == "A":
                lines.append(f"I{i}_{j} {at} 0 DC {load.count * value!r}")
            elif load.kind == "ohm":
                lines.append(f"RL{i}_{j} {at} 0 {value / load.count!r}")
            else:
                lines.append(f"B{i}_{j} {at} 0 I = {load.count * value!r} / max(v({at}), 0.05)")
        for point in range(len(tree.parents) + 1):
            lines.append(f".nodeset v({node(point)})={volts!r}")
    control = [".control", "set numdgt=14", "op"]
    control += [f"print v(n{i}_{point})" for i, case in enumerate(cases) for point in range(len(case[0].parents) + 1)]
    lines += control + ["quit 0", ".endc", ".end", ""]
    with tempfile.TemporaryDirectory() as folder:
        with open(f"{folder}/trees.cir", "w") as deck:
            deck.write("\n".join(lines))
        ran = subprocess.run(["ngspice", "-b", f"{folder}/trees.cir"], capture_output=True, text=True, timeout=600)
    answers = [[None] * (len(case[0].parents) + 1) for case in cases]
    for found in re.finditer(r"^v\(n(\d+)_(\d+)\) = (\S+)", ran.stdout, re.M):
        answers[int(found[1])][int(found[2])] = float(found[3])
    if any(volts is None for answer in answers for volts in answer):
        sys.exit(f"ngspice gave no answer\n{ran.stdout[-800:]}\n{ran.stderr[-2000:]}\n0 passed, 1 failed")
    return answers


def rng(seed):
    return random.Random(seed)
