"""What the commands do with files: find the inputs, keep outputs apart from them, and tell what came of each."""

from __future__ import annotations

import datetime as dt
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from wood_xl import pipeline
from wood_xl.errors import shown
from wood_xl.faults import guarded
from wood_xl.scoring import (
    NOTHING_WRITTEN,
    WRITTEN,
    Order,
    Outcome,
    code_of,
    line_about,
    outputs_of,
    report_lines,
)

if TYPE_CHECKING:
    from openpyxl import Workbook

    from wood_xl.notes.problem import Problem
    from wood_xl.notes.trial_wanted import Asked
    from wood_xl.schema.model import System

SUMMARY_NAME = f"all{pipeline.RESULTS_ENDING}.xlsx"  # of many workbooks; no folder is read as one by mistake


def inputs_of(files: Sequence[Path]) -> list[Path]:
    """The filled workbooks among files and folders; none ends the run with a line."""
    found, fault = guarded(files[0], lambda: pipeline.input_files(files))
    if fault is not None:
        click.echo(f"{fault.level.name}  {fault.line()}", err=True)
        sys.exit(NOTHING_WRITTEN)
    if not found:
        raise click.UsageError("The folder holds no filled workbook (.xlsx, .xlsm or .ods).")
    return found


def score_all(orders: Sequence[Order], files: Sequence[Path], out: Path | None) -> int:
    """Score many workbooks, tell of each as it is done, and write their summary; returns the exit code."""
    from wood_xl.many import RECORD_NAME, Record, cores, score_many

    doubles = sorted(shown(target) for target, n in Counter(order.target for order in orders).items() if n > 1)
    if doubles:
        raise click.UsageError(f"Several workbooks would write {', '.join(doubles)}; give them other names.")
    folder = out or next((path for path in files if path.is_dir()), None)
    place = folder or orders[0].path.parent
    begun, code, known_n = dt.datetime.now(dt.UTC), WRITTEN, 0
    progress = sys.stderr.isatty()
    outcomes: list[Outcome] = []
    outputs = [target for order in orders for target in outputs_of(order)]
    outputs += [place / RECORD_NAME, *([] if folder is None else [folder / SUMMARY_NAME])]
    require_apart_or_end(outputs, [order.path for order in orders])
    record = Record(place / RECORD_NAME)
    try:
        for outcome, known in score_many(orders, record, cores=cores()):
            outcomes.append(outcome)
            if not known:
                tell(outcome)
            known_n += known
            code = max(code, outcome.code)
            if progress:
                _tell_progress(len(outcomes), len(orders), begun)
    except KeyboardInterrupt:
        click.echo("\nStopped. What is written is whole; the same command goes on from here.", err=True)
        return NOTHING_WRITTEN
    if known_n:
        click.echo(
            f"{known_n} of {len(orders)} workbooks are unchanged since they were scored, and were left as they are."
        )
    if folder is None:
        return code
    return max(code, _write_summary(folder / SUMMARY_NAME, outcomes, replace=orders[0].may_replace))


def _tell_progress(done_n: int, all_n: int, begun: dt.datetime) -> None:
    left = (dt.datetime.now(dt.UTC) - begun) / done_n * (all_n - done_n)
    click.echo(f"\r{done_n} of {all_n}, about {left.total_seconds() / 60:.0f} min left ", err=True, nl=False)


def _write_summary(path: Path, outcomes: Sequence[Outcome], *, replace: bool) -> int:
    def write() -> None:
        from wood_xl.io.pack import write_atomically
        from wood_xl.io.summary_workbook import is_summary, summary_bytes

        data = summary_bytes(outcomes, paper="a4")
        write_atomically(path, data, replace=replace or (path.is_file() and is_summary(path)))

    return told_of(path, write, written=[path])


def require_apart_or_end(outputs: Iterable[Path], inputs: Sequence[Path]) -> None:
    """End the run before anything is written if an output would be one of the inputs, or two would be one."""

    def require() -> None:
        from wood_xl.io.pack import require_apart

        require_apart(outputs, inputs)

    _, fault = guarded(inputs[0], require)
    if fault is not None:
        click.echo(f"{fault.level.name}  {fault.line()}", err=True)
        sys.exit(NOTHING_WRITTEN)


def write_marked_copy(path: Path, problems: list[Problem], *, replace: bool, quiet: bool) -> None:
    """Write the marked copy of a workbook beside it."""
    from wood_xl.io.marked_copy import marked_copy
    from wood_xl.io.pack import write_atomically

    copy = marked_copy(path, problems)
    target = pipeline.marked_path(path, copy.suffix)
    write_atomically(target, copy.data, replace=replace, inputs=[path])
    if not quiet:
        click.echo(f"Wrote {shown(target)}")


def write_trial(
    path: Path, asked: Asked, targets: Sequence[Path], *, paper: Literal["letter", "a4"] | None, replace: bool
) -> int:
    """Plan the trial of a workbook, and write its copy and its paper forms."""
    from wood_xl.io.pack import require_apart, require_writable, write_atomically
    from wood_xl.trial_files import trial_file

    require_apart(targets, [path])
    for target in targets:
        require_writable(target, replace=replace, inputs=[path])
    made = trial_file(path, asked, paper)
    for line in report_lines(path, made.problems, notes=True):
        click.echo(line)
    if made.plan is None:
        return NOTHING_WRITTEN
    for target, data in zip(targets, (made.copy, made.forms), strict=True):
        write_atomically(target, data, replace=replace, inputs=[path])
        click.echo(f"Wrote {shown(target)}")
    return code_of(made.problems)


def next_year_of(last: Path, units: System | None) -> tuple[Callable[..., Workbook], System, str]:
    """What writes the workbook of the year after a filled one, its units and its currency; tells what is not carried.

    Errors: UnreadableWorkbook if the file is no workbook that can be read, or nothing of it can be computed.
    """
    from wood_xl.errors import UnreadableWorkbook
    from wood_xl.io.fill import filled_workbook
    from wood_xl.next_year import next_year_notes

    checked = pipeline.check_file(last).season
    if not checked.can_be_computed:
        raise UnreadableWorkbook("next-year-cannot-be-computed", file=shown(last.name))
    system: System = units or checked.document.system
    data, lost = next_year_notes(checked, system)
    for line in lost:
        click.echo(f"{line.level.name}  {line.line()}", err=True)
    return partial(filled_workbook, data), system, str(data["season"]["currency"])


def tell(outcome: Outcome) -> None:
    """Print what came of one workbook."""
    for line in outcome.report:
        click.echo(line)
    for line in outcome.errors:
        click.echo(line, err=True)


def told_of(
    path: Path,
    work: Callable[[], int | None],
    *,
    written: Sequence[Path] = (),
    listed: dict[str, list[dict[str, Any]]] | None = None,
    is_limited: bool = False,
) -> int:
    """Run the work on one file; any fault becomes one line, and one bad file never stops the others."""
    code, found = guarded(path, work, is_limited=is_limited)
    if found is None:
        for target in written:
            click.echo(f"Wrote {shown(target)}")
        return code or WRITTEN
    if listed is None:
        click.echo(f"{found.level.name}  {line_about(path, found)}", err=True)
    else:
        listed[str(path)] = [found.as_json()]
    return NOTHING_WRITTEN
