"""The fault register: its rules, its file, and two people who write at once."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import json
import subprocess
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright.errors import Refused
from faultwright.workshop import register_file
from faultwright.workshop.papers import register_page
from faultwright.workshop.register import Register, Signed, Standing, local_time, sign
from faultwright.workshop.register_file import change_register, parse_register, read_register


def at(hour: int) -> datetime:
    """Return an hour of one winter's day, an hour east of Greenwich."""
    return datetime(2026, 3, 2, hour, 15, tzinfo=timezone(timedelta(hours=1)))


def signed(hour: int, by: str = "KM", checked: str = "") -> Signed:
    """Return a signature."""
    return sign(by, at(hour), checked)


def one_in() -> Register:
    """Return a register with one fault in bench 3."""
    return Register().put_in("3", "compressor", "W6 open", signed(8))


def refusal(register: Register, what: str, *arguments: Any, **options: Any) -> str:  # noqa: ANN401 - passed on
    """Return the whole message with which something is refused."""
    with pytest.raises(Refused) as error:
        getattr(register, what)(*arguments, **options)
    return str(error.value)


# The rules


def test_in_out_proved() -> None:
    """An entry goes from in to out to proved, and keeps who did what when; times are ISO 8601 with their offset."""
    register = one_in()
    assert [entry.standing for entry in register.entries] == [Standing.IN]
    register = register.taken_out(1, signed(10)).proved(1, signed(11, "TB", "all  8 states"))
    (entry,) = register.entries
    assert entry.standing is Standing.PROVED
    assert entry.put_in == Signed("2026-03-02T08:15:00+01:00", "KM")
    assert entry.proved == Signed("2026-03-02T11:15:00+01:00", "TB", "all 8 states")


def test_one_fault_a_bench() -> None:
    """While a fault is in, or out and not proved, its bench is not free; --beside says that it is meant."""
    register = one_in()
    again = ("03", "compressor", "W5 open", signed(9))
    assert refusal(register, "put_in", *again) == (
        "bench 03: entry 1, W6 open, is still in, since 2026-03-02 08:15+01:00 KM; one fault a bench, unless --beside says that two are meant"
    )
    assert len(register.put_in(*again, beside=True).entries) == 2
    register = register.taken_out(1, signed(10))
    assert refusal(register, "put_in", *again) == (
        "bench 03: entry 1, W6 open, was taken out 2026-03-02 10:15+01:00 KM and is not proved yet; prove it first, or say --beside"
    )
    register = register.proved(1, signed(11, "KM", "all states"))
    assert register.put_in(*again).entries[1].number == 2
    assert one_in().put_in("4", "compressor", "W5 open", signed(9)).entries[1].bench == "4"


def test_order_of_the_steps() -> None:
    """Proof comes after removal; neither is done twice; numbers that are not there are told with those that are open."""
    register = one_in()
    assert refusal(register, "proved", 1, signed(9, "KM", "all")) == (
        "entry 1: W6 open is still in, since 2026-03-02 08:15+01:00 KM; a removal is proved after it is out"
    )
    assert refusal(register, "taken_out", 2, signed(9)) == "there is no open entry '2' (allowed: 1)"
    assert refusal(register, "taken_out", 0, signed(9)) == "there is no open entry '0' (allowed: 1)"
    register = register.taken_out(1, signed(10))
    assert refusal(register, "taken_out", 1, signed(11)) == (
        "entry 1: W6 open was taken out already, 2026-03-02 10:15+01:00 KM"
    )
    assert refusal(register, "proved", 1, signed(11, "KM", "  ")) == (
        "entry 1: say what was checked, such as: all 8 states as they should be, those that refuse too"
    )
    register = register.proved(1, signed(11, "KM", "all"))
    assert refusal(register, "proved", 1, signed(12, "KM", "all")) == (
        "entry 1: W6 open was proved already, 2026-03-02 11:15+01:00 KM"
    )


@pytest.mark.parametrize("by", ["", "Kay Miller", "K2", "ABCDE", "K.M."])
def test_initials_and_no_names(by: str) -> None:
    """One to four letters; no name, no digits, no dots."""
    with pytest.raises(Refused, match="are no initials; write 1 to 4 letters and no name"):
        sign(by, at(8))


@pytest.mark.parametrize("bench", ["", "a very long bench name", "3/4", "<b>"])
def test_benches(bench: str) -> None:
    """A number or a short name."""
    assert "is no bench; write its number or a short name" in refusal(
        Register(), "put_in", bench, "compressor", "W6 open", signed(8)
    )


def test_the_clock_is_local_and_has_its_offset() -> None:
    """Whoever reads the register knows which hour is meant."""
    assert local_time().utcoffset() is not None
    assert abs(local_time() - datetime.now().astimezone()) < timedelta(minutes=1)


@given(st.lists(st.tuples(st.sampled_from(["put", "out", "prove"]), st.integers(1, 4), st.sampled_from("1234"))))
def test_nothing_is_ever_lost(done: list[tuple[str, int, str]]) -> None:
    """Whatever is done in whatever order, entries only grow, and what was signed once stays."""
    register = Register()
    for what, number, bench in done:
        before = register
        try:
            if what == "put":
                register = register.put_in(bench, "compressor", "W6 open", signed(8))
            elif what == "out":
                register = register.taken_out(number, signed(9))
            else:
                register = register.proved(number, signed(10, "KM", "all states"))
        except Refused:
            continue
        for old, new in zip(before.entries, register.entries, strict=False):
            assert (old.number, old.bench, old.fault, old.put_in) == (new.number, new.bench, new.fault, new.put_in)
            assert old.taken_out in (None, new.taken_out)
            assert old.proved in (None, new.proved)
        busy = [entry.bench for entry in register.entries if entry.standing is not Standing.PROVED]
        assert len(busy) == len(set(busy))
    data = {"version": 1, "entries": [entry.as_json() for entry in register.entries]}
    assert parse_register(json.loads(json.dumps(data)), "r.json") == register


# In words and on paper


def both() -> Register:
    """Return a register with a fault in each standing."""
    register = one_in().put_in("4", "runabout", "R1 open", signed(8)).put_in("5", "compressor", "P1 open", signed(9))
    return register.taken_out(1, signed(10)).proved(1, signed(11, "TB", "all 8 states")).taken_out(2, signed(12))


def test_what_is_still_in_comes_first() -> None:
    """Still in, then out and not proved, then struck out."""
    assert both().words() == [
        "STILL IN: 1",
        "  These machines have a fault in: they are used for nothing else.",
        "  3  bench 5, compressor: P1 open, in since 2026-03-02 09:15+01:00 KM",
        "Taken out, not proved: 1",
        "  2  bench 4, runabout: R1 open, out since 2026-03-02 12:15+01:00 KM, not proved (put in 2026-03-02 08:15+01:00 KM)",
        "Taken out and proved: 1",
        "  1  bench 3, compressor: W6 open, struck out; proved 2026-03-02 11:15+01:00 TB: all 8 states (put in 2026-03-02 08:15+01:00 KM, taken out 2026-03-02 10:15+01:00 KM)",
    ]
    assert Register().words() == ["STILL IN: 0", "  No fault is in any machine of this register."]


def test_register_page() -> None:
    """Only what is proved is struck out, and what is still in stands before the rest."""
    page = register_page(both(), "depot.json")
    assert "<s>W6 open</s>" in page
    assert page.count("<s>") == 1
    assert page.index("P1 open") < page.index("R1 open") < page.index("W6 open")


# The file


def test_file_and_back(tmp_path: Path) -> None:
    """What is written is read back the same, as plain lines that a diff can show."""
    path = tmp_path / "depot" / "register.json"
    change_register(path, lambda _: both())
    assert read_register(path) == both()
    assert not list(path.parent.glob("*.lock"))
    lines = path.read_text(encoding="utf-8").splitlines()
    assert '   "fault": "W6 open",' in lines
    assert len(lines) > 40


def entry(**changes: Any) -> dict[str, Any]:  # noqa: ANN401 - JSON
    """Return a sound entry with some changes."""
    return one_in().entries[0].as_json() | changes


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ([], "r.json: a fault register is a table with 'version' and the list 'entries'"),
        ({"version": 2, "entries": []}, "r.json: version 2; this program reads version 1"),
        ({"version": 1, "entries": [3]}, "r.json, entry 1: an entry is a table"),
        ({"version": 1, "entries": [entry(number=2)]}, "r.json, entry 1: its number is 2; entries are numbered in order, so it must be 1"),
        ({"version": 1, "entries": [entry(bench=3)]}, "r.json, entry 1: bench 3 must be a number or a short name, as text"),
        ({"version": 1, "entries": [entry(fault=" ")]}, "r.json, entry 1: 'fault' must be text"),
        ({"version": 1, "entries": [entry(board="no")]}, "r.json, entry 1: 'board' must be true or false"),
        ({"version": 1, "entries": [entry(put_in=None)]}, "r.json, entry 1: 'put_in' must have 'at' (ISO 8601 with its offset), 'by' (initials) and at most 'checked'"),
        ({"version": 1, "entries": [entry(put_in={"at": "2026-03-02T08:15:00", "by": "KM"})]}, "r.json, entry 1: 'put_in' must have 'at' (ISO 8601 with its offset), 'by' (initials) and at most 'checked'"),
        ({"version": 1, "entries": [entry(proved={"at": "2026-03-02T08:15:00+01:00", "by": "KM"})]}, "r.json, entry 1: it is proved and was never taken out"),
        ({"version": 1, "entries": [{"number": 1, "banch": "3"}]}, "r.json, entry 1: there is no key 'banch'; did you mean 'bench'? (allowed: number, bench, circuit, fault, board, put_in, taken_out, proved)\nr.json, entry 1: there is no bench, circuit, fault, board, put_in, taken_out, proved"),
    ],
)  # fmt: skip
def test_mistakes_in_the_file(data: object, message: str) -> None:
    """Every mistake, with its entry, whole."""
    with pytest.raises(Refused) as error:
        parse_register(data, "r.json")
    assert str(error.value) == message


def test_a_refused_change_leaves_the_file(tmp_path: Path) -> None:
    """Nothing is written and the lock is gone, so that the next one can write."""
    path = tmp_path / "register.json"
    change_register(path, lambda _: one_in())
    before = path.read_bytes()
    with pytest.raises(Refused):
        change_register(path, lambda old: old.taken_out(7, signed(9)))
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["register.json"]


def test_a_lock_left_behind_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is waited for, and then a person is asked to look; nobody's lock is deleted."""
    monkeypatch.setattr(register_file, "WAIT", 0.05)
    path = tmp_path / "register.json"
    (tmp_path / "register.json.lock").touch()
    with pytest.raises(Refused) as error:
        change_register(path, lambda old: old)
    assert str(error.value) == (
        "register.json: somebody else is writing it: register.json.lock stands beside it. If nobody is, delete that file"
    )
    assert not path.exists()
    assert (tmp_path / "register.json.lock").exists()


WRITER = """
import sys
from pathlib import Path
from faultwright.workshop.register import local_time, sign
from faultwright.workshop.register_file import change_register
for number in range(8):
    bench = f"{sys.argv[2]}-{number}"
    change_register(Path(sys.argv[1]), lambda old: old.put_in(bench, "compressor", "W6 open", sign("KM", local_time())))
"""


def test_two_terminals_at_once_lose_nothing(tmp_path: Path) -> None:
    """Three processes enter eight faults each into one register: all 24 are there, numbered in order."""
    path = tmp_path / "register.json"
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, str(path), name]) for name in "abc"]
    assert [writer.wait(timeout=60) for writer in writers] == [0, 0, 0]
    entries = read_register(path).entries
    assert [one.number for one in entries] == list(range(1, 25))
    assert {one.bench for one in entries} == {f"{name}-{number}" for name in "abc" for number in range(8)}
