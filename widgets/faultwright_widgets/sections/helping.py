"""Help in steps, in practice: why a finding misled, which state differs, suspects compared, the best test, a replay.

Each step is worked out when it is asked for and kept as it was then, so that the state costs nothing. The first four
steps follow from the circuit and the record alone; only the worked search, which comes afterwards, knows what is wrong.
What works them out needs numpy, so it is loaded when the first step is asked for and not with the bench.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from faultwright.errors import Refused, unknown
from faultwright.faults import universe
from faultwright.noted_states import differing_states
from faultwright_widgets.messages import Doing, Message
from faultwright_widgets.proof import proven
from faultwright_widgets.texts import text
from faultwright_widgets.words import finding_words
from faultwright_widgets.work import Work

if TYPE_CHECKING:
    from faultwright.suspects import Suspects

OPEN, ASK, CONFIRM = "open", "ask", "confirm"
"""Whether the worked search can be shown at once, must be asked for, or asked for once more."""


class Helping:
    """The steps of help. Where an exercise gives none, it can be asked for nothing and shows nothing."""

    def __init__(self, work: Work) -> None:
        """Stand by."""
        self.work = work
        self.used: Counter[str] = Counter()
        self.given: dict[str, dict[str, Any]] = {}
        self._suspects: tuple[int, Suspects] | None = None
        self._asked_at: int | None = None
        self._gave_up = False
        steps: Doing = {
            "why": self.why,
            "differs": self.states,
            "commit": self.commit,
            "best": self.best,
            "replay": self.replay,
        }
        self.doing: Doing = steps if work.exercise.helps else {}

    def why(self, message: Message) -> None:
        """Say why a finding, by default the last, can mislead."""
        from faultwright.misleading import misleading  # noqa: PLC0415 - see above

        record = self.work.bench.record
        index = message.get("index")
        if index is None:
            index = max((number for number, _ in record.findings()), default=None)
            if index is None:
                raise Refused(text("helping.why_none"))
        if type(index) is not int:
            raise Refused(f"action {index!r} is no finding")
        lines = misleading(self.work.circuit, record, index)
        what, shown = finding_words(record.actions[index])
        said = text("helping.why_said", number=index + 1, what=what, shown=shown, count=len(lines))
        self._give("why", said, lines=lines)

    def states(self, _message: Message) -> None:
        """Hold the control states noted side by side."""
        lines = differing_states(self.work.circuit, self.work.bench.record)
        self._give("states", text("helping.states_said"), lines=lines)

    def commit(self, message: Message) -> None:
        """Take a list of suspects, and hold it against what the findings leave."""
        from faultwright_widgets.comparing import compared  # noqa: PLC0415 - see above

        mine = _suspects_in(message, list(universe(self.work.circuit)))
        found = self._left()
        entries = compared(self.work.circuit, self.work.bench.record, mine, found)
        self._give("compare", entries.pop("said"), mine=mine, **entries)

    def best(self, _message: Message) -> None:
        """Name the best test now."""
        from faultwright.next_test import next_test  # noqa: PLC0415 - see above
        from faultwright_widgets.comparing import words_of_test  # noqa: PLC0415 - see above

        if "compare" not in self.given:
            raise Refused(text("helping.best_first"))
        found = self._left()
        faults = list(found.faults.values())
        left = len(faults) + found.healthy
        test = next_test(self.work.circuit, self.work.bench.record, faults, healthy=found.healthy)
        if not left:
            said = text("helping.best_conflict")
        elif test is None:
            said = text("helping.best_none", left=left)
        else:
            words = words_of_test(self.work.circuit, test.candidate)
            said = text("helping.best_said", test=words, left=left, parts=len(test.parts), most=test.parts[0])
        self._give("best", said)

    def replay(self, _message: Message) -> None:
        """Show the person's search beside a worked one, once the work is done or given up."""
        from faultwright.worked_search import complaint_of, worked_search  # noqa: PLC0415 - see above
        from faultwright_widgets.comparing import search_words  # noqa: PLC0415 - see above

        gate = self._gate()
        if gate == ASK:
            self._asked_at = len(self.work.bench.actions)
            self.work.said["helping"] = text("helping.replay_sure")
            return
        self._gave_up = self._gave_up or gate == CONFIRM
        circuit, bench = self.work.circuit, self.work.bench
        faults = bench.uncover()
        worked = worked_search(circuit, faults, complaint_of(bench.record))
        named = ", ".join(map(str, faults)) or text("helping.replay_nothing")
        yours, theirs = search_words(circuit, bench.record), search_words(circuit, worked)
        self._give("replay", text("helping.replay_said", faults=named), yours=yours, worked=theirs)

    def state(self) -> dict[str, Any]:
        """Return what has been given, each with whether anything was done since; nothing where there is no help."""
        if not self.work.exercise.helps:
            return {}
        now = len(self.work.bench.actions)
        steps = [text("helping.times", step=text(f"helping.{step}"), count=count) for step, count in self.used.items()]
        return {
            "helping": {
                "given": {step: entry | {"stale": entry["at"] != now} for step, entry in self.given.items()},
                "used": text("helping.used", steps=", ".join(steps)) if steps else "",
                "gate": self._gate(),
            }
        }

    def _give(self, step: str, said: str, **entries: object) -> None:
        """Keep what a step gives, note that it was asked for, and say it in one sentence."""
        self.given[step] = {"said": said, "at": len(self.work.bench.actions), **entries}
        self.used[step] += 1
        self.work.said["helping"] = said

    def _left(self) -> Suspects:
        """Return what the record leaves; worked out once until it grows."""
        from faultwright.suspects import find_suspects  # noqa: PLC0415 - see above

        now = len(self.work.bench.actions)
        if self._suspects is None or self._suspects[0] != now:
            self._suspects = now, find_suspects(self.work.circuit, self.work.bench.record)
        return self._suspects[1]

    def _gate(self) -> str:
        work = self.work
        if self._gave_up or work.submitted or proven(work.log.follow(work.bench.actions)):
            return OPEN
        return CONFIRM if self._asked_at == len(work.bench.actions) else ASK


def _suspects_in(message: Message, known: list[str]) -> list[str]:
    """Return the suspects in a message, each once. Raises Refused, with every mistake, for what is no fault."""
    names = message.get("suspects")
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise Refused("'suspects' must be a list of faults")
    if not names:
        raise Refused(text("helping.compare_empty"))
    found = list(dict.fromkeys(names))
    wrong = [name for name in found if name not in known]
    if wrong:
        raise Refused(unknown("fault", wrong[0][:80], known))
    return found
