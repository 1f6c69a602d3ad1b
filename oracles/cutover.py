#!/usr/bin/env python3
"""The cut-over against another solver, and its printed order against rules written anew.

Small random jobs: the least exposure by OR-Tools' CP-SAT (PyPI: ortools), which knows nothing of our search, from the
durations, weights and hours that `cutover --json` prints. Where both prove their result it is the same; where ours is
not proven, the solver's lies between our bound and our plan.

The example and a campus of 480 circuits, both ways: precedence, technicians, hours, exposure, the sums within 24 h, the
list of what is unprotected, all recomputed here from the printed order."""
import json
import pathlib
import random
import re
import subprocess
import sys
import tempfile
import tomllib

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
from harness import BINARY, ROOT, Tally  # noqa: E402

try:
    from ortools.sat.python import cp_model
except ImportError:
    cp_model = None

DAY = 24 * 60
SECONDS = 60


def ask(text, *options):
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder, "job.toml")
        path.write_text(text)
        done = subprocess.run([str(BINARY), "cutover", str(path), "--json", *options], capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(f"{done.returncode}\n{done.stdout[:2000]}{done.stderr[:2000]}\n{text}")
    return json.loads(done.stdout)


# --- jobs -------------------------------------------------------------------------------------------------------

def job(circuits, crew, hours, rules, start="2026-12-01 08:00", a_module=16, seed=0):
    """Invented circuits on modules of a kind that takes any resistor; smoke on every twelfth."""
    draw = random.Random(seed)
    lines = ["format = 1", "[site]", 'name = "Invented"', f"rules = {json.dumps(rules)}", "[fire]", 'required = "no"',
             "[cutover]", f"crew = {crew}", f'start = "{start}"',
             "hours = [" + ", ".join(
                 f'{{ from = "{a}", to = "{b}", building = "{kind}" }}' for a, b, kind in hours) + "]",
             '[[enclosure]]', 'id = "E1"', 'place = "riser"']
    for at in range(-(-circuits // a_module)):
        lines += ["[[module]]", f'id = "M{at + 1}"', 'enclosure = "E1"', 'profile = "input-16"', 'mode = "wide"']
    duties = ["intrusion", "intrusion", "intrusion", "hold-up", "technical", "tamper"]
    for at in range(circuits):
        fire = draw.random() < 0.15
        duty = "heat" if fire else draw.choice(duties)
        network = "wire:20m - no:a | 4.7k" if fire or duty == "hold-up" else draw.choice(
            ["wire:38m - nc:a - 4.7k", "4.7k - wire:31m - nc:a", "wire:12m - nc:a - 4.7k"])
        lines += ["[[circuit]]", f'tag = "C{at + 1:03}"', f'place = "room {at + 1}"', f'duty = "{duty}"',
                  f'was = "zone {at + 1}"', 'ends_in = "E1"', f'network = "{network}"',
                  'found = [{ when = "rest", ohms = "4.71k" }]', f'input = "M{at // a_module + 1}.{at % a_module + 1}"']
    return "\n".join(lines) + "\n"


# --- the printed order against rules written anew ---------------------------------------------------------------

def cost(plan, circuit, start, end):
    """What a circuit costs that is dead from start to end, minute by minute of the hours."""
    occupied = 0
    for window in plan["windows"]:
        if window["building"] == "occupied":
            occupied += max(0, min(end, window["to_min"]) - max(start, window["from_min"]))
    return occupied * circuit["weight_occupied"] + (end - start - occupied) * circuit["weight"]


def on_one_core(text, tags):
    """Circuits by the cores of their cables: each tag with all that lose their return when it is lifted."""
    together = {tag: {tag} for tag in tags}
    for cable in tomllib.loads(text).get("cable", []):
        for core in cable.get("cores", []):
            ends = core.get("to", [])
            ends = [ends] if isinstance(ends, str) else ends
            own = {end.split(".")[0] for end in ends if end.split(".")[0] in together}
            for tag in own:
                own = own | together[tag]
            for tag in own:
                together[tag] = own
    return together


def on_one_core_with(text, tag):
    """Every circuit that has a core of its cable in common with this one."""
    others = set()
    for cable in tomllib.loads(text).get("cable", []):
        for core in cable.get("cores", []):
            ends = core.get("to", [])
            tags = {end.split(".")[0] for end in ([ends] if isinstance(ends, str) else ends)}
            if tag in tags:
                others |= tags - {tag}
    return others


FIRE = ("smoke", "heat", "manual-call", "waterflow", "valve")
# Conditions in which no meter hangs between the two conductors of a lifted pair, or somebody touched its far end.
NOT_OF_PAIR = re.compile(r"earth(-[ab])?|core .*|live|joined|opened")


def hangs(circuit):
    """Whether something may hang on a pair that has no input. Spare is what was drawn as wire alone and was not read as
    something else; never what has volts or a current on it, nor fire, nor sounders (common practice, no source)."""
    found = circuit.get("found", [])
    if circuit.get("duty") in (*FIRE, "sounder"):
        return True
    newest = {}
    for reading in found:
        for key in ("volts_ac", "volts_dc", "amps"):
            if key in reading and not (key == "amps" and reading.get("fed")):
                newest[reading["when"], key] = reading[key]
    # The examples of this oracle have no millivolts: every number before its unit is in whole ones.
    size = lambda shown: float("inf") if shown == "unstable" else abs(float(shown.split()[0]))  # noqa: E731
    limit = lambda when, key: 33 if when == "live" and key == "volts_dc" else 1 if key != "amps" else 0.1  # noqa: E731
    if any(size(shown) >= limit(*at) for at, shown in newest.items() if not (at[0] == "live" and at[1] == "amps")):
        return True
    parts = [part for part in re.split(r"[\s()|-]+", circuit.get("network", "?")) if part]
    if any(not re.fullmatch(r"wire:.*|core:.*|joined|open", part) for part in parts):
        return True
    last = {reading["when"]: reading["ohms"] for reading in found if "ohms" in reading}
    return "open" in parts and any(shown != "open" for when, shown in last.items() if not NOT_OF_PAIR.fullmatch(when))


def left_behind(text, moved):
    """The circuits that have no input in this order and no output that drives them, and on which something may hang."""
    job = tomllib.loads(text)
    driven = {word for output in job.get("output", []) for word in re.findall(r"[\w-]+", output.get("drives", ""))}
    return {circuit["tag"] for circuit in job["circuit"] if circuit["tag"] not in moved and hangs(circuit)
            and not (circuit.get("duty") == "sounder" and circuit["tag"] in driven)}


def without_end(ok, plan, text, dead):
    """What does not come back: home runs without an input from when their circuit does, circuits left out of a swap from the first lift,
    side by side those that lose a core with another circuit from its lift."""
    weights = tomllib.loads((ROOT / "labour" / "default.toml").read_text())["weight"]
    duties = {circuit["tag"]: circuit.get("duty", "intrusion") for circuit in tomllib.loads(text)["circuit"]}
    moved = {circuit["tag"]: circuit for circuit in plan["circuits"]}
    all_of_them = []
    behind = left_behind(text, moved)
    named = {one["tag"].split()[0] for one in plan["no_end"]} - set(moved)
    if moved and plan["way"] == "swap":
        ok("a swap leaves behind whatever may hang on a pair without an input", named == behind, f"{named} told, {behind} here")
    elif moved:
        down = any(task["name"] == "old panel powered down" for task in plan["tasks"])
        ok("the old panel stays for whatever may hang on it", down == (not behind), f"down {down}, {behind} here")
    for one in plan["no_end"]:
        tag = one["tag"].split()[0]
        if tag in moved:
            since, counted = dead[tag]
            own = {key: moved[tag][key] for key in ("weight", "weight_occupied", "fire")}
        else:
            since = plan["first_lift_min"]
            if plan["way"] == "side by side":
                # It stays on the old panel, but a core of its goes over with another circuit.
                since = min((dead[other][0] for other in on_one_core_with(text, tag) if other in dead), default=None)
            counted = since
            weight = weights[duties[tag]]
            own = {"weight": weight["empty"], "weight_occupied": weight["occupied"],
                   "fire": duties[tag] in FIRE}
        ok("without end since its lift", one["since_min"] == since)
        all_of_them.append({"tag": one["tag"], "since": since, "counted": counted, **own})
    return all_of_them


def validate(tally, name, plan, text):
    tasks = plan["tasks"]
    circuits = plan["circuits"]
    ok = lambda what, good, detail="": tally.check(f"{name}: {what}", good, detail)  # noqa: E731
    by_number = {task["number"]: task for task in tasks}
    ok("what comes before has ended", all(
        by_number[before]["end_min"] <= task["start_min"] for task in tasks for before in task["after"]))
    crew = range(1, plan["crew"] + 1)
    ok("technicians that there are", all(who in crew for task in tasks for who in task["who"]))
    for who in crew:
        own = sorted((t["start_min"], t["end_min"]) for t in tasks if who in t["who"])
        ok(f"technician {who} is at one thing at a time", all(a[1] <= b[0] for a, b in zip(own, own[1:])))
    stretches = []
    for window in plan["windows"]:
        if stretches and stretches[-1][1] == window["from_min"]:
            stretches[-1][1] = window["to_min"]
        else:
            stretches.append([window["from_min"], window["to_min"]])
    work = [task for task in tasks if task["end_min"] > task["start_min"]]
    ok("inside the hours", all(
        any(a <= t["start_min"] and t["end_min"] <= b for a, b in stretches) for t in work))
    ok("somebody does it", all(task["who"] for task in work))
    # The first lifts of a swap begin with the old panel: "old panel powered down, C01 lifted".
    of = lambda act: {t["name"].removeprefix("old panel powered down, ").split()[0]: t for t in tasks if t["act"] == act}  # noqa: E731
    gate = next(task for task in tasks if task["act"] == "gate")
    ok("preparations before the gate", all(t["end_min"] <= gate["start_min"] for t in tasks if t["act"] == "prepare"))
    fire = [circuit for circuit in circuits if circuit["fire"]]
    dead = {}
    if plan["way"] == "side by side":
        moves = of("move")
        ok("every circuit moves once", sorted(moves) == sorted(c["tag"] for c in circuits))
        for circuit in circuits:
            move = moves[circuit["tag"]]
            long = circuit["lift_min"] + circuit["land_min"] + circuit["prove_min"]
            ok("a move takes its time", move["end_min"] - move["start_min"] == long)
        together = on_one_core(text, moves)
        for circuit in circuits:
            spans = [(moves[tag]["start_min"], moves[tag]["end_min"]) for tag in together[circuit["tag"]]]
            first, last = min(a for a, _ in spans), max(b for _, b in spans)
            ok("on one core, one right after the other", last - first == sum(b - a for a, b in spans))
            dead[circuit["tag"]] = (first, moves[circuit["tag"]]["end_min"])
        ok("not before the gate", all(move["start_min"] >= gate["start_min"] for move in moves.values()))
        if fire:
            first = min(dead[tag][0] for c in fire for tag in together[c["tag"]])
            last = max(dead[tag][1] for c in fire for tag in together[c["tag"]])
            if last - first < DAY:
                with_fire = set().union(*(together[c["tag"]] for c in fire))
                others = [dead[c["tag"]] for c in circuits if c["tag"] not in with_fire]
                ok("one block of fire circuits", all(b <= first or a >= last for a, b in others))
    else:
        lifts, lands, wakes, proofs = of("lift"), of("land"), of("wake"), of("prove")
        first = min((t["start_min"] for t in lifts.values()), default=0)
        lifted = max((t["end_min"] for t in lifts.values()), default=0)
        ok("not before the gate", first >= gate["start_min"])
        ok("all lifted, then landed", all(t["start_min"] >= lifted for t in lands.values()))
        for circuit in circuits:
            wake = wakes[circuit["module"]]
            ok("landed, woken, proven", lands[circuit["tag"]]["end_min"] <= wake["start_min"]
               and wake["end_min"] <= proofs[circuit["tag"]]["start_min"])
            dead[circuit["tag"]] = (first, proofs[circuit["tag"]]["end_min"])
        others = [c["tag"] for c in circuits if not c["fire"]]
        if fire and others:
            tags = [c["tag"] for c in fire]
            ok("fire lifted last", max(lifts[t]["start_min"] for t in others) <= min(lifts[t]["start_min"] for t in tags))
            ok("fire landed first", max(lands[t]["end_min"] for t in tags) <= min(lands[t]["start_min"] for t in others))
            ok("fire proven first", max(proofs[t]["end_min"] for t in tags) <= min(proofs[t]["start_min"] for t in others))
    ok("dead from and to", all(
        (c["dead_from_min"], c["dead_to_min"]) == dead[c["tag"]] for c in circuits))
    exposure = sum(cost(plan, c, *dead[c["tag"]]) for c in circuits)
    ok("the exposure", exposure == plan["exposure"], f"{exposure} here, {plan['exposure']} printed")
    ok("not under its bound", plan["bound"] <= plan["exposure"])
    levels = plan["curve"]
    endless = without_end(ok, plan, text, dead)
    rest = sum(cost(plan, one, one["counted"], max(one["counted"], levels[-1]["at_min"])) for one in endless)
    under = sum(a["weight"] * (b["at_min"] - a["at_min"]) for a, b in zip(levels, levels[1:]))
    ok("the curve holds the exposure", under == exposure + rest, f"{under}, {exposure} + {rest}")
    for level in levels[::max(1, len(levels) // 50)]:
        now = sorted((c["tag"], dead[c["tag"]][0]) for c in circuits
                     if dead[c["tag"]][0] <= level["at_min"] < dead[c["tag"]][1])
        now = sorted(now + [(one["tag"], one["since"]) for one in endless if one["counted"] <= level["at_min"]])
        told = sorted((one["tag"], one["since_min"]) for one in level["unprotected"])
        ok("unprotected, and since when", now == told and level["count"] == len(now))
    out = set()
    for circuit in fire:
        out.update(range(*dead[circuit["tag"]]))
    for one in endless:
        if one["fire"]:
            out.update(range(one["counted"], one["counted"] + DAY))
    worst = max((sum(1 for minute in range(start, start + DAY) if minute in out)
                 for edge in {m for m in out if m - 1 not in out} | {m + 1 - DAY for m in out if m + 1 not in out}
                 for start in (max(0, edge),)), default=0)
    ok("the sum within 24 h", worst == plan["impairment"]["worst_24h_min"], f"{worst}")
    limit = plan["impairment"]["limit_min"]
    if limit is not None:
        told = any(f["code"] == "impairment-over" for f in plan["findings"])
        ok("over the limit is told", told == (worst > limit))
    ok("every step has its proof", all(step["proof"] for step in plan["steps"]))
    ok("steps are numbered", [step["number"] for step in plan["steps"]] == list(range(1, len(plan["steps"]) + 1)))


# --- the same work in CP-SAT ------------------------------------------------------------------------------------

class Model:
    """Tasks with an interval each; every task lies in one of the given stretches."""

    def __init__(self, plan):
        self.plan = plan
        self.model = cp_model.CpModel()
        self.windows = [(w["from_min"], w["to_min"], w["building"]) for w in plan["windows"]]
        gate = next(task for task in plan["tasks"] if task["act"] == "gate")["end_min"]
        # The hours repeat daily: what begins two days later finds nothing new.
        horizon = gate + 2 * DAY + (plan["end_min"] - plan["first_lift_min"] + DAY)
        self.windows = [w for w in self.windows if w[1] > gate and w[0] < horizon]
        self.ready = gate
        self.horizon = self.windows[-1][1]
        self.crew = []

    def stretches(self):
        merged = []
        for start, end, _ in self.windows:
            if merged and merged[-1][1] == start:
                merged[-1][1] = end
            else:
                merged.append([start, end])
        return merged

    def task(self, name, minutes, crew, places):
        start = self.model.NewIntVar(self.ready, self.horizon, f"{name} start")
        end = self.model.NewIntVar(self.ready, self.horizon, f"{name} end")
        interval = self.model.NewIntervalVar(start, minutes, end, name)
        chosen = [self.model.NewBoolVar(f"{name} in {at}") for at in range(len(places))]
        self.model.AddExactlyOne(chosen)
        for literal, place in zip(chosen, places):
            self.model.Add(start >= place[0]).OnlyEnforceIf(literal)
            self.model.Add(end <= place[1]).OnlyEnforceIf(literal)
        if crew:
            self.crew.append((interval, crew))
        return start, end, chosen

    def price(self, name, minute, circuit):
        """The cost of a circuit from the gate to a minute that lies in one of the windows."""
        total = self.model.NewIntVar(0, 10**9, f"{name} price")
        chosen = [self.model.NewBoolVar(f"{name} at {at}") for at in range(len(self.windows))]
        self.model.AddExactlyOne(chosen)
        for literal, (start, end, building) in zip(chosen, self.windows):
            rate = circuit["weight_occupied"] if building == "occupied" else circuit["weight"]
            begin = max(start, self.ready)
            base = cost(self.plan, circuit, self.ready, begin)
            self.model.Add(minute >= begin).OnlyEnforceIf(literal)
            self.model.Add(minute <= end).OnlyEnforceIf(literal)
            self.model.Add(total == base + rate * (minute - begin)).OnlyEnforceIf(literal)
        return total

    def solve(self, objective):
        self.model.AddCumulative([i for i, _ in self.crew], [c for _, c in self.crew], self.plan["crew"])
        self.model.Minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = SECONDS
        solver.parameters.num_workers = 2
        solver.parameters.random_seed = 1
        status = solver.Solve(self.model)
        return status, solver.ObjectiveValue() if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


OVER = 10**7


def side(plan):
    model = Model(plan)
    empty = [w for w in model.windows if w[2] == "empty"]
    circuits = plan["circuits"]
    total, fires, others = [], [], []
    long = lambda c: c["lift_min"] + c["land_min"] + c["prove_min"]  # noqa: E731
    fire = [c for c in circuits if c["fire"]]
    quiet = [w for w in empty if fire and w[1] - w[0] >= max(long(c) for c in fire)]
    for circuit in circuits:
        places = empty if circuit["fire"] and quiet else model.windows
        start, end, chosen = model.task(circuit["tag"], long(circuit), 1, places)
        for literal, place in zip(chosen, places):
            rate = circuit["weight_occupied"] if place[2] == "occupied" else circuit["weight"]
            total.append(rate * long(circuit) * literal)
        (fires if circuit["fire"] else others).append((start, end, chosen))
    over = 0
    if fires:
        first = model.model.NewIntVar(0, model.horizon, "first fire")
        last = model.model.NewIntVar(0, model.horizon, "last fire")
        model.model.AddMinEquality(first, [start for start, _, _ in fires])
        model.model.AddMaxEquality(last, [end for _, end, _ in fires])
        for _, _, chosen in fires[1:]:
            for a, b in zip(chosen, fires[0][2]):
                model.model.Add(a == b)
        for start, end, _ in others:
            before = model.model.NewBoolVar("before the block")
            model.model.Add(end <= first).OnlyEnforceIf(before)
            model.model.Add(start >= last).OnlyEnforceIf(before.Not())
        limit = plan["impairment"]["limit_min"]
        if limit is not None:
            over = model.model.NewIntVar(0, model.horizon, "over")
            model.model.Add(over >= last - first - limit)
    return model.solve(OVER * over + sum(total))


def swap(plan):
    model = Model(plan)
    circuits, crew = plan["circuits"], plan["crew"]
    stretches = model.stretches()
    lift = [c["lift_min"] for c in circuits]
    # Lifted in turn by whoever is free: all take the same time, but for the first of each technician, who takes the old
    # panel down before.
    down = max(lift) - min(lift)
    assert down == 0 or sorted(lift) == [min(lift)] * max(0, len(lift) - crew) + [max(lift)] * min(crew, len(lift))
    lifting = down + min(lift) * -(-len(circuits) // crew)
    first, lifted, _ = model.task("lifting", lifting, crew, stretches)
    lands, proofs, wakes = {}, {}, {}
    for circuit in circuits:
        tag = circuit["tag"]
        lands[tag] = model.task(f"{tag} land", circuit["land_min"], 1, stretches)
        proofs[tag] = model.task(f"{tag} prove", circuit["prove_min"], 1, stretches)
        model.model.Add(lands[tag][0] >= lifted)
    for module in plan["modules"]:
        own = [c for c in circuits if c["module"] == module["id"]]
        if own:
            wakes[module["id"]] = model.task(module["id"], module["wake_min"], 1, stretches)
            for circuit in own:
                model.model.Add(wakes[module["id"]][0] >= lands[circuit["tag"]][1])
                model.model.Add(proofs[circuit["tag"]][0] >= wakes[module["id"]][1])
    fire = [c for c in circuits if c["fire"]]
    for one in fire:
        for other in circuits:
            if not other["fire"]:
                model.model.Add(lands[other["tag"]][0] >= lands[one["tag"]][1])
                model.model.Add(proofs[other["tag"]][0] >= proofs[one["tag"]][1])
    total = []
    for circuit in circuits:
        total.append(model.price(f"{circuit['tag']} back", proofs[circuit["tag"]][1], circuit))
        total.append(-model.price(f"{circuit['tag']} out", first, circuit))
    over = 0
    limit = plan["impairment"]["limit_min"]
    if fire and limit is not None:
        over = model.model.NewIntVar(0, model.horizon, "over")
        for circuit in fire:
            model.model.Add(over >= proofs[circuit["tag"]][1] - first - limit)
    return model.solve(OVER * over + sum(total))


HOURS = [
    [("08:00", "17:00", "occupied")],
    [("08:00", "12:00", "occupied"), ("13:00", "17:00", "occupied"), ("18:00", "22:00", "empty")],
    [("06:00", "08:00", "empty"), ("08:00", "10:00", "occupied"), ("10:00", "11:00", "empty")],
    [("20:00", "24:00", "empty")],
]


def random_jobs(tally, count, seed):
    draw = random.Random(seed)
    proven = both = 0
    for at in range(count):
        way = draw.choice(["side-by-side", "swap"])
        circuits = draw.randint(2, 5) if way == "swap" else draw.randint(3, 12)
        rules = draw.choice([[], ["us-fire"]])
        text = job(circuits, draw.randint(1, 3), draw.choice(HOURS), rules, a_module=draw.choice([2, 3, 16]),
                   seed=draw.random())
        plan = ask(text, "--way", way, "--nodes", "4000000")
        name = f"random {at} {way}"
        if not tally.check(f"{name}: there is an order", plan["status"] != "infeasible", plan["why"]):
            continue
        validate(tally, name, plan, text)
        if any(f["code"] == "fire-in-parts" for f in plan["findings"]):
            continue
        status, least = (swap if way == "swap" else side)(plan)
        if least is None:
            tally.check(f"{name}: the solver finds an order too", status == cp_model.UNKNOWN, status)
            continue
        ours = OVER * (plan["impairment"]["over_min"] or 0) + plan["exposure"]
        proven += plan["status"] == "optimal"
        if status == cp_model.OPTIMAL:
            both += plan["status"] == "optimal"
            if plan["status"] == "optimal":
                tally.check(f"{name}: the same least exposure", ours == least, f"{ours} here, {least} by CP-SAT\n{text}")
            else:
                tally.check(f"{name}: between bound and plan", plan["bound"] <= least % OVER <= ours, f"{least} {ours}")
        else:
            tally.check(f"{name}: not above what the solver has as its bound", ours >= 0)
    print(f"{count} random jobs: {proven} proven by us, {both} by both")


def main():
    tally = Tally()
    seed = int(sys.argv[sys.argv.index("--seed") + 1]) if "--seed" in sys.argv else 1
    example = pathlib.Path(ROOT, "examples/orchard-row/job.toml").read_text()
    campus = job(480, 6, HOURS[1], ["us-fire"], seed=5)
    # C005 and C009 get no input and stay on the old panel, on a common return with circuits that move.
    tied = job(12, 2, HOURS[1], ["us-fire"], seed=6)
    for left in (5, 9):
        tied = tied.replace(f'input = "M1.{left}"\n', "")
    tied += '[[cable]]\nid = "K1"\nends_in = "E1"\ncores = [\n    { colour = "black", to = ["C003.b", "C005.b", "C007.b"] },\n' \
            '    { colour = "brown", to = ["C002.b", "C009.b"] },\n    { colour = "grey", to = ["C008.b", "C010.b"] },\n]\n'
    for name, text in (("example", example), ("campus", campus), ("common returns", tied)):
        for way in ("side-by-side", "swap"):
            plan = ask(text, "--way", way)
            print(f"{name}, {way}: {plan['status']}, gap {plan['gap']:.3f}, {plan['nodes']} nodes")
            validate(tally, f"{name} {way}", plan, text)
            if text is tied:
                tally.check(f"{name} {way}: who stays loses the core", {one["tag"] for one in plan["no_end"]} == {"C005", "C009"})
    if cp_model is None:
        print("Python's ortools is not installed: pip install ortools")
        tally.check("another solver", False)
    else:
        random_jobs(tally, int(sys.argv[sys.argv.index("--count") + 1]) if "--count" in sys.argv else 40, seed)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
