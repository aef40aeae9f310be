"""Explains how a figure of a results workbook was computed, after checking that nobody changed the workbook."""

from __future__ import annotations

from pathlib import Path

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import open_package
from wood_xl.io.reader import book_of
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import results_table
from wood_xl.page_texts import Explained
from wood_xl.report.view import Places
from wood_xl.results.explain import near_names
from wood_xl.results.figures import FIGURES
from wood_xl.results.made_of import Results
from wood_xl.results.verify import naming_file, notes_in_results, require_this_layout, results_again
from wood_xl.results.verify_study import is_study
from wood_xl.results.worked import working
from wood_xl.schema.model import results_definition
from wood_xl.schema.words import phrase


def figure_explanation(path: Path, figure_id: str) -> tuple[str | None, list[str]]:
    """The steps of a figure as text, or None and similar ids.

    Errors: UnreadableWorkbook if the file has no results of this version, or not those that its notes give.
    """
    package = open_package(path)
    book = book_of(package, {})
    if is_study(book):
        raise UnreadableWorkbook("explain-of-study", file=package.file)
    with naming_file(package.file):
        require_this_layout(book)
        if stored_seal(book) != seal_of(book):
            raise UnreadableWorkbook("explain-not-whole", file=package.file)
        rows = {str(row["id"]): row for row in results_table(book, FIGURES)}
        if figure_id not in rows:
            return None, near_names(figure_id, list(rows))
        results, _, _ = results_again(book, notes_in_results(book))
        again = next((row for row in results[FIGURES] if row["id"] == figure_id), None)
    if again is None or rows[figure_id]["value"] != ("" if again["value"] is None else again["value"]):
        raise UnreadableWorkbook("explain-not-whole", file=package.file)
    column, places = results_definition().column(figure_id.partition(" ")[0]), Places(results)
    lines = [phrase(Explained.FIGURE, id=figure_id, title=column.title, help=column.help)]
    for number, step in enumerate(working(Results(results), figure_id), start=1):
        sheet, cell = places.cell(step.link)
        facts = {"text": step.text, "value": step.value, "sheet": sheet, "cell": cell}
        lines.append(phrase(Explained.STEP, number=number, **facts))
    return "\n".join(lines), []
