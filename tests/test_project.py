"""The project's own promises: what it needs, how it is laid out and checked, and what its README says to type."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from ruamel.yaml import YAML

ROOT = Path(__file__).resolve().parent.parent

PACKAGES = {
    "faultwright": ROOT / "faultwright",
    "faultwright_widgets": ROOT / "widgets" / "faultwright_widgets",
    "faultwright_autograde": ROOT / "autograde" / "faultwright_autograde",
    "faultwright_course": ROOT / "course" / "faultwright_course",
}

TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "autograde",
    "course",
    "environment.yml",
    "faultwright",
    "pyproject.toml",
    "tests",
    "widgets",
}

CHECKS = {
    "ruff check": ("-m", "ruff", "check"),
    "ruff format": ("-m", "ruff", "format", "--check"),
    "mypy": ("-m", "mypy"),
    "import-linter": ("-c", "from importlinter.cli import lint_imports_command as run; run()", "--no-logo"),
}

SECONDS = 600
"""Longest that one command of these tests may take before it counts as hung."""


def run(*command: str | Path, cwd: Path = ROOT, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command to its end, with ``environment`` laid over this one's; its output is text."""
    return subprocess.run(
        command,
        cwd=cwd,
        env=os.environ | environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=False,
        encoding="utf-8",
        timeout=SECONDS,
    )


def said(done: subprocess.CompletedProcess[str]) -> str:
    """All that a command printed, for the message of a failing test."""
    return f"{done.args}\n{done.stdout}{done.stderr}"


def tracked(*folders: str) -> list[str]:
    """Every file that git keeps, in ``folders`` or in all, as paths from the top with ``/`` between."""
    done = run("git", "ls-files", "-z", "--", *folders)
    assert done.returncode == 0, said(done)
    return [name for name in done.stdout.split("\0") if name]


def pyproject() -> dict[str, Any]:
    """What pyproject.toml holds."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def bounds(lines: list[str]) -> dict[str, str]:
    """Requirements as name → bounds; a name that comes twice must ask for the same."""
    found: dict[str, str] = {}
    for requirement in map(Requirement, lines):
        name, wanted = canonicalize_name(requirement.name), str(requirement.specifier)
        assert found.setdefault(name, wanted) == wanted, f"{name} is asked for twice, with different bounds"
    return found


def section(heading: str) -> list[str]:
    """The README's lines under ``## heading``, up to the next heading of that rank."""
    lines = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    below = lines[lines.index(f"## {heading}") + 1 :]
    ends = [number for number, line in enumerate(below) if line.startswith(("# ", "## "))]
    return below[: ends[0]] if ends else below


def fenced(lines: list[str]) -> list[tuple[str, list[str]]]:
    """The fenced blocks in Markdown ``lines``: each its language and its lines."""
    blocks: list[tuple[str, list[str]]] = []
    inside = False
    for line in lines:
        if line.startswith("```"):
            inside = not inside
            if inside:
                blocks.append((line.removeprefix("```").strip(), []))
        elif inside:
            blocks[-1][1].append(line)
    assert not inside, "a fenced block is not closed"
    return blocks


def test_conda_users_get_the_same_bounds() -> None:
    """environment.yml asks for all that pyproject.toml does, core and extras, with the same bounds, one a lower one."""
    project = pyproject()["project"]
    extras = [line for extra in project["optional-dependencies"].values() for line in extra]
    wanted = bounds([line for line in project["dependencies"] + extras if not line.startswith("faultwright[")])

    listed = YAML(typ="safe").load(ROOT / "environment.yml")["dependencies"]
    (from_pip,) = [entry["pip"] for entry in listed if isinstance(entry, dict)]
    from_conda = [entry for entry in listed if isinstance(entry, str)]
    given = bounds(from_conda + [line for line in from_pip if not line.startswith("-e ")])

    assert given.pop("python") == project["requires-python"]
    assert given.pop("pip") == ""
    assert "-e ." in from_pip
    assert given == wanted
    assert [name for name, bound in wanted.items() if bound.count(">=") != 1] == []


def test_top_level_holds_only_what_the_layout_names() -> None:
    """Nothing else stands at the top level beside hidden files of tools, and nothing of it is missing."""
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


def test_core_imports_light() -> None:
    """``import faultwright`` loads none of the heavy libraries, so that every command starts at once."""
    code = (
        "import sys, faultwright; "
        "heavy = {'numpy', 'matplotlib', 'IPython', 'ipywidgets', 'pint', 'ruamel', 'ruamel.yaml'}; "
        "print(faultwright.__version__, *sorted(heavy & set(sys.modules)))"
    )
    done = run(sys.executable, "-c", code)
    assert done.returncode == 0, said(done)
    version, *loaded = done.stdout.split()
    assert re.fullmatch(r"\d+\.\d+\.\d+", version)
    assert loaded == []


def test_wheel_carries_every_file_of_every_package(tmp_path: Path) -> None:
    """A wheel holds all that git keeps in the four packages: code, py.typed, and the course's and widgets' data."""
    done = run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path))
    assert done.returncode == 0, said(done)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        inside = set(archive.namelist())
    for name, folder in PACKAGES.items():
        parent = folder.parent.relative_to(ROOT).as_posix()
        kept = {path.removeprefix(f"{parent}/") for path in tracked(folder.relative_to(ROOT).as_posix())}
        assert f"{name}/py.typed" in kept
        assert kept - inside == set()
    assert {path.split("/")[0] for path in inside if ".dist-info/" not in path} == set(PACKAGES)


@pytest.mark.parametrize("heading", ["Run it", "Test it"])
def test_readme_gives_one_line_to_type(heading: str) -> None:
    """Each of the two headings is followed by exactly one fenced ``sh`` block of exactly one line."""
    ((language, lines),) = fenced(section(heading))
    assert language == "sh"
    assert len(lines) == 1
    assert lines[0].strip()


@pytest.fixture
def checkout_of_ci(tmp_path: Path) -> Path:
    """Return a folder with this project's .ci/run, and with stand-ins for the programs that it would install."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", tmp_path / ".ci" / "run")
    (tmp_path / "programs").mkdir()
    for name in ("chromium", "ngspice"):
        program = tmp_path / "programs" / name
        program.write_text("#!/bin/sh\n", encoding="utf-8")
        program.chmod(0o755)
    return tmp_path


def run_ci(checkout: Path, readme: str) -> subprocess.CompletedProcess[str]:
    """Run the .ci/run of ``checkout`` beside a README.md that says ``readme``."""
    if not shutil.which("bash"):
        pytest.skip("there is no bash, and .ci/run is for bash")
    (checkout / "README.md").write_text(readme, encoding="utf-8")
    path = os.pathsep.join([str(checkout / "programs"), os.environ["PATH"]])
    return run("bash", ".ci/run", cwd=checkout, PATH=path)


def test_ci_runs_the_line_that_the_readme_gives(checkout_of_ci: Path) -> None:
    """.ci/run takes its command from under 'Test it' of whatever README.md stands beside it, with CI set."""
    readme = "## Run it\n\n```sh\necho no\n```\n\n## Test it\n\nSo:\n\n```sh\necho ran-$((6 * 7))-$CI\n```\n\n## B\n"
    done = run_ci(checkout_of_ci, readme)
    assert done.returncode == 0, said(done)
    assert done.stdout.splitlines()[-1] == "ran-42-true"


def test_ci_fails_when_the_line_fails(checkout_of_ci: Path) -> None:
    """.ci/run ends in the exit code of the README's line."""
    assert run_ci(checkout_of_ci, "## Test it\n\n```sh\nexit 7\n```\n").returncode == 7


@pytest.mark.parametrize(
    "readme",
    [
        "## Run it\n\n```sh\necho no\n```\n",
        "## Test it\n\nNothing.\n\n## More\n\n```sh\necho no\n```\n",
        "## Test it\n\n```sh\necho no\necho no\n```\n",
        "## Test it\n\n```sh\necho no\n```\n\n```sh\necho no\n```\n",
    ],
    ids=["no heading", "no block", "two lines", "two blocks"],
)
def test_ci_refuses_a_readme_without_that_one_line(checkout_of_ci: Path, readme: str) -> None:
    """Where README.md does not give one line, .ci/run says so and runs nothing."""
    done = run_ci(checkout_of_ci, readme)
    assert done.returncode == 1
    assert done.stderr.splitlines() == ["README.md needs one 'Test it' heading with one sh block of one line under it"]
    assert done.stdout == ""


@pytest.mark.parametrize("check", CHECKS)
def test_checks_pass(check: str) -> None:
    """Style, format, types and floors hold over the whole project."""
    done = run(sys.executable, *CHECKS[check])
    assert done.returncode == 0, said(done)


@pytest.mark.parametrize(("ci", "code", "outcome"), [("true", 1, "1 error"), ("", 0, "1 skipped")], ids=["CI", "home"])
@pytest.mark.parametrize("side_by_side", [(), ("-n", "1")], ids=["one process", "side by side"])
def test_a_missing_browser_is_never_silent(
    tmp_path: Path, ci: str, code: int, outcome: str, side_by_side: tuple[str, ...]
) -> None:
    """Without a browser a browser test fails in CI; elsewhere it is skipped, and the run's end says that and why."""
    shutil.copy(ROOT / "tests" / "conftest.py", tmp_path / "conftest.py")
    journey = "def test_journey(browser):\n    '''Asks for what is not there.'''\n"
    (tmp_path / "test_journey.py").write_text(journey, encoding="utf-8")
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers = browser: x\n", encoding="utf-8")
    missing = tmp_path / "no-browser"
    done = run(
        *(sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-m", "browser", str(tmp_path), *side_by_side),
        cwd=tmp_path,
        CI=ci,
        FAULTWRIGHT_CHROMIUM=str(missing),
    )
    assert done.returncode == code, said(done)
    assert outcome in done.stdout.splitlines()[-1]
    assert f"FAULTWRIGHT_CHROMIUM is {missing}, and there is no such file" in done.stdout
    assert ("BROWSER TESTS DID NOT RUN" in done.stdout) == (not ci)
