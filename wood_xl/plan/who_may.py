"""Who may be planned for what: the one rule for plans, crews and trials.

Source: wood_xl_definitions, who may be planned (constant ``plan.adult_age``). Local rules may be stricter.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.ids import Strain
from wood_xl.reasons import Said, said
from wood_xl.records import Method, Person, Tool
from wood_xl.verdicts import NotPlanned, WhyNot


@dataclass(frozen=True)
class LeftOut:
    """A person or method that is not planned, and the cell that would change it."""

    person: str  # empty if the method is left out for everybody
    method: str
    reason: NotPlanned
    detail: Said | None = None  # tools, a session, or what is missing
    # ``sheet.column``, ``sheet.item`` or the address of a waiting cell; empty if no cell would change it
    cell: str = ""
    row: str = ""  # name in the row of the cell; empty for an item or an address

    @property
    def why(self) -> Said:
        """The reason with its detail."""
        if self.detail is None:
            return said(self.reason)
        return said(WhyNot.DETAILED, reason=self.reason, detail=self.detail)

    @property
    def why_without_name(self) -> Said:
        """The reason without any name; only a detail about the method stays."""
        return self.why if self.detail == said(WhyNot.NO_TOOL) else said(self.reason)


def is_powered(tool: Tool | None) -> bool:
    """Whether a tool has an engine or a motor; an unknown tool counts as powered."""
    return tool is None or tool.kind_row.is_powered


@dataclass(frozen=True)
class Work:
    """What a method asks of whoever does it."""

    method: str
    task: str
    people_n: int
    tools: tuple[str, ...]
    powered: tuple[str, ...] = ()  # powered or unknown tools
    waits: str = ""  # cell to mend before its tools are known

    @property
    def is_powered(self) -> bool:
        """Whether it is done with an engine or a motor; no tool or an unknown one counts as powered."""
        return bool(self.powered or self.waits) or not self.tools

    @property
    def is_powered_saw(self) -> bool:
        """Whether it is sawing with an engine or a motor."""
        return self.is_powered and tasks()[self.task].is_sawn

    @property
    def is_watched(self) -> bool:
        """Whether an adult has to stand in sight: at a powered saw, and at felling and limbing with any tool."""
        return self.is_powered_saw or (tasks()[self.task].is_sawn and tasks()[self.task].is_swung)

    @property
    def is_for_adults(self) -> bool:
        """Whether it is done at an engine, a motor, an axe or a maul."""
        return self.is_powered or tasks()[self.task].is_swung


def work_of(method: Method, tools: Mapping[str, Tool]) -> Work:
    """What a method asks of whoever does it."""
    powered = tuple(name for name in method.tools if is_powered(tools.get(name)))
    waits = method.broken.get("plan", "")
    return Work(method.name, method.task, method.people_n, method.tools, powered, waits)


def is_adult(person: Person) -> bool:
    """Whether the age is written and an adult's."""
    return person.age_years is not None and person.age_years >= value("plan.adult_age")


def waits_for_doctor(person: Person) -> bool:
    """Whether a doctor's word is still open; without it, a person does no work at all."""
    return person.doctor_word == "still to ask" or (person.heart_rate_limited and person.doctor_word != "given")


def why_not(person: Person, work: Work, *, trained: Collection[str], strain: Iterable[Strain]) -> LeftOut | None:
    """Why a person may not be planned for a method; None if no rule forbids it."""

    def left(reason: NotPlanned, column: str = "", detail: Said | None = None) -> LeftOut:
        cell = column and f"people.{column}"
        return LeftOut(person.name, work.method, reason, detail, cell, person.name if column else "")

    waits = person.broken.get("plan", "") or work.waits
    missing = [tool for tool in work.powered if tool not in trained]
    left_out: LeftOut | None = None
    if waits_for_doctor(person):
        is_to_ask = person.doctor_word == "still to ask"
        reason = NotPlanned.DOCTOR_STILL_TO_ASK if is_to_ask else NotPlanned.MEDICINE_WITHOUT_WORD
        left_out = left(reason, "doctor_word")
    elif waits:
        left_out = LeftOut(person.name, work.method, NotPlanned.CELL_WAITS, cell=waits)
    elif work.is_for_adults and not is_adult(person):
        left_out = left(NotPlanned.NO_AGE if person.age_years is None else NotPlanned.UNDER_AGE, "age")
        if not work.tools:
            left_out = replace(left_out, detail=said(WhyNot.NO_TOOL), cell="methods.tool_1", row=work.method)
    elif missing:
        left_out = left(NotPlanned.NOT_TRAINED, "may_use", said(WhyNot.TOOLS, tools=tuple(missing)))
    elif Strain.VERY_HIGH in strain:
        left_out = left(NotPlanned.VERY_HIGH_STRAIN)
    elif work.method in person.leaves:
        left_out = left(NotPlanned.LEAVES_IT, "leaves")
    return left_out


def in_sight_of(worker: str, people: Iterable[Person]) -> tuple[str, ...]:
    """Other adults, who may stand in sight of a worker; an open doctor's word does not matter for that."""
    return tuple(person.name for person in people if person.name != worker and is_adult(person))
