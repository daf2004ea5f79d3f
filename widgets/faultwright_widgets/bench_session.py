"""A session at the bench, without any Jupyter: what a person does comes in as messages, what there is to see goes out.

A message is a table ``{"do": "move", …}``; :meth:`BenchSession.state` is plain JSON. The state holds what
was done and what is seen, never the faults.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from faultwright.bench import Bench
from faultwright.circuit import FRAME
from faultwright.circuit_file import terminal_mistake
from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import write_json
from faultwright.meter import AMPS, MODES, VOLTS, Probe, Reading, show
from faultwright.moves import Move
from faultwright.quantities import parse_quantity
from faultwright.record import LONGEST_TEXT, Measured, Observed, Record

from .answer_sheet import CONFIDENCES, AnswerSheet, read_answer
from .job_sheet import Questions, probe_points
from .texts import text
from .words import finding_rows, notices, remarks, seen_words, shown, situations, state_words

RED, BLACK = "red", "black"
PREDICTIONS = ("suspect", "expected", "otherwise")
MOST_PROOF_STATES = 64
"""Control states that the proof lists; a circuit with more shows the count alone."""

Message = Mapping[str, Any]


class BenchSession:
    """One person's session: the bench, where the meter's leads are, the prediction and the answer."""

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
        self.ask_expected = ask_expected
        self.mode, self.at, self.alone = VOLTS, "", ""
        self.leads = {RED: "", BLACK: ""}
        self.next_lead = RED
        self.prediction = dict.fromkeys(PREDICTIONS, "")
        self.noted: int | None = None  # the number of the reading that the meter shows now
        self.answer = AnswerSheet(paper)
        self.answer_file = answer_file
        self.alerts: list[dict[str, str]] = []
        self.said: dict[str, str] = {}
        self.foreign = ""  # why the answer file may not be written over
        self.handled = 0
        self._doing: dict[str, Callable[[Message], None]] = {
            "move": self._move,
            "observe": self._observe,
            "point": self._point,
            "next": self._next,
            "meter": self._meter,
            "predict": self._predict,
            "read": self._read,
            "cite": self._cite,
            "claim": self._claim,
            "answer": self._answer,
            "continuity": self._continuity,
            "submit": self._submit,
            "repair": self._repair,
        }
        self._take_up()

    # What comes in

    def handle(self, message: Message) -> None:
        """Do what a message asks; what cannot be done becomes an alert at its place."""
        place = str(message.get("place", "bench"))
        self.alerts, self.said = [], {}
        self.handled += 1
        try:
            do = str(message.get("do"))
            if do not in self._doing:
                raise Refused(unknown("thing to do", do, list(self._doing)))  # noqa: TRY301 - one way to refuse
            self._doing[do](message)
        except Refused as refused:
            self._alert(place, refused)
        self._save()

    def _alert(self, place: str, refused: Refused) -> None:
        self.alerts += [{"place": place, "text": str(mistake)} for mistake in refused.mistakes]

    def fail(self, error: Exception) -> None:
        """Show an error of the toolkit itself, which no person at the bench has made."""
        self.alerts.append({"place": "bench", "text": text("bench.failed", message=f"{type(error).__name__}: {error}")})

    def _move(self, message: Message) -> None:
        self.noted = None
        self.bench.move(_text(message, "move"))

    def _observe(self, _message: Message) -> None:
        self.bench.observe()

    def _point(self, message: Message) -> None:
        terminal, lead = _text(message, "terminal").strip(), _text(message, "lead") or self.next_lead
        if lead not in self.leads:
            raise Refused(unknown("lead", lead, list(self.leads)))
        if terminal:
            mistake = terminal_mistake(terminal, self.circuit.parts)
            if mistake:
                raise Refused(mistake)
            self._check_reach(terminal)
        self.leads[lead] = terminal
        self.noted = None
        self.next_lead = BLACK if lead == RED else RED

    def _check_reach(self, terminal: str) -> None:
        reach = self.circuit.reach
        if not reach or terminal in ("", FRAME):
            return
        if terminal not in reach:
            allowed = ", ".join(probe_points(self.circuit))
            raise Refused(text("measure.unreached", terminal=terminal, allowed=allowed))
        if reach[terminal] and reach[terminal] not in self.bench.machine.wiring.unplugged:
            raise Refused(text("measure.unplug_first", terminal=terminal, part=reach[terminal]))

    def _next(self, message: Message) -> None:
        lead = _text(message, "lead")
        if lead not in self.leads:
            raise Refused(unknown("lead", lead, list(self.leads)))
        self.next_lead = lead

    def _meter(self, message: Message) -> None:
        mode, at, alone = (
            _text(message, key) if key in message else getattr(self, key) for key in ("mode", "at", "alone")
        )
        if mode not in MODES:
            raise Refused(unknown("meter mode", mode, MODES))
        self.mode, self.at, self.alone = mode, at, alone
        self.noted = None

    def _predict(self, message: Message) -> None:
        field = _text(message, "field")
        if field not in PREDICTIONS:
            raise Refused(unknown("prediction", field, PREDICTIONS))
        self.prediction[field] = _text(message, "text")

    def probe(self) -> Probe:
        """Return the measurement as the meter stands now."""
        if self.mode == AMPS and self.at:
            return Probe(AMPS, self.at)
        return Probe(self.mode, self.leads[RED], self.leads[BLACK], self.alone)

    def _read(self, _message: Message) -> None:
        probe = self.probe()
        for terminal in (probe.red, probe.black):
            if not self.at:
                self._check_reach(terminal)
        expected, over_limit = self._expected()
        note = "; ".join(
            text(key, text=self.prediction[field].strip())
            for key, field, given in (
                ("predict.note.suspect", "suspect", bool(self.prediction["suspect"].strip())),
                ("predict.note.over_limit", "expected", over_limit),
                ("predict.note.otherwise", "otherwise", bool(self.prediction["otherwise"].strip())),
            )
            if given
        )
        self.noted, _ = self.bench.read(probe, expected=expected, note=note)
        # The next reading needs a prediction of its own; the suspect is likely the same.
        self.prediction |= {"expected": "", "otherwise": ""}

    def _expected(self) -> tuple[float | None, bool]:
        """Return the expected value in the reading's unit, and whether OL is expected."""
        written = self.prediction["expected"].strip()
        if not written:
            if self.ask_expected:
                raise Refused(text("predict.needed"))
            return None, False
        if written.casefold() in ("ol", "o.l", "0l", "0.l"):
            return None, True
        return parse_quantity(written, show(self.mode, 0.0).unit), False

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
        )
        where = self.answer_file
        said = text("conclusion.submitted", file=where.name) if where else text("conclusion.submitted_unsaved")
        self.said["conclusion"] = f"{said} {text('conclusion.gaps', gaps=', '.join(gaps))}" if gaps else said

    def _repair(self, message: Message) -> None:
        place, remedy = _text(message, "at"), _text(message, "remedy")
        if not place or not remedy:
            raise Refused(text("repair.choose"))
        self.noted = None
        self.bench.move(f"repair={place} {remedy}")
        self.said["repair"] = text("repair.done", place=place, remedy=remedy)

    # Keeping it

    def _take_up(self) -> None:
        """Take up the draft in the answer file, and its record where the bench has none of its own."""
        if self.answer_file is None or not self.answer_file.exists():
            return
        try:
            sheet, record = read_answer(self.answer_file, self.circuit)
        except Refused as refused:
            self._note_foreign(refused)
            return
        if not self.bench.actions:
            self._take_up_record(record)
        findings = {number for number, _ in self.bench.record.findings()}
        sheet.cited = [number for number in sheet.cited if number in findings]
        sheet.paper = self.answer.paper or sheet.paper
        self.answer = sheet

    def _take_up_record(self, record: Record) -> None:
        for action in record.actions:
            if isinstance(action, Move):
                self.bench.step = self.bench.machine.move(action)
            self.bench.actions.append(action)

    def _note_foreign(self, refused: Refused) -> None:
        assert self.answer_file is not None  # noqa: S101 - only a file can hold something else
        self.foreign = refused.mistakes[0].message
        self._alert("bench", Refused(text("file.foreign", file=self.answer_file.name, why=self.foreign)))

    def _save(self) -> None:
        if self.answer_file is None:
            return
        if self.foreign and self.answer_file.exists():
            self._note_foreign(Refused(self.foreign))
            return
        self.foreign = ""
        try:
            write_json(self.answer_file, self.answer.as_json(self.bench.record))
        except Refused as refused:
            self._alert("bench", refused)

    # What goes out

    def state(self) -> dict[str, Any]:
        """Return everything that changes, as plain JSON."""
        step, machine = self.bench.step, self.bench.machine
        rows = finding_rows(self.circuit, self.bench.actions)
        for row in rows:
            row["cited"] = row["index"] in self.answer.cited
        return {
            "handled": self.handled,
            "controls": dict(machine.state),
            "seen": [
                {"name": name, "kind": self.circuit.behaviour[name].kind, "words": seen_words(self.circuit, name, value)}
                for name, value in step.seen.items()
            ],
            "notices": notices(step),
            "wiring": self._wiring(),
            "isolated": sorted(machine.wiring.unplugged),
            "meter": {
                "mode": self.mode,
                "at": self.at if self.mode == AMPS else "",
                "alone": self.alone,
                "next": self.next_lead,
                **self.leads,
            },
            "shown": self._shown(),
            "prediction": dict(self.prediction),
            "findings": rows,
            "answer": {
                "claim": list(self.answer.claim),
                "calculation": self.answer.calculation,
                "continuity": dict(self.answer.continuity),
                "remedy": self.answer.remedy,
                "confidence": self.answer.confidence,
            },
            "proof": self._proof(),
            "alerts": list(self.alerts),
            "said": dict(self.said),
        }

    def _wiring(self) -> list[dict[str, str]]:
        """Return what has been done to the wiring, each with the move that undoes it."""
        machine, lamps = self.bench.machine, self.bench.step.test_lamps
        found = []
        for target in sorted(machine.wiring.unplugged):
            whole = target in self.circuit.parts
            says = text("wiring.unplugged" if whole else "wiring.lifted", target=target)
            undo = text("wiring.mate" if whole else "wiring.join", target=target)
            found.append({"words": says, "undo": undo, "move": f"mate={target}"})
        for first, second in machine.wiring.bridges:
            says = text("wiring.bridge", first=first, second=second)
            found.append({"words": says, "undo": text("wiring.unbridge"), "move": f"unbridge={first},{second}"})
        for first, second in machine.wiring.loads:
            lamp = lamps.get(f"{first},{second}", "off")
            says = text("wiring.load", first=first, second=second, lamp=text(f"seen.lamp.{lamp}"))
            found.append({"words": says, "undo": text("wiring.unload"), "move": f"unload={first},{second}"})
        if machine.disturbed:
            says = text("wiring.disturbed", target=machine.disturbed)
            found.append({"words": says, "undo": text("wiring.leave"), "move": "disturb=nothing"})
        return found

    def _shown(self) -> dict[str, Any] | None:
        """Return what the meter shows: the reading just noted, or volts live where no prediction is asked for.

        The other modes act on the circuit or can harm the meter, so they show only what is taken and noted.
        """
        if self.noted is not None:
            action = self.bench.actions[self.noted]
            assert isinstance(action, Measured)  # noqa: S101 - set by _read alone
            said = text("measure.noted", number=self.noted + 1)
            return _display(action.probe, action.reading, said, energised=action.energised)
        if self.mode != VOLTS or self.ask_expected or not all(self.leads.values()):
            return None
        try:
            for terminal in self.leads.values():
                self._check_reach(terminal)
            reading = self.bench.try_reading(self.probe())
        except Refused as refused:
            self._alert("measure", refused)
            return None
        return _display(self.probe(), reading, text("measure.live_display"))

    def _proof(self) -> dict[str, Any]:
        """Return which control states have been noted since the last repair, with the machine as it should be wired."""
        count = math.prod(len(control.positions) for control in self.circuit.controls.values())
        every = list(situations(self.circuit, self.bench.actions))
        repairs = every[-1][2].repairs if every else 0
        noted = {
            tuple(situation.state.values()): number + 1
            for number, action, situation in every
            if repairs and situation.repairs == repairs and situation.untouched and isinstance(action, Observed)
        }
        states = list(self.circuit.states()) if count <= MOST_PROOF_STATES else []
        rows = [
            {"state": state_words(self.circuit, state), "number": noted.get(tuple(state.values()), 0)} for state in states
        ]
        return {"repaired": repairs > 0, "rows": rows, "done": len(noted), "all": count}


def _display(probe: Probe, reading: Reading, said: str, *, energised: bool = False) -> dict[str, Any]:
    return {"display": shown(reading), "said": said, "remarks": remarks(probe, reading, energised=energised)}


def _text(message: Message, key: str) -> str:
    """Return a text of a message, which comes from outside: short, or refused."""
    value = message.get(key) or ""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise Refused(f"{key!r} must be text of at most {LONGEST_TEXT} characters")
    return value
