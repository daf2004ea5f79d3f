"""The analysis as one HTML page: no outside parts, no script; Jinja2 escapes every value that is put in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from .analysis import Analysis
from .analysis_texts import text
from .drawing.svg import draw
from .drawing.tree import draw_tree
from .pages import page_templates
from .single_faults import DISCLAIMER, Severity, Sheet

FOLDED_FROM = 13
"""Entries from which a list is folded."""
MOST_ROWS = 128
"""Control states that a table shows one by one."""


@dataclass(frozen=True, slots=True)
class SeverityClass:
    """The rows of the single-fault sheet that share a class, as cells in words."""

    title: str
    rows: tuple[tuple[str, ...], ...]


def analysis_page(analysis: Analysis) -> str:
    """Return the page of an analysis."""
    circuit = analysis.circuit
    tree = analysis.test_tree
    sneaks = analysis.sneak_paths.paths if analysis.sneak_paths else ()
    drawings = [
        draw(circuit, positions=sneak.states[0], path=sneak.path.places, scope=f"sneak-{number}")
        for number, sneak in enumerate(sneaks, start=1)
    ]
    return (
        page_templates("faultwright", text)
        .get_template("analysis.html")
        .render(
            analysis=analysis,
            circuit=circuit,
            disclaimer=DISCLAIMER,
            diagram=_inline(draw(circuit)),
            tree=_inline(draw_tree(tree.title, tree.tree.remarks(), tree.tree.entries()))
            if tree and tree.tree
            else None,
            sneaks=[(sneak.words(), _inline(drawing)) for sneak, drawing in zip(sneaks, drawings, strict=True)],
            classes=list(_classes(analysis.single_faults)) if analysis.single_faults else [],
            folded_from=FOLDED_FROM,
            states_shown=circuit.state_count <= MOST_ROWS,
        )
    )


def _inline(drawing: str) -> Markup:
    """Return a drawing as a part of the page, where the name of SVG's namespace goes without saying."""
    return Markup(drawing.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1))  # noqa: S704 - drawing escapes names


def _classes(sheet: Sheet) -> Iterator[SeverityClass]:
    cells = list(zip(sheet.rows, sheet.cells, strict=True))
    for severity in Severity:
        rows = tuple(its for row, its in cells if row.severity is severity)
        if rows:
            title = text("single.class", number=int(severity), severity=severity.words, count=len(rows))
            yield SeverityClass(title, rows)
