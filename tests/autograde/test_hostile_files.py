"""Hostile circuit files, blueprints and rosters: each is refused in words, quickly, and nothing of it is done."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultwright.command_line import main
from faultwright.errors import Refused
from faultwright_autograde.class_folder import read_roster
from tests.autograde.gate import FOLDER, SECRET
from tests.autograde.hostile.yaml_texts import TEXTS


def content(text: str | bytes) -> bytes:
    """Return the bytes of a file."""
    return text.encode("utf-8") if isinstance(text, str) else text


EACH = pytest.mark.parametrize("name", TEXTS)


@EACH
def test_checking_a_hostile_circuit(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """``faultwright check`` ends with one and says why, without a traceback and at no great length."""
    monkeypatch.chdir(tmp_path)
    text, says = TEXTS[name]
    (tmp_path / "shed.yaml").write_bytes(content(text))
    assert main(["check", "shed.yaml"]) == 1
    told = capsys.readouterr().err
    assert told.startswith("shed.yaml")
    assert says in told, told[:500]
    assert "Traceback" not in told
    assert not (tmp_path / "ran").exists()


@EACH
def test_setting_with_a_hostile_circuit_or_blueprint(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """``faultwright set`` refuses either and sets nothing."""
    monkeypatch.chdir(tmp_path)
    text, _ = TEXTS[name]
    (tmp_path / "roster.csv").write_text("bench-1\n", encoding="utf-8")
    (tmp_path / "secret.key").write_bytes(SECRET)
    paper = (FOLDER / "paper.yaml").read_text(encoding="utf-8")
    for hostile, sound in (("gate-lamp.yaml", "paper.yaml"), ("paper.yaml", "gate-lamp.yaml")):
        (tmp_path / hostile).write_bytes(content(text))
        (tmp_path / sound).write_text((FOLDER / sound).read_text(encoding="utf-8"), encoding="utf-8")
        arguments = ["set", "paper.yaml", "--for", "roster.csv", "--out", "class", "--secret", "secret.key"]
        assert main(arguments) == 1
        told = capsys.readouterr().err
        assert told
        assert "Traceback" not in told
        assert not (tmp_path / "class").exists()
        assert not (tmp_path / "ran").exists()
    assert paper


OUTSIDE = (
    "../gate-lamp.yaml",
    "/dev/zero",
    "/etc/hostname",
    "~/gate-lamp.yaml",
    "..\\gate-lamp.yaml",
    "link.yaml",
    ".",
)


@pytest.mark.parametrize("named", OUTSIDE)
def test_a_circuit_that_is_no_plain_file(named: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A blueprint names its circuit; what is there but no plain file with a circuit in it is refused."""
    (tmp_path / "link.yaml").symlink_to(FOLDER / "gate-lamp.yaml")
    text = (
        (FOLDER / "paper.yaml")
        .read_text(encoding="utf-8")
        .replace("gate-lamp.yaml", f'"{named}"'.replace("\\", "\\\\"))
    )
    (tmp_path / "paper.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "roster.csv").write_text("bench-1\n", encoding="utf-8")
    arguments = ["set", str(tmp_path / "paper.yaml"), "--for", str(tmp_path / "roster.csv")]
    assert main([*arguments, "--out", str(tmp_path / "class"), "--secret", str(tmp_path / "secret.key")]) == 1
    assert capsys.readouterr().err
    assert not (tmp_path / "class").exists()


NO_IDS = [
    "../bench-1", "/bench-1", "..", ".", "bench-1/..", "a\\b", "C:", "bench-1.json", "bench-1.", "-bench", "_bench",
    "bench 1", "con", "NUL", "Aux", "com1", "LPT9", "be\u0430ch", "\uff42ench-1", "bench\u200b-1", "bench\u202e-1", "é",
    "=1+1", "+1", "@SUM(A1)", "<b>x</b>", "a" * 41, "bench-1\x00", "{{x}}", "%s",
]  # fmt: skip


@pytest.mark.parametrize("name", NO_IDS, ids=ascii)
def test_no_id_leads_out_of_the_folder(name: str, tmp_path: Path) -> None:
    """Paths, names of devices, look-alikes, what shows as nothing and what a spreadsheet works out are no ids."""
    path = tmp_path / "roster.csv"
    path.write_text(f'bench-2\n"{name}"\n', encoding="utf-8")
    with pytest.raises(Refused) as refused:
        read_roster(path)
    (mistake,) = refused.value.mistakes
    assert mistake.line == 2
    assert mistake.message == (
        f"{name.strip()[:60]!r} is no id; use letters, digits, '-' and '_', 40 at most, and no name of a person"
    )


def test_ids_that_differ_in_case_alone(tmp_path: Path) -> None:
    """Where a system does not tell capitals apart, one would write over the other."""
    path = tmp_path / "roster.csv"
    path.write_text("bench-1\nBench-1\n", encoding="utf-8")
    with pytest.raises(Refused, match=r"roster\.csv:2: 'Bench-1' is there twice"):
        read_roster(path)
