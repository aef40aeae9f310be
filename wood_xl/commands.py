"""What the commands do with files: find inputs, keep outputs apart from them, and report on each."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from wood_xl import pipeline, scoring
from wood_xl.error_handling import guarded
from wood_xl.errors import OutputNotWritable, shown
from wood_xl.page_texts import RunStep
from wood_xl.progress import counted, is_watched, step

if TYPE_CHECKING:
    from openpyxl import Workbook

    from wood_xl.io.page import Paper
    from wood_xl.notes.problem import Problem
    from wood_xl.schema.model import System
    from wood_xl.trial_files import TrialOptions

Made = TypeVar("Made")
MOST_NAMES = 10  # of files that were not read
SUMMARY_NAME = f"{pipeline.SUMMARY_STEM}.xlsx"


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a line for the person.

    Errors: OutputNotWritable if the output cannot be written, as to a full disk.
    """
    try:
        click.echo(text, err=err, nl=nl)
    except BrokenPipeError:
        raise
    except OSError as fault:
        raise not_printed(fault) from None


def not_printed(fault: OSError) -> OutputNotWritable:
    """The error to raise if a line cannot be printed."""
    return OutputNotWritable("output-unheard", found=fault.strerror or type(fault).__name__)


def say_problem(problem: Problem, *, err: bool = False) -> None:
    """Print the line of a problem after its level."""
    say(f"{problem.level.name}  {problem.line()}", err=err)


def result_or_exit(path: Path, work: Callable[[], Made]) -> Made:
    """The result of the work; a fault ends the run with its line, before anything is written."""
    made, fault = guarded(path, work)
    if fault is not None:
        say_problem(fault, err=True)
        sys.exit(scoring.NOTHING_WRITTEN)
    return cast("Made", made)


def passed_over(files: Sequence[Path], *, with_results: bool = False) -> list[tuple[Path, bool]]:
    """Paths that are not read, and whether each is a folder."""
    skipped, _ = guarded(files[0], lambda: pipeline.passed_over(files, with_results=with_results))
    return skipped or []


def inputs_of(files: Sequence[Path], *, but: Path | None = None, with_results: bool = False) -> list[Path]:
    """The filled workbooks among files and folders; the run ends with a line if there are none.

    but: the output, which is no input if a folder holds it from last time.
    """
    others = passed_over(files, with_results=with_results)
    if others:
        names = [f"{shown(path)} (a folder)" if is_folder else shown(path) for path, is_folder in others[:MOST_NAMES]]
        more = f" and {len(others) - MOST_NAMES} more" if len(others) > MOST_NAMES else ""
        say(f"Not read: {', '.join(names)}{more}", err=True)
    workbooks = result_or_exit(files[0], lambda: pipeline.input_files(files, with_results=with_results))
    if but is not None:
        output = os.path.realpath(but)
        workbooks = [path for path in workbooks if os.path.realpath(path) != output or path in files]
    if not workbooks:
        raise click.UsageError("No filled workbook (.xlsx, .xlsm or .ods) was found there.")
    warn_of_open_files(workbooks)
    return workbooks


def warn_of_open_files(files: Iterable[Path | None]) -> None:
    """Warn of workbooks that a spreadsheet program has open: what is not saved there is not read."""
    from wood_xl.notes.problem import problem

    for path in files:
        if path is not None and pipeline.lock_files(path):
            say_problem(problem("file-is-open", file=shown(path)), err=True)


def score_all(orders: Sequence[scoring.Order], files: Sequence[Path], out: Path | None) -> int:
    """Score many workbooks, report on each as it is done, and write their summary; returns the exit code."""
    from wood_xl.batch import RECORD_NAME, Record, core_count, score_many
    from wood_xl.io.pack import clashes
    from wood_xl.notes.problem import problem

    folder = out or next((path for path in files if path.is_dir()), None)
    place = folder or orders[0].path.parent
    start, code, unchanged_n = dt.datetime.now(dt.UTC), scoring.WRITTEN, 0
    shows_progress = is_watched()
    outcomes: list[scoring.Outcome] = []
    inputs = [order.path for order in orders]
    own = [place / RECORD_NAME, *([] if folder is None else [folder / SUMMARY_NAME])]
    require_apart_or_exit(own, inputs)
    faults = clashes([*(order.places.files() for order in orders), own], inputs)[: len(orders)]
    record = Record(place / RECORD_NAME)
    made = score_many(
        [order for order, fault in zip(orders, faults, strict=True) if fault is None], record, cores=core_count()
    )
    try:
        for order, fault in zip(orders, faults, strict=True):
            if fault is None:
                outcome, is_unchanged = next(made)
            else:
                outcome, is_unchanged = scoring.refused(order, problem(fault.code, None, **fault.facts)), False
            outcomes.append(outcome.without_lines())
            if not is_unchanged:
                print_outcome(outcome)
            unchanged_n += is_unchanged
            code = max(code, outcome.code)
            if shows_progress:
                done_n, all_n = len(outcomes), len(orders)
                left = (dt.datetime.now(dt.UTC) - start) / done_n * (all_n - done_n)
                say(f"\r{done_n} of {all_n}, about {left.total_seconds() / 60:.0f} min left ", err=True, nl=False)
    except KeyboardInterrupt:
        say("\nStopped. What is written is whole; the same command goes on from here.", err=True)
        return scoring.NOTHING_WRITTEN
    finally:
        made.close()
    if unchanged_n:
        all_n = len(orders)
        say(f"{unchanged_n} of {all_n} workbooks are unchanged since they were scored, and were left as they are.")
    if folder is None:
        return code
    stale = _stale(orders, outcomes, files)
    for path in stale:
        say(f"LOOK  {shown(path)}: results of before. Their workbook is gone, or could not be scored now.")
    summary = _write_summary(
        folder / SUMMARY_NAME, outcomes, passed_over(files), stale, replace=orders[0].places.may_replace
    )
    return max(code, summary)


def _stale(orders: Sequence[scoring.Order], outcomes: Sequence[scoring.Outcome], files: Sequence[Path]) -> list[Path]:
    """Results in the folders of this run whose workbook is gone or could not be scored now."""
    written = {o.target for o, made in zip(orders, outcomes, strict=True) if made.code != scoring.NOTHING_WRITTEN}
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

    return run_on_file(path, write, written=[path])


def write_study(inputs: Sequence[Path], places: scoring.Places, cluster: str | None, asked: dict[str, Any]) -> int:
    """Pool workbooks, list the households and what does not count, and write the study; returns the exit code."""
    from wood_xl.batch import cluster_map, core_count, parallel_map
    from wood_xl.io.pack import require_outputs
    from wood_xl.io.page import PAPERS
    from wood_xl.report.study_book import study_bytes
    from wood_xl.results.study import study_of_files

    require_outputs(places.files(of_study=True), inputs, replace=places.may_replace, tables=places.csv_out)
    if cluster is not None:
        inputs, open_map = [Path(os.path.realpath(path)) for path in inputs], cluster_map(cluster)
    else:
        open_map = parallel_map(min(core_count(), len(inputs)))
    with open_map as each, step(RunStep.POOLING):
        study = study_of_files(inputs, **asked, each=counted(each))
    rows = [] if study.document is None else study.document["households"]
    for (name, path), row in zip(study.names, rows, strict=True):
        to_mend = f", {row['fix_n']} to mend" if row["fix_n"] else ""
        say(f"{name}: {shown(path)}{to_mend}")
    for path, fault in study.faults:
        say(scoring.fault_line(path, fault), err=True)
    document = study.document
    if document is None:
        return scoring.NOTHING_WRITTEN
    paper = PAPERS[document["provenance"]["display_units"]]
    places.write(document, lambda: study_bytes(document, paper=paper), inputs, click.echo, of_study=True)
    has_gaps = any(row["fix_n"] for row in document["households"])
    return scoring.TO_MEND if study.faults or has_gaps else scoring.WRITTEN


def require_apart_or_exit(outputs: Iterable[Path], inputs: Sequence[Path]) -> None:
    """End the run before anything is written if an output is also an input or another output."""
    from wood_xl.io.pack import require_apart

    result_or_exit(inputs[0], lambda: require_apart(outputs, inputs))


def write_marked_copy(
    path: Path, problems: list[Problem], inputs: Sequence[Path], written: list[Path], *, replace: bool
) -> None:
    """Write the marked copy of a workbook beside it; only its content tells the ending.

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
    path: Path, options: TrialOptions, targets: Sequence[Path], paper: Paper | None, *, replace: bool
) -> int:
    """Plan a trial for a workbook, and write a copy that lists it and its paper forms; returns the exit code."""
    from wood_xl.io.pack import require_outputs, write_atomically
    from wood_xl.trial_files import trial_file

    require_outputs(targets, [path], replace=replace)
    with step(RunStep.WRITING, file=targets[0].name):
        made = trial_file(path, options, paper)
    for line in scoring.report_lines(path, made.problems, notes=True):
        say(line)
    if made.plan is None:
        return scoring.NOTHING_WRITTEN
    for target, data in zip(targets, (made.copy, made.forms), strict=True):
        write_atomically(target, data, replace=replace, inputs=[path])
        say(f"Wrote {shown(target)}")
    return scoring.code_of(made.problems)


def next_year_of(last: Path, units: System | None) -> tuple[Callable[..., Workbook], System, str]:
    """A function that makes the next year's workbook, with its units and currency; prints what is not carried over.

    Errors: UnreadableWorkbook if the file cannot be read as a workbook, or nothing of it can be computed.
    """
    from wood_xl.errors import UnreadableWorkbook
    from wood_xl.io.fill import filled_workbook
    from wood_xl.next_year import next_year_notes

    checked = pipeline.check_file(last).season
    if not checked.can_be_computed:
        for stop in (one for one in checked.problems if one.level.name == "STOP"):
            say_problem(stop, err=True)
        raise UnreadableWorkbook("next-year-cannot-be-computed", file=shown(last.name))
    system: System = units or checked.document.system
    data, lost = next_year_notes(checked, system)
    for problem in lost:
        say_problem(problem, err=True)
    return partial(filled_workbook, data), system, str(data["season"]["currency"])


def print_outcome(outcome: scoring.Outcome) -> None:
    """Print the lines on one workbook."""
    for line in outcome.report:
        say(line)
    for line in outcome.errors:
        say(line, err=True)


def run_on_file(
    path: Path,
    work: Callable[[], int | None],
    *,
    written: Sequence[Path] = (),
    listed: dict[str, list[dict[str, Any]]] | None = None,
    is_limited: bool = False,
) -> int:
    """Run the work on one file and return the exit code; a fault becomes one line and never stops other files.

    written: files to report. listed: collects a fault as JSON instead of printing it.
    """
    code, fault = guarded(path, work, is_limited=is_limited)
    if fault is None:
        for target in written:
            say(f"Wrote {shown(target)}")
        return code or scoring.WRITTEN
    if listed is None:
        say(scoring.fault_line(path, fault), err=True)
    else:
        listed[str(path)] = [fault.as_json()]
    return scoring.NOTHING_WRITTEN
