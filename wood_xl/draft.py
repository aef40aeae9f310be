"""From a results workbook to a draft message that carries it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from pathlib import Path

from wood_xl.data.cautions import cautions
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.mail import address, draft
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import AnswerTexts, NoResults, answer_texts, answer_texts_of_study, results_items
from wood_xl.notes.raw import RawBook
from wood_xl.pages import InMail
from wood_xl.reading_words import OnAnswer
from wood_xl.results.of_bodies import is_shared
from wood_xl.results.verify import require_this_layout
from wood_xl.results.verify_study import is_study
from wood_xl.schema.model import study_definition
from wood_xl.schema.words import phrase, words

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
        if is_study(book):
            return _of_study(path, book, receivers, None if sender is None else address(sender), when)
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


def _of_study(path: Path, book: RawBook, to: list[Address], sender: Address | None, when: datetime) -> Draft:
    """A study names nobody, so that it can be given away as it is."""
    provenance = results_items(book, "provenance", study_definition())
    title, answer = answer_texts_of_study(book)
    invented = [str(provenance["invented"])] if provenance["invented"] else []
    message = draft(
        path.read_bytes(),
        file=path.name,
        season_name=title,
        sentences=[*invented, *_within(answer, MOST_WORDS)],
        to=to,
        sender=sender,
        when=when,
    )
    return Draft(message, is_private=False, seal_holds=stored_seal(book) == seal_of(book))


def _within(answer: AnswerTexts, most: int) -> list[str]:
    """Cautions in short and what is advised; then how sure that is, what comes next, and why, while there is room.

    The cautions stand in full on the first page of the workbook, and the message says so.
    """
    told = [words(InMail.IN_SHORT), *map(_in_short, answer.cautions)]
    heads = [f"{head}." for head, _ in answer.verdicts]
    shown = len(heads)
    while shown and _words_n([*told, *_first(heads, shown)]) > most:
        shown -= 1
    verdicts, steps = _first(heads, shown), list[str]()
    lasts = [f"{head}. {sentence.rpartition('. ')[2]}" for head, sentence in answer.verdicts[:shown]]
    for at, text in enumerate(lasts):
        longer = [*verdicts[:at], text, *verdicts[at + 1 :]]
        verdicts = longer if _words_n([*told, *longer]) <= most else verdicts
    for step in answer.steps:
        steps += [step] if _words_n([*told, *verdicts, *steps, step]) <= most else []
    for at, (head, sentence) in enumerate(answer.verdicts[:shown]):
        longer = [*verdicts[:at], f"{head}. {sentence}", *verdicts[at + 1 :]]
        verdicts = longer if _words_n([*told, *longer, *steps]) <= most else verdicts
    return [*told, *verdicts, *steps]


def _first(heads: list[str], shown: int) -> list[str]:
    """The first of what is advised, and how many more there are."""
    more = len(heads) - shown
    return [*heads[:shown], *([phrase(InMail.MORE, n=more)] if more else [])]


def _in_short(told: str) -> str:
    """A caution of the first page as a message has it; what has no short form as it is."""
    known = {phrase(OnAnswer.CAUTION, title=one.title, text=one.text): one for one in cautions()}
    found = known.get(told)
    return phrase(OnAnswer.CAUTION, title=found.title, text=found.short) if found and found.short else told


def _words_n(texts: Sequence[str]) -> int:
    return sum(len(text.split()) for text in texts)
