"""What the plots share: colours that can be seen in greyscale, widths of words, and the words beside a plot."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from faultwright_widgets import plot_texts
from faultwright_widgets.plot_style import BLUE, GREY, VERMILLION, Column, width
from faultwright_widgets.plot_texts import TEXTS, text
from faultwright_widgets.show import Plot, Shown, Told
from tests.widgets.plot_measures import contrast


@pytest.mark.parametrize("colour", [BLUE, VERMILLION, GREY])
def test_every_mark_can_be_seen_on_white(colour: str) -> None:
    """WCAG 2.2, 1.4.11: what is drawn has a contrast of 3 to 1 at least, in greyscale too."""
    assert contrast(colour) >= 3


def test_a_column_is_as_wide_as_its_widest_words() -> None:
    """Bold words and the lines of a heading count."""
    column = Column("a long\nheading", ((0.0, "W1", False), (1.0, "W1", True)))
    assert column.width == width("heading")
    assert width("W1", bold=True) > width("W1")


TOLD = Told("What it shows.", ("row", "healthy", "measured"), (("<1>", "12 V", ""), ("2", "", "")), ("A remark.",))


def test_told_as_lines() -> None:
    """A row is a sentence in which each cell follows its heading; an empty cell is left out."""
    assert TOLD.words().splitlines() == ["What it shows.", "<1>: healthy 12 V.", "2.", "A remark."]


def test_told_as_a_table() -> None:
    """Columns and rows have heading cells, so that a screen reader says where it is; signs are escaped."""
    html = TOLD.html()
    assert html.count('<th scope="col">') == 3
    assert html.count('<th scope="row"') == 2
    assert "&lt;1&gt;" in html
    assert html.endswith("</table><p>A remark.</p>")
    assert "<table" not in Told("Nothing but this.").html()


def test_a_shown_plot_holds_image_table_and_alternative() -> None:
    """The image has the words as its alternative; the table is folded under it."""
    html = Shown(Plot(TOLD, 2.0, 1.0))._repr_html_()
    assert 'alt="What it shows.\n&lt;1&gt;: healthy 12 V.' in html
    assert html.index("<summary>In words</summary>") < html.index("<table")


def test_texts_of_the_bench_are_found_too() -> None:
    """A key of the plots' own catalogue, one of the bench's, and one of neither."""
    assert "plot.measured" not in TEXTS
    assert text("plot.measured") == "measured"
    assert text("suspects.axis") == "Suspects left"
    with pytest.raises(KeyError):
        text("plot.none_such")


def test_every_text_is_used() -> None:
    """A text that no plot asks for is dead."""
    folder = Path(plot_texts.__file__).parent
    sources = "\n".join(path.read_text(encoding="utf-8") for path in folder.glob("*_plot.py"))
    begun = tuple(re.findall(r"""f"([a-z.]+)\{""", sources))
    assert [key for key in TEXTS if f'"{key}"' not in sources and not key.startswith(begun)] == []
