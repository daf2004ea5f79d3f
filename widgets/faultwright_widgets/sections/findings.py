"""The findings: what was found, cited and remarked on."""

from __future__ import annotations

from typing import Any

from faultwright.errors import Refused
from faultwright_widgets.messages import Doing, Message, is_on, text_in
from faultwright_widgets.texts import text
from faultwright_widgets.work import Work


class Findings:
    """The table of findings."""

    def __init__(self, work: Work) -> None:
        """Open the table."""
        self.work = work
        self.doing: Doing = {"cite": self.cite, "annotate": self.annotate}

    def cite(self, message: Message) -> None:
        """Cite a finding in the answer, or no longer."""
        index, answer = self._finding(message), self.work.answer
        cited = set(answer.cited)
        answer.cited = sorted(cited | {index} if is_on(message) else cited - {index})

    def annotate(self, message: Message) -> None:
        """Write a remark beside a finding; an empty one takes it away."""
        index, remark = self._finding(message), text_in(message, "text").strip()
        notes = self.work.answer.notes
        notes.pop(index, None)
        if remark:
            notes[index] = remark
            if not self.work.answer_kept:
                self.work.said["findings"] = text("findings.note_unkept")

    def _finding(self, message: Message) -> int:
        index = message.get("index")
        if type(index) is not int or index not in {number for number, _ in self.work.bench.record.findings()}:
            raise Refused(f"action {index!r} is no finding")
        return index

    def state(self) -> dict[str, Any]:
        """Return the rows of the table."""
        answer = self.work.answer
        rows = self.work.log.follow(self.work.bench.actions).rows
        return {
            "findings": [
                row | {"cited": row["index"] in answer.cited, "note": answer.notes.get(row["index"], "")}
                for row in rows
            ]
        }
