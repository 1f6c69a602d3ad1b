#!/usr/bin/env python3
"""Outside source: ngspice, on the low end of every state of random networks (open contacts at contact_open_min).

`ngspice_networks.py [--seed N] [--count N]` compares; `ngspice_networks.py --time N` measures ngspice's own time per
operating point on N circuits, its process start left out.
"""
import argparse
import math
import re
import resource
import subprocess
import sys
import tempfile
from fractions import Fraction

from harness import Job, Tally, have_ngspice, states_of
from random_networks import Generator
from reference import Assume, Band, Mode, bounds, parse, reduced_graph, states

CIRCUITS_A_DECK = 400   # the sparse solver's ordering grows faster than the deck; several decks in one process


def deck_lines(circuits):
    """Independent circuits in one deck: one ampere into each terminal, so that its volts are its ohms."""
    lines = ["circuits of a job, one ampere each"]
    for number, graph in circuits:
        name = lambda node: "0" if node == 0 else f"n{number}_{node}"
        lines += [f"R{number}_{i} {name(u)} {name(v)} {ohms!r}" for i, (u, v, ohms) in enumerate(graph)]
        lines.append(f"I{number} 0 {name(1)} DC 1")
    return lines + [".options numdgt=12"]


def solve(graphs):
    """Ohms of each graph of `reduced_graph`, by ngspice where there is something to solve."""
    answers = [graph if isinstance(graph, float) else None for graph in graphs]
    open_ones = [(i, graph) for i, graph in enumerate(graphs) if answers[i] is None]
    with tempfile.TemporaryDirectory() as folder:
        control = ["* all decks in one process", ".control", "set numdgt=12"]
        for start in range(0, len(open_ones), CIRCUITS_A_DECK):
            part = open_ones[start:start + CIRCUITS_A_DECK]
            path = f"{folder}/deck{start}.cir"
            with open(path, "w") as deck:
                deck.write("\n".join(deck_lines(part) + [".end", ""]))
            control += [f"source {path}", "op"] + [f"print v(n{i}_1)" for i, _ in part] + ["destroy all", "remcirc"]
        with open(f"{folder}/all.cir", "w") as deck:
            deck.write("\n".join(control + ["quit 0", ".endc", ".end", ""]))
        ran = subprocess.run(["ngspice", "-b", f"{folder}/all.cir"], capture_output=True, text=True, timeout=600)
    for found in re.finditer(r"^v\(n(\d+)_1\) = (\S+)", ran.stdout, re.M):
        answers[int(found[1])] = float(found[2])
    missing = [i for i, answer in enumerate(answers) if answer is None]
    if missing:
        sys.exit(f"ngspice gave no answer for {len(missing)} circuits\n{ran.stdout[-500:]}\n{ran.stderr[-1500:]}")
    return answers


def exact(graph):
    """The same node equations without rounding: G v = 1 A, eliminated in fractions.

    A nodal solver adds conductances, so a wire of 1 S beside an open contact of 1 uS costs it six digits of the
    contact; two such contacts in line can bring ngspice's last digits beyond 1e-9. Only this can then be the judge.
    """
    nodes = sorted({n for u, v, _ in graph for n in (u, v)} - {0, 1}) + [1]    # the terminal is eliminated last
    at = {n: i for i, n in enumerate(nodes)}
    matrix = [[Fraction(0)] * len(nodes) for _ in nodes]
    for u, v, ohms in graph:
        siemens = 1 / Fraction(ohms)
        for a, b in ((u, v), (v, u)):
            if a:
                matrix[at[a]][at[a]] += siemens
                if b:
                    matrix[at[a]][at[b]] -= siemens
    for i, row in enumerate(matrix):
        for below in matrix[i + 1:]:
            if below[i]:
                factor = below[i] / row[i]
                for j in range(i, len(nodes)):
                    below[j] -= factor * row[j]
    return float(1 / matrix[-1][-1])


def compare(seed, count):
    tally, a = Tally(), Assume()
    generator = Generator(seed)
    job = Job()
    mode = Mode([Band("short", 1200, "trouble"), Band("rest", 3400, "normal"), Band("open", math.inf, "alarm")])
    job.module("M1", [("m", mode)], "m")
    graphs, places = [], []
    for number in range(count):
        text, tree, gauge = generator.network()
        network = parse(text, gauge)
        assert network.program == tree, text
        tag = f"C{number:04d}"
        job.circuit(tag, text, "M1", gauge)
        for active in states(network):
            graphs.append(reduced_graph(network, [bounds(leaf, active, a)[0] for leaf in network.leaves]))
            places.append((tag, text, active))
    circuits, _ = job.assess()
    got = {tag: states_of(circuit) for tag, circuit in circuits.items()}
    rounded = 0
    for (tag, text, active), graph, ohms in zip(places, graphs, solve(graphs)):
        name = f"{tag} {text!r} with {sorted(active)} active"
        if not tally.check(f"{name}: the state is there", active in got.get(tag, {})):
            continue
        if isinstance(graph, list) and abs(ohms - exact(graph)) > 1e-9 * ohms:
            rounded += 1
            ohms = exact(graph)
        tally.near(name, got[tag][active]["ohms"]["lo"], ohms, relative=1e-9)
    for tag, text in {(tag, text) for tag, text, _ in places}:
        expected = {active for t, _, active in places if t == tag}
        tally.check(f"{tag}: no state beyond rest, singles and pairs", set(got.get(tag, {})) == expected,
                    set(got.get(tag, {})) ^ expected)
    print(f"{len(places)} states; in {rounded} ngspice's own rounding was beyond 1e-9 and exact fractions judged")
    # More than a few would mean that the netlist is wrong and the fractions cover for it.
    tally.check("ngspice itself is exact enough nearly everywhere", rounded <= len(places) / 200, rounded)
    return tally.finish()


def measure(count):
    """Three honest readings of "time per operating point", the process start (a deck of one circuit) left out of each.

    The kernel's accounting of user and system time is used, so that a busy machine does not count as ngspice.
    """
    generator, a = Generator(seed=1, ends=False), Assume()
    circuits = []
    while len(circuits) < count:
        text, _, gauge = generator.network()
        network = parse(text, gauge)
        graph = reduced_graph(network, [bounds(leaf, frozenset(), a)[0] for leaf in network.leaves])
        if not isinstance(graph, float):
            circuits.append((len(circuits), graph))
    resistors = sum(len(graph) for _, graph in circuits)
    with tempfile.TemporaryDirectory() as folder:
        def seconds(part, tail):
            with open(f"{folder}/t.cir", "w") as deck:
                deck.write("\n".join(deck_lines(part) + tail + [".end", ""]))
            spent = []
            for _ in range(3):
                before = resource.getrusage(resource.RUSAGE_CHILDREN)
                subprocess.run(["ngspice", "-b", f"{folder}/t.cir"], capture_output=True, check=True)
                after = resource.getrusage(resource.RUSAGE_CHILDREN)
                spent.append(after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
            return min(spent)

        def control(times):
            return [".control"] + ["op", "destroy all"] * times + ["quit 0", ".endc"]

        batch = seconds(circuits, [".op", ".print op v(n0_1)"]) - seconds(circuits[:1], [".op", ".print op v(n0_1)"])
        first = seconds(circuits, control(1)) - seconds(circuits, control(0))
        again = (seconds(circuits, control(60)) - seconds(circuits, control(20))) / 40
    micro = 1e6 / count
    print(f"{count} circuits, {resistors} resistors, one deck; microseconds per operating point of one circuit:")
    print(f"{again * micro:8.2f}  the analysis repeated on a matrix already ordered")
    print(f"{first * micro:8.2f}  the first analysis, with set-up and ordering")
    print(f"{batch * micro:8.2f}  a whole batch run (read the deck, set up, analyse, report), process start left out")
    return 0


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--seed", type=int, default=20261125)
    options.add_argument("--count", type=int, default=400)
    options.add_argument("--time", type=int, metavar="N")
    given = options.parse_args()
    if not have_ngspice():
        sys.exit("ngspice is not installed\n0 passed, 1 failed")
    return measure(given.time) if given.time else compare(given.seed, given.count)


if __name__ == "__main__":
    sys.exit(main())
