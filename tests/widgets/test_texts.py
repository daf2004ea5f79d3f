"""The message catalogue and the colours: checked against the files that use them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import faultwright_widgets
from faultwright_widgets.plot_texts import TEXTS as PLOT_TEXTS
from faultwright_widgets.texts import TEXTS, text

FOLDER = Path(faultwright_widgets.__file__).parent
SCRIPTS = {path: path.read_text(encoding="utf-8") for path in sorted((FOLDER / "static").glob("*.js"))}
MODULES = {
    path: path.read_text(encoding="utf-8") for path in sorted(FOLDER.rglob("*.py")) if path.parent.name != "texts"
}
CSS = (FOLDER / "static" / "bench.css").read_text(encoding="utf-8")

# A key as it is written, whole or up to where a part of it is filled in: t("choose"), t(`mode.${name}`).
WHOLE = re.compile(r"""["'`]([a-z]+(?:\.[a-z_]+)*)["'`]""")
BEGUN = re.compile(r"""["'`]([a-z]+\.(?:[a-z_]+\.)?)\$?\{""")
SECTION = re.compile(r"""section\("([a-z]+)\"""")


def is_used(key: str) -> bool:
    """Say whether a script or a module asks for a text: whole, by its beginning, or as a section's heading."""
    sources = "\n".join((*SCRIPTS.values(), *MODULES.values()))
    headings = {f"{name}.heading" for name in SECTION.findall(sources)}
    return key in {*WHOLE.findall(sources), *headings} or key.startswith(tuple(BEGUN.findall(sources)))


def test_every_text_is_used() -> None:
    """A text that nothing asks for is dead, and a translator's work in vain."""
    assert [key for key in TEXTS if not is_used(key)] == []
    assert not is_used("operate.nothing_of_the_kind")


def test_every_text_asked_for_exists() -> None:
    """Every key in a script or module is in the catalogue."""
    asked = {
        key
        for source in (*SCRIPTS.values(), *MODULES.values())
        for key in re.findall(r"""\b(?:t|text)\(\s*["']([a-z]+\.[a-z_.]+)["']""", source)
    }
    assert len(asked) > 50
    assert sorted(key for key in asked if key not in {**TEXTS, **PLOT_TEXTS}) == []


def test_a_text_is_filled_in() -> None:
    """Placeholders take values; an unknown key is an error and not an empty text."""
    assert text("seen.buzzes", part="K1") == "K1 buzzes"
    with pytest.raises(KeyError):
        text("seen.nothing")


def palette(block: str) -> dict[str, str]:
    """Return the colours that a rule of the style sheet sets."""
    rule = re.search(re.escape(block) + r" \{(.*?)\}", CSS, re.DOTALL)
    assert rule is not None
    return dict(re.findall(r"--fwb-([a-z-]+): (#[0-9a-f]{6});", rule[1]))


LIGHT = palette(".fwb")
DARK = LIGHT | palette('[data-jp-theme-light="false"] .fwb')


def luminance(colour: str) -> float:
    """Return the relative luminance of WCAG 2.2 of a colour ``#rrggbb``."""
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of WCAG 2.2 between two colours."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_computed_as_wcag_defines_it() -> None:
    """Black on white is 21:1, and #767676 on white is the well-known darkest grey under 4.5:1 (WCAG 2.2, 1.4.3)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") < 4.5 < contrast("#767676", "#ffffff")


TEXT_PAIRS = [
    ("text", "ground"),
    ("text", "raised"),
    ("text", "alert-ground"),
    ("quiet", "ground"),
    ("quiet", "raised"),
    ("on-accent", "accent"),
    ("alert", "alert-ground"),
    ("on-red-lead", "red-lead"),
    ("on-black-lead", "black-lead"),
    ("ink", "paper"),
]
SHAPE_PAIRS = [
    ("border", "ground"),
    ("border", "raised"),
    ("border", "paper"),
    ("accent", "ground"),
    ("accent", "raised"),
    ("paper-accent", "paper"),
    ("alert", "ground"),
    ("red-lead", "paper"),
    ("text", "raised"),
]


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("pair", TEXT_PAIRS, ids="-on-".join)
def test_text_stands_out_from_its_ground(colours: dict[str, str], pair: tuple[str, str]) -> None:
    """Text has at least 4.5:1 (WCAG 2.2, 1.4.3) in both themes."""
    assert contrast(colours[pair[0]], colours[pair[1]]) >= 4.5


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("pair", SHAPE_PAIRS, ids="-on-".join)
def test_borders_and_marks_stand_out_from_their_ground(colours: dict[str, str], pair: tuple[str, str]) -> None:
    """Borders, focus outlines and leads have at least 3:1 (WCAG 2.2, 1.4.11) in both themes."""
    assert contrast(colours[pair[0]], colours[pair[1]]) >= 3


def test_every_colour_is_in_the_palette() -> None:
    """Outside the palettes no colour is written, so that no pair escapes the checks above."""
    rules = re.sub(r"--fwb-[a-z-]+: #[0-9a-f]{6};", "", CSS)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b", rules) == []
