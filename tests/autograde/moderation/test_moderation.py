"""Moderation from end to end: a sample, second marks, amendments by two names, signing, and a history that shows."""

from __future__ import annotations

import csv
import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultwright.errors import Refused
from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.moderation import decisions
from faultwright_autograde.moderation.agreement import concordance, differences, kappa
from faultwright_autograde.moderation.desk import Desk, agree, draw_sample, mark_again, open_desk
from faultwright_autograde.moderation.history import HISTORY_FILE, read_history
from faultwright_autograde.rubric import CRITERIA
from tests.autograde.gate import class_handed_in

NAMES = [f"bench-{number}" for number in range(1, 9)]
HABITS = ("methodical", "guesser", "measures-everything", "unsafe")
REASON = "The drawing on this sheet was misprinted."


def noon() -> datetime:
    """Return a time that does not change."""
    return datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a small class that has been marked."""
    here = tmp_path_factory.mktemp("moderation")
    class_handed_in(here, {name: HABITS[number % 4] for number, name in enumerate(NAMES[:-1])} | {NAMES[-1]: ""})
    mark_class(here / "class", here / "secret.key")
    return here


@pytest.fixture
def here(marked: Path, tmp_path: Path) -> Path:
    """Return a copy of it, for one test."""
    return Path(shutil.copytree(marked, tmp_path / "copy"))


@pytest.fixture
def desk(here: Path) -> Desk:
    """Return the copy, opened for moderation."""
    return open_desk(here / "class", here / "secret.key")


def table(folder: Path) -> dict[str, dict[str, str]]:
    """Return ``marks.csv`` by candidate."""
    with (folder / "marks.csv").open(encoding="utf-8", newline="") as file:
        return {row["candidate"]: row for row in csv.DictReader(file)}


def amend(desk: Desk, candidate: str, lift: bool = False, **marks: float) -> int:  # noqa: FBT001, FBT002 - as said
    """Propose an amendment; return its number."""
    return decisions.amend(
        desk.folder,
        desk.secret,
        desk.candidates,
        candidate,
        marks,
        rubric=desk.opened.blueprint.rubric,
        by="HM",
        reason=REASON,
        lift=lift,
        clock=noon,
    ).number


def confirm(desk: Desk, number: int, by: str = "RT") -> None:
    """Confirm an amendment."""
    decisions.confirm(desk.folder, desk.secret, desk.candidates, number, by=by, reason=REASON, clock=noon)
    desk.write_table()


# Amendments


def test_an_amendment_counts_once_a_second_name_has_confirmed_it(desk: Desk) -> None:
    """Until then the old mark stands; afterwards the table shows the new one, and marking's own file is untouched."""
    before = table(desk.folder)["bench-2"]
    file = desk.folder / "marks" / "bench-2.json"
    written = file.read_bytes()
    number = amend(desk, "bench-2", remedy=10.0)
    assert desk.write_table().marks[1].mark == float(before["mark"])
    confirm(desk, number)
    after = table(desk.folder)["bench-2"]
    assert float(after["mark"]) == float(before["mark"]) + 10 - float(before["remedy"])
    assert (after["remedy"], after["amended"], table(desk.folder)["bench-1"]["amended"]) == ("10", "yes", "no")
    assert file.read_bytes() == written
    assert desk.final().marks[1].remarks[-1] == f"Amended by HM, confirmed by RT: {REASON}"


@pytest.mark.parametrize("by", ["HM", "hm", "  hm "])
def test_nobody_confirms_an_own_amendment(desk: Desk, by: str) -> None:
    """However the name is written."""
    with pytest.raises(Refused, match="HM made this amendment; somebody else must confirm it"):
        confirm(desk, amend(desk, "bench-2", remedy=10.0), by)


def test_every_mistake_of_an_amendment_at_once(desk: Desk) -> None:
    """No such criterion, more than the maximum, no half mark; and nothing is written."""
    with pytest.raises(Refused) as refused:
        amend(desk, "bench-2", remedi=1.0, remedy=10.5, proof=0.25, safety=-1.0)
    assert [str(mistake) for mistake in refused.value.mistakes] == [
        (
            "bench-2: there is no criterion 'remedi'; did you mean 'remedy'? "
            "(allowed: diagnosis, evidence, citing, calculation, continuity, remedy, proof, safety)"
        ),
        "bench-2: remedy: 10.5 is no mark; write half marks from 0 to 10",
        "bench-2: proof: 0.25 is no mark; write half marks from 0 to 10",
        "bench-2: safety: -1 is no mark; write half marks from 0 to 5",
    ]
    assert not (desk.folder / HISTORY_FILE).exists()


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_no_mark(desk: Desk, value: float) -> None:
    """NaN and infinity fail every comparison on the safe side."""
    with pytest.raises(Refused, match="is no mark"):
        amend(desk, "bench-2", remedy=value)


def test_a_hurdle_falls_only_when_it_is_lifted(desk: Desk) -> None:
    """More marks do not pass a critical act; lifting it, said so and confirmed, does, and the reason stands there."""
    critical = desk.marked()[3]
    assert [hurdle for hurdle in critical.hurdles if "critical" in hurdle]
    full = {one.name: one.maximum for one in critical.criteria if one.mark != one.maximum}
    confirm(desk, amend(desk, "bench-4", lift=False, **full))
    assert table(desk.folder)["bench-4"]["mark"] == "100"
    assert table(desk.folder)["bench-4"]["passed"] == "no"
    confirm(desk, amend(desk, "bench-4", lift=True))
    assert table(desk.folder)["bench-4"]["passed"] == "yes"
    assert desk.final().marks[3].remarks[-1].startswith(f"Lifted by HM, confirmed by RT ({REASON}): ")
    with pytest.raises(Refused, match="there is nothing to lift"):
        amend(desk, "bench-1", lift=True)


def test_an_amendment_of_a_mark_that_has_changed_does_not_apply(desk: Desk, here: Path) -> None:
    """A new answer is marked anew: the amendment of the old mark is shown for a look, and not carried over."""
    confirm(desk, amend(desk, "bench-2", remedy=10.0))
    answers = desk.folder / "answers"
    answer = json.loads((answers / "bench-2.json").read_text(encoding="utf-8"))
    (answers / "bench-2.json").write_text(json.dumps(answer | {"remedy": ""}), encoding="utf-8")
    mark_class(desk.folder, here / "secret.key")
    assert table(desk.folder)["bench-2"]["amended"] == "no"
    assert desk.final().looks == [
        "Amendment 1 of bench-2 is of a mark that has changed since: it does not apply; look at it."
    ]


# Signing


def test_a_signed_class_does_not_change(desk: Desk, here: Path) -> None:
    """Neither marking nor amending; opened again with a name and a reason, both go on."""
    waiting = amend(desk, "bench-2", remedy=10.0)
    with pytest.raises(Refused, match="amendments wait for a second name: 1"):
        decisions.sign(desk.folder, desk.secret, desk.candidates, by="RT", reason=REASON)
    decisions.reject(desk.folder, desk.secret, waiting, by="RT", reason=REASON)
    decisions.sign(desk.folder, desk.secret, desk.candidates, by="RT", reason=REASON, clock=noon)
    written = {path: path.read_bytes() for path in desk.folder.rglob("*") if path.is_file()}
    for change in (
        lambda: mark_class(desk.folder, here / "secret.key"),
        lambda: amend(desk, "bench-2", remedy=10.0),
        lambda: decisions.sign(desk.folder, desk.secret, desk.candidates, by="RT", reason=REASON),
    ):
        with pytest.raises(Refused) as refused:
            change()
        assert "this class was signed by RT on 2026-03-02T12:00:00+00:00" in str(refused.value)
    assert {path: path.read_bytes() for path in desk.folder.rglob("*") if path.is_file()} == written
    decisions.reopen(desk.folder, desk.secret, by="HM", reason=REASON)
    confirm(desk, amend(desk, "bench-2", remedy=10.0))
    assert table(desk.folder)["bench-2"]["amended"] == "yes"


def test_a_decision_needs_a_name_and_a_reason(desk: Desk) -> None:
    """Both are asked for at once."""
    with pytest.raises(Refused) as refused:
        decisions.sign(desk.folder, desk.secret, desk.candidates, by=" ", reason="ok")
    assert [mistake.message for mistake in refused.value.mistakes] == [
        "a decision needs the name or initials of who makes it",
        "a decision needs a reason of 10 characters at least, in a sentence that holds at an appeal",
    ]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(st.data())
def test_a_changed_history_shows(desk: Desk, data: st.DataObject) -> None:
    """Any byte that is changed, any line taken out or moved, is told with the line from which on it shows."""
    path = desk.folder / HISTORY_FILE
    if not path.exists():
        confirm(desk, amend(desk, "bench-2", remedy=10.0))
        decisions.sign(desk.folder, desk.secret, desk.candidates, by="RT", reason=REASON, clock=noon)
    content = path.read_bytes()
    lines = content.splitlines(keepends=True)
    place = data.draw(st.integers(0, len(content) - 1))
    other = bytes([data.draw(st.integers(0, 255).filter(lambda byte: byte != content[place]))])
    changed = data.draw(
        st.sampled_from(
            [
                content[:place] + other + content[place + 1 :],
                b"".join(lines[1:]),
                b"".join([lines[1], lines[0], lines[2]]),
            ]
        )
    )
    try:
        path.write_bytes(changed)
        if changed.decode("utf-8", "replace").splitlines() != content.decode("utf-8").splitlines():
            with pytest.raises(Refused):
                read_history(desk.folder, desk.secret)
    finally:
        path.write_bytes(content)
    assert len(read_history(desk.folder, desk.secret)) == 3


# Second marking


def test_a_sample_holds_what_is_for_a_person_and_is_drawn_alike(desk: Desk) -> None:
    """Everything for a person is in it; the same secret draws the same; sheets name nobody and show no mark."""
    sample = draw_sample(desk, 1, 0.1)
    marks = desk.marked()
    assert {one.candidate for one in marks if one.for_a_person} <= set(sample.numbers.values())
    assert draw_sample(desk, 1, 0.1) == sample
    for number, candidate in sample.numbers.items():
        page = (desk.folder / "moderation" / "sheets" / f"{number}.html").read_text(encoding="utf-8")
        one = next(mark for mark in marks if mark.candidate == candidate)
        for secret in (candidate, one.paper, *(each.verdict for each in one.criteria if len(each.verdict) > 1)):
            assert secret not in page
        assert "Blind: without the candidate, the first mark, or what decided it." in page
        assert "not of hand skill or authority to work" in page


def fill(desk: Desk, rows: dict[str, list[str]]) -> None:
    """Fill in the form for second marks."""
    form = desk.folder / "moderation" / "second-marks.csv"
    lines = form.read_text(encoding="utf-8").splitlines()
    filled = [",".join([line.split(",")[0], *rows.get(line.split(",")[0], [""] * 9)]) for line in lines[1:]]
    form.write_text("\n".join([lines[0], *filled]) + "\n", encoding="utf-8")


def test_second_marks_are_compared(desk: Desk) -> None:
    """The same marks agree wholly; half a mark more on each is a bias of half a mark; a form is not written over."""
    sample = draw_sample(desk, 8, 1.0)
    first = {one.candidate: one for one in desk.marked()}
    same = {
        number: ["KL", *(f"{first[name].by_name[each].mark:g}" for each in CRITERIA)]
        for number, name in sample.numbers.items()
    }
    fill(desk, same)
    found = agree(desk)
    assert (found.total.pairs, found.total.same, found.total.mean_size) == (8, 1.0, 0.0)
    assert found.kappa == pytest.approx(1)
    assert found.concordance == pytest.approx(1)
    with pytest.raises(Refused, match="this form holds second marks; it is not written over"):
        draw_sample(desk, 8, 1.0)


def test_every_mistake_in_a_form_at_once(desk: Desk) -> None:
    """Each with its line."""
    sample = draw_sample(desk, 8, 1.0)
    numbers = list(sample.numbers)
    fill(desk, {numbers[0]: ["", *["1"] * 8], numbers[1]: ["KL", "25", "25", "5", "10", "10", "ten", "10", "7"]})
    form = desk.folder / "moderation" / "second-marks.csv"
    form.write_text(form.read_text(encoding="utf-8") + "S-9,KL,0,0,0,0,0,0,0,0\n", encoding="utf-8")
    with pytest.raises(Refused) as refused:
        agree(desk)
    assert [str(mistake) for mistake in refused.value.mistakes] == [
        "second-marks.csv:2: S-01: who marked it? write a name or initials under 'marker'",
        "second-marks.csv:3: S-02, remedy: 'ten' is no mark; write half marks from 0 to 10",
        "second-marks.csv:3: S-02, safety: '7' is no mark; write half marks from 0 to 5",
        "second-marks.csv:10: there is no sheet 'S-9' (allowed: S-01, S-02, S-03, S-04, S-05, S-06, S-07, S-08)",
    ]


def test_kappa_and_concordance_of_known_numbers() -> None:
    """Kappa: 20 and 15 of 50 agree, 5 and 10 do not: 0.4 (the usual textbook example, from memory).

    Concordance, by hand: 1 to 5 against the same one higher: 2·2 / (2 + 2 + 1) = 0.8.
    """
    first = [True] * 25 + [False] * 25
    second = [True] * 20 + [False] * 5 + [True] * 10 + [False] * 15
    assert kappa(first, second) == pytest.approx(0.4)
    assert concordance([1, 2, 3, 4, 5], [2, 3, 4, 5, 6]) == pytest.approx(0.8)
    assert kappa([True] * 9, [True] * 9) is None
    assert concordance([3] * 9, [3] * 9) is None
    assert kappa([True, False], [True, False]) is None
    assert differences([10, 20], [12, 19.5]).bias == pytest.approx(0.75)


# Marking again


def test_marks_come_out_again_byte_for_byte(desk: Desk) -> None:
    """Every stored answer gives its mark again; a changed answer is told with what differs."""
    assert all(one.same for one in mark_again(desk))
    answers = desk.folder / "answers"
    answer = json.loads((answers / "bench-2.json").read_text(encoding="utf-8"))
    (answers / "bench-2.json").write_text(json.dumps(answer | {"confidence": "fairly"}), encoding="utf-8")
    found = {one.candidate: one for one in mark_again(desk)}
    assert [name for name, one in found.items() if not one.same] == ["bench-2"]
    assert found["bench-2"].differs == ("confidence", "answer_sha256")
