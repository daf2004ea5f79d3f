"""The files of a printed diagram: one SVG for each sheet, or one HTML page that any browser prints sheet by sheet."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from markupsafe import Markup

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused
from faultwright.pages import page_templates

from .cutting import LEAST_LETTERS, SIZES, Sheets, cut
from .printed import printed
from .text import clean
from .texts import text


def sheet_files(
    circuit: Circuit,
    out: Path,
    paper: str,
    *,
    positions: Mapping[str, str] | None = None,
    unplugged: Collection[str] = (),
) -> tuple[dict[Path, str], str]:
    """Return the files to write with their contents, and a remark where the lettering is small, else ``""``.

    ``paper`` is a size of ISO 216 from ``SIZES``, ``out`` an ``.html`` file for all sheets or an ``.svg`` file; of
    several sheets each gets its number before the suffix. Raises :class:`~faultwright.errors.Refused` for any other.
    """
    suffix = out.suffix.lower()
    if suffix not in (".html", ".svg"):
        raise Refused(Mistake(text("paper.suffix"), out.name))
    sheets = cut(circuit, paper)
    drawings = printed(circuit, sheets, positions=positions, unplugged=unplugged)
    if suffix == ".html":
        return {out: _page(circuit, sheets, drawings)}, _remark(sheets)
    if len(drawings) == 1:
        return {out: drawings[0]}, _remark(sheets)
    names = [out.with_name(f"{out.stem}-{number}{out.suffix}") for number in range(1, len(drawings) + 1)]
    return dict(zip(names, drawings, strict=True)), _remark(sheets)


def _remark(sheets: Sheets) -> str:
    if not sheets.is_small:
        return ""
    larger = [paper for paper in SIZES if SIZES[paper] > SIZES[sheets.paper]]
    height = f"{sheets.lettering:.1f}"
    return text("paper.small" if larger else "paper.smallest", height=height, paper=sheets.paper,
                least=LEAST_LETTERS, larger=" or ".join(larger))  # fmt: skip


def _page(circuit: Circuit, sheets: Sheets, drawings: Sequence[str]) -> str:
    """Return all sheets as one page, each an own page on paper."""
    inline = [Markup(one.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)) for one in drawings]  # noqa: S704 - escaped
    return (
        page_templates("faultwright", text)
        .get_template("sheets.html")
        .render(title=clean(circuit.title), wide=sheets.wide, tall=sheets.tall, drawings=inline)
    )
