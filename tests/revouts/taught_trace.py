"""The still picture of a taught sound: speed from the model's truth, and 24 turns of the crank drawn apart.

It is as wide as the sound is long, edge to edge, so a page can move a marker over it. It holds figures and no words:
they are on the page, in its reader's language. It has no ground: the paper shows through. Sizes in units of the
drawing, which is WIDE across.
"""

from __future__ import annotations

import numpy as np

from garage.output.pictures import FAINT, HAND, INK, RULE
from tests.revouts.engine import TRUTH_STEP_S, Truth, Turns

WIDE, HIGH = 320, 176
TOP_Y, GROUND_Y = 14.0, 116.0
TOP_RPM = 10000.0
RULED_RPM = (2000, 4000, 6000)
TURNS_DRAWN = 24
DOT_Y, DOT = 164.0, 4.2
ROOM_S = 0.13  # beside a figure


def trace(turns: Turns, truth: Truth, *, design_rpm: int, turns_from_s: float) -> str:
    """An SVG file. turns_from_s: where the turns drawn apart begin."""
    parts = [
        *_held(truth),
        *_ruled(design_rpm),
        *_seconds(turns, truth, turns_from_s),
        *_failing(truth),
        f'<path d="{speed_path(truth)}" fill="none" stroke="{INK}" stroke-width="1.6" stroke-linejoin="round"/>',
        *_turns(turns, truth, turns_from_s),
    ]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" font-family="sans-serif" font-size="11">'
    )
    return "\n".join([head, *parts, "</svg>", ""])


def x_of(at_s: float, seconds: float) -> float:
    return at_s / seconds * WIDE


def y_of(rpm: float) -> float:
    return GROUND_Y - rpm / TOP_RPM * (GROUND_Y - TOP_Y)


def speed_path(truth: Truth) -> str:
    """A point every 0.02 s."""
    rpm = truth.rpm[::2]
    points = [f"{x_of(2 * i * TRUTH_STEP_S, truth.seconds):.1f} {y_of(each):.1f}" for i, each in enumerate(rpm)]
    return "M" + " ".join(points)


def turns_in(turns: Turns, from_s: float) -> tuple[float, float, list[bool]]:
    """When the turns drawn apart begin and end, and which of them fired."""
    first = int(np.searchsorted(turns.at_s, from_s))
    last = first + TURNS_DRAWN
    return turns.at_s[first], turns.at_s[last], turns.fired[first:last]


def _held(truth: Truth) -> list[str]:
    if truth.held is None:
        return []
    begins, ends = (x_of(at_s, truth.seconds) for at_s in truth.held)
    return [
        f'<rect x="{begins:.1f}" y="{TOP_Y}" width="{ends - begins:.1f}" height="{GROUND_Y - TOP_Y}" '
        f'fill="{RULE}" fill-opacity="0.45"/>'
    ]


def _ruled(design_rpm: int) -> list[str]:
    drawn = [part for rpm in RULED_RPM for part in _line(rpm, f'stroke="{RULE}" stroke-width="0.8"')]
    drawn += _line(design_rpm, f'stroke="{FAINT}" stroke-width="1" stroke-dasharray="5 3"')
    return [*drawn, f'<path d="M0 {GROUND_Y}H{WIDE}" stroke="{INK}" stroke-width="0.8"/>']


def _seconds(turns: Turns, truth: Truth, turns_from_s: float) -> list[str]:
    """A stroke for each second, with its figure where the lines to the turns leave room."""
    begins, ends, _ = turns_in(turns, turns_from_s)
    drawn = []
    for at_s in range(1, int(truth.seconds) + 1):
        x = x_of(at_s, truth.seconds)
        drawn.append(f'<path d="M{x:.1f} {GROUND_Y}v4" stroke="{INK}" stroke-width="0.8"/>')
        if not begins - ROOM_S < at_s < ends + ROOM_S:
            drawn.append(f'<text x="{x:.1f}" y="{GROUND_Y + 15}" text-anchor="middle" fill="{FAINT}">{at_s}</text>')
    return drawn


def _line(rpm: int, look: str) -> list[str]:
    """A ruled line with its figure above it, at the left, where the engine still ticks over."""
    y = y_of(rpm)
    return [
        f'<path d="M0 {y:.1f}H{WIDE}" {look}/>',
        f'<text x="1" y="{y - 2.5:.1f}" fill="{FAINT}">{rpm}</text>',
    ]


def _failing(truth: Truth) -> list[str]:
    """A stroke on the ground line for each drop-out."""
    return [
        f'<rect x="{x_of(begins, truth.seconds):.1f}" y="{GROUND_Y - 7}" '
        f'width="{x_of(ends - begins, truth.seconds):.1f}" height="7" fill="{HAND}"/>'
        for begins, ends in truth.drop_outs
    ]


def _turns(turns: Turns, truth: Truth, from_s: float) -> list[str]:
    """The turns apart, with two thin lines from where they are: full where it fires, hollow where not."""
    begins, ends, fired = turns_in(turns, from_s)
    step = WIDE / TURNS_DRAWN
    left, right, top = x_of(begins, truth.seconds), x_of(ends, truth.seconds), GROUND_Y + 20
    drawn = [
        f'<path d="M{left:.1f} {GROUND_Y}V{top}L1 {DOT_Y - 9}M{right:.1f} {GROUND_Y}V{top}L{WIDE - 1} {DOT_Y - 9}" '
        f'fill="none" stroke="{FAINT}" stroke-width="0.8"/>'
    ]
    places = [(index + 0.5) * step for index in range(TURNS_DRAWN)]
    full = "".join(f"M{x:.1f} {DOT_Y}h0" for x, one in zip(places, fired, strict=True) if one)
    drawn.append(f'<path d="{full}" stroke="{INK}" stroke-width="{2 * DOT}" stroke-linecap="round"/>')
    hollow = [x for x, one in zip(places, fired, strict=True) if not one]
    circles = "".join(f'<circle cx="{x:.1f}" cy="{DOT_Y}" r="{DOT}"/>' for x in hollow)
    drawn.append(f'<g fill="none" stroke="{FAINT}" stroke-width="0.9">{circles}</g>')
    return drawn
