"""Writes a draft message with a results workbook attached, by RFC 5322 and MIME; nothing is sent."""

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
from wood_xl.results.of_bodies import is_shared
from wood_xl.results.verify import require_this_layout
from wood_xl.results.verify_study import is_study
from wood_xl.schema.model import study_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.verdicts import Advice, Surety

LINE_WIDTH = 72
MEDIA_TYPE = ("application", "vnd.openxmlformats-officedocument.spreadsheetml.sheet")
NAME_LENGTH = 60  # of the season in the subject
MOST_WORDS = 227  # under 250 with the sentence on the attachment, to be readable on a phone


class AddressNotUsable(WoodXlError):
    """The text is no mail address that a draft can be written to."""


def address(text: str) -> Address:
    """A checked mail address: one line, plain ASCII, without a display name.

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
) -> bytes:
    """A message that a mail program opens as a draft; without a sender, the program fills in its own.

    file: name of the attachment, without a folder. sentences: one paragraph each.
    """
    message = EmailMessage(policy=SMTP)
    name = textwrap.shorten(" ".join(season_name.split()) or file, NAME_LENGTH, placeholder="...")
    message["Subject"] = phrase(InMail.SUBJECT, name=_printable(name))
    message["To"] = tuple(to)
    if sender is not None:
        message["From"] = sender
    message["Date"] = when
    message["X-Unsent"] = "1"
    message.set_content(_text(sentences), charset="utf-8", cte="quoted-printable")
    message.add_attachment(attachment, *MEDIA_TYPE, filename=_printable(file))
    # The boundary of the library is random; this one gives the same bytes each time.
    message.set_boundary(f"part-{hashlib.sha256(attachment).hexdigest()[:32]}")
    return message.as_bytes()


def _text(paragraphs: Sequence[str]) -> str:
    wrapped = (textwrap.fill(_printable(text), LINE_WIDTH, break_long_words=False) for text in paragraphs)
    return "\n\n".join(wrapped) + "\n"


def _printable(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)


class Draft(NamedTuple):
    """A message with its attached workbook."""

    message: bytes
    is_private: bool  # the workbook holds names and body data
    seal_holds: bool  # the workbook is as it was written


def draft_of(path: Path, *, to: Sequence[str], sender: str | None, when: datetime) -> Draft:
    """A draft with a results workbook attached and the gist of its first sheet as text.

    Errors: AddressNotUsable if a text is no address; UnreadableWorkbook if the file holds no results of this version.
    """
    receivers = [address(text) for text in to]
    book = read_workbook(path)
    of_study = is_study(book)
    try:
        if of_study:  # a study names nobody
            said, is_private = results_items(book, "provenance", study_definition()), False
            name, answer = answer_texts_of_study(book)
        else:
            require_this_layout(book)
            said, is_private = results_items(book, "season"), not is_shared(results_items(book, "provenance"))
            name, answer = str(said["season_name"]), answer_texts(book)
    except NoResults as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault
    invented = [str(said["invented"])] if said["invented"] else []
    closing = InMail.CLOSING_OF_STUDY if of_study else InMail.CLOSING if is_private else InMail.CLOSING_OF_SHARED
    message = draft(
        path.read_bytes(),
        file=path.name,
        season_name=name,
        sentences=[*invented, *in_few_words(answer, MOST_WORDS), phrase(closing, file=path.name)],
        to=receivers,
        sender=None if sender is None else address(sender),
        when=when,
    )
    return Draft(message, is_private, stored_seal(book) == seal_of(book))


def in_few_words(answer: AnswerTexts, most: int) -> list[str]:
    """Short cautions and the advice; then, while there is room, how sure it is, the next steps, and the reasons.

    The first page of the workbook has the cautions in full, and the message says so. Steps are renumbered, so that
    one without room leaves no gap.
    """
    opening = [words(InMail.IN_SHORT), *map(_in_short, answer.cautions)]
    heads = [f"{head}." for head, _ in answer.verdicts]
    shown, steps = len(heads), list[str]()

    def has_room(verdicts: Sequence[str], steps: Sequence[str]) -> bool:
        return sum(len(text.split()) for text in (*opening, *verdicts, *steps)) <= most

    while shown and not has_room(_first(heads, shown), steps):
        shown -= 1
    verdicts = _first(heads, shown)

    def with_longer(at: int, text: str) -> list[str]:
        longer = [*verdicts[:at], text.rstrip(), *verdicts[at + 1 :]]
        return longer if has_room(longer, steps) else verdicts

    for at, (head, sentence) in enumerate(answer.verdicts[:shown]):
        verdicts = with_longer(at, f"{head}. {_last_sentence(sentence)}")
    for step in answer.steps:
        texts = (text for text in (step, _first_sentence(step)) if has_room(verdicts, [*steps, text]))
        steps += [*texts][:1]
    for at, (head, sentence) in enumerate(answer.verdicts[:shown]):
        verdicts = with_longer(at, f"{head}. {sentence}")
    numbered = (re.sub(r"^\d+\. ", f"{number}. ", step) for number, step in enumerate(steps, start=1))
    return [*opening, *verdicts, *numbered]


def _first(heads: list[str], shown: int) -> list[str]:
    more = len(heads) - shown
    return [*heads[:shown], *([phrase(InMail.MORE, n=more)] if more else [])]


def _last_sentence(text: str) -> str:
    """The sentence on how sure a verdict is; else its last sentence that is no remark on what was weighed."""
    sure = {capital(words(one)) for one in Surety}
    if sentence := next((part for part in text.rstrip(".").split(". ") if part in sure), ""):
        return f"{sentence}."
    for remark in (Advice.MORE_THAN_CASH, Advice.NOTHING_TO_WEIGH):
        text = text.removesuffix(words(remark)).rstrip()
    return text.rpartition(". ")[2]


def _first_sentence(step: str) -> str:
    """A numbered step without its later sentences."""
    number, _, text = step.partition(". ")
    first, stop, _ = text.partition(". ")
    return f"{number}. {first}{stop.rstrip()}"


def _in_short(text: str) -> str:
    """The short form of a caution of the first page; the text itself if it has none."""
    by_text = {phrase(OnAnswer.CAUTION, title=one.title, text=one.text): one for one in cautions()}
    caution = by_text.get(text)
    return phrase(OnAnswer.CAUTION, title=caution.title, text=caution.short) if caution and caution.short else text
