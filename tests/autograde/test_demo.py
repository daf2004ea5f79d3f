"""The demonstration: what becomes of each habit."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright_autograde.demo import CLASS, run_demo

PASSING = {"methodical", "measures-everything", "unit-slip"}


def test_habits_come_out_as_they_should(tmp_path: Path) -> None:
    """Methodical and thorough pass, a slip of the unit costs its mark and is named, guesser, copier and unsafe fail."""
    told: list[tuple[int, int]] = []
    rows = run_demo(tmp_path / "demo", lambda done, of, _what: told.append((done, of)))
    assert {row.candidate: row.habit for row in rows} == dict(CLASS)
    for row in rows:
        assert row.passed == (row.habit in PASSING), row
    with (tmp_path / "demo" / "marks.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    assert list(table[0])[:6] == ["candidate", "mark", "maximum", "passed", "habit", "answer"]
    by_habit = {row["habit"]: row for row in table}
    assert by_habit["unit-slip"]["calculation"] == "0"
    assert by_habit["unsafe"]["safety"] == "0"
    assert by_habit["copier"]["for_a_person"] == "yes"
    folder = tmp_path / "demo" / "class"
    slip = next(row.candidate for row in rows if row.habit == "unit-slip")
    assert "Unit slip, A for mA" in (folder / "feedback" / f"{slip}.html").read_text(encoding="utf-8")
    assert len(list((folder / "feedback").glob("*.html"))) == len(CLASS)
    assert (folder / "class.png").stat().st_size > 10_000
    assert told[0] == (0, told[0][1])
    assert told[-1] == (told[-1][1], told[-1][1])
    assert [done for done, _ in told] == sorted(done for done, _ in told)


def test_the_demonstration_writes_over_nothing(tmp_path: Path) -> None:
    """A folder with somebody's work in it is refused and left alone."""
    (tmp_path / "work.ipynb").write_text("{}", encoding="utf-8")
    with pytest.raises(Refused, match="no empty folder"):
        run_demo(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["work.ipynb"]
