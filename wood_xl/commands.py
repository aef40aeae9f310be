"""What the commands do with files: find the inputs, keep outputs apart from them, and tell what came of each."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NoReturn

import click

from wood_xl import pipeline, scoring
from wood_xl.error_handling import guarded
from wood_xl.errors import OutputNotWritable, shown
from wood_xl.page_texts import RunStep
from wood_xl.progress import counted, is_watched, step

if TYPE_CHECKING:
    from openpyxl import Workbook

    from wood_xl.notes.problem import Problem
    from wood_xl.schema.model import System
    from wood_xl.trial_files import Asked

MOST_TOLD = 10
SUMMARY_NAME = f"{pipeline.SUMMARY_STEM}.xlsx"


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a line for the person.

    Errors: OutputNotWritable if it goes to a file on a full disk, or the like.
    """
    try:
        click.echo(text, err=err, nl=nl)
    except BrokenPipeError:
        raise
    except OSError as fault:
        raise unheard(fault) from None


def unheard(fault: OSError) -> OutputNotWritable:
    """What is raised where nothing can be printed."""
    return OutputNotWritable("output-unheard", found=fault.strerror or type(fault).__name__)


def end_with(fault: Problem) -> NoReturn:
    """End the run with the line of a fault, before anything is written."""
    say(f"{fault.level.name}  {fault.line()}", err=True)
    sys.exit(scoring.NOTHING_WRITTEN)


def passed_over(files: Sequence[Path], *, with_results: bool = False) -> list[tuple[Path, bool]]:
    """What is not read, and whether it is a folder."""
    found, _ = guarded(files[0], lambda: pipeline.passed_over(files, with_results=with_results))
    return found or []


def inputs_of(files: Sequence[Path], *, but: Path | None = None, with_results: bool = False) -> list[Path]:
    """The filled workbooks among files and folders; none ends the run with a line.

    but: an output of last time, which is no input where a folder has it.
    """
    found, fault = guarded(files[0], lambda: pipeline.input_files(files, with_results=with_results))
    others = passed_over(files, with_results=with_results)
    if others:
        told = [f"{shown(path)} (a folder)" if is_folder else shown(path) for path, is_folder in others[:MOST_TOLD]]
        more = f" and {len(others) - MOST_TOLD} more" if len(others) > MOST_TOLD else ""
        say(f"Not read: {', '.join(told)}{more}", err=True)
    if fault is not None:
        end_with(fault)
    if but is not None and found is not None:
        own = os.path.realpath(but)
        found = [path for path in found if os.path.realpath(path) != own or (path in files and not _is_study(path))]
    if not found:
        raise click.UsageError("No filled workbook (.xlsx, .xlsm or .ods) was found there.")
    tell_open(found)
    return found


def _is_study(path: Path) -> bool:
    """Whether a file is a study as this program wrote it, which is no input of another one."""

    def found() -> bool:
        from wood_xl.io.pack import is_as_written
        from wood_xl.io.reader import read_workbook
        from wood_xl.results.verify_study import is_study

        return is_as_written(path) and is_study(read_workbook(path))

    return bool(guarded(path, found)[0])


def tell_open(files: Iterable[Path | None]) -> None:
    """Tell which workbooks a spreadsheet program has open: what is not saved there is not read."""
    from wood_xl.notes.problem import problem

    for path in files:
        if path is not None and pipeline.open_marks(path):
            found = problem("file-is-open", file=shown(path))
            say(f"{found.level.name}  {found.line()}", err=True)


def score_all(orders: Sequence[scoring.Order], files: Sequence[Path], out: Path | None) -> int:
    """Score many workbooks, tell of each as it is done, and write their summary; returns the exit code."""
    from wood_xl.batch import RECORD_NAME, Record, cores, score_many
    from wood_xl.io.pack import clashes
    from wood_xl.notes.problem import problem

    folder = out or next((path for path in files if path.is_dir()), None)
    place = folder or orders[0].path.parent
    begun, code, known_n = dt.datetime.now(dt.UTC), scoring.WRITTEN, 0
    progress = is_watched()
    outcomes: list[scoring.Outcome] = []
    inputs = [order.path for order in orders]
    own = [place / RECORD_NAME, *([] if folder is None else [folder / SUMMARY_NAME])]
    require_apart_or_end(own, inputs)
    faults = clashes([*map(scoring.outputs_of, orders), own], inputs)[: len(orders)]
    record = Record(place / RECORD_NAME)
    made = score_many(
        [order for order, fault in zip(orders, faults, strict=True) if fault is None], record, cores=cores()
    )
    try:
        for order, fault in zip(orders, faults, strict=True):
            if fault is None:
                outcome, known = next(made)
            else:
                outcome, known = scoring.refused(order, problem(fault.code, None, **fault.facts)), False
            outcomes.append(outcome.once_told())
            if not known:
                tell(outcome)
            known_n += known
            code = max(code, outcome.code)
            if progress:
                done_n, all_n = len(outcomes), len(orders)
                left = (dt.datetime.now(dt.UTC) - begun) / done_n * (all_n - done_n)
                told = f"\r{done_n} of {all_n}, about {left.total_seconds() / 60:.0f} min left "
                say(told, err=True, nl=False)
    except KeyboardInterrupt:
        say("\nStopped. What is written is whole; the same command goes on from here.", err=True)
        return scoring.NOTHING_WRITTEN
    finally:
        made.close()
    if known_n:
        say(f"{known_n} of {len(orders)} workbooks are unchanged since they were scored, and were left as they are.")
    if folder is None:
        return code
    stale = _stale(orders, outcomes, files)
    for path in stale:
        say(f"LOOK  {shown(path)}: results of before. Their workbook is gone, or could not be scored now.")
    summary = _write_summary(
        folder / SUMMARY_NAME, outcomes, passed_over(files), stale, replace=orders[0].may_replace
    )
    return max(code, summary)


def _stale(orders: Sequence[scoring.Order], outcomes: Sequence[scoring.Outcome], files: Sequence[Path]) -> list[Path]:
    """Results that stand where this run writes, of a workbook that is gone or cannot be scored any more."""
    written = {
        order.target for order, one in zip(orders, outcomes, strict=True) if one.code != scoring.NOTHING_WRITTEN
    }
    folders = dict.fromkeys(order.target.parent for order in orders) if any(path.is_dir() for path in files) else ()
    ending = pipeline.SHARED_ENDING if orders[0].is_shared else pipeline.RESULTS_ENDING
    there = (path for folder in folders for path in sorted(folder.glob(f"*{ending}.xlsx")))
    return [path for path in there if path.name != SUMMARY_NAME and path not in written]


def _write_summary(
    path: Path,
    outcomes: Sequence[scoring.Outcome],
    others: Sequence[tuple[Path, bool]],
    stale: Sequence[Path],
    *,
    replace: bool,
) -> int:
    def write() -> None:
        from wood_xl.io.pack import write_atomically
        from wood_xl.io.summary_workbook import is_summary, summary_bytes

        data = summary_bytes(outcomes, others, stale, paper="a4")
        write_atomically(path, data, replace=replace or (path.is_file() and is_summary(path)))

    return told_of(path, write, written=[path])


def write_study(inputs: Sequence[Path], places: scoring.Places, cluster: str | None, asked: dict[str, Any]) -> int:
    """Bring workbooks together, tell who is who and what does not count, and write it; returns the exit code."""
    from wood_xl.batch import cores, on_cluster, side_by_side
    from wood_xl.io.pack import require_outputs
    from wood_xl.report.study_book import study_bytes
    from wood_xl.results.study import study_of_files

    require_outputs(places.files(of_study=True), inputs, replace=places.may_replace, tables=places.csv_out)
    if cluster is not None:
        inputs, everywhere = [Path(os.path.realpath(path)) for path in inputs], on_cluster(cluster)
    else:
        everywhere = side_by_side(min(cores(), len(inputs)))
    with everywhere as each, step(RunStep.POOLING):
        found = study_of_files(inputs, **asked, each=counted(each))
    rows = [] if found.document is None else found.document["households"]
    for (name, path), row in zip(found.names, rows, strict=True):
        told = f", {row['fix_n']} to mend" if row["fix_n"] else ""
        say(f"{name}: {shown(path)}{told}")
    for path, fault in found.faults:
        say(f"{fault.level.name}  {scoring.line_about(path, fault)}", err=True)
    document = found.document
    if document is None:
        return scoring.NOTHING_WRITTEN
    paper = scoring.PAPERS[document["provenance"]["display_units"]]
    places.write(document, lambda: study_bytes(document, paper=paper), inputs, click.echo, of_study=True)
    has_gaps = any(row["fix_n"] for row in document["households"])
    return scoring.TO_MEND if found.faults or has_gaps else scoring.WRITTEN


def require_apart_or_end(outputs: Iterable[Path], inputs: Sequence[Path]) -> None:
    """End the run before anything is written if an output would be one of the inputs, or two would be one."""

    def require() -> None:
        from wood_xl.io.pack import require_apart

        require_apart(outputs, inputs)

    _, fault = guarded(inputs[0], require)
    if fault is not None:
        end_with(fault)


def write_marked_copy(
    path: Path, problems: list[Problem], inputs: Sequence[Path], written: list[Path], *, replace: bool
) -> None:
    """Write the marked copy of a workbook beside it; its ending is known only now, by what the workbook is.

    inputs, written: all workbooks of the run, and its marked copies so far.
    """
    from wood_xl.io.marked_copy import marked_copy
    from wood_xl.io.pack import require_apart, write_atomically

    with step(RunStep.WRITING, file=pipeline.marked_path(path).name):
        copy = marked_copy(path, problems)
    target = pipeline.marked_path(path, copy.suffix)
    require_apart([*written, target], inputs)
    write_atomically(target, copy.data, replace=replace)
    written.append(target)


def write_trial(
    path: Path, asked: Asked, targets: Sequence[Path], *, paper: Literal["letter", "a4"] | None, replace: bool
) -> int:
    """Plan the trial of a workbook, and write its copy and its paper forms."""
    from wood_xl.io.pack import require_outputs, write_atomically
    from wood_xl.trial_files import trial_file

    require_outputs(targets, [path], replace=replace)
    with step(RunStep.WRITING, file=targets[0].name):
        made = trial_file(path, asked, paper)
    for line in scoring.report_lines(path, made.problems, notes=True):
        say(line)
    if made.plan is None:
        return scoring.NOTHING_WRITTEN
    for target, data in zip(targets, (made.copy, made.forms), strict=True):
        write_atomically(target, data, replace=replace, inputs=[path])
        say(f"Wrote {shown(target)}")
    return scoring.code_of(made.problems)


def next_year_of(last: Path, units: System | None) -> tuple[Callable[..., Workbook], System, str]:
    """What writes the workbook of the year after a filled one, its units and its currency; tells what is not carried.

    Errors: UnreadableWorkbook if the file is no workbook that can be read, or nothing of it can be computed.
    """
    from wood_xl.errors import UnreadableWorkbook
    from wood_xl.io.fill import filled_workbook
    from wood_xl.next_year import next_year_notes

    checked = pipeline.check_file(last).season
    if not checked.can_be_computed:
        for stop in (one for one in checked.problems if one.level.name == "STOP"):
            say(f"STOP  {stop.line()}", err=True)
        raise UnreadableWorkbook("next-year-cannot-be-computed", file=shown(last.name))
    system: System = units or checked.document.system
    data, lost = next_year_notes(checked, system)
    for line in lost:
        say(f"{line.level.name}  {line.line()}", err=True)
    return partial(filled_workbook, data), system, str(data["season"]["currency"])


def tell(outcome: scoring.Outcome) -> None:
    """Print what came of one workbook."""
    for line in outcome.report:
        say(line)
    for line in outcome.errors:
        say(line, err=True)


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
            say(f"Wrote {shown(target)}")
        return code or scoring.WRITTEN
    if listed is None:
        say(f"{found.level.name}  {scoring.line_about(path, found)}", err=True)
    else:
        listed[str(path)] = [found.as_json()]
    return scoring.NOTHING_WRITTEN
