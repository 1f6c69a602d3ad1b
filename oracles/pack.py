#!/usr/bin/env python3
"""The pack as poppler sees it: no two texts overlap, nothing outside the frame, no thin page, no missing glyph,
bookmarks, metadata, tags, the same bytes twice. Needs poppler-utils. PACK_MAKER names another maker than the
program: `MAKER JOB DIR PAPER`. PACK_LOOK=DIR keeps every page as PNG for people to look at."""
import concurrent.futures
import html
import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import zlib

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
from harness import BINARY, ROOT, Tally  # noqa: E402

MM = 72 / 25.4
PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4)}
BINDING, EDGE = 20, 10
DATE = "2026-11-25"


def run(*words):
    done = subprocess.run(words, capture_output=True)
    if done.returncode:
        raise RuntimeError(f"{' '.join(map(str, words))}: {done.returncode}\n{done.stderr.decode()[:2000]}")
    return done.stdout


def make(job, folder, paper):
    maker = os.environ.get("PACK_MAKER")
    if maker:
        run(*shlex.split(maker), str(job), str(folder), paper)
    else:
        run(str(BINARY), "pack", str(job), "-o", str(folder), "--paper", paper, "--date", DATE)


# --- jobs -------------------------------------------------------------------------------------------------------

def modules(circuits):
    count = -(-circuits // 16)
    text = '[[enclosure]]\nid = "E1"\nplace = "riser"\n'
    for at in range(1, count + 1):
        text += f'[[module]]\nid = "M{at}"\nenclosure = "E1"\nprofile = "input-16"\nmode = "wide"\n'
    return text


def building(circuits):
    """One of every few kinds of wiring, over and over."""
    kinds = [
        "wire:38m - nc:front - 4.7k",
        "wire:12m - nc:leaf1 - wire:2m - nc:leaf2 - 4.7k",
        "wire:20m - no:button | 4.7k",
        "4.7k - wire:31m - nc:gate",
        "wire:41m - nc:w1 - wire:3m - nc:w2 - wire:3m - nc:w3 - 5.6k",
        "wire:15m - smoke:D1 | wire:8m - smoke:D2 | 4.7k",
        "wire:20m - nc:pir.tamper - (nc:pir | 4.7k) - 4.7k",
        "(wire:18m - nc:store1) - (wire:26m - nc:store2) - 4.7k",
    ]
    text = "format = 1\n[site]\nname = \"A large building\"\n" + modules(circuits)
    for at in range(circuits):
        network = kinds[at % len(kinds)]
        duty = "smoke" if "smoke" in network else "intrusion"
        text += (f'[[circuit]]\ntag = "C{at + 1:03}"\nplace = "floor {at // 20 + 1}, room {at % 20 + 1}"\n'
                 f'duty = "{duty}"\nwas = "zone {at + 1}"\nends_in = "E1"\nnetwork = "{network}"\n'
                 f'found = [{{ when = "rest", ohms = "4.72k" }}]\ninput = "M{at // 16 + 1}.{at % 16 + 1}"\n')
    return text


LONG = "Gżegżółka_za_oknem_przy_schodach_na_strych_obok_kotłowni_Æøåß"
NAMED = f"""format = 1
[site]
name = "Przychodnia weterynaryjna „Pod Złotą Żabą” w Łodzi, oddział chirurgii dużych zwierząt i fizjoterapii"
[[enclosure]]
id = "E1"
place = "Szafka rozdzielcza w przyziemiu budynku głównego, za drzwiami do pomieszczenia gospodarczego"
[[module]]
id = "M1"
enclosure = "E1"
profile = "input-12"
mode = "fixed-2k2"
[[module]]
id = "M2"
enclosure = "E1"
profile = "input-12"
mode = "fixed-2k2"
[[circuit]]
tag = "C01"
place = "Główne drzwi wejściowe do poczekalni, skrzydło północno-wschodnie, przy schodach na strych"
duty = "intrusion"
was = "linia dozorowa numer siedemnaście, część druga"
ends_in = "E1"
network = "wire:38m - nc:{LONG} - wire:4m - nc:{LONG}2 - 2.2k"
input = "M1.1"
found = [{{ when = "rest", ohms = "2.21k" }}, {{ when = "{LONG}", ohms = "open" }}]
[[circuit]]
tag = "C02"
place = "<b>&amp; \\"quoted\\" #let x = 1; $y$ *bold* _it_ @ref \\\\ 中文"
duty = "intrusion"
ends_in = "E1"
network = "wire:12m - nc:Дверь - wire:3m - nc:Θύρα - 2.2k"
input = "M1.2"
[[circuit]]
tag = "C03"
place = "was never a line"
duty = "technical"
other = "Out through the cellar, back through the attic, and joined twice on the way; nobody knows where."
ends_in = "E1"
[[circuit]]
tag = "C04"
"""
LONG_CABLE = """format = 1
[site]
name = "Quarry"
units = "UNITS"
[[module]]
id = "M1"
profile = "input-12"
mode = "fixed-2k2"
[[circuit]]
tag = "C01"
place = "far gate"
duty = "intrusion"
network = "wire:LENGTH - nc:gate - wire:1m - nc:gate2 - 2.2k"
input = "M1.1"
[[circuit]]
tag = "C02"
place = "one of everything"
duty = "intrusion"
network = "wire:10..60m - joint:J1 - wire:3.2ohm - nc:a - (no:b | 1k) - diode - core:15m - nc:c.tamper - wire:2m@18AWG - 2.2k"
input = "M1.2"
"""


def power():
    """A long chain, a wide tree, names beyond every column, loads that collapse, a supply without anything."""
    text = ("format = 1\n[site]\nname = \"Power\"\nrules = [\"us-fire\", \"us-intrusion-commercial\", \"eu-intrusion\"]\n"
            "[[supply]]\nid = \"P1\"\nprofile = \"psu-12v-2a\"\nbattery = \"vrla-12v-12ah\"\ntransformer = \"transformer-18v-50va\"\n"
            "transformer_cable = \"4 m of 18 AWG\"\nruns = [\n")
    names = ["P1"] + [f"J{at}" for at in range(1, 61)]
    for at in range(1, 41):
        text += f'  {{ from = "{names[at - 1]}", to = "{names[at]}", cable = "1 m of 18 AWG" }},\n'
    for at in range(41, 61):
        text += f'  {{ from = "{names[(at - 40) // 2]}", to = "{names[at]}", cable = "2 m of 22 AWG", joints = 2, cores = 2 }},\n'
    text += "]\nloads = [\n"
    for at in range(1, 61):
        name = f"{LONG} {at}" if at % 7 == 0 else f"lamp {at}"
        text += f'  {{ at = "J{at}", name = "{name}", standby = "1 mA", alarm = "9 mA", minimum = "11.9 V", count = {at} }},\n'
    text += ("]\n[[supply]]\nid = \"P2\"\nprofile = \"psu-12v-1a\"\nbattery = \"vrla-12v-7ah\"\n"
             "runs = [{ from = \"P2\", to = \"K1\", cable = \"300 m of 24 AWG\" }]\n"
             "loads = [{ at = \"K1\", name = \"heater\", standby = \"12 W\", alarm = \"40 W\", minimum = \"10 V\" }]\n"
             "[[supply]]\nid = \"P3\"\n")
    return text


MANY = ("format = 1\n[[module]]\nid = \"M1\"\nprofile = \"input-12\"\nmode = \"fixed-2k2\"\n[[circuit]]\ntag = \"C01\"\n"
        "duty = \"intrusion\"\ninput = \"M1.1\"\nnetwork = \"" + " - ".join(f"wire:4m - nc:window{at}" for at in range(1, 21))
        + " - 2.2k\"\n")


def jobs():
    return {
        "demo": (ROOT / "examples/orchard-row/job.toml").read_text(),
        "nothing": "format = 1\n",
        "one": building(1),
        "names": NAMED,
        "cable": LONG_CABLE.replace("UNITS", "metric").replace("LENGTH", "400m"),
        "feet": LONG_CABLE.replace("UNITS", "us").replace("LENGTH", "125ft"),
        "many": MANY,
        "power": power(),
        "three-hundred": building(300),
    }


# --- what poppler sees ------------------------------------------------------------------------------------------

def pages(pdf):
    """Each page's size and words with their boxes, in points."""
    text = run("pdftotext", "-bbox", str(pdf), "-").decode()
    for page in re.finditer(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', text, re.S):
        words = [(*map(float, word[:4]), html.unescape(word[4])) for word in re.findall(
            r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', page[3])]
        yield float(page[1]), float(page[2]), words


def ink(word):
    """Fonts say more height than letters use: the middle three fifths is where ink is."""
    x0, y0, x1, y1, _ = word
    return x0 + 0.3, y0 + 0.2 * (y1 - y0), x1 - 0.3, y1 - 0.2 * (y1 - y0)


def overlaps(words):
    boxes = sorted((ink(word), word[4]) for word in words)
    for at, (box, text) in enumerate(boxes):
        for other, other_text in boxes[at + 1:]:
            if other[0] >= box[2]:
                break
            if other[1] < box[3] and box[1] < other[3]:
                yield f"{text!r} on {other_text!r} at {box[0]:.0f},{box[1]:.0f}"


def outside_ink(pdf, paper, folder):
    """Pages on which anything is drawn outside the frame's line."""
    width, height = PAPERS[paper]
    run("pdftoppm", "-r", "50", "-gray", str(pdf), str(folder / "gray"))
    for image in sorted(folder.glob("gray*.pgm")):
        head, pixels = image.read_bytes().split(b"255\n", 1)
        across, down = map(int, head.split()[1:3])
        left, right = (BINDING - 1) / width * across, (width - EDGE + 1) / width * across
        top, bottom = (EDGE - 1) / height * down, (height - EDGE + 1) / height * down
        rows = [pixels[row * across:(row + 1) * across] for row in range(down)]
        margin = b"".join(rows[:int(top)] + rows[int(bottom) + 1:])
        margin += b"".join(row[:int(left)] + row[int(right) + 1:] for row in rows)
        if min(margin) < 250:
            yield image.stem
        image.unlink()


def missing_glyphs(pdf):
    """Strings shown with glyph 0 of a two-byte font."""
    data = pdf.read_bytes()
    count = 0
    for stream in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", data, re.S):
        try:
            content = zlib.decompress(stream[1])
        except zlib.error:
            continue
        if b" Tf" not in content:
            continue
        for shown in re.finditer(rb"\[((?:\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f]*>|[-\d.\s])*)\]\s*TJ|(\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f]*>)\s*Tj", content, re.S):
            whole = shown[1] if shown[1] is not None else shown[2]
            for piece in re.finditer(rb"<([0-9A-Fa-f]*)>", whole):
                codes = [piece[1][at:at + 4] for at in range(0, len(piece[1]), 4)]
                count += codes.count(b"0000")
            for piece in re.finditer(rb"\(((?:\\.|[^\\()])*)\)", whole, re.S):
                raw = re.sub(rb"\\([0-7]{1,3}|.)", unescaped, piece[1], flags=re.S)
                count += sum(raw[at:at + 2] == b"\0\0" for at in range(0, len(raw), 2))
    return count


def unescaped(match):
    code = match[1]
    if code[:1].isdigit():
        return bytes([int(code, 8) & 255])
    return {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}.get(code, code)


def outline(pdf):
    found = re.findall(r"<item[^>]*>(.*?)</item>", run("pdftohtml", "-xml", "-i", "-stdout", str(pdf)).decode())
    return [html.unescape(item) for item in found]


def look_at(name, paper, folder):
    wanted = os.environ.get("PACK_LOOK")
    if wanted and name != "three-hundred":
        into = pathlib.Path(wanted)
        into.mkdir(parents=True, exist_ok=True)
        for pdf in ("pack", "tags"):
            run("pdftoppm", "-r", "70", "-png", str(folder / f"{pdf}.pdf"), str(into / f"{name}-{paper}-{pdf}"))


def checked(name, text, paper):
    """Everything that is wrong with one pack: (what was checked, whether it holds, detail)."""
    results = []
    def check(what, good, detail=""):
        results.append((f"{name} {paper}: {what}", bool(good), detail))
    with tempfile.TemporaryDirectory() as scratch:
        scratch = pathlib.Path(scratch)
        job, first, second = scratch / "job.toml", scratch / "first", scratch / "second"
        job.write_text(text)
        make(job, first, paper)
        look_at(name, paper, first)
        if name != "three-hundred":
            make(job, second, paper)
            names = sorted(str(path.relative_to(first)) for path in first.rglob("*") if path.is_file())
            for file in names:
                check(f"the same bytes of {file} twice", (first / file).read_bytes() == (second / file).read_bytes())
        for pdf in (first / "pack.pdf", first / "tags.pdf"):
            document(check, pdf, paper, first)
        circuits = re.findall(r'tag = "(.*?)"', text)
        marks = outline(first / "pack.pdf")
        for wanted in ["Summary and cautions", "Findings with remedies", "Blank survey sheet", "Blank cable tags"]:
            check(f"a bookmark {wanted}", wanted in marks, f"{marks[:12]}")
        for supply in re.findall(r'\[\[supply\]\]\nid = "(.*?)"', text):
            check(f"a bookmark for supply {supply}", any(mark.startswith(f"Supply {supply},") for mark in marks))
        for sheet in ["Programming sheet", "Station's data sheet", "Call sheet"]:
            check(f"{sheet} only where there is a station", (sheet in marks) == ("[station]" in text))
        for tag in circuits:
            check(f"a bookmark for {tag}", any(mark.startswith(tag + ",") for mark in marks))
    return results


def document(check, pdf, paper, folder):
    width, height = (side * MM for side in PAPERS[paper])
    count = 0
    for at, (across, down, words) in enumerate(pages(pdf), 1):
        count += 1
        page = f"{pdf.stem} page {at}"
        check(f"{page} has its size", abs(across - width) < 0.6 and abs(down - height) < 0.6, f"{across} {down}")
        check(f"{page} has 20 words", len(words) >= 20, f"{len(words)}")
        found = list(overlaps(words))
        check(f"{page}: no two texts overlap", not found, "; ".join(found[:4]))
        beyond = [word[4] for word in words if word[0] < BINDING * MM or word[2] > width - EDGE * MM
                  or ink(word)[1] < EDGE * MM or ink(word)[3] > height - EDGE * MM]
        check(f"{page}: no text outside the frame", not beyond, f"{beyond[:4]}")
        check(f"{page}: a glyph for every letter", not any("\ufffd" in word[4] for word in words))
    inked = list(outside_ink(pdf, paper, folder))
    check(f"{pdf.stem}: nothing drawn outside the frame", not inked, f"{inked[:4]}")
    check(f"{pdf.stem}: no missing glyph", missing_glyphs(pdf) == 0, f"{missing_glyphs(pdf)}")
    facts = dict(re.findall(r"^(.*?): +(.*)$", run("pdfinfo", str(pdf)).decode(), re.M))
    check(f"{pdf.stem}: title", facts.get("Title"), facts)
    check(f"{pdf.stem}: author", facts.get("Author") == "Loopwright", facts)
    check(f"{pdf.stem}: tagged", facts.get("Tagged") == "yes", facts)
    check(f"{pdf.stem}: its date is the one given", "25" in facts.get("CreationDate", ""), facts)
    fonts = run("pdffonts", str(pdf)).decode().splitlines()[2:]
    check(f"{pdf.stem}: fonts embedded", fonts and all(" yes yes yes " in font for font in fonts), fonts)


def main():
    tally = Tally()
    if shutil.which("pdftotext") is None:
        print("skipped: poppler-utils is not installed")
        print("0 passed, 0 failed")
        return 0
    only = set(sys.argv[1:])
    work = [(name, text, paper) for name, text in jobs().items() for paper in PAPERS
            if (not only or name in only) and (name != "three-hundred" or paper == "a4")]
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        for results in pool.map(lambda one: checked(*one), work):
            for what, good, detail in results:
                tally.check(what, good, detail)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
