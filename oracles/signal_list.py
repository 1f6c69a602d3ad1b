"""One station's list, written in every form that stations send, must be read alike by `history`: CSV with commas and
semicolons, tabs, columns of blanks, a workbook (made here with zipfile, from the published form of such files), standard
input; dates in each order; times in each spelling.

Outside source: Python's own datetime says which second of GMT each line is."""
import io
import json
import pathlib
import random
import subprocess
import sys
import tempfile
import zipfile
from datetime import datetime, timedelta, timezone
from xml.sax.saxutils import escape

from harness import BINARY, Tally

JOB = """format = 1
[station]
account = "4401"
[[module]]
id = "M1"
profile = "input-12"
[[circuit]]
tag = "C01"
duty = "smoke"
zone = 7
input = "M1.12"
network = "wire:10m - smoke:D1 | 2.2k"
"""
HEADS = ["Date", "Time", "Acct", "Event code", "Zone/User", "Description"]


def lines(rng):
    """Events with their true time: half of them what the job expects."""
    events = []
    when = datetime(2026, 3, 14, 9, 0, 0, tzinfo=timezone.utc)
    for _ in range(40):
        when += timedelta(seconds=rng.randint(1, 3000))
        code, zone = rng.choice([("E111", "7"), ("R111", "007"), ("E130", "7"), ("E301", "0"), ("E111", "8")])
        account = rng.choice(["4401", "4401", "4401", "9999"])
        events.append((when, account, code, zone, rng.choice(["SMOKE, 2ND FLOOR", "Küche", "quiet \"again\""])))
    return events


def wanted(event):
    """The key that a line must be tied to; None: nothing of the job; False: not tied at all."""
    _, account, code, zone, _ = event
    if account != "4401":
        return False
    if (code, int(zone)) == ("E111", 7):
        return "C01 alarm"
    return "C01 alarm-over" if (code, int(zone)) == ("R111", 7) else None


def cells(event, date_form, time_form, shift_s):
    when, account, code, zone, text = event
    local = when - timedelta(seconds=shift_s)
    return [local.strftime(date_form), local.strftime(time_form), account, code, zone, text]


def separated(rows, sign):
    def cell(text):
        return '"' + text.replace('"', '""') + '"' if sign in text or '"' in text else text
    return "\n".join(sign.join(cell(text) for text in row) for row in rows) + "\n"


def in_columns(rows):
    widths = [max(len(row[at]) for row in rows) + 2 for at in range(len(rows[0]))]
    return "\n".join("".join(text.ljust(width) for text, width in zip(row, widths)).rstrip() for row in rows) + "\n"


def workbook(events, shift_s):
    """ECMA-376: dates are days since 1899-12-30 with a date's number format (14 a date, 21 a time)."""
    def text(value):
        return f'<c t="inlineStr"><is><t>{escape(value)}</t></is></c>'

    rows = ["<row>" + "".join(text(head) for head in HEADS) + "</row>"]
    for when, account, code, zone, words in events:
        local = (when - timedelta(seconds=shift_s)).replace(tzinfo=None)
        days = (datetime(local.year, local.month, local.day) - datetime(1899, 12, 30)).days
        share = (local.hour * 3600 + local.minute * 60 + local.second) / 86400
        rows.append(f'<row><c s="1"><v>{days}</v></c><c s="2"><v>{share!r}</v></c><c><v>{account}</v></c>'
                    + text(code) + f"<c><v>{int(zone)}</v></c>" + text(words) + "</row>")
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"><Default Extension="rels" ContentType='
            '"application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/>'
            '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
            '<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
            '<Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1" Type="{relations}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{relations}"><sheets><sheet name="List" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1" Type="{relations}/worksheet" Target="worksheets/sheet1.xml"/>'
            f'<Relationship Id="r2" Type="{relations}/styles" Target="styles.xml"/></Relationships>',
        "xl/styles.xml": f'<styleSheet xmlns="{main}"><fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1"><border/></borders>'
            '<cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/>'
            '<xf numFmtId="21" applyNumberFormat="1"/></cellXfs></styleSheet>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{"".join(rows)}</sheetData></worksheet>',
    }
    octets = io.BytesIO()
    with zipfile.ZipFile(octets, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name, '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>' + content)
    return octets.getvalue()


def same(tally, name, events, run):
    if not tally.check(f"{name}: exit", run.returncode == 0, run.stderr.decode()):
        return
    got = json.loads(run.stdout)
    tally.check(f"{name}: every line", len(got["lines"]) == len(events), f"{len(got['lines'])}, {got['unread'][:2]}")
    for event, line in zip(events, got["lines"]):
        at = event[0].strftime("%Y-%m-%dT%H:%M:%SZ")
        tally.check(f"{name}: time", line["at"] == at, f"{line['at']}, want {at}: {line['text']}")
        tie, want = line["tie"], wanted(event)
        tied = False if tie is None else tie["expected"]
        tally.check(f"{name}: tie", tied == want, f"{tied}, want {want}: {line['text']}")


def main():
    tally = Tally()
    events = lines(random.Random(11))
    with tempfile.TemporaryDirectory() as folder:
        job = pathlib.Path(folder) / "job.toml"
        job.write_text(JOB, encoding="utf-8")

        def ask(name, content, *words, shift="0 s", pasted=False):
            path = pathlib.Path(folder) / name
            path.write_bytes(content)
            command = [str(BINARY), "history", str(job), "-" if pasted else str(path), "--json", "--shift", shift, *words]
            return subprocess.run(command, capture_output=True, check=False, input=content if pasted else b"")

        forms = [("%Y-%m-%d", "%H:%M:%S"), ("%m/%d/%Y", "%I:%M:%S %p"), ("%d/%m/%Y", "%H:%M:%S"), ("%d.%m.%Y", "%H:%M:%S"),
                 ("%m/%d/%y", "%I:%M:%S%p")]
        for date_form, time_form in forms:
            for shift, shift_s in (("0 s", 0), ("5 h", 18000), ("-90 s", -90)):
                rows = [HEADS] + [cells(event, date_form, time_form, shift_s) for event in events]
                for kind, text in (("commas", separated(rows, ",")), ("semicolons", separated(rows, ";")),
                                   ("tabs", separated(rows, "\t")), ("columns", in_columns(rows))):
                    same(tally, f"{kind} {date_form} {shift}", events, ask("list.txt", text.encode(), shift=shift))
                windows = separated(rows, ";").encode("cp1252")
                same(tally, f"Western Windows {date_form}", events, ask("list.csv", windows, shift=shift))
        rows = [["Mill Lane Monitoring", "", "", "", "", ""], HEADS] + [cells(event, *forms[0], 0) for event in events]
        text = separated(rows, ",").encode()
        same(tally, "with a title", events, ask("list.csv", b"\xef\xbb\xbf" + text))
        same(tally, "pasted", events, ask("list.csv", text, pasted=True))
        for shift, shift_s in (("0 s", 0), ("5 h", 18000)):
            same(tally, f"workbook {shift}", events, ask("list.xlsx", workbook(events, shift_s), shift=shift))
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
