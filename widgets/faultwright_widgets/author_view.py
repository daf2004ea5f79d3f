"""The author view as a widget: put a fault in, and see what a student would see and who is suspected.

It names the fault, so it is for whoever prepares a case.
"""

from __future__ import annotations

from faultwright.bench import Bench
from faultwright.circuit import Circuit

from .author_session import AuthorSession
from .bench_view import BenchView
from .exercise import Exercise
from .job_sheet import fault_places
from .session_view import SessionView, script


class AuthorView(SessionView):
    """A circuit, and whatever fault its author puts in. Raises Refused where it has too many control states."""

    _esm = script("dom.js", "author.js")
    failed = "author.failed"

    def __init__(self, circuit: Circuit) -> None:
        self.session = AuthorSession(circuit)
        super().__init__(self.session, {"title": circuit.title or circuit.name, "places": fault_places(circuit)})

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"AuthorView({self.session.circuit.name})"

    def bench(self, exercise: Exercise | None = None) -> BenchView:
        """Return a new bench with the fault that is in now, as a student would get it."""
        fault = self.session.fault
        return BenchView(Bench(self.session.circuit, [fault] if fault else []), exercise)
