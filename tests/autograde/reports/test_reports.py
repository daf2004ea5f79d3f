"""Reports: the account of a candidate's work, what is recognised in a record, the drawing, items, and the pages."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from faultwright.bench import Bench
from faultwright.meter import Probe
from faultwright_autograde.answer import Answer, parse_answer
from faultwright_autograde.case import Case
from faultwright_autograde.class_folder import open_class
from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.mark import Mark
from faultwright_autograde.pages import candidate_page
from faultwright_autograde.reports.account import account_from_json, account_of
from faultwright_autograde.reports.class_figures import figures_of
from faultwright_autograde.reports.item_statistics import correlation, cronbach, discrimination, ferguson
from faultwright_autograde.reports.measured_drawing import measured_drawing
from faultwright_autograde.reports.misconceptions import RECOGNISED, Work, recognised
from faultwright_autograde.reports.texts import TEXTS
from faultwright_autograde.trace import trace
from tests.autograde.gate import COMPLAINT, SECRET, class_handed_in, mark_json, right_answer


def parsed(case: Case, **entries: Any) -> Answer:  # noqa: ANN401 - entries of the answer's JSON
    """Return the right answer with some entries changed, as it is read."""
    return parse_answer(json.loads(json.dumps(right_answer(case) | entries)), case.circuit)


def test_an_account_tells_what_was_asked_done_proved_and_missed(case: Case) -> None:
    """Everything done, numbered; what cleared how many; the whole proof; and it comes back from JSON as it was."""
    account = account_of(case, parsed(case))
    assert account.asked[0] == case.blueprint.complaint.text
    assert len(account.done) == len(right_answer(case)["record"]["actions"])
    assert any("cleared" in line for line in account.done)
    assert sum("from here on the fault is gone" in line for line in account.done) == 1
    assert (len(account.proved), account.missed) == (8, [])
    assert account_from_json(json.loads(json.dumps(account.as_json()))) == account_from_json(account.as_json())
    blank = account_of(case, None)
    assert (blank.done, blank.proved, blank.asked) == ((), (), account.asked)


def work(case: Case, steps: list[str | Probe], **entries: Any) -> dict[str, str]:  # noqa: ANN401 - as above
    """Return what is recognised in a record: the complaint, then moves and readings."""
    bench = Bench(case.circuit, [case.fault])
    for move in COMPLAINT:
        bench.move(move)
        bench.observe()
    for step in steps:
        if isinstance(step, Probe):
            bench.read(step)
        else:
            bench.move(step)
    answer = parsed(case, record=bench.as_json(), cited=[], **entries)
    return recognised(Work(case, answer, trace(case.circuit, case.fault, answer.record)))


def volts(red: str, black: str = "FRAME") -> Probe:
    """Return a measurement of volts."""
    return Probe("volts", red, black)


@pytest.mark.parametrize(
    ("name", "steps", "entries"),
    [
        ("live_ohms", [Probe("ohms", "B1:1", "B1:2")], {}),
        ("jumper", [volts("B1:1")], {"remedy": "W4 jumper"}),
        ("again", [volts("B1:1")] * 4, {}),
        ("no_reading", [], {}),
        ("feed_only", [volts("S1:2"), volts("B1:1"), volts("B1:2")], {}),
        ("one_end", [volts("S1:1"), volts("S1:2"), volts("B1:1"), volts("B1:2"), volts("P1:1")], {}),
    ],
)
def test_what_a_record_shows_is_recognised(case: Case, name: str, steps: list[Any], entries: dict[str, Any]) -> None:
    """Each by a record that shows it, in its own words."""
    found = work(case, steps, **entries)
    assert name in found
    assert found[name]
    assert f"name.{name}" in TEXTS


def test_sound_work_shows_nothing(case: Case) -> None:
    """A right answer with its few readings has nothing that is worth a talk."""
    answer = parsed(case)
    assert recognised(Work(case, answer, trace(case.circuit, case.fault, answer.record))) == {}
    assert {f"name.{name}" for name in RECOGNISED} <= set(TEXTS)


def test_measured_points_stand_in_the_drawing(case: Case) -> None:
    """Each measured terminal has its finding's number beside it, in words as well; nothing of the fault is drawn."""
    drawing = measured_drawing(case.circuit, {"B1:1": [5, 9], "P1:2": [6]})
    root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    titles = [entry.text for entry in root.iter("title")]
    assert titles[-2:] == ["B1:1: 5, 9", "P1:2: 6"]
    numbers = [entry.text for entry in root.iter("text")][-2:]
    assert numbers == ["5 …", "6"]
    assert case.fault.name not in drawing


class _Page(HTMLParser):
    """Looks for what a page must not load and must say."""

    def __init__(self) -> None:
        super().__init__()
        self.loads: list[str] = []
        self.headings: list[int] = []
        self.images = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        source = given.get("src") or given.get("href") or ""
        if source and not source.startswith(("data:", "#")):
            self.loads.append(source)
        if tag == "img":
            self.images += 1
            assert given.get("alt")
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))


def check_page(page: str) -> _Page:
    """Check that a page loads nothing from outside, has an order of headings, and the disclaimer."""
    found = _Page()
    found.feed(page)
    assert found.loads == []
    assert found.headings[0] == 1
    assert all(after - before <= 1 for before, after in zip(found.headings, found.headings[1:], strict=False))
    assert "Evidence of diagnostic reasoning on a simulated circuit; not of hand skill or authority to work." in page
    return found


def test_a_candidates_page_is_whole(case: Case) -> None:
    """Asked, done, proved, missed, the drawing, hashes; the same without any answer."""
    page = candidate_page(mark_json(right_answer(case), case), case, account_of(case, parsed(case)))
    assert check_page(page).images == 1
    for heading in ("What was asked", "What was done, in order", "What was proved", "What was missed", "Where it was"):
        assert f"<h2>{heading}" in page
    check_page(candidate_page(mark_json({}, case), case, account_of(case, None)))


def test_a_class_page_has_criteria_items_and_faults(tmp_path: Path) -> None:
    """With ten candidates there are figures; ids only."""
    class_handed_in(tmp_path, {f"bench-{number}": ("methodical", "guesser")[number % 2] for number in range(10)})
    maker = open_class(tmp_path / "class", SECRET).maker
    marks = mark_class(tmp_path / "class", tmp_path / "secret.key")
    page = (tmp_path / "class" / "class.html").read_text(encoding="utf-8")
    check_page(page)
    for words in ("Facility", "Discrimination", "Ferguson", "Recognised in the records", "By fault"):
        assert words in page
    accounts = [account_of(maker.case(one.candidate), None) for one in marks]
    figures = figures_of(marks, accounts)
    assert [item.name for item in figures.items] == [criterion.name for criterion in marks[0].criteria]
    assert sum(one.count for one in figures.faults) == 10
    few = figures_of(marks[:3], accounts[:3])
    assert (few.alpha, few.delta, few.items[0].discrimination) == (None, None, None)


def test_item_figures_by_hand() -> None:
    """Small tables, worked by hand from the published formulas.

    Delta (Ferguson 1949): 11 totals 0 to 10 of 10 items, each once: 11·(121 − 11) / (10·121) = 1. Alpha (Cronbach 1951)
    of two equal columns is 1. Upper less lower 27 % (Kelley 1939): of ten, three and three.
    """
    assert ferguson(list(range(11)), 10) == pytest.approx(1.0)
    assert ferguson([4] * 11, 10) == pytest.approx(0.0)
    right = [0.0, 0, 0, 0, 1, 0, 1, 1, 1, 1]
    totals = [float(number) for number in range(10)]
    assert discrimination(right, totals) == pytest.approx(1.0)
    assert cronbach([[one, one] for one in totals]) == pytest.approx(1.0)
    # Point-biserial: (M1 − M0) / s · √(p q), by hand from the same numbers.
    ones, noughts = (
        [t for r, t in zip(right, totals, strict=True) if r],
        [t for r, t in zip(right, totals, strict=True) if not r],
    )
    spread = math.sqrt(sum((t - 4.5) ** 2 for t in totals) / 10)
    expected = (sum(ones) / 5 - sum(noughts) / 5) / spread * math.sqrt(0.25)
    assert correlation(right, totals) == pytest.approx(expected)
    assert correlation([1.0] * 10, totals) is None


def test_a_mark_is_the_same_whatever_is_reported(case: Case) -> None:
    """Making an account changes nothing of a mark."""
    before: Mark = mark_json(right_answer(case), case)
    account_of(case, parsed(case))
    assert mark_json(right_answer(case), case) == before
