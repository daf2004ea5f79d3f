"""Findings, states and faults in words, for verdicts that quote what decided."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence

from faultwright.circuit import Circuit
from faultwright.meter import Reading
from faultwright.moves import Move
from faultwright.record import Action, Asked, Inspected, Measured, Observed, Prediction

from .case import Case
from .mark import Mark
from .texts import text
from .trace import Moment

MOST_EXAMPLES = 4

LINE = 96
"""Characters in a line of plain text, which no page breaks by itself."""


def seen_word(seen: object) -> str:
    """Return in a word what is seen of a behaviour."""
    if isinstance(seen, str):
        return seen
    return "unsteady" if seen is None else "yes" if seen else "no"


def seen_words(seen: Mapping[str, object]) -> str:
    """Return in words what is seen of several behaviours."""
    return ", ".join(f"{name.replace('_', ' ')}: {seen_word(value)}" for name, value in seen.items())


def count_words(what: str, count: int) -> str:
    """Return how many of something there are, in the singular where there is one."""
    return text(f"count.{what}" if count == 1 else f"count.{what}s", count=count)


def state_words(state: Iterable[tuple[str, str]]) -> str:
    """Return a state of the controls as moves write it."""
    return ", ".join(f"{control}={position}" for control, position in state)


def move_words(move: str, circuit: Circuit) -> str:
    """Return a move in the machine's words: ``Key switch: on``; one that moves no control stays as it is written."""
    name, _, position = move.partition("=")
    return f"{circuit.controls[name].label}: {position}" if name in circuit.controls else move


def would_words(prediction: Prediction | None) -> str:
    """Return in words what a machine shows."""
    if isinstance(prediction, Reading):
        return _reading_words(prediction)
    return seen_words(prediction or {})


def _reading_words(reading: Reading) -> str:
    if reading.status == "ok":
        return reading.display
    return f"{reading.display} ({reading.status})" if reading.display else reading.status


def finding_words(moment: Moment) -> str:
    """Return a finding in words: where, in which state, what was shown."""
    action, number = moment.action, moment.index + 1
    state = text("finding.state", state=state_words(moment.state.items())) if moment.state else ""
    if isinstance(action, Observed):
        return text("finding.see", number=number, seen=seen_words(action.seen), state=state)
    if not isinstance(action, Measured):
        return str(number)
    probe = action.probe
    where = probe.red if not probe.black else text("finding.where", red=probe.red, black=probe.black)
    if probe.alone:
        where = text("finding.alone", red=probe.red, black=probe.black, part=probe.alone)
    shown = _reading_words(action.reading)
    return text("finding.read", number=number, meter=probe.mode, where=where, shown=shown, state=state)


def action_words(action: Action, circuit: Circuit) -> str:
    """Return in words an action that is no finding: a move, a question to the operator, a look at a place."""
    match action:
        case Move() as move:
            return move_words(str(move), circuit)
        case Asked(question, answer):
            return text("action.asked", question=question, answer=answer)
        case Inspected(at, seen):
            return text("action.inspected", at=at, seen=seen)
    return ""


def complaint_words(case: Case) -> list[str]:
    """Return a complaint in words: the moves, and what was seen after each."""
    return [
        seen_words(action.seen) if isinstance(action, Observed) else action_words(action, case.circuit)
        for action in case.complaint
    ]


def done_words(
    circuit: Circuit, moments: Sequence[Moment], remarks: Callable[[Moment], list[str]] = lambda _: []
) -> list[str]:
    """Return every action in words, with what this machine would have shown where it is something else.

    ``remarks`` are what else there is to say of a moment.
    """
    found: list[str] = []
    cured = False
    for moment in moments:
        said = remarks(moment)
        if moment.would is not None and not moment.true:
            said.append(text("action.not_shown", would=would_words(moment.would)))
        if moment.cured and not cured:
            said.append(text("action.gone"))
        cured = moment.cured
        line = f"{moment.index + 1}: {action_words(moment.action, circuit)}"
        if moment.would is not None:
            line = finding_words(moment)
        found.append(line + (f" ({'; '.join(said)})" if said else ""))
    return found


def examples(words: Iterable[str]) -> str:
    """Return a few words of many, and say how many more there are."""
    listed = list(words)
    more = f", and {len(listed) - MOST_EXAMPLES} more" if len(listed) > MOST_EXAMPLES else ""
    return ", ".join(listed[:MOST_EXAMPLES]) + more


def mark_words(mark: Mark, criterion: str = "") -> str:
    """Return a mark as plain lines: the whole of it, with remarks and disclaimer, or one criterion only."""
    judged = [
        text(
            "nbgrader.line",
            criterion=text(f"criterion.{one.name}"),
            mark=one.mark,
            maximum=one.maximum,
            verdict=one.verdict,
        )
        for one in mark.criteria
        if criterion in ("", one.name)
    ]
    result = text("feedback.passed") if mark.passed else text("feedback.not_passed")
    whole = text("nbgrader.marks", mark=mark.mark, maximum=mark.maximum, result=result)
    lines = judged if criterion else [whole, *mark.hurdles, *judged, *mark.remarks, text("disclaimer")]
    return "".join(textwrap.fill(line, LINE, subsequent_indent="    ") + "\n" for line in lines)
