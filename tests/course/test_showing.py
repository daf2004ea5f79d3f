"""What lessons show: every number computed, every text escaped, reasons that can be closed."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from faultwright.circuit_file import read_circuit
from faultwright.errors import Refused
from faultwright.meter import Probe
from faultwright_course.catalogue import HOME, circuit_path
from faultwright_course.showing import WorkedStep, drawing, symptom_table, worked_case
from faultwright_course.texts import TEXTS

RUNABOUT = read_circuit(circuit_path("runabout"))


def cells(html: str) -> list[list[str]]:
    """Return the text of the cells of each row of a table."""
    return [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in re.findall(r"<tr[^>]*>(.*?)</tr>", html)]


def test_symptom_table_has_one_row_a_state() -> None:
    """With key and start button fixed eight states are left, and the machine refuses in exactly one of them."""
    html = symptom_table(RUNABOUT, "A <sound> machine", key="on", start="pressed").html
    assert html.startswith("<details><summary>A &lt;sound&gt; machine</summary>")
    rows = [row for row in cells(html) if row]
    assert len(rows) == 8
    assert [row for row in rows if row[4] == "no"] == [["engaged", "released", "down", "off", "no", "no", "no"]]


def test_worked_case_computes_both_sides() -> None:
    """A step shows what a sound machine would show beside what the faulty one shows, and its reason can be closed."""
    html = worked_case(
        RUNABOUT,
        "B2 stuck open",
        [
            WorkedStep("key=on; gear=engaged; stand=raised; start=pressed", ("cranks",), "Because <so>."),
            WorkedStep("", Probe("volts", "B2:1", "B2:2"), "Again."),
            WorkedStep("start=released; key=off; unplug=G1", Probe("ohms", "B2:1", "B2:2", alone="B2"), "In the hand."),
            WorkedStep("stand=down; repair=B2 adjust", Probe("volts", "Q1:85", "FRAME"), "Dead."),
        ],
    ).html
    rows = cells(html)
    assert rows[1] == [
        "1",
        "Key switch on, Gear lever engaged, Stand raised, Start button pressed",
        "cranks",
        "cranks: yes",
        "cranks: no",
    ]
    assert rows[2][1] == "<details open><summary>Why</summary>Because &lt;so&gt;.</details>"
    assert rows[3] == ["2", "as before", "volts, red on B2:1, black on B2:2", "2.9 mV", "12.60 V"]
    assert rows[5][1:] == [
        "Start button released, Key switch off, unplug G1",
        "ohms, red on B2:1, black on B2:2, B2 in the hand",
        "0.0 Ω",
        "OL",
    ]
    assert rows[7][1] == "Stand down, repair B2: adjust"
    assert rows[7][3:] == ["0.00 V (floating)"] * 2


def test_worked_case_refuses_what_the_circuit_does_not_have() -> None:
    """A slip in a lesson's worked case is a clear message to its author."""
    with pytest.raises(Refused, match="did you mean 'B2 stuck open'"):
        worked_case(RUNABOUT, "B2 stuck opne", [])
    with pytest.raises(Refused, match="did you mean 'stand'"):
        worked_case(RUNABOUT, "B2 stuck open", [WorkedStep("stnd=raised", ("cranks",), "")])


def test_drawing_is_scoped() -> None:
    """The drawing is one SVG whose ids carry the circuit's name, so that two on a page do not clash."""
    html = drawing(replace(RUNABOUT, title="A <b>bold</b> title")).html
    assert html.count("<svg") == 1
    assert 'id="lesson-runabout"' in html
    assert "<b>" not in html


def test_shown_html_has_a_short_text() -> None:
    """What is kept of a shown piece as plain text is short, however long the HTML."""
    shown = drawing(RUNABOUT)
    assert len(repr(shown)) < 60 < len(shown.html)


def test_every_text_is_used() -> None:
    """The catalogue of texts holds nothing that no code shows."""
    pages = [*(path for path in Path(HOME).glob("*.py") if path.name != "texts.py"), *Path(HOME, "templates").iterdir()]
    code = "\n".join(path.read_text(encoding="utf-8") for path in pages)
    columns = {f"worked.{column}" for column in ("step", "operate", "look", "expected", "found")}
    assert [key for key in TEXTS if f'"{key}"' not in code and f"'{key}'" not in code and key not in columns] == []
