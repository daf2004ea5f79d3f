"""A class in figures: its criteria, its items, what was recognised, and how each fault did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, pstdev

from faultwright_autograde.mark import MARKED, Mark

from .account import Account
from .item_statistics import correlation, cronbach, discrimination, facility, ferguson
from .misconceptions import RECOGNISED


@dataclass(frozen=True, slots=True)
class Item:
    """One criterion over a class: mean and spread in marks, shares of full and of no marks, its figures as an item."""

    name: str
    maximum: float
    mean: float
    spread: float
    full: float
    none: float
    facility: float
    discrimination: float | None
    correlation: float | None


@dataclass(frozen=True, slots=True)
class OfFault:
    """How the candidates with one fault did: mean and spread in per cent."""

    fault: str
    count: int
    mean: float
    spread: float


@dataclass(frozen=True, slots=True)
class ClassFigures:
    """All figures of a class; ``models`` counts what was recognised, by name."""

    items: Sequence[Item]
    delta: float | None
    alpha: float | None
    models: Sequence[tuple[str, int]]
    faults: Sequence[OfFault]


def figures_of(marks: Sequence[Mark], accounts: Sequence[Account]) -> ClassFigures:
    """Return the figures of a class; items by those whose answers could be marked."""
    marked = [one for one in marks if one.answer == MARKED and one.maximum > 0]
    names = [criterion.name for criterion in marked[0].criteria] if marked else []
    table = [[one.by_name[name].mark for name in names] for one in marked]
    totals = [sum(row) for row in table]
    items = [_item(name, place, marked, table, totals) for place, name in enumerate(names)]
    halves = [round(2 * total) for total in totals]
    counts = {name: sum(name in account.recognised for account in accounts) for name in RECOGNISED}
    return ClassFigures(
        items=items,
        delta=ferguson(halves, round(2 * marked[0].maximum)) if marked else None,
        alpha=cronbach(table) if marked else None,
        models=sorted(((name, count) for name, count in counts.items() if count), key=lambda entry: -entry[1]),
        faults=_by_fault(marks, accounts),
    )


def _item(
    name: str, place: int, marked: Sequence[Mark], table: Sequence[Sequence[float]], totals: Sequence[float]
) -> Item:
    maximum = marked[0].by_name[name].maximum
    given = [row[place] for row in table]
    shares = [mark / maximum for mark in given]
    rest = [total - mark for total, mark in zip(totals, given, strict=True)]
    return Item(
        name,
        maximum,
        fmean(given),
        pstdev(given),
        fmean(share == 1 for share in shares),
        fmean(share == 0 for share in shares),
        facility(shares),
        discrimination(shares, totals),
        correlation(shares, rest),
    )


def _by_fault(marks: Sequence[Mark], accounts: Sequence[Account]) -> list[OfFault]:
    found: dict[str, list[float]] = {}
    for one, account in zip(marks, accounts, strict=True):
        if one.answer == MARKED:
            found.setdefault(account.fault, []).append(100 * one.mark / one.maximum)
    return [OfFault(fault, len(shares), fmean(shares), pstdev(shares)) for fault, shares in sorted(found.items())]
