"""How many suspects are left after each finding of a record, one row a finding, in the order in which they were made.

It follows from the record alone. What it names, a student has not to be told before the search is over.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from faultwright.analysis_texts import listed
from faultwright.circuit import Circuit
from faultwright.drawing.text import wrap
from faultwright.errors import Refused
from faultwright.faults import universe
from faultwright.next_test import NextTest
from faultwright.record import Observed, Record
from faultwright.sequence_review import CLEARED, Review, Reviewed, finding_in_words, review

from .plot_style import (
    BLUE,
    GREY,
    VERMILLION,
    Column,
    finished,
    in_decades,
    legend,
    name_rows,
    new_plot,
    rows_down,
)
from .plot_texts import text
from .show import Plot, Told
from .words import all_seen_words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_FINDINGS = 40
"""Findings that fit a plot."""
_INCHES_A_ROW = 0.4
_LETTERS, _LINES = 40, 2

_FAULTS: dict[str, Any] = {"color": VERMILLION, "marker": "o", "markersize": 7, "markeredgecolor": "black"}
_GROUPS: dict[str, Any] = {"color": BLUE, "marker": "^", "markersize": 8, "markerfacecolor": "white"}
_REFERENCE: dict[str, Any] = {
    "color": GREY,
    "marker": "D",
    "markersize": 6,
    "markerfacecolor": "white",
    "markeredgecolor": "black",
}


def plot_suspects(
    circuit: Circuit, record: Record, *, groups: Sequence[Iterable[str]] = (), best: bool = False
) -> Plot:
    """Return the plot of the suspects (all faults, and a sound machine) left after each finding; its label tells it.

    Parameters
    ----------
    circuit, record
        The circuit as its author wrote it, and what was done on it.
    groups
        Ambiguity groups by name, as ``ambiguity_groups`` finds them: those that hold a suspect are counted too.
    best
        Compare each finding with the best test there, which takes seconds for each; otherwise with a half-split.

    Raises Refused for a record without findings and for one with more than 40.
    """
    count = sum(1 for _ in record.findings())
    if not count:
        raise Refused(text("suspects.none"))
    if count > MOST_FINDINGS:
        raise Refused(text("suspects.too_many", count=count, most=MOST_FINDINGS))
    found = review(circuit, record, list(universe(circuit).values()), healthy=True, groups=groups, best=best)
    title = circuit.title or circuit.name
    plot = new_plot(_told(title, found), [text("suspects.title"), title], 2.6 + _INCHES_A_ROW * (count + 1))
    axes = plot.add_subplot()
    rows_down(axes, 0, count)
    _draw(axes, found)
    name_rows(axes, _findings(found))
    name_rows(axes, _outcomes(found), right=True)
    legend(plot)
    return finished(plot)


def _draw(axes: Axes, found: Review) -> None:
    """Draw the counts as steps, and beside each finding what another test would have left."""
    findings = found.findings
    if findings[0].groups:
        groups = [one.groups for one in findings if one.groups]
        counts = [groups[0][0], *(after for _, after in groups)]
        axes.plot(*_steps(counts), linestyle="--", linewidth=1.4, markevery=2, label=text("suspects.groups"), **_GROUPS)
    counts = [findings[0].before, *(one.after for one in findings)]
    axes.plot(*_steps(counts), linewidth=1.8, markevery=2, label=text("suspects.faults"), **_FAULTS)
    references = [(_reference(found, one), row) for row, one in enumerate(findings, start=1)]
    known = [(count, row) for count, row in references if count is not None]
    if known:
        label = text("suspects.best" if found.with_best else "suspects.half")
        axes.plot(*zip(*known, strict=True), linestyle="none", label=label, **_REFERENCE)
    in_decades(axes, 1.0, lambda value: f"{value:g}")
    axes.set_xlim(-0.3, counts[0] * 1.5)
    axes.set_xlabel(text("suspects.axis"))


def _steps(counts: Sequence[int]) -> tuple[list[int], list[int]]:
    """Return counts and rows of a line that goes down to the next row and there to what that finding leaves.

    Every second of its points is a finding's own.
    """
    xs, ys = [counts[0]], [0]
    for row, (before, after) in enumerate(pairwise(counts), start=1):
        xs += [before, after]
        ys += [row, row]
    return xs, ys


def _reference(found: Review, one: Reviewed) -> float | None:
    """Return what the best test there would have left on average or, without it, half of what was left before."""
    if not found.with_best:
        return one.before / 2 if one.before > 1 else None
    return _left_on_average(one.best) if one.best else None


def _left_on_average(test: NextTest) -> float:
    return sum(part * part for part in test.parts) / sum(test.parts)


def _findings(found: Review) -> Iterator[Column]:
    numbers = [(row, str(one.action + 1), False) for row, one in enumerate(found.findings, start=1)]
    yield Column(text("suspects.number"), tuple(numbers))
    words = ["\n".join(wrap(_words(one), _LETTERS, _LINES)) for one in found.findings]
    rows = enumerate([text("suspects.start"), *words])
    yield Column(text("suspects.finding"), tuple((row, line, False) for row, line in rows), left=True)


def _words(one: Reviewed) -> str:
    """Return a finding in words: what was seen, or the reading."""
    if isinstance(one.finding, Observed):
        return all_seen_words(one.finding.seen)
    return finding_in_words(one.finding)


def _outcomes(found: Review) -> Iterator[Column]:
    first = found.findings[0]
    left = [(first.before, first.groups and first.groups[0])]
    left += [(one.after, one.groups and one.groups[1]) for one in found.findings]
    yield Column(text("suspects.left"), tuple((row, _count(*counts), True) for row, counts in enumerate(left)))
    verdicts = [(row, _verdict(one), False) for row, one in enumerate(found.findings, start=1)]
    yield Column(text("suspects.cleared"), tuple(verdicts), left=True)


def _count(faults: int, groups: int | None) -> str:
    return str(faults) if groups is None else text("suspects.count.groups", count=faults, groups=groups)


def _verdict(one: Reviewed) -> str:
    return text(f"suspects.verdict.{one.verdict}", count=len(one.cleared))


# In words


def _told(title: str, found: Review) -> Told:
    first = found.findings[0]
    heads = [text("suspects.finding"), text("suspects.left"), text("suspects.cleared")]
    rows = []
    for one in found.findings:
        row = [
            text("suspects.row", number=one.action + 1, finding=_words(one)),
            _count(one.after, one.groups and one.groups[1]),
            _verdict(one),
        ]
        if one.verdict == CLEARED:
            row[2] = text("suspects.names", count=len(one.cleared), names=listed(one.cleared))
        rows.append((*row, _best(one)) if found.with_best else tuple(row))
    return Told(
        text("suspects.summary", title=title, before=first.before, after=len(found.left)),
        (*heads, text("suspects.head.best")) if found.with_best else tuple(heads),
        tuple(rows),
        (text("suspects.at_end", names=listed(found.left) or text("suspects.nobody")),),
    )


def _best(one: Reviewed) -> str:
    if one.best is None:
        return text("suspects.best.none")
    count = f"{_left_on_average(one.best):.1f}"
    return text("suspects.best.words", test=one.best.candidate.words(), count=count)
