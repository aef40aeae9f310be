"""From a results workbook to a draft message that carries it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.mail import address, draft
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import AnswerTexts, NoResults, answer_texts, results_items
from wood_xl.results.share import is_shared
from wood_xl.results.verify import require_this_layout

MOST_WORDS = 227  # with what is said of the attachment fewer than 250: for a phone


@dataclass(frozen=True)
class Draft:
    """A message, whether its workbook holds names and body data, and whether it is as it was written."""

    message: bytes
    is_private: bool
    seal_holds: bool


def draft_of(path: Path, *, to: Sequence[str], sender: str | None, when: datetime) -> Draft:
    """A draft with a results workbook attached and the first lines of its first sheet as the text.

    Errors: AddressNotUsable if a text is no address; UnreadableWorkbook if the file holds no results of this version.
    """
    receivers = [address(text) for text in to]
    book = read_workbook(path)
    try:
        require_this_layout(book)
        season, provenance = results_items(book, "season"), results_items(book, "provenance")
        answer = answer_texts(book)
    except NoResults as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault
    invented = [str(season["invented"])] if season["invented"] else []
    message = draft(
        path.read_bytes(),
        file=path.name,
        season_name=str(season["season_name"]),
        sentences=[*invented, *_within(answer, MOST_WORDS)],
        to=receivers,
        sender=None if sender is None else address(sender),
        when=when,
    )
    return Draft(message, not is_shared(provenance), stored_seal(book) == seal_of(book))


def _within(answer: AnswerTexts, most: int) -> list[str]:
    """All cautions and what is advised; then how sure that is, why, and what comes next, as far as there is room."""
    told = [*answer.cautions, *(f"{head}." for head, _ in answer.verdicts)]
    lasts = [(head, sentence.rpartition(". ")[2]) for head, sentence in answer.verdicts]
    for at, (head, more) in enumerate((*lasts, *answer.verdicts)):
        place = len(answer.cautions) + at % len(lasts)
        longer = [*told[:place], f"{head}. {more}", *told[place + 1 :]]
        told = longer if _words_n(longer) <= most else told
    for step in answer.steps:
        told += [step] if _words_n([*told, step]) <= most else []
    return told


def _words_n(texts: Sequence[str]) -> int:
    return sum(len(text.split()) for text in texts)
