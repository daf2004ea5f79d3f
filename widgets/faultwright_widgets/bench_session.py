"""A session at the bench, without any Jupyter: what a person does comes in as messages, what there is to see goes out.

A message is a table ``{"do": "move", …}``; :meth:`BenchSession.state` is plain JSON. The state holds what
was done and what is seen, never the faults.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from faultwright.bench import Bench
from faultwright.errors import Refused, unknown
from faultwright.files import write_json
from faultwright.record import CONFIDENCES, LONGEST_TEXT

from .answer_sheet import AnswerSheet, read_answer
from .job_sheet import Questions
from .meter_panel import MeterPanel
from .proof import proof
from .texts import text
from .words import across_a_switch, finding_rows, notices, plain_name, seen_words, wiring_rows

Message = Mapping[str, Any]


class BenchSession:
    """One person's session: the bench, the meter and the answer."""

    def __init__(
        self,
        bench: Bench,
        *,
        questions: Questions | None = None,
        paper: str = "",
        answer_file: Path | None = None,
        ask_expected: bool = False,
    ) -> None:
        """Set up, and take up the answer in ``answer_file`` if there is one."""
        self.bench = bench
        self.circuit = bench.circuit
        self.questions: Questions = questions or {}
        self.meter = MeterPanel(bench, ask_expected=ask_expected)
        self.answer = AnswerSheet(paper)
        self.answer_file = answer_file
        self.alerts: list[dict[str, str]] = []
        self.said: dict[str, str] = {}
        self._foreign = ""  # why the answer file may not be written over
        self._handled = 0
        self._doing: dict[str, Callable[[Message], None]] = {
            "look": lambda _: None,
            "move": self._move,
            "observe": self._observe,
            "point": lambda message: self.meter.point(_text(message, "lead"), _text(message, "terminal").strip()),
            "next": lambda message: self.meter.choose_next(_text(message, "lead")),
            "meter": self._meter,
            "predict": lambda message: self.meter.predict(_text(message, "field"), _text(message, "text")),
            "read": lambda _: self.meter.read(),
            "cite": self._cite,
            "claim": self._claim,
            "answer": self._answer,
            "continuity": self._continuity,
            "submit": self._submit,
            "repair": self._repair,
        }
        self._take_up()
        self._follow_repair()

    # What comes in

    def handle(self, message: Message) -> None:
        """Do what a message asks; what cannot be done becomes an alert at its place."""
        self.alerts, self.said = [], {}
        self._handled += 1
        do = message.get("do")
        try:
            if do not in self._doing:
                raise Refused(unknown("thing to do", str(do), list(self._doing)))  # noqa: TRY301 - one way to refuse
            self._doing[do](message)
        except Refused as refused:
            self._alert(str(message.get("place", "bench")), refused)
        self._follow_repair()
        self._save()

    def fail(self, error: Exception) -> None:
        """Show an error of the toolkit itself, which no person at the bench has made."""
        self.alerts.append({"place": "bench", "text": text("bench.failed", message=f"{type(error).__name__}: {error}")})

    def _alert(self, place: str, refused: Refused) -> None:
        self.alerts += _alerts(place, refused)

    def _move(self, message: Message) -> None:
        self.meter.clear()
        before = self.bench.machine.wiring.bridges
        self.bench.move(_text(message, "move"))
        added = [pair for pair in self.bench.machine.wiring.bridges if pair not in before]
        if any(across_a_switch(self.circuit, *pair) for pair in added):
            self.said["operate"] = text("operate.bridged_switch")

    def _observe(self, _message: Message) -> None:
        self.bench.observe()

    def _meter(self, message: Message) -> None:
        given = {key: _text(message, key) for key in ("mode", "at", "alone") if key in message}
        self.meter.turn_to(**given)

    def _cite(self, message: Message) -> None:
        index, cited = message.get("index"), set(self.answer.cited)
        if index not in {number for number, _ in self.bench.record.findings()}:
            raise Refused(f"action {index!r} is no finding")
        self.answer.cited = sorted(cited | {index} if message.get("on") is True else cited - {index})

    def _claim(self, message: Message) -> None:
        fault = _text(message, "fault")
        others = [name for name in self.answer.claim if name != fault]
        self.answer.claim = [*others, fault] if message.get("on") is True else others

    def _answer(self, message: Message) -> None:
        field, written = _text(message, "field"), _text(message, "text")
        if field == "confidence" and written not in ("", *CONFIDENCES):
            raise Refused(unknown("confidence", written, CONFIDENCES))
        if field not in ("calculation", "remedy", "confidence"):
            raise Refused(unknown("part of the answer", field, ["calculation", "remedy", "confidence"]))
        done = self._last_repair()
        if field == "remedy" and done and written != done:
            raise Refused(text("conclusion.remedy_is_done", repair=done))
        setattr(self.answer, field, written)

    def _continuity(self, message: Message) -> None:
        asked = [question["id"] for question in self.questions.get("continuity", [])]
        question = _text(message, "id")
        if question not in asked:
            raise Refused(unknown("continuity question", question, asked))
        self.answer.continuity[question] = _text(message, "text")

    def _submit(self, _message: Message) -> None:
        self.answer.check()
        self._save()
        if self.alerts:
            return
        gaps = self.answer.gaps(
            calculation="calculation" in self.questions,
            continuity=[question["id"] for question in self.questions.get("continuity", [])],
            proven=proof(self.circuit, self.bench.actions)["done"] > 0,
        )
        where = self.answer_file
        said = text("submit.submitted", file=where.name) if where else text("submit.unsaved")
        self.said["submit"] = f"{said} {text('submit.gaps', gaps=', '.join(gaps))}" if gaps else said

    def _repair(self, message: Message) -> None:
        place, remedy = _text(message, "at"), _text(message, "remedy")
        if not place or not remedy:
            raise Refused(text("repair.choose"))
        self.meter.clear()
        live = self.bench.machine.delivers()
        self.bench.move(f"repair={place} {remedy}")
        done = text("repair.done", place=place, remedy=remedy)
        self.said["repair"] = f"{text('repair.isolate')} {done}" if live else done

    def _last_repair(self) -> str:
        """Return the last repair done at the bench, as ``PLACE REMEDY``, or nothing."""
        repairs = [move for move in self.bench.record.moves() if move.verb == "repair"]
        return f"{repairs[-1].target} {repairs[-1].value}" if repairs else ""

    def _follow_repair(self) -> None:
        """Let the answer's remedy be what was done: it is not asked for twice."""
        self.answer.remedy = self._last_repair() or self.answer.remedy

    # Keeping it

    def _take_up(self) -> None:
        """Take up the draft in the answer file, and its record where the bench has none of its own."""
        if self.answer_file is None or not self.answer_file.exists():
            return
        try:
            sheet, record = read_answer(self.answer_file, self.circuit)
            if sheet.paper != self.answer.paper:
                raise Refused(text("file.other_paper", found=sheet.paper, wanted=self.answer.paper))  # noqa: TRY301 - as above
        except Refused as refused:
            self._note_foreign(refused)
            return
        if not self.bench.actions:
            self.bench.take_up(record)
        findings = {number for number, _ in self.bench.record.findings()}
        lost = [number for number in sheet.cited if number not in findings]
        if lost:
            sheet.cited = [number for number in sheet.cited if number in findings]
            numbers = ", ".join(str(number + 1) for number in lost)
            self._alert("findings", Refused(text("file.lost_citations", numbers=numbers)))
        self.answer = sheet

    def _note_foreign(self, refused: Refused) -> None:
        assert self.answer_file is not None  # noqa: S101 - only a file can hold something else
        self._foreign = refused.mistakes[0].message
        self._alert("bench", Refused(text("file.foreign", file=self.answer_file.name, why=self._foreign)))

    def _save(self) -> None:
        if self.answer_file is None:
            return
        if self._foreign and self.answer_file.exists():
            self._note_foreign(Refused(self._foreign))
            return
        self._foreign = ""
        try:
            write_json(self.answer_file, self.answer.as_json(self.bench.record))
        except Refused as refused:
            self._alert("bench", refused)

    # What goes out

    def state(self) -> dict[str, Any]:
        """Return everything that changes, as plain JSON."""
        step, machine = self.bench.step, self.bench.machine
        alerts = list(self.alerts)
        try:
            shown = self.meter.shown()
        except Refused as refused:
            shown = None
            alerts += _alerts("measure", refused)
        rows = finding_rows(self.circuit, self.bench.actions)
        return {
            "handled": self._handled,
            "controls": dict(machine.state),
            "seen": [
                {"name": name, "label": plain_name(name), "words": seen_words(value)}
                for name, value in step.seen.items()
            ],
            "notices": notices(step),
            "wiring": wiring_rows(machine, step.test_lamps),
            "unplugged": sorted(machine.wiring.unplugged),
            "meter": self.meter.as_json(),
            "shown": shown,
            "prediction": dict(self.meter.prediction),
            "findings": [row | {"cited": row["index"] in self.answer.cited} for row in rows],
            "answer": {
                "claim": list(self.answer.claim),
                "calculation": self.answer.calculation,
                "continuity": dict(self.answer.continuity),
                "remedy": self.answer.remedy,
                "confidence": self.answer.confidence,
            },
            "repair": self._last_repair(),
            "proof": proof(self.circuit, self.bench.actions),
            "alerts": alerts,
            "said": dict(self.said),
        }


def _alerts(place: str, refused: Refused) -> list[dict[str, str]]:
    return [{"place": place, "text": str(mistake)} for mistake in refused.mistakes]


def _text(message: Message, key: str) -> str:
    """Return a text of a message, which comes from outside: short, or refused."""
    value = message.get(key) or ""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise Refused(f"{key!r} must be text of at most {LONGEST_TEXT} characters")
    return value
