"""The papers as HTML pages: nothing from outside, made for A4 in black on white; Jinja2 escapes what is put in."""

from __future__ import annotations

import re
from typing import Any

from markupsafe import Markup

from faultwright.analysis_texts import listed
from faultwright.circuit import Circuit
from faultwright.drawing.svg import draw
from faultwright.pages import page_templates

from .bench_readings import shown
from .card import BenchCard
from .control_states import state_in_words
from .observation import ObservationSheet
from .register import Register, Standing
from .texts import text
from .worksheet import Worksheet

FINDINGS = 12
"""Blank lines for findings on a worksheet."""
WIDE = 1.15
"""Ratio of width to height from which a drawing gets a page across."""
MANY = 8
"""Controls and behaviours from which a table of states is set smaller."""


def card_page(card: BenchCard) -> str:
    """Return the page of a bench card."""
    readings = [
        (one, shown(one.probe.mode, one.healthy), shown(one.probe.mode, one.faulty)) for one in card.readings.readings
    ]
    state = state_in_words(card.circuit, card.state)
    values = {"card": card, "readings": readings, "state": state, "listed": listed}
    return _page("bench_card.html", card.circuit, **values, **_drawn(card.circuit))


def worksheet_page(sheet: Worksheet) -> str:
    """Return the page of a worksheet."""
    return _page("worksheet.html", sheet.circuit, sheet=sheet, findings=FINDINGS, **_drawn(sheet.circuit))


def observation_page(sheet: ObservationSheet) -> str:
    """Return the page of an observation sheet."""
    return _page("observation_sheet.html", sheet.circuit, sheet=sheet)


def register_page(register: Register, name: str) -> str:
    """Return the page of a register; ``name`` is its file's."""
    sections = [(standing, register.that_are(standing)) for standing in Standing]
    return _page("fault_register.html", None, register=register, name=name, sections=sections)


def _page(template: str, circuit: Circuit | None, **values: Any) -> str:  # noqa: ANN401 - what a template shows
    return page_templates("faultwright", text).get_template(template).render(circuit=circuit, **values)


def _drawn(circuit: Circuit) -> dict[str, Any]:
    """Return the circuit diagram for a page, and how it and tables of states are set."""
    diagram = draw(circuit)
    many = len(circuit.controls) + len(circuit.behaviour) >= MANY
    return {"diagram": _inline(diagram), "across": _is_wide(diagram), "many": many}


def _is_wide(drawing: str) -> bool:
    """Say whether a drawing is read best on a page across, by the size that it gives itself."""
    size = re.search(r'width="([\d.]+)" height="([\d.]+)"', drawing)
    return size is not None and float(size[1]) > WIDE * float(size[2])


def _inline(drawing: str) -> Markup:
    """Return a drawing as a part of the page, where the name of SVG's namespace goes without saying."""
    return Markup(drawing.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1))  # noqa: S704 - drawing escapes names
