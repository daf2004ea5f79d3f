"""The circuit diagram with numbers beside the points that were measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from faultwright.circuit import Circuit
from faultwright.drawing.layout import lay_out
from faultwright.drawing.svg import draw

MOST_NUMBERS = 1
_HIGH, _WIDE, _AWAY = 13, 6.4, 7


def measured_drawing(circuit: Circuit, measured: Mapping[str, Sequence[int]]) -> str:
    """Return the diagram as SVG: beside each terminal the number of its first finding, and … where there are more.

    A terminal that several symbols show has its numbers at the first.
    """
    places: dict[str, tuple[float, float]] = {}
    for symbol in lay_out(circuit).symbols:
        for pin in symbol.pins.values():
            places.setdefault(pin.end.terminal, (pin.x, pin.y))
    boxes: list[str] = []
    for terminal, numbers in measured.items():
        if terminal in places:
            x, y = places[terminal]
            shown = ", ".join(map(str, numbers[:MOST_NUMBERS])) + (" …" if len(numbers) > MOST_NUMBERS else "")
            wide = _WIDE * len(shown) + 6
            boxes.append(
                f"<g><title>{terminal}: {', '.join(map(str, numbers))}</title>"
                f'<rect x="{x - _AWAY - wide:g}" y="{y - _HIGH / 2:g}" width="{wide:g}" height="{_HIGH}" '
                'fill="#fff" stroke="#000" stroke-width="1.2" rx="3"/>'
                f'<text x="{x - _AWAY - wide / 2:g}" y="{y + 4:g}" font-size="10.5" font-weight="700" '
                f'text-anchor="middle">{shown}</text></g>'
            )
    # Inside HTML the name of SVG's namespace goes without saying.
    diagram = draw(circuit).replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)
    return diagram.replace("</svg>", "".join(boxes) + "</svg>")
