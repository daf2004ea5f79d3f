"""The meter as a person handles it: its mode, where the leads are, what is predicted, and what it shows."""

from __future__ import annotations

from typing import Any

from faultwright.bench import Bench, Watched
from faultwright.cautions import CRITICAL, Caution, cautions
from faultwright.circuit import FRAME, Circuit
from faultwright.circuit_file import terminal_mistake
from faultwright.errors import Mistake, Refused, unknown
from faultwright.meter import AMPS, CONTINUITY, LEADS, MODES, OHMS, SCALES, VOLTS, Probe, Reading, show
from faultwright.parts import terminals
from faultwright.quantities import parse_quantity
from faultwright.record import Measured
from faultwright.scale import AUTO
from faultwright.typed_readings import parse_display, parse_range

from .exercise import Exercise
from .job_sheet import probe_points
from .texts import text
from .words import as_written, remarks, shown

RED, BLACK = "red", "black"
PREDICTIONS = ("suspect", "expected", "otherwise")
_OVER_LIMIT = ("ol", "o.l", "0l", "0.l")


class MeterPanel:
    """The meter on a bench. Nothing is shown before what the exercise requires has been predicted."""

    def __init__(self, bench: Bench, exercise: Exercise) -> None:
        """Start on volts with both leads in the air."""
        self.bench = bench
        self.required = exercise.required
        self.mode, self.at, self.alone = VOLTS, "", ""
        self.leads = {RED: "", BLACK: ""}
        self.next_lead = RED
        self.range, self.zeroed, self.watching = AUTO, True, False
        self.prediction = dict.fromkeys(PREDICTIONS, "")
        self.asks_to_confirm = False
        self._noted: int | None = None
        self._watched: Watched | None = None
        self._held: dict[str, Any] | None = None

    def clear(self) -> None:
        """Show no longer what was noted: something has changed since."""
        self._noted, self._watched, self.asks_to_confirm = None, None, False

    def point(self, lead: str, terminal: str) -> None:
        """Put a lead (or the next one) on a terminal, or take it off. Raises Refused where it cannot be put."""
        lead = lead or self.next_lead
        self.choose_next(lead)
        if terminal:
            terminal = _as_written(terminal, self.bench.circuit)
            mistake = terminal_mistake(terminal, self.bench.circuit.parts)
            if mistake:
                raise Refused(mistake)
            self._check_reach(terminal)
        self.leads[lead] = terminal
        self.next_lead = BLACK if lead == RED else RED
        self.clear()

    def choose_next(self, lead: str) -> None:
        """Choose the lead that the next click on the drawing puts."""
        if lead not in self.leads:
            raise Refused(unknown("lead", lead, list(self.leads)))
        self.next_lead = lead

    def turn_to(self, *, mode: str | None = None, at: str | None = None, alone: str | None = None) -> None:
        """Choose the mode, where amps open the circuit, and the part that is measured alone; None leaves it.

        In another mode the meter chooses its range itself again.
        """
        if mode is not None and mode not in MODES:
            raise Refused(unknown("meter mode", mode, MODES))
        if mode not in (None, self.mode):
            self.range = AUTO
        self.mode = self.mode if mode is None else mode
        self.at = self.at if at is None else at
        self.alone = self.alone if alone is None else alone
        self.clear()

    def predict(self, field: str, written: str) -> None:
        """Keep what a person writes before a reading: the suspect, the expected value, what it is otherwise."""
        if field not in PREDICTIONS:
            raise Refused(unknown("prediction", field, PREDICTIONS))
        self.prediction[field] = written

    def choose_range(self, name: str) -> None:
        """Choose a range by its name, such as ``60 V``; without one the meter chooses. Raises Refused."""
        self.range = parse_range(self.mode, name) if name else AUTO
        self.clear()

    def zero(self, *, on: bool) -> None:
        """Zero the leads, or leave what they have in the reading."""
        self.zeroed = on
        self.clear()

    def hold(self, *, on: bool) -> None:
        """Keep what the meter shows now while things move, or let it go. Raises Refused where it shows nothing."""
        self._held = None
        if on:
            found = self.shown()
            if found is None:
                raise Refused(text("measure.nothing_to_hold"))
            self._held = {**found, "said": text("measure.held"), "watched": []}

    def cautions(self) -> list[Caution]:
        """Return what is to be said before a reading is taken with the leads as they are."""
        if not (self.mode == AMPS and self.at) and not all(self.leads.values()):
            return []
        try:
            return list(cautions(self.bench.machine, self._probe()))
        except Refused:
            return []  # why it cannot be made is said when the reading is asked for

    def read(self, *, confirmed: bool = False) -> None:
        """Take the reading and note it with its prediction; one that is critical only once that is confirmed."""
        expected, note = self._predicted()
        critical = [caution for caution in self.cautions() if caution.level == CRITICAL]
        if critical and not confirmed:
            self.asks_to_confirm = True
            return
        self.clear()
        warned = [text("measure.warned", caution=caution.text) for caution in critical]
        noted = "; ".join(filter(None, [note, *warned]))
        self._noted, _ = self.bench.read(self._probe(), expected=expected, note=noted)
        self._forget_prediction()

    def watch(self, move: str) -> None:
        """Make a move with the eyes on the meter, and note the move and what the meter did."""
        expected, note = self._predicted()
        self.clear()
        self._watched = self.bench.watch(move, self._probe(), expected=expected, note=note)
        self._noted = self._watched.number
        self._forget_prediction()

    def note_real(self, display: str) -> None:
        """Note what a real meter showed, as typed, with the leads and the mode as they stand here."""
        expected, note = self._predicted()
        probe = self._probe()
        reading = parse_display(self.mode, display, self.range)
        self.clear()
        self._noted = self.bench.note_real(probe, reading, expected=expected, note=note)
        self._forget_prediction()

    def _forget_prediction(self) -> None:
        """The next reading needs a prediction of its own; the suspect is likely the same."""
        self.prediction |= {"expected": "", "otherwise": ""}

    def _predicted(self) -> tuple[float | None, str]:
        """Return the expected value and the rest of the prediction as a note. Raises Refused where it is missing."""
        self._check_leads()
        missing = [name for name in self.required if not self.prediction[name].strip()]
        if missing:
            raise Refused([Mistake(text(f"predict.needed_{name}")) for name in missing])
        expected, over_limit = self._expected()
        suspect, otherwise = self.prediction["suspect"].strip(), self.prediction["otherwise"].strip()
        note = [
            *([text("predict.note.suspect", text=suspect)] if suspect else []),
            *([text("predict.note.over_limit")] if over_limit else []),
            *([text("predict.note.otherwise", text=otherwise)] if otherwise else []),
        ]
        return expected, "; ".join(note)

    def as_json(self) -> dict[str, Any]:
        """Return how the meter stands."""
        at, alone = (self.at, "") if self.mode == AMPS else ("", self.alone)
        scale = SCALES[self.mode]
        names = [scale.name(full) for full in scale.ranges()]
        return {
            "mode": self.mode,
            "at": at,
            "alone": alone,
            "next": self.next_lead,
            **self.leads,
            "range": scale.name(self.range) if self.range else "",
            "ranges": names if self.mode in (VOLTS, AMPS, OHMS) else [],
            "zeroed": self.zeroed,
            "has_leads": self.mode in (OHMS, CONTINUITY),
            "held": self._held is not None,
            "watching": self.watching,
        }

    def shown(self) -> dict[str, Any] | None:
        """Return what the meter shows: the reading just noted, or volts live where no prediction is asked for.

        The other modes act on the circuit or can harm the meter, so they show only what is taken and noted.
        Raises Refused where the leads no longer reach.
        """
        if self._held is not None:
            return self._held
        if self._noted is not None:
            action = self.bench.actions[self._noted]
            assert isinstance(action, Measured)  # noqa: S101 - read() alone sets the number
            said = text("measure.noted", number=self._noted + 1)
            found = _display(action.probe, action.reading, said, energised=action.energised)
            if self._watched is not None:
                displays = [shown(reading) for reading in self._watched.readings]
                found |= {"watched": displays, "course": text("measure.watched", words=self._watched.words)}
            return found
        if self.mode != VOLTS or self.required or not all(self.leads.values()):
            return None
        self._check_leads()
        probe = self._probe()
        return _display(probe, self.bench.try_reading(probe), text("measure.live_display"))

    def _probe(self) -> Probe:
        if self.mode == AMPS and self.at:
            return Probe(AMPS, self.at, range=self.range)
        alone = "" if self.mode == AMPS else self.alone
        leads = 0.0 if self.zeroed or self.mode not in (OHMS, CONTINUITY) else LEADS
        return Probe(self.mode, self.leads[RED], self.leads[BLACK], alone, leads, self.range)

    def _expected(self) -> tuple[float | None, bool]:
        """Return the expected value in the reading's unit, and whether OL is expected."""
        written = self.prediction["expected"].strip()
        if not written:
            return None, False
        if written.casefold() in _OVER_LIMIT:
            return None, True
        return parse_quantity(written, show(self.mode, 0.0).unit), False

    def _check_leads(self) -> None:
        """Refuse leads that no longer reach, since a connector may have been mated; in the hand all is in reach."""
        if not self.alone and not (self.mode == AMPS and self.at):
            for terminal in self.leads.values():
                self._check_reach(terminal)

    def _check_reach(self, terminal: str) -> None:
        reach = self.bench.circuit.reach
        if not reach or terminal in ("", FRAME):
            return
        if terminal not in reach:
            allowed = ", ".join(probe_points(self.bench.circuit))
            raise Refused(text("measure.unreached", terminal=terminal, allowed=allowed))
        if reach[terminal] and reach[terminal] not in self.bench.machine.wiring.unplugged:
            raise Refused(text("measure.unplug_first", terminal=terminal, part=reach[terminal]))


def _as_written(typed: str, circuit: Circuit) -> str:
    """Return the terminal meant by what was typed, where only capitals tell it from exactly one: ``frame``."""
    return as_written(typed, [FRAME, *(terminal for part in circuit.parts.values() for terminal in terminals(part))])


def _display(probe: Probe, reading: Reading, said: str, *, energised: bool = False) -> dict[str, Any]:
    return {
        "display": shown(reading),
        "said": said,
        "remarks": remarks(probe, reading, energised=energised),
        "watched": [],
        "course": "",
    }
