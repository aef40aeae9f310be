"""What is asked of a first trial: the items of the sheet Start, and what Methods and People say of it."""

from __future__ import annotations

from dataclasses import dataclass

from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.notes.document import rows_of_planned
from wood_xl.notes.names import plain
from wood_xl.notes.relations import WEEKDAYS, Notes
from wood_xl.notes.season import CheckedSeason
from wood_xl.reasons import Word
from wood_xl.records import Season
from wood_xl.trial_records import ToFill, TrialWanted

MAY_BE_LISTED_ANEW = {"session", "date", "method", "person", "lot"}  # a planned row with more than that stays


@dataclass(frozen=True)
class Asked:
    """What a command says of a trial; what it leaves out stands in the workbook."""

    seed: int
    days_n: int | None = None
    first_day: str | None = None
    difference_frac: float | None = None


def to_fill(checked: CheckedSeason, asked: Asked) -> list[Word]:
    """What has to be filled in before a trial can be planned."""
    notes, items = checked.notes, checked.document.items("trial")
    methods_n = dict.fromkeys(tasks(), 0)
    for index in notes.index_of["methods"].values():
        task = notes.value("methods", index, "task")
        methods_n |= {task: methods_n[task] + 1} if task in methods_n else {}
    missing = {
        ToFill.METHODS: max(methods_n.values()) < 2,
        ToFill.PEOPLE: not notes.index_of["people"],
        ToFill.FIRST_DAY: asked.first_day is None and not _item(checked, items, "first_day"),
        ToFill.DAYS: asked.days_n is None and not _item(checked, items, "days"),
    }
    return [what for what, is_missing in missing.items() if is_missing]


def trial_wanted(checked: CheckedSeason, season: Season, asked: Asked) -> TrialWanted:
    """What is asked of a trial, of notes that lack nothing for it."""
    document, items = checked.document, checked.document.items("trial")
    again_n = len(_listed_again(checked.notes))
    rows = document.rows("sessions") if again_n < len(document.rows("sessions")) else []
    longest_min = season.next_season.longest_session_min or value("plan.longest_session")
    return TrialWanted(
        first_day=asked.first_day or str(items["first_day"]),
        days_n=asked.days_n or int(items["days"]),
        weekdays=frozenset(season.next_season.weekdays or range(len(WEEKDAYS))),
        difference_frac=season.practical_margin_frac if asked.difference_frac is None else asked.difference_frac,
        longest_min=longest_min,
        seed=asked.seed,
        taken=tuple(str(row["session"]) for row in rows if "session" in row),
    )


def _item(checked: CheckedSeason, items: dict[str, object], item: str) -> str:
    return "" if ("trial", None, item) in checked.broken else str(items.get(item, ""))


def listed_before(checked: CheckedSeason) -> dict[str, set[int]]:
    """Rows by sheet that only list sessions to come: a new plan lists its own in place of them."""
    document, again = checked.document, _listed_again(checked.notes)
    names = {plain(str(document.rows("sessions")[index]["session"])) for index in again}
    if not again:
        return {}
    found = {document.places["sessions"].title: {document.places["sessions"].rows[index] for index in again}}
    for sheet_id, index in rows_of_planned(document, checked.broken):
        if plain(str(document.rows(sheet_id)[index].get("session", ""))) in names:
            places = document.places[sheet_id]
            found.setdefault(places.title, set()).add(places.rows[index])
    return found


def _listed_again(notes: Notes) -> list[int]:
    sessions = notes.document.rows("sessions")
    return sorted(index for index in notes.planned if sessions[index].keys() <= MAY_BE_LISTED_ANEW)
