"""ngspice, and the rule about a machine that has none."""

from __future__ import annotations

import os
import shutil
from typing import NoReturn

import pytest

IN_CI = os.environ.get("CI", "").lower() in {"1", "true"}


@pytest.fixture(scope="session")
def ngspice_there() -> None:
    """Missing in CI it is a failure; elsewhere the tests that ask for it are skipped and say so."""
    if shutil.which("ngspice") is None:
        _without_ngspice()


def _without_ngspice() -> NoReturn:
    reason = "NGSPICE TESTS DID NOT RUN: there is no ngspice on the path. Install Debian's ngspice, or conda-forge's."
    if IN_CI:
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)
