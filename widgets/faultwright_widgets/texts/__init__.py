"""The message catalogue: every text that a person reads on the bench, by key, so that it can be translated.

Placeholders are written ``{name}``. The front end gets the whole catalogue and looks texts up by the same keys.
"""

from __future__ import annotations

from types import MappingProxyType

from faultwright.catalogue import reader

from . import author, bench, conclusion, diagram, findings, helping, look, measure, operate, plots, questions, repair

TEXTS = MappingProxyType(
    {
        **author.TEXTS,
        **bench.TEXTS,
        **conclusion.TEXTS,
        **diagram.TEXTS,
        **findings.TEXTS,
        **helping.TEXTS,
        **look.TEXTS,
        **measure.TEXTS,
        **operate.TEXTS,
        **plots.TEXTS,
        **questions.TEXTS,
        **repair.TEXTS,
    }
)


text = reader(TEXTS)
