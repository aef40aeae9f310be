"""How heavy work is called, by what it takes a minute."""

from __future__ import annotations

from typing import Literal

from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value
from wood_xl.records import Sex

Class = Literal["below light", "light", "moderate", "heavy", "very heavy", "unduly heavy"]

# The heaviest first; each begins at its constant.
CLASSES: tuple[Class, ...] = ("unduly heavy", "very heavy", "heavy", "moderate", "light")


def workload_class(*, kcal_per_min: float, sex: Sex) -> Class:
    """Class of work in words.

    sex: whose classes.

    Returns the heaviest class that the energy reaches.

    The print leaves gaps of 0.1 kcal/min between classes; here a class reaches up to where the next begins.

    Errors: ValueError if the energy is below 0.
    Source: workload_classes, table (constants ``workload.male.light``, ``workload.male.moderate``,
    ``workload.male.heavy``, ``workload.male.very_heavy``, ``workload.male.unduly_heavy``, ``workload.female.light``,
    ``workload.female.moderate``, ``workload.female.heavy``, ``workload.female.very_heavy``,
    ``workload.female.unduly_heavy``).

    >>> workload_class(kcal_per_min=8.6, sex="male"), workload_class(kcal_per_min=8.6, sex="female")
    ('heavy', 'very heavy')
    """
    require_not_negative(kcal_per_min=kcal_per_min)
    for name in CLASSES:
        if kcal_per_min >= value(f"workload.{sex}.{name.replace(' ', '_')}"):
            return name
    return "below light"


def is_heavy(name: Class) -> bool:
    """Whether work of a class is heavy or worse.

    name: class of work.

    Source: workload_classes, order of the classes.

    >>> is_heavy("very heavy"), is_heavy("moderate")
    (True, False)
    """
    return name in CLASSES[: CLASSES.index("heavy") + 1]
