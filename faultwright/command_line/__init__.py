"""The command line: ``faultwright COMMAND``. Exit 0 well, 1 refused with a clear message, 2 usage."""

from .program import main

__all__ = ["main"]
