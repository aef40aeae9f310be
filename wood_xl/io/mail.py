"""A draft message with the results attached, by RFC 5322 and MIME; nothing is sent and no network is used."""

from __future__ import annotations

import hashlib
import textwrap
from collections.abc import Sequence
from datetime import datetime
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP

from wood_xl.errors import WoodXlError
from wood_xl.pages import InMail
from wood_xl.schema.words import phrase

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
) -> bytes:
    """A message that a mail program opens as a draft; without a sender it fills in its own.

    ``file`` is the attachment's name without a folder, and each of ``sentences`` a paragraph.
    """
    message = EmailMessage(policy=SMTP)
    name = textwrap.shorten(" ".join(season_name.split()) or file, NAME_LENGTH, placeholder="...")
    message["Subject"] = phrase(InMail.SUBJECT, name=_printable(name))
    message["To"] = tuple(to)
    if sender is not None:
        message["From"] = sender
    message["Date"] = when
    message["X-Unsent"] = "1"
    message.set_content(
        _text([*sentences, phrase(InMail.CLOSING, file=file)]), charset="utf-8", cte="quoted-printable"
    )
    message.add_attachment(attachment, *MEDIA_TYPE, filename=_printable(file))
    message.set_boundary(
        f"part-{hashlib.sha256(attachment).hexdigest()[:32]}"
    )  # the library's own is a random number
    return message.as_bytes()


def _text(paragraphs: Sequence[str]) -> str:
    wrapped = (textwrap.fill(_printable(text), LINE_WIDTH, break_long_words=False) for text in paragraphs)
    return "\n\n".join(wrapped) + "\n"


def _printable(text: str) -> str:
    """The text on one line, without what no mail can carry."""
    return "".join(letter if letter.isprintable() else " " for letter in text)
