"""What an owner's report of three pages takes beside the typesetter alone: `python -m tests.bench.report FILE.md`."""

from __future__ import annotations

import io
import os
import statistics
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace as Values

import django
import numpy as np
from pypdf import PdfReader
from weasyprint import HTML

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
django.setup()

from django.template.loader import render_to_string  # noqa: E402  after the set-up

from garage.output.pdf import pdf  # noqa: E402
from jobs.core.runs.curve import PowerCurve, band_of  # noqa: E402
from jobs.pages.report import BeforeAndAfter  # noqa: E402
from jobs.pages.run_picture import DrawnRuns, PictureUnits, run_picture  # noqa: E402
from jobs.pages.runs import DrawnPicture, ShownRuns, curve_on_paper  # noqa: E402

TIMES, PAGES, MOST = 7, 3, 1.3
AT = datetime(2026, 5, 4, 16, tzinfo=UTC)
STATIC = Path(__file__).parents[2] / "static"
HEAD = f"""# What a report on paper takes

Made by `make bench`. An owner's report of three A4 pages with two runs, their mixture and a table. *Ours* is all from
the values to the PDF: the template filled in, typeset with tags for screen readers and with our own door for files. A
picture that was drawn before is kept: on the page, or for another paper. *The typesetter alone* is WeasyPrint on the
same HTML, with the picture in it and the same style sheet, without tags. CPU seconds, median of {TIMES} in turn, in one
process that has made each once before.

| | CPU, s | |
|---|---|---|
"""


def report() -> Values:
    """A long one, made up."""
    visit = Values(
        number=41,
        machine=Values(words="Corrick 185", registration=""),
        kind=Values(name="Set-up"),
        owner=Values(name="Sal Mardale"),
    )
    line = Values(what="work", words="Stator plate off, pickup levelled", quantity=Decimal(1))
    told = Values(words="The rear tyre is worn to its marks.", get_how_display="by telephone", at=AT)
    return Values(
        visit=visit,
        card=Values(closed_at=AT, nothing_wrong=False),
        causes=["the pickup and the flywheel magnets are not level"],
        found_good=["the high-tension side: plug, cap, lead or coil"] * 4,
        readings=[BeforeAndAfter(f"reading {n}", "19.8° at 1,350 rpm, 24.6° at 8,800 rpm", "22.2°") for n in range(14)],
        shown=ShownRuns(_lines(), ["Not corrected: shown as measured."], _picture()),
        done=[line] * 14,
        watch=["If it runs hot, pinks or goes flat, shut the throttle and ring us before you ride on."] * 5,
        service=None,
        safety=[told] * 3,
    )


def _lines() -> list[Values]:
    peaks = {"measured": "12.7 kW at 8,550 rpm", "corrected": "–", "torque": "14.4 Nm at 8,300 rpm"}
    return [Values(run=Values(letter=one, struck_at=None), fitted="main jet 98", **peaks) for one in "ABCDEFGH"]


def _picture() -> DrawnPicture:
    rpm = tuple(range(4000, 9600, 50))
    after, before = (
        DrawnRuns(
            name,
            band_of([PowerCurve(rpm, tuple(kilowatts * 1000 * np.sin(np.array(rpm) / 6000))) for kilowatts in pulls]),
            tuple((each, 12.7) for each in rpm),
        )
        for name, pulls in (("runs C, D", (13.4, 13.6)), ("runs A, B", (12.7, 12.9)))
    )
    return DrawnPicture(after, before, PictureUnits("kW", 1000, "Nm", 1), "Power over the revs.")


def html(values: Values) -> str:
    shop = Values(name="Quarry Lane", address_line="Ambleford", telephone="01632 960185", email="w@example.com")
    curve = curve_on_paper(values.shown)
    return render_to_string("papers/report.html", {"report": values, "shop": shop, "curve": curve})


def _drawn_anew(values: Values) -> str:
    run_picture.cache_clear()
    return html(values)


def alone(written: str) -> bytes:
    made: bytes = HTML(string=written.replace("/static/", f"{STATIC.as_uri()}/")).write_pdf()
    return made


def took_s(make: Callable[[], bytes]) -> float:
    began = time.process_time()
    make()
    return time.process_time() - began


def note() -> str:
    values = report()
    written = html(values)
    ways: dict[str, Callable[[], bytes]] = {
        "ours": lambda: pdf(html(values)),
        "alone": lambda: alone(written),
        "drawn anew": lambda: pdf(_drawn_anew(values)),
    }
    pages = {way: len(PdfReader(io.BytesIO(make())).pages) for way, make in ways.items()}
    if set(pages.values()) != {PAGES}:
        raise SystemExit(f"The report was to have {PAGES} pages: {pages}")
    found: dict[str, list[float]] = {way: [] for way in ways}
    for _ in range(TIMES):
        for way, make in ways.items():
            found[way].append(took_s(make))
    ours, others, anew = (statistics.median(found[way]) for way in ways)
    return (
        HEAD
        + f"| ours | {ours:.2f} | at most {MOST} times the other |\n"
        + f"| the typesetter alone | {others:.2f} | |\n"
        + f"| ours, the picture drawn anew | {anew:.2f} | {anew / others:.2f} times the other |\n"
        + f"\nOurs takes {ours / others:.2f} times as long.\n"
    )


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(note(), encoding="utf-8")
