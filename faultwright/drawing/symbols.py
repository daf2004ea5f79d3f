"""The symbols of IEC 60617 as SVG, drawn between the ends that the layout has placed.

Each drawer gets a :class:`Frame` and returns strokes only: names, numbers and terminals are the sheet's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import Contact

LEFT_REACH = 20
"""How far a hand-operated contact's actuator reaches to the left of its line."""

_HALF = {"connector": 7, "fuse": 6, "resistor": 6, "battery": 14, "diode": 9, "ground": 12, "frame": 14, "splice": 5,
         "contact": 10, "solenoid": 20, "magneto": 12, "coil": 14, "input": 16}  # fmt: skip
_LEAD_OFF = 9


def half_width(symbol: str) -> float:
    """Return how far a symbol's body reaches to each side of its outermost lines, in pixels."""
    return _HALF.get(symbol, 12)


@dataclass(frozen=True, slots=True)
class Tip:
    """Where a symbol's end stands. ``lifted``: its lead is off the terminal."""

    x: float
    y: float
    lifted: bool


@dataclass(frozen=True)
class Frame:
    """What a drawer needs. ``first`` and ``second`` are the element's sides; ``flipped``: ``first`` is below.

    ``closed`` and ``at_rest`` tell of each contact whether it is drawn closed and whether it rests closed.
    """

    first: Sequence[Tip]
    second: Sequence[Tip]
    top: float
    bottom: float
    flipped: bool = False
    parted: bool = False
    contacts: Sequence[Contact] = ()
    closed: Sequence[bool] = ()
    at_rest: Sequence[bool] = ()
    actuator: str = ""

    @property
    def x(self) -> float:
        """The line of the first end."""
        return self.first[0].x

    @property
    def middle(self) -> float:
        """Half-way between top and bottom."""
        return (self.top + self.bottom) / 2

    def leads(self, upper: float, lower: float) -> str:
        """Return the leads of a symbol with two ends, down to ``upper`` and up from ``lower``."""
        above, below = (self.second, self.first) if self.flipped else (self.first, self.second)
        return "".join(lead(tip, upper) for tip in above[:1]) + "".join(lead(tip, lower) for tip in below[:1])


def number(value: float) -> str:
    """Return a coordinate with at most one decimal."""
    return f"{value:.1f}".removesuffix(".0")


def line(*points: tuple[float, float], style: str = "") -> str:
    """Return an open line through the points."""
    return f'<polyline points="{_listed(points)}"{style}/>'


def polygon(*points: tuple[float, float], style: str = "") -> str:
    """Return the area between the points."""
    return f'<polygon points="{_listed(points)}"{style}/>'


def _listed(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def circle(x: float, y: float, radius: float, style: str = "") -> str:
    """Return a circle."""
    return f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"{style}/>'


def box(left: float, top: float, right: float, bottom: float, style: str = "") -> str:
    """Return a rectangle."""
    return (
        f'<rect x="{number(left)}" y="{number(top)}" width="{number(right - left)}" '
        f'height="{number(bottom - top)}"{style}/>'
    )


SOLID = ' class="fw-solid"'
DASHED = ' class="fw-dashed"'
THICK = ' class="fw-thick"'


def lead(tip: Tip, y: float) -> str:
    """Return the lead from a terminal to height ``y``; a lifted one is bent away and does not reach the terminal."""
    if not tip.lifted:
        return line((tip.x, tip.y), (tip.x, y))
    away = 1 if y > tip.y else -1
    return line((tip.x, y), (tip.x + _LEAD_OFF, tip.y + 2 * away))


# Two-ended symbols


def _rectangle(half: float, tall: float, *, through: bool = False) -> Callable[[Frame], str]:
    def drawer(frame: Frame) -> str:
        x, y = frame.x, frame.middle
        body = box(x - half, y - tall, x + half, y + tall)
        return frame.leads(y - tall, y + tall) + body + (line((x, y - tall), (x, y + tall)) if through else "")

    return drawer


def _lamp(frame: Frame) -> str:
    x, y, arm = frame.x, frame.middle, 7.8
    cross = line((x - arm, y - arm), (x + arm, y + arm)) + line((x - arm, y + arm), (x + arm, y - arm))
    return frame.leads(y - 11, y + 11) + circle(x, y, 11) + cross


def _motor(frame: Frame) -> str:
    x, y = frame.x, frame.middle
    letter = line((x - 5, y + 5), (x - 5, y - 5), (x, y + 2), (x + 5, y - 5), (x + 5, y + 5))
    return frame.leads(y - 12, y + 12) + circle(x, y, 12) + letter


def _supply(frame: Frame) -> str:
    x, y = frame.x, frame.middle
    inside = line((x - 5, y - 2), (x + 5, y - 2)) + line((x - 5, y + 2), (x + 5, y + 2), style=DASHED)
    return frame.leads(y - 12, y + 12) + circle(x, y, 12) + inside


def _battery(frame: Frame) -> str:
    x, y, up = frame.x, frame.middle, (-1 if frame.flipped else 1)
    plates = ""
    for at in (-8, 3):
        plates += line((x - 13, y + up * at), (x + 13, y + up * at))
        plates += line((x - 6, y + up * (at + 5)), (x + 6, y + up * (at + 5)), style=THICK)
    return frame.leads(y - 8, y + 8) + plates


def _diode(frame: Frame) -> str:
    x, y, down = frame.x, frame.middle, (-1 if frame.flipped else 1)
    body = line((x - 8, y - 7 * down), (x + 8, y - 7 * down), (x, y + 7 * down), (x - 8, y - 7 * down))
    bar = line((x - 8, y + 7 * down), (x + 8, y + 7 * down))
    return frame.leads(y - 7, y + 7) + body + bar


def _coil(frame: Frame) -> str:
    x, y = frame.x, frame.middle
    return frame.leads(y - 8, y + 8) + box(x - 13, y - 8, x + 13, y + 8)


def _solenoid(frame: Frame) -> str:
    x, y = frame.x, frame.middle
    plunger = line((x + 12, y), (x + 19, y)) + line((x + 19, y - 5), (x + 19, y + 5))
    return (
        frame.leads(y - 8, y + 8) + box(x - 12, y - 8, x + 12, y + 8) + line((x - 12, y + 8), (x + 12, y - 8)) + plunger
    )


def _magneto(frame: Frame) -> str:
    """A winding on a core, with the magnet that turns before it."""
    x, y = frame.x, frame.middle
    turns = "".join(" a 4 4 0 0 1 0 8" for _ in range(3))
    winding = f'<path d="M {number(x)} {number(y - 12)}{turns}"/>'
    return (
        frame.leads(y - 12, y + 12)
        + winding
        + line((x - 6, y - 12), (x - 6, y + 12))
        + line((x - 9, y - 12), (x - 9, y + 12))
    )


def _connector(frame: Frame) -> str:
    """Two halves: half ``a`` is the socket, half ``b`` the pin that it takes; parted they stand clear of each other."""
    x, y, down = frame.x, frame.middle, (-1 if frame.flipped else 1)
    apart = 5 if frame.parted else 0
    socket, pin = y - down * apart, y + down * apart
    sweep = 1 if down > 0 else 0
    rim = socket + 4 * down
    cup = f'<path d="M {number(x - 6)} {number(rim)} A 6 6 0 0 {sweep} {number(x + 6)} {number(rim)}"/>'
    blade = box(x - 2, min(pin, pin + 10 * down), x + 2, max(pin, pin + 10 * down), SOLID)
    upper, lower = (socket - 2, pin + 10) if down > 0 else (pin - 10, socket + 2)
    return frame.leads(upper, lower) + cup + blade


def _ground(frame: Frame) -> str:
    """A lead on the machine's metal, which is drawn thick."""
    x, y, metal = frame.x, frame.middle, frame.second[0]
    plate = line((x - 9, y), (x + 9, y), style=THICK)
    return lead(frame.first[0], y) + plate + line((x, y), (metal.x, metal.y), style=THICK)


def _machine_frame(frame: Frame) -> str:
    """Frame connection: a bar with three slanted strokes."""
    x, y = frame.x, frame.bottom - 8
    strokes = "".join(line((x + at, y), (x + at - 5, y + 8)) for at in (-8, 0, 8))
    return lead(frame.first[0], y) + line((x - 13, y), (x + 13, y), style=THICK) + strokes


# Symbols with more ends


def _splice(frame: Frame) -> str:
    y, xs = frame.middle, [tip.x for tip in frame.first]
    legs = "".join(lead(tip, y) for tip in frame.first)
    return legs + line((min(xs), y), (max(xs), y), style=THICK) + circle(min(xs), y, 3, SOLID)


def _block(frame: Frame) -> str:
    tips = (*frame.first, *frame.second)
    left, right = min(tip.x for tip in tips) - 12, max(tip.x for tip in tips) + 12
    upper, lower = frame.middle - 12, frame.middle + 12
    legs = "".join(lead(tip, upper if tip.y < frame.middle else lower) for tip in tips)
    return legs + box(left, upper, right, lower)


def _contacts(frame: Frame) -> str:
    """One contact, a changeover contact, or several that share a pin."""
    common, throws = frame.first[0], frame.second
    single = len(throws) == 1
    if not single and len(throws) == 2 and sum(frame.at_rest) == 1 and sum(frame.closed) <= 1:  # noqa: PLR2004 - changeover
        return _changeover(frame)
    rail = frame.top + 11 if not frame.flipped else frame.bottom - 11
    ink = "" if single else lead(common, rail) + line((common.x, rail), (max(tip.x for tip in throws), rail))
    for throw, closed, rests_closed in zip(throws, frame.closed, frame.at_rest, strict=True):
        ends = (common, throw) if single else (Tip(throw.x, rail, lifted=False), throw)
        upper, lower = reversed(ends) if frame.flipped else ends
        ink += lead(upper, frame.middle - 9) + lead(lower, frame.middle + 9)
        ink += _blade(throw.x, frame.middle, closed=closed, rests_closed=rests_closed)
    return ink + _actuator(frame, throws)


def _blade(x: float, y: float, *, closed: bool, rests_closed: bool) -> str:
    """A make contact (open at rest) or a break contact, in the position in which it is drawn."""
    if rests_closed:
        hook = line((x, y - 9), (x + 8, y - 9))
        return hook + (line((x, y + 9), (x + 6.5, y - 12)) if closed else line((x, y + 9), (x - 9, y - 8)))
    # Closed, it leans on a foot, so that one sees a contact and not a plain line.
    return line((x, y + 9), (x - 5, y - 9), (x, y - 9)) if closed else line((x, y + 9), (x - 9, y - 8))


def _changeover(frame: Frame) -> str:
    """A blade on the common end; the first throw lies straight ahead, the other one to the side."""
    common, (ahead, aside) = frame.first[0], frame.second
    x, turn = common.x, (-1 if frame.flipped else 1)
    pivot, tip = frame.middle - 10 * turn, frame.middle + 9 * turn
    ink = lead(common, pivot) + lead(ahead, tip)
    ink += line((x + 8, tip - 1 * turn), (aside.x, tip - 1 * turn)) + lead(aside, tip - 1 * turn)
    if frame.closed[0]:
        ink += line((x, pivot), (x - 5, tip), (x, tip))
    elif frame.closed[1]:
        ink += line((x, pivot), (x + 9, tip + 2 * turn))
    else:
        ink += line((x, pivot), (x - 9, tip - 2 * turn))
    return ink + _actuator(frame, (ahead,))


def _actuator(frame: Frame, throws: Sequence[Tip]) -> str:
    """The dashed line to what moves a switch: a bar, with hooks where it springs back."""
    if not frame.actuator:
        return ""
    x, y = min(tip.x for tip in throws), frame.middle
    ink = line((x - 19, y), (max(tip.x for tip in throws) - 4, y), style=DASHED)
    ink += line((x - 19, y - 6), (x - 19, y + 6))
    if frame.actuator == "push":
        ink += line((x - 15, y - 6), (x - 19, y - 6)) + line((x - 15, y + 6), (x - 19, y + 6))
    return ink


DRAWERS: Mapping[str, Callable[[Frame], str]] = {
    "battery": _battery,
    "supply": _supply,
    "fuse": _rectangle(5, 12, through=True),
    "resistor": _rectangle(5, 12),
    "contact": _contacts,
    "coil": _coil,
    "diode": _diode,
    "lamp": _lamp,
    "motor": _motor,
    "solenoid": _solenoid,
    "magneto": _magneto,
    "connector": _connector,
    "ground": _ground,
    "frame": _machine_frame,
    "splice": _splice,
}
"""Symbol → its drawer; a kind without an entry is drawn as a block."""


def ink(symbol: str, frame: Frame) -> str:
    """Return the strokes of a symbol."""
    return DRAWERS.get(symbol, _block)(frame)
