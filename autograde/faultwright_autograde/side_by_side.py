"""Work on several processors: processes that start the same on every system, and end with whoever started them."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import Any, TypeVar

Given = TypeVar("Given")
Found = TypeVar("Found")


def processors() -> int:
    """Return how many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def side_by_side(
    work: Callable[[Given], Found],
    given: Iterable[Given],
    count: int,
    first: tuple[Callable[..., None], *tuple[Any, ...]] | None = None,
) -> Iterator[tuple[Given, Found]]:
    """Yield what is given, each with what the work on it gave, as it comes, by ``count`` processes.

    ``first`` is what each process does before all else, with its arguments. Raises BrokenProcessPool where a process
    ends by itself, and whatever the work raises.
    """
    pool = ProcessPoolExecutor(
        count, multiprocessing.get_context("spawn"), initializer=_start, initargs=(() if first is None else first)
    )
    try:
        waiting = {pool.submit(work, one): one for one in given}
        for done in as_completed(waiting):
            yield waiting[done], done.result()
    finally:
        pool.shutdown(cancel_futures=True)


def _start(first: Callable[..., None] | None = None, *arguments: object) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started this process ends it
    threading.Thread(target=_leave_with_whoever_started_this, daemon=True).start()
    if first is not None:
        first(*arguments)


def _leave_with_whoever_started_this() -> None:
    """End this process when the one that started it is gone, however that came about: it would wait for ever."""
    started_by = multiprocessing.parent_process()
    if started_by is not None:
        started_by.join()
        os._exit(1)
