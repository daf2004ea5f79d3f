"""A plot together with what it shows in words, and showing both in a notebook."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from io import BytesIO

from matplotlib.figure import Figure

from .texts import text


@dataclass(frozen=True, slots=True)
class Told:
    """What a plot shows, in words: a sentence, then a table with a heading for each column, then remarks.

    The first cell of a row names it; an empty cell has nothing to say.
    """

    summary: str
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    remarks: tuple[str, ...] = ()

    def words(self) -> str:
        """Return all of it as plain lines, a row of the table each."""
        return "\n".join([self.summary, *map(self._line, self.rows), *self.remarks])

    def _line(self, row: Sequence[str]) -> str:
        cells = [f"{head} {cell}".strip() for head, cell in zip(self.heads[1:], row[1:], strict=True) if cell]
        return f"{row[0]}: {', '.join(cells)}." if cells else f"{row[0]}."

    def html(self) -> str:
        """Return all of it as HTML, with a table that a screen reader can walk through."""
        remarks = "".join(f"<p>{escape(remark)}</p>" for remark in self.remarks)
        if not self.rows:
            return f"<p>{escape(self.summary)}</p>{remarks}"
        heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in self.heads)
        rows = "".join(map(self._row, self.rows))
        table = f'<table style="text-align:left"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
        return f"<p>{escape(self.summary)}</p>{table}{remarks}"

    @staticmethod
    def _row(row: Sequence[str]) -> str:
        first = f'<th scope="row" style="text-align:left">{escape(row[0])}</th>'
        cells = "".join(f'<td style="text-align:left">{escape(cell)}</td>' for cell in row[1:])
        return f"<tr>{first}{cells}</tr>"


class Plot(Figure):
    """A figure that knows in words what it shows; the same, as plain text, is its label."""

    def __init__(self, told: Told, width: float, height: float) -> None:
        """Make an empty figure of this size in inches. It is none of pyplot's: nobody shows it twice."""
        super().__init__(figsize=(width, height), layout="constrained")
        self.told = told
        self.set_label(told.words())


@dataclass(frozen=True)
class Shown:
    """A plot that a notebook shows as an image with its text alternative."""

    figure: Plot

    def __repr__(self) -> str:
        """The text alternative, where only text can be shown."""
        return self.figure.told.words()

    def _repr_html_(self) -> str:
        """The image, with the text alternative read out and, folded, to be read."""
        image = BytesIO()
        self.figure.savefig(image, format="png", dpi=110, facecolor="white")
        code = base64.b64encode(image.getvalue()).decode("ascii")
        told = self.figure.told
        return (
            f'<figure style="margin:0"><img style="max-width:100%" alt="{escape(told.words())}" '
            f'src="data:image/png;base64,{code}"><figcaption><details><summary>{escape(text("plot.in_words"))}</summary>'
            f'<div style="overflow-x:auto">{told.html()}</div></details></figcaption></figure>'
        )
