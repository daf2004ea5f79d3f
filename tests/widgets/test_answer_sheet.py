"""Reading an answer back: everything that is wrong with it is said at once."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from faultwright.errors import Refused
from faultwright_widgets.answer_sheet import AnswerSheet, parse_any_quantity, read_answer
from tests.widgets.sprayer import CIRCUIT, bench


def test_an_answer_reads_back_as_it_was_written(tmp_path: Path) -> None:
    """Writing and reading give the same sheet and the same record."""
    work = bench()
    work.move("key=on")
    work.observe()
    sheet = AnswerSheet("P7", ["W6 open"], [1], "3 A", {"q": "yes"}, "W6 mend the wire", "guess")
    file = tmp_path / "answer.json"
    file.write_text(json.dumps(sheet.as_json(work.record)), encoding="utf-8")
    assert read_answer(file, CIRCUIT) == (sheet, work.record)


def test_every_mistake_in_an_answer_is_said_at_once(tmp_path: Path) -> None:
    """A tampered answer is refused with all its mistakes, each with the file's name."""
    data: dict[str, Any] = AnswerSheet().as_json(bench().record)
    data |= {
        "mark": 10,
        "claim": ["W6 opened"],
        "cited": [0],
        "calculation": 12.4,
        "continuity": {"q": 1},
        "remedy": "W6 charge",
        "confidence": "sure",
    }
    file = tmp_path / "answer.json"
    file.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(Refused) as refused:
        read_answer(file, CIRCUIT)
    messages = [str(mistake) for mistake in refused.value.mistakes]
    assert len(messages) == 7
    assert all(message.startswith("answer.json: ") for message in messages)
    assert any("did you mean 'W6 open'" in message for message in messages)
    assert any("'cited' names action 1, which is no finding" in message for message in messages)


@pytest.mark.parametrize(
    ("written", "value", "unit"),
    [("12,4 V", 12.4, "V"), ("20 mΩ", 0.02, "Ω"), ("1.7 W", 1.7, "W"), ("0.15 A", 0.15, "A")],
)
def test_a_calculation_may_be_in_any_unit_of_the_trade(written: str, value: float, unit: str) -> None:
    """Volts, amps, ohms and watts are read, with a point or a comma."""
    found, found_unit = parse_any_quantity(written)
    assert found == pytest.approx(value)
    assert found_unit == unit


@pytest.mark.parametrize("notes", [["pump silent"], {"one": "x"}, {"-1": "x"}, {"9" * 5000: "x"}, {"1": 7}])
def test_remarks_that_belong_to_no_action_are_refused(tmp_path: Path, notes: object) -> None:
    """Remarks are texts by the number of an action; anything else is refused in words, a number without end too."""
    file = tmp_path / "answer.json"
    file.write_text(json.dumps(AnswerSheet().as_json(bench().record) | {"notes": notes}), encoding="utf-8")
    with pytest.raises(Refused) as refused:
        read_answer(file, CIRCUIT)
    assert [str(mistake) for mistake in refused.value.mistakes] == [
        "answer.json: 'notes' must be a table of texts of at most 2000 characters, by the action's number"
    ]
