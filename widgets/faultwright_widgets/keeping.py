"""Keeping the answer: written whole beside the notebook at every change, and taken up again when it is there."""

from __future__ import annotations

from pathlib import Path

from faultwright.errors import Refused
from faultwright.files import write_json

from .answer_sheet import read_answer
from .texts import text
from .work import Work


class AnswerFile:
    """The file of an answer. One that holds something else is never written over."""

    def __init__(self, path: Path) -> None:
        """Name the file."""
        self.path = path
        self._foreign = ""  # why the file may not be written over

    def take_up(self, work: Work) -> None:
        """Take up the draft in the file, and its record where the bench has none of its own.

        Raises Refused, for the person to read, where the file holds something else or cites what the record lacks.
        """
        if not self.path.exists():
            return
        try:
            sheet, record = read_answer(self.path, work.circuit)
            if sheet.paper != work.answer.paper:
                raise Refused(text("file.other_paper", found=sheet.paper, wanted=work.answer.paper))  # noqa: TRY301 - as above
        except Refused as refused:
            self._foreign = refused.mistakes[0].message
            raise self._kept_off() from None
        if not work.bench.actions:
            work.bench.take_up(record)
        work.answer = sheet
        lost = sheet.keep_only({number for number, _ in work.bench.record.findings()})
        if lost:
            numbers = ", ".join(str(number + 1) for number in lost)
            raise Refused(text("file.lost_citations", numbers=numbers))

    def save(self, work: Work) -> None:
        """Write the answer with its record. Raises Refused where that cannot be."""
        if self._foreign and self.path.exists():
            raise self._kept_off()
        self._foreign = ""
        write_json(self.path, work.answer.as_json(work.bench.record), indent=None)

    def _kept_off(self) -> Refused:
        return Refused(text("file.foreign", file=self.path.name, why=self._foreign))
