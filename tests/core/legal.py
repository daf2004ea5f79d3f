"""What is never allowed of a machine or a meter, whatever the circuit: NaN, infinities, a status of its own."""

from __future__ import annotations

import json
import math

from faultwright.machine import Machine
from faultwright.meter import OK, STATUSES, Reading


def all_finite(found: Machine) -> None:
    """Check that nothing about a settled machine is NaN or infinite."""
    settled = found.settled
    for number in (*settled.voltages, *settled.currents(), *map(settled.current, range(len(settled.conductances)))):
        assert math.isfinite(number)


def check_reading(reading: Reading) -> None:
    """Check that a reading has a legal status, a value exactly where that is ``ok``, and nothing that is not finite."""
    assert reading.status in STATUSES
    assert (reading.value is None) == (reading.status != OK)
    json.dumps(reading.as_json(), allow_nan=False)
