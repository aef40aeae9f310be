"""How heavy work is called, by what it takes a minute."""

from __future__ import annotations

from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value
from wood_xl.ids import Workload
from wood_xl.records import Sex

# The heaviest first; each begins at its constant.
HEAVY = (Workload.UNDULY_HEAVY, Workload.VERY_HEAVY, Workload.HEAVY)
CLASSES = (*HEAVY, Workload.MODERATE, Workload.LIGHT)


def workload_class(*, kcal_per_min: float, sex: Sex) -> Workload:
    """Class of work.

    sex: whose classes.

    Returns the heaviest class that the energy reaches.

    The print leaves gaps of 0.1 kcal/min between classes; here a class reaches up to where the next begins.

    Errors: ValueError if the energy is below 0.
    Source: workload_classes, table (constants ``workload.male.light``, ``workload.male.moderate``,
    ``workload.male.heavy``, ``workload.male.very_heavy``, ``workload.male.unduly_heavy``, ``workload.female.light``,
    ``workload.female.moderate``, ``workload.female.heavy``, ``workload.female.very_heavy``,
    ``workload.female.unduly_heavy``).

    >>> workload_class(kcal_per_min=8.6, sex="male"), workload_class(kcal_per_min=8.6, sex="female")
    (<Workload.HEAVY: 4>, <Workload.VERY_HEAVY: 5>)
    """
    require_not_negative(kcal_per_min=kcal_per_min)
    for one in CLASSES:
        if kcal_per_min >= value(f"workload.{sex}.{one.key}"):
            return one
    return Workload.BELOW_LIGHT


def is_heavy(workload: Workload) -> bool:
    """Whether work of a class is heavy or worse.

    workload: class of work.

    Source: workload_classes, order of the classes.

    >>> is_heavy(Workload.VERY_HEAVY), is_heavy(Workload.MODERATE)
    (True, False)
    """
    return workload in HEAVY
