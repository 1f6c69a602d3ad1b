#!/usr/bin/env python3
"""Outside source: ngspice, on random supply trees with mixed loads, at rest and in alarm, on mains and on a full battery;
plain sweeps from above for collapse; a dense grid of temperatures for the two ends; two-wire smoke ladders.

`supply_network.py [--seed N] [--count N]`
"""
import argparse
import json
import pathlib
import sys
import tempfile

from harness import Tally, have_ngspice, run
from supplies import Load, Tree, draw, ngspice, number, profile_toml, rng, supply_toml, sweep

# The battery model's own constants, from the reference tables (lead-acid.md, 4 and 5): rested volts when full, and
# the polarisation resistance of the Shepherd example set, 0.0772 ohm at 7.2 Ah.
FULL, POLARISATION = 12.85, 0.0772 * 7.2


def assess(job, profiles):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "library/equipment").mkdir(parents=True)
        for name, text in profiles.items():
            (folder / "library/equipment" / f"{name}.toml").write_text(text)
        (folder / "job.toml").write_text(job)
        ran = run(["assess", folder / "job.toml", "--json", "--all", "--library", folder / "library"])
    if ran.code not in (0, 1):
        sys.exit(f"the program refused a good job (exit {ran.code})\n{ran.err.decode()[:2000]}\n0 passed, 1 failed")
    return json.loads(ran.out)


def by_points(supply, condition):
    return {point["name"]: point[condition] for point in supply["points"]}


def trees(tally, seed, count):
    """Exact runs: both ends are one number, and ngspice has it."""
    dice, made, text = rng(seed), [], "format = 1\n"
    battery = ('id = "b"\nkind = "battery"\ntitle = "b"\nbasis = "invented"\nvolts = "12 V"\ncapacity = "9 Ah"\n'
               'internal = "0.05 ohm"\n')
    for i in range(count):
        tree = draw(dice, dice.randint(1, 14), heavy=dice.choice([1, 1, 2, 6, 15]))
        made.append(tree)
        text += supply_toml(f"P{i}", "exact", tree, 'battery = "b"\nleads = "0.04 ohm"\n')
    answer = assess(text, {"exact": profile_toml("exact", "13.5 V"), "b": battery})
    source_ohms = 0.05 + POLARISATION / 9 + 0.04
    cases, told = [], []
    for i, (tree, supply) in enumerate(zip(made, answer["supplies"])):
        for condition, alarm in (("standby", False), ("alarm", True)):
            theirs = by_points(supply, condition)
            ours = sweep(tree, tree.runs, 13.5, 0.0, alarm)
            solved = theirs[f"P{i}"]["lo"] is not None
            tally.check(f"tree {i}, {condition}: a solution or none", solved == (ours is not None),
                        f"the program says {solved}, sweeps from above {ours is not None}")
            if solved and ours is not None:
                cases.append((tree, tree.runs, 13.5, 0.0, alarm))
                told.append((i, condition, theirs, supply))
        codes = {f["code"] for f in answer["findings"] if f["where"] == f"P{i}"}
        dead = any(by_points(supply, c)[f"P{i}"]["lo"] is None for c in ("standby", "alarm"))
        tally.check(f"tree {i}: a collapse is a finding", not dead or "collapse" in codes, codes)
        # On a full battery, every load's volts.
        ours = sweep(tree, tree.runs, FULL, source_ohms, True)
        for j, load in enumerate(tree.loads):
            row = supply["loads"][j]["volts"]["full_battery"]
            if ours is None:
                tally.check(f"tree {i}: none on a full battery", row is None or row["lo"] is None, row)
            elif row is not None:
                tally.near(f"tree {i}, load {j}, full battery", row["lo"], ours[load.at], absolute=1e-6)
    for (i, condition, theirs, supply), volts in zip(told, ngspice(cases)):
        tree = made[i]
        for point, spice in enumerate(volts):
            name = f"P{i}" if point == 0 else f"P{i}_{point}"
            for end in ("lo", "hi"):
                tally.near(f"tree {i}, {condition}, {name}.{end}", theirs[name][end], spice, absolute=2e-7)
        if condition == "alarm":
            # The source's power is what loads take and runs lose, by ngspice's volts.
            current = sum(load.draws(True, volts[load.at]) for load in tree.loads)
            point = next(p for p in supply["points"] if p["name"] == f"P{i}")
            tally.near(f"tree {i}: current", point["alarm_a"], current, absolute=1e-6)
    print(f"{len(cases)} conditions of {count} trees against ngspice")


def temperatures(tally, seed, count):
    """Cables from 5 to 40 C: the program solves at both ends, the grid everywhere between."""
    dice, made, text = rng(seed + 1), [], 'format = 1\nsite.cable_temperature = "5 C to 40 C"\n'
    for i in range(count):
        made.append(draw(dice, dice.randint(1, 7), cables=True, heavy=dice.choice([1, 2, 4])))
        text += supply_toml(f"P{i}", "exact", made[-1])
    answer = assess(text, {"exact": profile_toml("exact", "13.5 V to 13.9 V")})
    grid = [5 + 35 * k / 140 for k in range(141)]
    for i, (tree, supply) in enumerate(zip(made, answer["supplies"])):
        for condition, alarm in (("standby", False), ("alarm", True)):
            theirs = by_points(supply, condition)
            if theirs[f"P{i}"]["lo"] is None:
                continue
            low = [sweep(tree, tree.ohms(t), 13.5, 0.0, alarm) for t in grid]
            high = [sweep(tree, tree.ohms(t), 13.9, 0.0, alarm) for t in (grid[0], grid[70], grid[-1])]
            for point in range(len(tree.parents) + 1):
                name = f"P{i}" if point == 0 else f"P{i}_{point}"
                least, most = min(v[point] for v in low), max(v[point] for v in high)
                # methods.md, 7: the two ends miss at most a microvolt of what lies between.
                tally.near(f"tree {i}, {condition}, {name}: least over the grid", theirs[name]["lo"], least, absolute=1.5e-6)
                tally.near(f"tree {i}, {condition}, {name}: most over the grid", theirs[name]["hi"], most, absolute=1.5e-6)


def monotone(tally, seed, count):
    """Through the program: a longer run never raises a voltage beyond it."""
    dice, text, made = rng(seed + 2), "format = 1\n", []
    for i in range(count):
        tree = draw(dice, dice.randint(2, 8))
        longer = Tree(tree.parents, list(tree.runs), tree.loads)
        at = dice.randrange(len(tree.runs))
        longer.runs[at] = round(tree.runs[at] + dice.uniform(0.05, 0.5), 4)
        made.append((tree, at))
        text += supply_toml(f"A{i}", "exact", tree) + supply_toml(f"B{i}", "exact", longer)
    supplies = {s["id"]: s for s in assess(text, {"exact": profile_toml("exact", "13.5 V")})["supplies"]}
    for i, (tree, at) in enumerate(made):
        before, after = by_points(supplies[f"A{i}"], "alarm"), by_points(supplies[f"B{i}"], "alarm")
        for point in range(1, len(tree.parents) + 1):
            up, beyond = point, False
            while up:
                beyond |= up == at + 1
                up = tree.parents[up - 1]
            one, other = before[f"A{i}_{point}"]["lo"], after[f"B{i}_{point}"]["lo"]
            if beyond and one is not None and other is not None:
                tally.check(f"pair {i}, point {point}", other <= one + 1e-9, f"{one} became {other}")


def ladders(tally, seed, count):
    """Two-wire smoke circuits with everything exact: rest, and each detector alone in alarm, against ngspice."""
    dice, text, profiles, made = rng(seed + 3), 'format = 1\nsite.cable_temperature = "20 C to 20 C"\n', {}, []
    devices = circuits = ""
    for i in range(count):
        source = dict(volts=round(dice.uniform(17, 26), 2), series=round(dice.uniform(50, 400)),
                      limit=round(dice.uniform(0.03, 0.12), 3))
        heads = dice.randint(1, 5)
        standby, clamp = round(dice.uniform(40, 150)), round(dice.uniform(4, 10), 1)
        lengths = [dice.randint(3, 40) for _ in range(heads)]
        end = dice.choice([2200, 4700, 5600])
        network = " | ".join(f"wire:{length}m - smoke:D{i}_{k}" for k, length in enumerate(lengths)) + f" | {end} ohm 0.001 %"
        profiles[f"m{i}"] = (
            f'id = "m{i}"\nkind = "module"\ntitle = "t"\nbasis = "invented"\ninputs = 4\n[[mode]]\nid = "m"\neol = "{end} ohm"\nsmoke_inputs = [1]\n'
            f'smoke = {{ volts = "{source["volts"]} V", series = "{source["series"]} ohm", limit = "{number(source["limit"])} A", '
            f'standby = "2 mA", open_below = "1 mA", alarm_above = "15 mA" }}\n'
            'bands = [{ name = "short", below = "1k", means = "trouble" }, { name = "rest", below = "9k", means = "normal" }, { name = "open", means = "alarm" }]\n')
        profiles[f"h{i}"] = (
            f'id = "h{i}"\nkind = "detector"\ntitle = "t"\nbasis = "invented"\n[two_wire]\nvolts = "8 V to 35 V"\n'
            f'standby = "{standby} uA"\nalarm_volts = "{clamp} V"\nalarm = "1 mA to 500 mA"\n')
        devices += "".join(f'[[device]]\nid = "D{i}_{k}"\nprofile = "h{i}"\n' for k in range(heads))
        circuits += f'[[module]]\nid = "M{i}"\nprofile = "m{i}"\n[[circuit]]\ntag = "C{i}"\nduty = "smoke"\ninput = "M{i}.1"\nnetwork = "{network}"\n'
        made.append((source, standby * 1e-6, clamp, lengths, end))
    answer = assess(text + devices + circuits, profiles)
    per_metre = Tree(runs=[(1, 22, False)]).ohms(20)[0]
    for i, ((source, standby, clamp, lengths, end), circuit) in enumerate(zip(made, answer["circuits"])):
        smoke = circuit["smoke"]
        cases = []
        for alarm in [None] + list(range(len(lengths))):
            tree = Tree(list(range(len(lengths))), [length * per_metre for length in lengths], [])
            tree.loads.append(Load(len(lengths), "ohm", end, end))
            tree.loads += [Load(k + 1, "A", standby, standby) for k in range(len(lengths)) if k != alarm]
            cases.append((tree, alarm))
        solved = []
        for tree, alarm in cases:
            if alarm is None:
                solved.append((tree, tree.runs, source["volts"], source["series"], False))
            else:
                # The clamp is its volts behind 0.01 ohm: a resistance and a current the other way.
                tree.loads += [Load(alarm + 1, "ohm", 0.01, 0.01), Load(alarm + 1, "A", -clamp / 0.01, -clamp / 0.01)]
                solved.append((tree, tree.runs, source["volts"], source["series"], False))
        volts = ngspice(solved)
        rest = (source["volts"] - volts[0][0]) / source["series"]
        tally.near(f"ladder {i}: at rest", smoke["rest_a"]["lo"], rest, relative=3e-5)
        for k in range(len(lengths)):
            head = smoke["heads"][k]
            tally.near(f"ladder {i}, D{k} at rest", head["standby_v"]["lo"], volts[0][k + 1], absolute=1e-3)
            current = (source["volts"] - volts[k + 1][0]) / source["series"]
            if volts[k + 1][k + 1] <= clamp:
                continue
            # Beside a clamp the program lets the others draw from nothing to their standby: hi is with it.
            if current <= source["limit"]:
                tally.near(f"ladder {i}, D{k} in alarm", head["circuit_a"]["hi"], current, relative=1e-4)
            else:
                tally.near(f"ladder {i}, D{k} in alarm at the limit", head["circuit_a"]["hi"], source["limit"], relative=1e-9)


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--seed", type=int, default=1840)
    arguments.add_argument("--count", type=int, default=240)
    arguments = arguments.parse_args()
    tally = Tally()
    if not have_ngspice():
        sys.exit("ngspice is not installed\n0 passed, 1 failed")
    trees(tally, arguments.seed, arguments.count)
    temperatures(tally, arguments.seed, 40)
    monotone(tally, arguments.seed, 60)
    ladders(tally, arguments.seed, 40)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
