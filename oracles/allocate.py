"""Another solver on the same instances: HiGHS (PyPI package highspy), which the program neither uses nor knows.

The engine counts: modules of a kind, circuits of a class. Here nothing is counted: every circuit has a binary for every
module slot and every way to land on it, every two-wire smoke circuit one for every input that may take it, and what is
left out is minimised first, the cost after that. The instances come from the engine's examples with the engine's answers
and times. Compared: the verdict, what is left out, the cost, where both solvers prove theirs; else that the two bounds
do not contradict each other. Both times stand side by side.
"""
import json
import math
import os
import pathlib
import subprocess
import sys
import time

import highspy
import numpy

from harness import Tally

ROOT = pathlib.Path(__file__).resolve().parent.parent
INSTANCES = pathlib.Path(os.environ.get("LOOPWRIGHT_INSTANCES", ROOT / "target/release/examples/instances"))
# Seconds for an instance, and for the large ones: those it proves in neither 10 nor 30, and `--long` shows that.
SHORT, LONG = 8.0, 30.0 if '--long' in sys.argv else 10.0


class Rows:
    """A model with integer columns, written row by row."""

    def __init__(self):
        self.cost, self.upper, self.rows = [], [], []

    def column(self, cost=0, upper=1):
        self.cost.append(cost)
        self.upper.append(upper)
        return len(self.cost) - 1

    def row(self, terms, low=-math.inf, high=math.inf):
        merged = {}
        for column, factor in terms:
            merged[column] = merged.get(column, 0) + factor
        self.rows.append(([(c, f) for c, f in merged.items() if f], low, high))

    def solve(self, cost, seconds):
        """Status ('optimal', 'infeasible', 'open'), objective or None, bound."""
        lp = highspy.HighsLp()
        count = len(self.upper)
        lp.num_col_, lp.num_row_ = count, len(self.rows)
        lp.col_cost_ = numpy.array(cost, dtype=float)
        lp.col_lower_ = numpy.zeros(count)
        lp.col_upper_ = numpy.array(self.upper, dtype=float)
        lp.row_lower_ = numpy.array([low for _, low, _ in self.rows], dtype=float)
        lp.row_upper_ = numpy.array([high for _, _, high in self.rows], dtype=float)
        starts = numpy.cumsum([0] + [len(terms) for terms, _, _ in self.rows])
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = starts.astype(numpy.int32)
        lp.a_matrix_.index_ = numpy.array([c for terms, _, _ in self.rows for c, _ in terms], dtype=numpy.int32)
        lp.a_matrix_.value_ = numpy.array([f for terms, _, _ in self.rows for _, f in terms], dtype=float)
        lp.integrality_ = [highspy.HighsVarType.kInteger] * count
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("time_limit", seconds)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.5)   # every cost is a whole number
        solver.setOptionValue("random_seed", 7)
        solver.passModel(lp)
        solver.run()
        status, info = solver.getModelStatus(), solver.getInfo()
        if status == highspy.HighsModelStatus.kInfeasible:
            return "infeasible", None, math.inf
        found = round(info.objective_function_value) if math.isfinite(info.objective_function_value) else None
        found = None if info.primal_solution_status != 2 else found
        if status == highspy.HighsModelStatus.kOptimal:
            return "optimal", found, found
        return "open", found, info.mip_dual_bound


def fold(problem, effort):
    """Hundredths: money by its percentage, time by the hour, halves up (docs of the engine's weights)."""
    exact = effort["cents"] * problem["money_percent"] * 36 + effort["seconds"] * problem["cents_per_hour"]
    return (exact + 1800) // 3600


def clash(problem):
    """What no division can heal: an input or a zone number twice, or one that is not there."""
    pins = [(c["pin"]["existing"], c["pin"]["input"]) for c in problem["circuits"] if c["pin"]]
    zones = [c["zone"] for c in problem["circuits"] if c["zone"] is not None]
    there = all(1 <= i <= problem["offers"][problem["existing"][k]["offer"]]["inputs"] for k, i in pins)
    top = problem["zones"] if problem["zones"] is not None else math.inf
    numbers = len(set(zones)) == len(zones) and all(1 <= z <= top and z not in problem["taken"] for z in zones)
    return not (there and numbers and len(set(pins)) == len(pins))


class Slot:
    """One place for a module: of the job, or one that may be bought."""

    def __init__(self, enclosure, existing=None):
        self.enclosure, self.existing, self.kinds = enclosure, existing, {}   # kinds: (offer, mode or None) -> column
        self.reserved = set()


def build(problem, most_cost):
    """The model; its columns for what is left out (weight per circuit)."""
    model = Rows()
    slots = make_slots(model, problem, most_cost)
    landing, unmet, smoke_on = {}, {}, {}
    for index, circuit in enumerate(problem["circuits"]):
        terms = []
        for slot in slots:
            terms += land(model, problem, index, circuit, slot, landing, smoke_on)
        if problem["may_leave_out"]:
            unmet[index] = model.column()
            terms.append((unmet[index], 1))
        model.row(terms, 1, 1)
    for slot in slots:
        fill(model, problem, slot, landing, smoke_on)
    together(model, problem, slots, landing, unmet)
    budgets(model, problem, slots, landing)
    return model, unmet


def make_slots(model, problem, most_cost):
    slots = []
    for index, module in enumerate(problem["existing"]):
        offer = problem["offers"][module["offer"]]
        slot = Slot(module["enclosure"], index)
        slot.reserved = {c["pin"]["input"] for c in problem["circuits"] if c["pin"] and c["pin"]["existing"] == index}
        modes = [None] if offer["mode_per_input"] else (
            range(len(offer["smoke_inputs"])) if module["mode"] is None else [module["mode"]])
        slot.kinds = {(module["offer"], mode): model.column() for mode in modes}
        model.row([(column, 1) for column in slot.kinds.values()], 1, 1)
        slots.append(slot)
    prices = [fold(problem, offer["effort"]) for offer in problem["offers"] if offer["most"] != 0]
    for e, enclosure in enumerate(problem["enclosures"]):
        before = None
        for _ in range(slots_of(problem, e, enclosure, prices, most_cost)):
            slot = Slot(e)
            for o, offer in enumerate(problem["offers"]):
                if offer["most"] != 0:
                    for mode in [None] if offer["mode_per_input"] else range(len(offer["smoke_inputs"])):
                        slot.kinds[(o, mode)] = model.column(fold(problem, offer["effort"]))
            used = [(column, 1) for column in slot.kinds.values()]
            model.row(used, 0, 1)
            if before:
                model.row([(c, 1) for c, _ in before] + [(c, -1) for c, _ in used], 0)
            before = used
            slots.append(slot)
    return slots


def slots_of(problem, e, enclosure, prices, most_cost):
    """As many modules as an enclosure can have or use; no answer that is better than ours can pay for more either."""
    if not prices:
        return 0
    reach = [c for c in problem["circuits"]
             if c["ends_in"] in (None, e) or any(x["enclosure"] == e for x in c["extensions"])]
    count = len(reach) + enclosure["spare"] + problem["spare"]
    if enclosure["positions"] is not None:
        annex = enclosure["annex"]
        room = enclosure["positions"] + (annex["positions"] * annex["most"] if annex else 0)
        count = min(count, room // min(o["positions"] for o in problem["offers"] if o["most"] != 0))
    if most_cost is not None and min(prices) > 0:
        count = min(count, most_cost // min(prices))
    return count


def land(model, problem, index, circuit, slot, landing, smoke_on):
    """Binaries for one circuit on one slot: one for each fit and kind."""
    longer = 0
    if circuit["ends_in"] not in (None, slot.enclosure):
        ways = [fold(problem, x["effort"]) for x in circuit["extensions"] if x["enclosure"] == slot.enclosure]
        if not ways:
            return []
        longer = min(ways)
    pin = circuit["pin"]
    if pin and pin["existing"] != slot.existing:
        return []
    terms = []
    for (o, mode), kind in slot.kinds.items():
        offer = problem["offers"][o]
        for fit in circuit["fits"]:
            if fit["offer"] != o or mode not in (None, fit["mode"]):
                continue
            inputs = [i for i in offer["smoke_inputs"][fit["mode"]] if i not in slot.reserved]
            if circuit["smoke"] and pin and pin["input"] not in offer["smoke_inputs"][fit["mode"]]:
                continue
            pieces = fit["inputs"] - (1 if pin else 0)
            if circuit["smoke"] and pieces > len(inputs):
                continue
            column = model.column(fold(problem, fit["effort"]) + longer)
            landing.setdefault((index, id(slot)), []).append((column, o, mode, fit["inputs"], pieces))
            model.row([(column, 1), (kind, -1)], high=0)
            terms.append((column, 1))
            if circuit["smoke"] and pieces:
                where = [(model.column(), i) for i in inputs]
                model.row([(c, 1) for c, _ in where] + [(column, -pieces)], 0, 0)
                for c, i in where:
                    smoke_on.setdefault((id(slot), i), []).append(c)
    return terms


def fill(model, problem, slot, landing, smoke_on):
    """Inputs and current of one slot, and no input for two smoke circuits."""
    pieces, current = [], []
    for index, circuit in enumerate(problem["circuits"]):
        for column, _, _, _, taken in landing.get((index, id(slot)), []):
            pieces.append((column, taken))
            current.append((column, circuit["aux_ma"]))
    offers = problem["offers"]
    room = [(column, -(offers[o]["inputs"] - len(slot.reserved))) for (o, _), column in slot.kinds.items()]
    model.row(pieces + room, high=0)
    if any(ma for _, ma in current):
        model.row(current + [(column, -offers[o]["aux_ma"]) for (o, _), column in slot.kinds.items()], high=0)
    for (owner, _), columns in smoke_on.items():
        if owner == id(slot) and len(columns) > 1:
            model.row([(column, 1) for column in columns], high=1)


def together(model, problem, slots, landing, unmet):
    """What shares a core is on one module, or all of it is left out."""
    groups = {}
    for index, circuit in enumerate(problem["circuits"]):
        if circuit["commons"]:
            groups.setdefault(circuit["commons"], []).append(index)
    for first, *others in groups.values():
        for other in others:
            for slot in slots:
                one = [(entry[0], 1) for entry in landing.get((first, id(slot)), [])]
                two = [(entry[0], -1) for entry in landing.get((other, id(slot)), [])]
                if one or two:
                    model.row(one + two, 0, 0)
            if unmet:
                model.row([(unmet[first], 1), (unmet[other], -1)], 0, 0)


def budgets(model, problem, slots, landing):
    """Positions and annexes, free inputs, zones, modules, offers."""
    offers = problem["offers"]
    new = [(slot, o, column) for slot in slots if slot.existing is None for (o, _), column in slot.kinds.items()]
    free_of_job = []
    for e, enclosure in enumerate(problem["enclosures"]):
        if enclosure["positions"] is not None:
            terms = [(column, offers[o]["positions"]) for slot, o, column in new if slot.enclosure == e]
            annex = enclosure["annex"]
            if annex:
                terms.append((model.column(fold(problem, annex["effort"]), annex["most"]), -annex["positions"]))
            model.row(terms, high=enclosure["positions"])
        free = []
        for slot in (slot for slot in slots if slot.enclosure == e):
            free += [(c, offers[o]["inputs"] - len(slot.reserved)) for (o, _), c in slot.kinds.items()]
            for index in range(len(problem["circuits"])):
                free += [(entry[0], -entry[4]) for entry in landing.get((index, id(slot)), [])]
        free_of_job += free
        if enclosure["spare"]:
            model.row(free, enclosure["spare"])
    if problem["spare"]:
        model.row(free_of_job, problem["spare"])
    if problem["zones"] is not None:
        terms = []
        for slot in slots:
            terms += [(c, offers[o]["inputs"]) for (o, _), c in slot.kinds.items() if offers[o]["zones_for_all_inputs"]]
            for index in range(len(problem["circuits"])):
                terms += [(column, taken) for column, o, _, taken, _ in landing.get((index, id(slot)), [])
                          if not offers[o]["zones_for_all_inputs"]]
        taken = len({zone for zone in problem["taken"] if 1 <= zone <= problem["zones"]})
        model.row(terms, high=problem["zones"] - taken)
    if problem["modules"] is not None:
        model.row([(c, 1) for _, _, c in new], high=problem["modules"] - len(problem["existing"]))
    for o, offer in enumerate(offers):
        if offer["most"]:
            model.row([(c, 1) for _, of, c in new if of == o], high=offer["most"])


def ask(problem, ours, seconds):
    """HiGHS's answer: status, circuits left out, cost, bound of the cost."""
    if clash(problem):
        return "infeasible", 0, None, math.inf
    most = ours["cost"] if ours["status"] in ("optimal", "feasible") and not ours["unmet"] else None
    model, unmet = build(problem, most)
    left_out = 0
    if unmet:
        only = [0] * len(model.cost)
        for column in unmet.values():
            only[column] = 1
        status, left_out, _ = model.solve(only, seconds)
        if status != "optimal":
            return status, left_out, None, 0
        model.row([(column, 1) for column in unmet.values()], high=left_out)
    status, cost, bound = model.solve(model.cost, seconds)
    return status, left_out, cost, bound


def compare(tally, entry, seconds):
    """One instance; gives whether both proved their answer, and HiGHS's time."""
    name, problem, ours = entry["name"], entry["problem"], entry["ours"]
    begun = time.monotonic()
    status, left_out, cost, bound = ask(problem, ours, seconds)
    took = time.monotonic() - begun
    both = status != "open" and ours["status"] in ("optimal", "infeasible")
    if both:
        tally.check(f"{name}: verdict", status == ours["status"], f"{status} here, {ours['status']} there")
        if status == "optimal" and ours["status"] == "optimal":
            tally.check(f"{name}: left out", left_out == ours["unmet"], f"{left_out} here, {ours['unmet']} there")
            tally.check(f"{name}: cost", cost == ours["cost"], f"{cost} here, {ours['cost']} there")
    elif status == "open" and ours["status"] in ("optimal", "feasible"):
        tally.check(f"{name}: our cost is not below its bound", ours["cost"] >= bound - 0.5, f"{ours['cost']}, {bound}")
        if cost is not None:
            tally.check(f"{name}: its cost is not below our bound", cost >= ours["bound"], f"{cost}, {ours['bound']}")
    elif status == "open":
        tally.check(f"{name}: it finds nothing where we prove that there is nothing", cost is None, str(cost))
    elif ours["status"] == "feasible" and cost is not None:
        tally.check(f"{name}: bounds", ours["bound"] <= cost <= ours["cost"], f"{ours['bound']} {cost} {ours['cost']}")
    return both, status, cost, bound, took


def main():
    if not INSTANCES.exists():
        sys.exit(f"no {INSTANCES.name}: cargo build --release -p loopwright-allocate --example instances\n0 passed, 1 failed")
    tally, proven, large = Tally(), 0, []
    lines = subprocess.run([INSTANCES], check=True, stdout=subprocess.PIPE, text=True).stdout.splitlines()
    ours_time = its_time = 0.0
    for line in lines:
        entry = json.loads(line)
        is_large = not entry["name"].startswith(("small", "up to"))
        both, status, cost, bound, took = compare(tally, entry, LONG if is_large else SHORT)
        ours = entry["ours"]
        if is_large:
            gap = (ours["cost"] - ours["bound"]) / ours["cost"] if ours["cost"] else 0.0
            large.append(f"  {entry['name']:<36} ours {ours['cost']:>7} {ours['status']} gap {gap:.2%} in {ours['seconds']:.3f} s"
                         f"   HiGHS {cost if cost is not None else '-':>7} {status} bound {bound:.0f} in {took:.3f} s")
        else:
            ours_time, its_time = ours_time + ours["seconds"], its_time + took
            proven += both and status == "optimal"
    tally.check("both solvers prove an optimum on at least 50 random instances", proven >= 50, str(proven))
    print(f"random instances: {proven} optima proven by both; ours {ours_time:.2f} s, HiGHS {its_time:.2f} s in all")
    print("\n".join(large))
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
