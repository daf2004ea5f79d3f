"""YAML whose every value is text and knows its line, so that a mistake can be shown where it stands.

ruamel.yaml composes the nodes (YAML 1.2: ``off`` and ``on`` are words); nothing is resolved to numbers,
dates or truth values. Anchors and aliases are refused: a parts list has no use for them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from .errors import Mistake, Refused, unknown

DEEPEST = 12
_PLAIN_TAG = re.compile(r"(tag:yaml\.org,2002:(str|map|seq|int|float|bool|null|timestamp|merge|value))?")
"""What YAML itself calls plain texts, lists and tables; an author never writes it."""


@dataclass
class Reader:
    """Walks the nodes of one file and gathers every mistake found on the way."""

    place: str
    mistakes: list[Mistake] = field(default_factory=list)

    def wrong(self, node: Node, message: str) -> None:
        """Note a mistake at ``node``."""
        self.mistakes.append(Mistake(message, self.place, node.start_mark.line + 1))

    def compose(self, text: str) -> Node:
        """Return the top node of ``text``; raises Refused where it is no YAML of one document."""
        try:
            top: Node | None = YAML().compose(text)
        except MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            line = mark.line + 1 if mark else None
            raise Refused(Mistake(f"this is not YAML: {error.problem or error.context}", self.place, line)) from None
        except RecursionError:
            raise Refused(Mistake("this YAML is nested too deep", self.place)) from None
        except YAMLError as error:
            raise Refused(Mistake(f"this is not YAML: {str(error).splitlines()[0]}", self.place)) from None
        if top is None:
            raise Refused(Mistake("the file is empty", self.place))
        self._refuse_sharing(top)
        return top

    def _refuse_sharing(self, top: Node) -> None:
        """Refuse aliases (they come out as one node met twice) and nesting that no such file needs."""
        seen: set[int] = set()
        waiting: list[tuple[Node, int]] = [(top, 0)]
        while waiting:
            node, depth = waiting.pop()
            line = node.start_mark.line + 1
            if id(node) in seen or node.anchor:
                raise Refused(Mistake("anchors and aliases are not used here; write the value out", self.place, line))
            if not _PLAIN_TAG.fullmatch(str(node.tag or "")):
                raise Refused(Mistake(f"the tag {node.tag} is not used here; write the value alone", self.place, line))
            if depth > DEEPEST:
                raise Refused(Mistake("this YAML is nested too deep", self.place, line))
            seen.add(id(node))
            if isinstance(node, MappingNode):
                waiting += [(part, depth + 1) for pair in node.value for part in pair]
            elif isinstance(node, SequenceNode):
                waiting += [(part, depth + 1) for part in node.value]

    def text(self, node: Node, what: str) -> str | None:
        """Return the text of a plain value, or note that ``what`` must be one."""
        if isinstance(node, ScalarNode):
            text = str(node.value)
            # ruamel leaves a mark where it folded a line.
            return text.replace("\a", "") if node.style == ">" else text
        self.wrong(node, f"{what} must be a single word or text, not a list or a table")
        return None

    def texts(self, node: Node, what: str) -> list[tuple[str, Node]]:
        """Return the words of a list; a single word is taken for a list of one."""
        items = node.value if isinstance(node, SequenceNode) else [node]
        return [(text, item) for item in items if (text := self.text(item, what)) is not None]

    def yes(self, node: Node | None, what: str) -> bool:
        """Return whether a value says yes, or note that ``what`` must be yes or no; left out it is no."""
        text = self.text(node, what) if node is not None else "no"
        if text not in ("yes", "no", None) and node is not None:
            self.wrong(node, f"{what} is {text!r}; write yes or no")
        return text == "yes"

    def items(self, node: Node, what: str) -> list[Node]:
        """Return the entries of a list, or note that ``what`` must be one."""
        if isinstance(node, SequenceNode):
            return list(node.value)
        self.wrong(node, f"{what} must be a list")
        return []

    def table(self, node: Node, what: str) -> Iterator[tuple[str, Node, Node]]:
        """Yield key, key node and value node of a table; a key given twice is a mistake."""
        if not isinstance(node, MappingNode):
            self.wrong(node, f"{what} must be a table of names and values")
            return
        seen: set[str] = set()
        for key_node, value in node.value:
            key = self.text(key_node, f"a name in {what}")
            if key is None:
                continue
            if key in seen:
                self.wrong(key_node, f"{what}: {key!r} is given twice")
                continue
            seen.add(key)
            yield key, key_node, value

    def fields(
        self, node: Node, what: str, allowed: tuple[str, ...], required: tuple[str, ...] = ()
    ) -> dict[str, Node]:
        """Return the values of a table by key; unknown and missing keys are mistakes."""
        found: dict[str, Node] = {}
        for key, key_node, value in self.table(node, what):
            if key in allowed:
                found[key] = value
            else:
                comma = " (a comma ends an entry; write 1.5, not 1,5)" if key[:1].isdigit() else ""
                self.wrong(key_node, f"{what}: {unknown('entry', key, allowed)}{comma}")
        for key in required:
            if key not in found and isinstance(node, MappingNode):
                self.wrong(node, f"{what}: {key!r} is missing")
        return found
