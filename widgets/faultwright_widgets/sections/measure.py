"""Predicting and measuring."""

from __future__ import annotations

from typing import Any

from faultwright.errors import Refused
from faultwright_widgets.messages import Doing, Message, is_on, text_in
from faultwright_widgets.work import Work


class Measure:
    """The meter, and what is predicted before a reading."""

    def __init__(self, work: Work) -> None:
        """Take the meter in hand."""
        self.meter = work.meter
        self.doing: Doing = {
            "point": lambda message: self.meter.point(text_in(message, "lead"), text_in(message, "terminal").strip()),
            "next": lambda message: self.meter.choose_next(text_in(message, "lead")),
            "meter": self.turn,
            "predict": lambda message: self.meter.predict(text_in(message, "field"), text_in(message, "text")),
            "range": lambda message: self.meter.choose_range(text_in(message, "range")),
            "zero": lambda message: self.meter.zero(on=is_on(message)),
            "hold": lambda message: self.meter.hold(on=is_on(message)),
            "watch": self.watch,
            "read": lambda message: self.meter.read(confirmed=is_on(message)),
            "real": lambda message: self.meter.note_real(text_in(message, "text")),
        }

    def turn(self, message: Message) -> None:
        """Choose the mode, where amps open the circuit, the part measured alone."""
        self.meter.turn_to(**{key: text_in(message, key) for key in ("mode", "at", "alone") if key in message})

    def watch(self, message: Message) -> None:
        """Keep the eyes on the meter while controls move, or no longer."""
        self.meter.watching = is_on(message)

    def state(self) -> dict[str, Any]:
        """Return how the meter stands and what it shows, or why the leads no longer reach."""
        shown, out_of_reach = None, None
        try:
            shown = self.meter.shown()
        except Refused as refused:
            out_of_reach = refused
        return {
            "meter": self.meter.as_json(),
            "prediction": dict(self.meter.prediction),
            "shown": shown,
            "cautions": [{"level": caution.level, "text": caution.text} for caution in self.meter.cautions()],
            "confirm": self.meter.asks_to_confirm,
            "out_of_reach": out_of_reach,
        }
