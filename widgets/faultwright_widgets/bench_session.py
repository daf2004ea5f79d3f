"""A session at the bench, without any Jupyter: what a person does comes in as messages, what there is to see goes out.

A message is a table ``{"do": "move", …}``; :meth:`BenchSession.state` is plain JSON. The state holds what
was done and what is seen, never the faults.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from faultwright.bench import Bench
from faultwright.errors import Refused, unknown

from .exercise import Exercise
from .keeping import AnswerFile
from .messages import Message
from .sections import Section
from .sections.conclusion import Conclusion
from .sections.findings import Findings
from .sections.helping import Helping
from .sections.look import Look
from .sections.measure import Measure
from .sections.operate import Operate
from .sections.repair import Repair
from .texts import text
from .work import Work

_SECTIONS: tuple[Callable[[Work], Section], ...] = (Look, Operate, Measure, Findings, Helping, Conclusion, Repair)
"""In the order of the job sheet."""


class BenchSession:
    """One person's session: their work, the sections of the job sheet, and the file that keeps it."""

    def __init__(self, bench: Bench, exercise: Exercise | None = None, *, answer_file: Path | None = None) -> None:
        """Set up, and take up the answer in ``answer_file`` if there is one."""
        self.work = Work(bench, exercise or Exercise(), answer_kept=answer_file is not None)
        self.sections: list[Section] = [make(self.work) for make in _SECTIONS]
        self.doing = {name: do for section in self.sections for name, do in section.doing.items()}
        self.doing |= {"look": lambda _: None, "submit": self._submit}
        self.alerts: list[dict[str, str]] = []
        self.file = AnswerFile(answer_file) if answer_file is not None else None
        self._handled = 0
        self._unsaved = False
        if self.file is not None:
            try:
                self.file.take_up(self.work)
            except Refused as refused:
                self._alert("bench", refused)
        self._follow_repair()

    # What comes in

    def handle(self, message: Message) -> None:
        """Do what a message asks and save the work; what cannot be done becomes an alert at its place."""
        self.do(message)
        self.save()

    def do(self, message: Message) -> None:
        """Do what a message asks. :meth:`save` is to follow; what is said to be submitted is saved already."""
        self._unsaved = True
        self.alerts = []
        self.work.said.clear()
        self._handled += 1
        do = message.get("do")
        try:
            if do not in self.doing:
                raise Refused(unknown("thing to do", str(do), list(self.doing)))  # noqa: TRY301 - one way to refuse
            self.doing[do](message)
        except Refused as refused:
            self._alert(str(message.get("place", "bench")), refused)
        self._follow_repair()
        if "submit" in self.work.said:
            self.save()

    def fail(self, error: Exception) -> None:
        """Show an error of the toolkit itself, which no person at the bench has made."""
        self.alerts.append({"place": "bench", "text": text("bench.failed", message=f"{type(error).__name__}: {error}")})

    def _alert(self, place: str, refused: Refused) -> None:
        self.alerts += _alerts(place, refused)

    def _submit(self, _message: Message) -> None:
        self.work.answer.check()
        self.work.submitted = True
        gaps = self.work.gaps()
        said = text("submit.submitted", file=self.file.path.name) if self.file else text("submit.unsaved")
        self.work.said["submit"] = f"{said} {text('submit.gaps', gaps=', '.join(gaps))}" if gaps else said

    def _follow_repair(self) -> None:
        """Let the answer's remedy be what was done: it is not asked for twice."""
        self.work.answer.remedy = self.work.last_repair() or self.work.answer.remedy

    def save(self) -> bool:
        """Save the work, once for what was done last; what cannot be saved becomes an alert, and False is returned."""
        if self.file is None or not self._unsaved:
            return True
        self._unsaved = False
        try:
            self.file.save(self.work)
        except Refused as refused:
            self.work.said.pop("submit", None)  # what is not saved is not submitted
            self._alert("bench", refused)
            return False
        return True

    # What goes out

    def state(self) -> dict[str, Any]:
        """Return everything that changes, as plain JSON: each section's part, what is refused and what is said."""
        found: dict[str, Any] = {}
        alerts = list(self.alerts)
        for section in self.sections:
            found |= section.state()
        alerts += _alerts("measure", found.pop("out_of_reach"))
        return found | {"handled": self._handled, "alerts": alerts, "said": dict(self.work.said)}


def _alerts(place: str, refused: Refused | None) -> list[dict[str, str]]:
    return [{"place": place, "text": str(mistake)} for mistake in refused.mistakes] if refused else []
