"""Pages are written by Jinja2, which escapes every value that is put in and refuses a name that is not there."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import jinja2


@cache
def page_templates(package: str, text: Callable[..., str], *beneath: str) -> jinja2.Environment:
    """Return the templates of a package, and of those ``beneath`` it that they build on; ``text`` looks texts up."""
    environment = jinja2.Environment(
        loader=jinja2.ChoiceLoader([jinja2.PackageLoader(name) for name in (package, *beneath)]),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["text"] = text
    return environment
