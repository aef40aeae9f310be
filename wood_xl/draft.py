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
from wood_xl.notes.echo import NoResults, first_page_lines, results_items, results_lines
from wood_xl.results.share import is_shared


@dataclass(frozen=True)
class Draft:
    """A message, whether its workbook holds names and body data, and whether it is as it was written."""

    message: bytes
    is_private: bool
    seal_holds: bool


def draft_of(path: Path, *, to: Sequence[str], sender: str | None, when: datetime) -> Draft:
    """A draft with a results workbook attached and its plain sentences as the text.

    Errors: AddressNotUsable if a text is no address; UnreadableWorkbook if the file holds no results.
    """
    receivers = [address(text) for text in to]
    book = read_workbook(path)
    try:
        season, provenance = results_items(book, "season"), results_items(book, "provenance")
        first = [*results_lines(book, "first_cautions"), *first_page_lines(book)]
        sentences = [*first, *results_lines(book, "answers")]
    except NoResults as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault
    message = draft(
        path.read_bytes(),
        file=path.name,
        season_name=str(season["season_name"]),
        sentences=[str(season["invented"]), *sentences] if season["invented"] else sentences,
        to=receivers,
        sender=None if sender is None else address(sender),
        when=when,
    )
    return Draft(message, not is_shared(provenance), stored_seal(book) == seal_of(book))
