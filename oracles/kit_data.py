"""The library's files and the quantities in them, read for kit.py: whole numbers and fractions."""
import math
import re
import tomllib
from fractions import Fraction

from harness import ROOT

E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]


def number_of(text):
    return Fraction(re.match(r"[0-9.]+", text).group())


def minutes(text):
    """`15 min to 30 min`, in seconds."""
    ends = [number_of(end) * (3600 if end.strip().endswith("h") else 60) for end in text.split(" to ")]
    return ends[0], ends[-1]


def ohms(text):
    """`2.2k`, `470 ohm`, `1M`; None for `open` and `unstable`."""
    if text in ("open", "unstable"):
        return None
    scale = {"k": 1000, "M": 10**6}
    factor = next((scale[letter] for letter in text if letter in scale), 1)
    return number_of(text) * factor


def shares(text):
    ends = [number_of(end) / 100 for end in text.split(" to ")]
    return ends[0], ends[-1]


def nearest_e24(value):
    values = [Fraction(two) * Fraction(10) ** power for power in range(-1, 8) for two in E24]
    return min(values, key=lambda one: abs(math.log(one / value)))


def words(text):
    return [word for word in re.split(r"[^0-9a-zA-Z]+", text.lower()) if word]


class Library:
    def __init__(self):
        labour = tomllib.loads((ROOT / "labour/default.toml").read_text())
        self.tasks = {word: (*minutes(task["minutes"]), task.get("per", 1)) for word, task in labour["task"].items()}
        self.parts, self.allowance = labour["part"], labour["allowance"]
        self.profiles = {}
        for file in (ROOT / "equipment").glob("*.toml"):
            profile = tomllib.loads(file.read_text())
            self.profiles[profile["id"]] = profile
        self.van = tomllib.loads((ROOT / "habits/default.toml").read_text())["van"]["carries"]


def price_of(library, job, part):
    """Hundredths, from and to; None where nobody has given it."""
    if part == "device":
        named = [library.profiles[d["profile"]].get("price", 0) for d in job.get("device", []) if "profile" in d]
        named = [Fraction(str(price)) * 100 for price in named if price]
        return (min(named), max(named)) if named else None
    price = library.parts[part]["price"] if part in library.parts else library.profiles[part].get("price", 0)
    return (Fraction(str(price)) * 100,) * 2 if part in library.parts or price else None
