"""ngspice's shared library in this process: a circuit, resistances altered, one ``op`` a point, all nodes read."""

from __future__ import annotations

import ctypes
import ctypes.util
from collections.abc import Iterable, Sequence
from typing import ClassVar

_SEND = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_void_p)
_EXIT = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_int, ctypes.c_bool, ctypes.c_bool, ctypes.c_int, ctypes.c_void_p)


class _Vector(ctypes.Structure):
    """The library's ``vector_info``."""

    _fields_: ClassVar = [
        ("name", ctypes.c_char_p),
        ("type", ctypes.c_int),
        ("flags", ctypes.c_short),
        ("real", ctypes.POINTER(ctypes.c_double)),
        ("complex", ctypes.c_void_p),
        ("length", ctypes.c_int),
    ]


class Ngspice:
    """The shared library, started once in a process."""

    def __init__(self) -> None:
        self.library = ctypes.CDLL(ctypes.util.find_library("ngspice") or "libngspice.so.0")
        self._send = _SEND(lambda _text, _number, _data: 0)
        self._exit = _EXIT(lambda *_arguments: 0)
        self.library.ngSpice_Init(self._send, None, self._exit, None, None, None, None)
        self.library.ngGet_Vec_Info.restype = ctypes.POINTER(_Vector)

    def load(self, lines: Sequence[str]) -> None:
        """Load a deck."""
        self.library.ngSpice_Circ((ctypes.c_char_p * (len(lines) + 1))(*[line.encode() for line in lines], None))

    def command(self, text: str) -> None:
        """Give one command."""
        self.library.ngSpice_Command(text.encode())

    def voltages(self, nodes: Iterable[str]) -> list[float]:
        """Return the voltages of the last ``op``."""
        return [self.library.ngGet_Vec_Info(node.encode()).contents.real[0] for node in nodes]
