"""The list of deliberate faults keeps up with the code: whether tests notice them is for ``run.py``."""

from __future__ import annotations

from faults import FAULTS
from run import is_stale


def test_every_fault_can_still_be_put_in() -> None:
    assert len({fault.id for fault in FAULTS}) == len(FAULTS) >= 80
    assert not [fault.id for fault in FAULTS if is_stale(fault)]
