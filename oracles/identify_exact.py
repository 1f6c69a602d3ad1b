#!/usr/bin/env python3
"""What is on a pair: the exact posterior by brute force, on catalogues small enough for it.

Every habit of the building, every combination of wirings and values, line and resistors integrated on dense grids. The
model is that of docs/format.md (sections 1 and 4, habits) with what it calls seldom set to 0; nothing of ours is imported.
"""

import argparse
import itertools
import json
import math
import pathlib
import random
import sys
import tempfile

from harness import Tally, run

PERCENT, DIGITS, LEADS = 0.009, 2, 0.2
TOLERANCE = 0.05
CABLE, JOINTS = (0.4, 9.5), 0.8
KEEPS, EQUAL, WRONG = 0.85, 0.8, 0.005
WIRING = {"nc-bare": 3, "nc-eol": 4, "no-eol": 3, "nc-two-resistor": 2}
RESISTOR = {1000.0: 3, 2200.0: 5, 2400.0: 1}
ROOM = 0.01

HABITS = """id = "default"
basis = "the oracle's own"
[wiring]
%s
[resistor]
%s
[building]
keeps = %g
pair_equal = %g
later_hand = 0
[spread]
long = 0
leak = 0
[reading]
wrong = %g
restless = 0
worse = 0
missed = 0
together = 0
tamper = 0
unfed = 0
""" % (
    "\n".join(f"{name} = {weight}" for name, weight in WIRING.items()),
    "\n".join(f'"{value:g} ohm" = {weight}' for value, weight in RESISTOR.items()),
    KEEPS,
    EQUAL,
    WRONG,
)


def line_grid(points=60):
    """Middles of equal shares of the line: cable even, joints exponential, leads even."""
    steps = [(at + 0.5) / points for at in range(points)]
    lengths = [CABLE[0] + (CABLE[1] - CABLE[0]) * at for at in steps[::3]]
    joints = [-JOINTS * math.log(1 - at) for at in steps[::3]]
    leads = [LEADS * (0.5 + at) for at in steps[::12]]
    sums = sorted(sum(parts) for parts in itertools.product(lengths, joints, leads))
    # Neighbours put together, so that the sums below stay short.
    each = len(sums) // 400
    return [sum(sums[at : at + each]) / each for at in range(0, len(sums) - each + 1, each)]


LINE = line_grid()
SPREAD = [1 + TOLERANCE * (2 * (at + 0.5) / 60 - 1) for at in range(60)]


def shown(kernel, truth):
    """Density of a reading: percent and digits even around the truth, the rounding half a digit more."""
    value, digit = kernel
    one, other = PERCENT * value, (DIGITS + 0.5) * digit
    off = abs(value - truth)
    inner, outer = abs(one - other), one + other
    if off >= outer:
        return 0.0
    height = 0.5 / max(one, other)
    return height if off <= inner else height * (outer - off) / (outer - inner)


def nonsense(reading):
    if reading == "open":
        return WRONG * 0.5
    value = reading[0]
    return WRONG * 0.5 / (value * math.log(1e6)) if 1 <= value <= 1e6 else 0.0


def density(reading, truth):
    if math.isinf(truth):
        return nonsense(reading) + (1 - WRONG if reading == "open" else 0.0)
    return nonsense(reading) + (0.0 if reading == "open" else (1 - WRONG) * shown(reading, truth))


def likelihood(wiring, values, rest, tripped):
    if wiring == "nc-bare":
        return sum(density(rest, s) * density(tripped, math.inf) for s in LINE) / len(LINE)
    total = 0.0
    if wiring in ("nc-eol", "no-eol"):
        for s in LINE[::4] if wiring == "nc-eol" else LINE:
            after = math.inf if wiring == "nc-eol" else s
            trip = density(tripped, after)
            total += trip * sum(density(rest, s + values[0] * part) for part in SPREAD)
        return total / (len(LINE[::4] if wiring == "nc-eol" else LINE) * len(SPREAD))
    for s in LINE[::20]:
        for part in SPREAD:
            at_rest = s + values[0] * part
            first = density(rest, at_rest)
            total += first * sum(density(tripped, at_rest + values[1] * other) for other in SPREAD)
    return total / (len(LINE[::20]) * len(SPREAD) ** 2)


def hypotheses():
    for wiring in WIRING:
        count = {"nc-bare": 0, "nc-eol": 1, "no-eol": 1, "nc-two-resistor": 2}[wiring]
        for values in itertools.product(RESISTOR, repeat=count):
            yield wiring, values


def prior(wiring, values, own):
    weights = sum(RESISTOR.values())
    share = WIRING[wiring] / sum(WIRING.values())
    if values:
        share *= (1 - KEEPS) * RESISTOR[values[0]] / weights + (KEEPS if values[0] == own else 0)
    if len(values) > 1:
        share *= (1 - EQUAL) * RESISTOR[values[1]] / weights + (EQUAL if values[1] == values[0] else 0)
    return share


def posterior(circuits):
    """For each circuit: {(wiring, values): probability}, all circuits together."""
    all_likelihoods = [
        {(wiring, values): likelihood(wiring, values, *readings) for wiring, values in hypotheses()}
        for readings in circuits
    ]
    sums = [dict.fromkeys(one, 0.0) for one in all_likelihoods]
    for own, weight in RESISTOR.items():
        worth = [{key: prior(*key, own) * like for key, like in one.items()} for one in all_likelihoods]
        each = [sum(one.values()) for one in worth]
        product = math.prod(each) * weight
        for total, one, own_sum in zip(sums, worth, each):
            for key, value in one.items():
                total[key] += product * value / own_sum
    return [{key: value / sum(one.values()) for key, value in one.items()} for one in sums]


def draw(rng):
    """A circuit as typed: rest and tripped."""
    wiring = rng.choices(list(WIRING), list(WIRING.values()))[0]
    value = rng.choices(list(RESISTOR), list(RESISTOR.values()))[0]
    line = rng.uniform(*CABLE) + rng.expovariate(1 / JOINTS) + LEADS * rng.uniform(0.5, 1.5)
    first, second = (value * rng.uniform(0.95, 1.05) for _ in range(2))
    rest = line if wiring == "nc-bare" else line + first
    tripped = {"nc-bare": math.inf, "nc-eol": math.inf, "no-eol": line, "nc-two-resistor": line + first + second}
    return [typed(ohms * rng.uniform(1 - PERCENT, 1 + PERCENT)) for ohms in (rest, tripped[wiring])]


def typed(ohms):
    if math.isinf(ohms):
        return "open", "open"
    digit = next(step for step in (0.1, 1.0, 10.0) if ohms < step * 6000)
    value = round(ohms / digit) * digit
    return (value, digit), f"{value:.1f} ohm" if digit < 1 else (f"{value / 1e3:.3f}k" if digit < 10 else f"{value / 1e3:.2f}k")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1840)
    parser.add_argument("--count", type=int, default=8, help="buildings of three circuits")
    arguments = parser.parse_args()
    rng = random.Random(arguments.seed)
    tally = Tally()
    for building in range(arguments.count):
        drawn = [draw(rng) for _ in range(3)]
        text = 'format = 1\n[meter]\nohms = "0.9 % + 2 digits"\nleads = "0.2 ohm"\n'
        for at, (rest, tripped) in enumerate(drawn):
            found = f'[{{ when = "rest", ohms = "{rest[1]}" }}, {{ when = "tripped", ohms = "{tripped[1]}" }}]'
            text += f'[[circuit]]\ntag = "C{at}"\nfound = {found}\n'
        answer = identify(text)
        exact = posterior([(rest[0], tripped[0]) for rest, tripped in drawn])
        for at, (circuit, wanted) in enumerate(zip(answer["circuits"], exact)):
            said = {(one["wiring"], tuple(one["resistors_ohm"])): one["probability"] for one in circuit["candidates"]}
            # What is not listed lies below a hundredth altogether.
            worst = max(abs(said.get(key, 0.0) - share) for key, share in wanted.items() if key in said or share > ROOM)
            tally.check(f"building {building}, C{at} {drawn[at]}", worst <= ROOM, f"off by {worst:.4f}; {said}")
    return tally.finish()


def identify(text):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "library/habits").mkdir(parents=True)
        (folder / "library/habits/ours.toml").write_text(HABITS)
        (folder / "job.toml").write_text(text)
        ran = run(["identify", folder / "job.toml", "--json", "--library", folder / "library"])
    if ran.code not in (0, 1):
        print(ran.out.decode("utf-8", "replace")[:4000], ran.err.decode("utf-8", "replace")[:4000])
        sys.exit(f"the program refused a good job (exit {ran.code})\n0 passed, 1 failed")
    return json.loads(ran.out)


if __name__ == "__main__":
    sys.exit(main())
