"""From a results workbook to a draft message that carries it, by RFC 5322 and MIME; nothing is sent."""

from __future__ import annotations

import hashlib
import re
import textwrap
from collections.abc import Sequence
from datetime import datetime
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path
from typing import NamedTuple

from wood_xl.data.cautions import cautions
from wood_xl.errors import UnreadableWorkbook, WoodXlError
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import AnswerTexts, NoResults, answer_texts, answer_texts_of_study, results_items
from wood_xl.page_texts import InMail, OnAnswer
from wood_xl.reasons import Word
from wood_xl.results.of_bodies import is_shared
from wood_xl.results.verify import require_this_layout
from wood_xl.results.verify_study import is_study
from wood_xl.schema.model import study_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.verdicts import Advice, Surety

LINE_WIDTH = 72
MEDIA_TYPE = ("application", "vnd.openxmlformats-officedocument.spreadsheetml.sheet")
NAME_LENGTH = 60  # of the season in the subject


class AddressNotUsable(WoodXlError):
    """A text is no mail address that a draft can be written to."""


def address(text: str) -> Address:
    """A mail address, checked: one line, plain ASCII letters, no name beside it.

    >>> str(address("ada@example.org"))
    'ada@example.org'
    """
    try:
        parsed = Address(addr_spec=text)
    except (ValueError, IndexError, MessageError) as fault:
        raise AddressNotUsable("mail-no-address", found=repr(text)) from fault
    is_plain = text.isascii() and text.isprintable() and " " not in text
    if not is_plain or not parsed.username or "." not in parsed.domain.strip("."):
        raise AddressNotUsable("mail-no-address", found=repr(text))
    return parsed


def draft(
    attachment: bytes,
    *,
    file: str,
    season_name: str,
    sentences: Sequence[str],
    to: Sequence[Address],
    sender: Address | None,
    when: datetime,
    closing: Word = InMail.CLOSING,
) -> bytes:
    """A message that a mail program opens as a draft; without a sender it fills in its own.

    ``file`` is the attachment's name without a folder, each of ``sentences`` a paragraph, and ``closing`` the last.
    """
    message = EmailMessage(policy=SMTP)
    name = textwrap.shorten(" ".join(season_name.split()) or file, NAME_LENGTH, placeholder="...")
    message["Subject"] = phrase(InMail.SUBJECT, name=_printable(name))
    message["To"] = tuple(to)
    if sender is not None:
        message["From"] = sender
    message["Date"] = when
    message["X-Unsent"] = "1"
    message.set_content(_text([*sentences, phrase(closing, file=file)]), charset="utf-8", cte="quoted-printable")
    message.add_attachment(attachment, *MEDIA_TYPE, filename=_printable(file))
    message.set_boundary(
        f"part-{hashlib.sha256(attachment).hexdigest()[:32]}"
    )  # the library's own is a random number
    return message.as_bytes()


def _text(paragraphs: Sequence[str]) -> str:
    wrapped = (textwrap.fill(_printable(text), LINE_WIDTH, break_long_words=False) for text in paragraphs)
    return "\n\n".join(wrapped) + "\n"


def _printable(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)


MOST_WORDS = 227  # with what is said of the attachment fewer than 250: for a phone


class Draft(NamedTuple):
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
    of_study = is_study(book)
    try:
        if of_study:  # it names nobody, so that it can be given away as it is
            said, is_private = results_items(book, "provenance", study_definition()), False
            name, answer = answer_texts_of_study(book)
        else:
            require_this_layout(book)
            said, is_private = results_items(book, "season"), not is_shared(results_items(book, "provenance"))
            name, answer = str(said["season_name"]), answer_texts(book)
    except NoResults as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault
    invented = [str(said["invented"])] if said["invented"] else []
    message = draft(
        path.read_bytes(),
        file=path.name,
        season_name=name,
        sentences=[*invented, *in_few_words(answer, MOST_WORDS)],
        to=receivers,
        sender=None if sender is None else address(sender),
        when=when,
        closing=InMail.CLOSING_OF_STUDY if of_study else InMail.CLOSING if is_private else InMail.CLOSING_OF_SHARED,
    )
    return Draft(message, is_private, stored_seal(book) == seal_of(book))


def in_few_words(answer: AnswerTexts, most: int) -> list[str]:
    """Cautions in short and what is advised; then how sure that is, what comes next, and why, while there is room.

    The cautions stand in full on the first page of the workbook, and the message says so. Steps are counted anew: one
    that has no room leaves no gap.
    """
    told = [words(InMail.IN_SHORT), *map(_in_short, answer.cautions)]
    heads = [f"{head}." for head, _ in answer.verdicts]
    shown = len(heads)
    while shown and _words_n([*told, *_first(heads, shown)]) > most:
        shown -= 1
    verdicts, steps = _first(heads, shown), list[str]()
    lasts = [f"{head}. {_last_sentence(sentence)}".rstrip() for head, sentence in answer.verdicts[:shown]]
    for at, text in enumerate(lasts):
        longer = [*verdicts[:at], text, *verdicts[at + 1 :]]
        verdicts = longer if _words_n([*told, *longer]) <= most else verdicts
    for step in answer.steps:
        fits = (one for one in (step, _first_sentence(step)) if _words_n([*told, *verdicts, *steps, one]) <= most)
        steps += [*fits][:1]
    for at, (head, sentence) in enumerate(answer.verdicts[:shown]):
        longer = [*verdicts[:at], f"{head}. {sentence}".rstrip(), *verdicts[at + 1 :]]
        verdicts = longer if _words_n([*told, *longer, *steps]) <= most else verdicts
    numbered = (re.sub(r"^\d+\. ", f"{number}. ", step) for number, step in enumerate(steps, start=1))
    return [*told, *verdicts, *numbered]


def _first(heads: list[str], shown: int) -> list[str]:
    more = len(heads) - shown
    return [*heads[:shown], *([phrase(InMail.MORE, n=more)] if more else [])]


def _last_sentence(text: str) -> str:
    """How sure a verdict is where it says so; else its last sentence, but of what was weighed."""
    sure = {capital(words(one)) for one in Surety}
    if told := next((part for part in text.rstrip(".").split(". ") if part in sure), ""):
        return f"{told}."
    for remark in (Advice.MORE_THAN_CASH, Advice.NOTHING_TO_WEIGH):
        text = text.removesuffix(words(remark)).rstrip()
    return text.rpartition(". ")[2]


def _first_sentence(step: str) -> str:
    """A numbered step without its later sentences."""
    number, _, text = step.partition(". ")
    first, stop, _ = text.partition(". ")
    return f"{number}. {first}{stop.rstrip()}"


def _in_short(told: str) -> str:
    """A caution of the first page as a message has it; what has no short form as it is."""
    known = {phrase(OnAnswer.CAUTION, title=one.title, text=one.text): one for one in cautions()}
    found = known.get(told)
    return phrase(OnAnswer.CAUTION, title=found.title, text=found.short) if found and found.short else told


def _words_n(texts: Sequence[str]) -> int:
    return sum(len(text.split()) for text in texts)
