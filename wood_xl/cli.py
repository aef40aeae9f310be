"""The command line: parses arguments, calls, prints, and sets the exit code.

Exit codes: 0 written, nothing to mend; 1 written, something to mend or withheld; 2 usage; 3 nothing written.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from functools import partial
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from wood_xl import __version__, commands, pipeline, scoring
from wood_xl.commands import not_printed, say, say_problem
from wood_xl.error_handling import FULL
from wood_xl.errors import shown
from wood_xl.page_texts import InResults, RunStep
from wood_xl.progress import step

if TYPE_CHECKING:
    from wood_xl.io.page import Paper
    from wood_xl.schema.model import System

MOST_LINES = 40  # of cells that differ; one wrong input can move hundreds of figures


class _FilePath(click.Path):
    """A path. An empty text is refused: it would stand for the current folder.

    ending: suffix that the name of an output gets.
    """

    def __init__(self, ending: str = "") -> None:
        super().__init__(path_type=Path, readable=False)  # reading it tells more precisely whether that works
        self._ending = ending

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if not str(value):
            self.fail("the name is empty", param, ctx)
        path = Path(os.fsdecode(super().convert(value, param, ctx)))
        return pipeline.with_ending(path, self._ending) if self._ending else path


_PATH, _WORKBOOK = _FilePath(), _FilePath(pipeline.WORKBOOK_SUFFIX)
_UNITS = click.option("--units", type=click.Choice(["us", "metric"]), help="Units: us or metric.")
_PAPER = click.option("--paper", type=click.Choice(["letter", "a4"]), help="Paper to print on.")
_REPLACE = click.option("--replace", is_flag=True, help="Write over a file that exists.")
_FILES = click.argument("files", nargs=-1, required=True, type=_PATH)


class _Program(click.Group):
    """All commands. However a run ends, it prints a line and no traceback."""

    def main(self, *args: Any, **extra: Any) -> NoReturn:
        """Run a command and exit with its code."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, TextIOWrapper):
                stream.reconfigure(errors="backslashreplace")  # a code page may lack letters of a file name

        def run() -> int:
            try:
                return super(_Program, self).main(*args, **{**extra, "standalone_mode": False}) or scoring.WRITTEN
            except click.ClickException as fault:
                fault.show()
                return fault.exit_code
            except click.Abort:
                say("Stopped. What is written is whole.", err=True)
                return scoring.NOTHING_WRITTEN
            except OSError as fault:
                if fault.filename or fault.errno not in FULL:
                    raise
                raise not_printed(fault) from None  # click printed

        sys.exit(commands.result_or_exit(Path(), run))


@click.group(cls=_Program, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="wood-xl", message="%(prog)s %(version)s")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Turn your firewood notes into checked figures for one cord.

    Start with: wood-xl demo FOLDER. Then: template, fill it in, check, score.
    """
    from wood_xl.io.temporary import private_folder

    # Many small matrices: threads cost more than they save, and their number would change the sums.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    commands.result_or_exit(Path(), lambda: ctx.with_resource(private_folder()))


@main.command()
@click.argument("out", type=_WORKBOOK)
@_UNITS
@click.option("--currency", metavar="CODE", help="Three letters by ISO 4217; USD for US units, EUR for metric.")
@_PAPER
@click.option("--unfolded", is_flag=True, help="All columns in view, for programs that cannot fold.")
@click.option("--from", "old", type=_PATH, help="A filled workbook to carry over, without comments on its cells.")
@click.option(
    "--next-year-from",
    "last",
    type=_PATH,
    help="Last year's workbook: what lasts, its tools with hours so far, and the stacks that stand.",
)
@_REPLACE
def template(
    out: Path,
    units: System | None,
    currency: str | None,
    paper: Paper | None,
    unfolded: bool,
    old: Path | None,
    last: Path | None,
    replace: bool,
) -> None:
    """Write a blank workbook for a season's notes. Or carry an older season into the template of today."""
    if old is not None and last is not None:
        raise click.UsageError("--from carries the same season over, --next-year-from begins the next: give one.")
    code = None if currency is None else currency.upper()
    if code is not None and not (len(code) == 3 and code.isascii() and code.isalpha()):
        raise click.BadParameter("three letters by ISO 4217, for example USD", param_hint="--currency")
    commands.warn_of_open_files([old, last])

    def write() -> None:
        from wood_xl.io.pack import packed, write_atomically
        from wood_xl.io.page import PAPERS
        from wood_xl.io.template import template_workbook

        old_system: System = "us"
        old_currency, make = "", template_workbook
        if old is not None:
            from wood_xl.io.fill import carried_workbook, units_and_currency
            from wood_xl.io.reader import read_workbook
            from wood_xl.notes.season import not_filled_in

            with step(RunStep.READING, file=old.name):
                book = read_workbook(old)
            fault = not_filled_in(book)
            if fault is not None:
                raise fault
            old_system, old_currency = units_and_currency(book)
            make = partial(carried_workbook, book)
        elif last is not None:
            make, old_system, old_currency = commands.next_year_of(last, units)
        if code is not None and old_currency not in ("", code):
            raise click.UsageError(f"That workbook has its amounts in {old_currency}: leave out --currency.")
        system = units or old_system
        money = code or old_currency or ("USD" if system == "us" else "EUR")
        with step(RunStep.WRITING, file=out.name):
            workbook = make(system=system, currency=money, paper=paper or PAPERS[system], unfolded=unfolded)
            write_atomically(out, packed(workbook), replace=replace, inputs=[one for one in (old, last) if one])

    sys.exit(commands.run_on_file(old or last or out, write, written=[out], is_limited=True))


@main.command()
@click.argument("file", type=_PATH)
@click.option("--days", type=click.IntRange(1, 366), help="Days of work; else those written on Start.")
@click.option("--from-day", metavar="DATE", help="First day, as 2027-03-06; else the one written on Start.")
@click.option(
    "--difference", type=click.FloatRange(0, 1000, min_open=True), help="Difference to be seen, in percent."
)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Same number, same plan.")
@_PAPER
@click.option("--out", type=_WORKBOOK, help="Copy with the sessions listed and the plan.")
@click.option("--forms", type=_WORKBOOK, help="Workbook of paper forms, one page a session.")
@_REPLACE
def trial(
    file: Path,
    days: int | None,
    from_day: str | None,
    difference: float | None,
    seed: int,
    paper: Paper | None,
    out: Path | None,
    forms: Path | None,
    replace: bool,
) -> None:
    """Plan a fair trial of methods. Write a copy of the workbook that lists it, and its paper forms."""
    from wood_xl.trial_files import TrialOptions

    try:
        first_day = from_day and dt.date.fromisoformat(from_day).isoformat()
    except ValueError:
        raise click.BadParameter("year-month-day, for example 2027-03-06", param_hint="--from-day") from None
    options = TrialOptions(seed, days, first_day, None if difference is None else difference / 100)
    targets = pipeline.trial_paths(file, out, forms)
    commands.warn_of_open_files([file])
    write = partial(commands.write_trial, file, options, targets, paper, replace=replace)
    sys.exit(commands.run_on_file(file, write))


@main.command()
@_FILES
@click.option("--marked-copy", is_flag=True, help="Also write a copy with the problems listed and the cells marked.")
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON.")
@_REPLACE
def check(files: tuple[Path, ...], marked_copy: bool, as_json: bool, replace: bool) -> None:
    """List what is wrong or odd in workbooks, and how to mend it. Takes filled .xlsx, .xlsm and .ods files."""
    listed: dict[str, list[dict[str, Any]]] = {}
    written: list[Path] = []
    inputs = commands.inputs_of(files)
    if marked_copy:
        commands.require_apart_or_exit(map(pipeline.marked_path, inputs), inputs)

    def one(path: Path) -> int:
        checked = pipeline.check_file(path)
        listed[str(path)] = [
            problem.as_json() | ({"rows": [*problem.rows]} if problem.also_rows else {})
            for problem in checked.problems
        ]
        if not as_json:
            for line in scoring.report_lines(path, checked.problems, notes=True):
                say(line)
        if marked_copy:
            commands.write_marked_copy(path, checked.problems, inputs, written, replace=replace)
            if not as_json:
                say(f"Wrote {shown(written[-1])}")
        return scoring.code_of(checked.problems)

    faults = listed if as_json else None
    codes = [commands.run_on_file(path, partial(one, path), listed=faults, is_limited=True) for path in inputs]
    if as_json:
        say(json.dumps(listed, indent=1))  # ASCII, so that it is the same on any system
    sys.exit(max(codes))


@main.command()
@_FILES
@click.option("--out", type=_PATH, help="Results workbook, or a folder for several.")
@click.option("--share", is_flag=True, help="Leave out names, place, remarks, body data and the plan.")
@click.option("--json", "json_out", type=_FilePath(".json"), help="Also write the results as JSON.")
@click.option("--csv", "csv_out", type=_PATH, help="Also write each table as CSV to a folder.")
@click.option(
    "--calendar",
    "calendar_out",
    type=_FilePath(".ics"),
    help="Also write the sessions of the plan as a calendar file.",
)
@_UNITS
@_REPLACE
def score(
    files: tuple[Path, ...],
    out: Path | None,
    share: bool,
    json_out: Path | None,
    csv_out: Path | None,
    calendar_out: Path | None,
    units: System | None,
    replace: bool,
) -> None:
    """Compute filled workbooks and write their results. Takes .xlsx, .xlsm and .ods files, writes .xlsx."""
    inputs = commands.inputs_of(files)
    several = len(inputs) > 1
    if several and (json_out or csv_out or calendar_out):
        raise click.UsageError("--json, --csv and --calendar take one workbook at a time.")
    if share and calendar_out:
        raise click.UsageError("A copy to be shared has no plan: leave out --share or --calendar.")
    if several and out is not None and out.suffix and not out.is_dir():
        raise click.UsageError("With several workbooks --out names a folder.")

    def scored() -> int:
        targets = [pipeline.results_path(path, out, several=several, is_shared=share) for path in inputs]
        places = (scoring.Places(target, json_out, csv_out, replace, calendar_out) for target in targets)
        orders = [scoring.Order(path, place, units, share) for path, place in zip(inputs, places, strict=True)]
        if several:
            return commands.score_all(orders, files, out)
        commands.require_apart_or_exit(orders[0].places.files(), inputs)
        outcome = scoring.score_order(orders[0])
        commands.print_outcome(outcome)
        return outcome.code

    is_new = out is not None and not os.path.lexists(out)  # Path.exists fails in a forbidden folder
    code = commands.run_on_file(out or files[0], scored)
    if out is not None and is_new:
        with suppress(OSError):
            out.rmdir()  # works only if it is empty: nothing was written
    sys.exit(code)


@main.command()
@click.argument("results", nargs=-1, required=True, type=_PATH)
def verify(results: tuple[Path, ...]) -> None:
    """Compute results again from the notes in them. Name the first cells that differ, and count the rest."""
    from wood_xl.schema.words import words

    def one(path: Path) -> int:
        from wood_xl.results.verify_study import verify_file

        with step(RunStep.COMPARING, file=path.name):
            found = verify_file(path)
        problems = found.problems()
        code = scoring.code_of(problems)
        outcome = "as they should be" if code == scoring.WRITTEN else "not all as they should be"
        say(f"{shown(path)}: {found.compared_n:,} cells computed again and compared: {outcome}")
        for problem in problems[:MOST_LINES]:
            say(f"  {problem.level.name:4}  {problem.line()}")
        if len(problems) > MOST_LINES:
            say(f"  and {len(problems) - MOST_LINES:,} more")
        return code

    codes = [commands.run_on_file(path, partial(one, path), is_limited=True) for path in results]
    if min(codes) < scoring.NOTHING_WRITTEN:
        say(words(InResults.CANNOT_TELL))
    sys.exit(max(codes))


@main.command()
@_FILES
@click.option("--out", required=True, type=_WORKBOOK, help="Workbook of the pooled study.")
@click.option("--one-household", is_flag=True, help="The seasons are of one household: show what the years change.")
@click.option("--both", is_flag=True, help="If a season is in two workbooks, count it twice.")
@click.option("--unverified", is_flag=True, help="Also take results that verify does not confirm.")
@click.option("--json", "json_out", type=_FilePath(".json"), help="Also write the study as JSON.")
@click.option("--csv", "csv_out", type=_PATH, help="Also write each table as CSV to a folder.")
@click.option("--cluster", metavar="ADDRESS", help="Read the workbooks on a cluster, by its scheduler's address.")
@_UNITS
@_REPLACE
def pool(
    files: tuple[Path, ...],
    out: Path,
    one_household: bool,
    both: bool,
    unverified: bool,
    json_out: Path | None,
    csv_out: Path | None,
    cluster: str | None,
    units: System | None,
    replace: bool,
) -> None:
    """Bring seasons or households together. Takes filled workbooks, and results that somebody shared."""
    inputs = commands.inputs_of(files, but=out, with_results=True)
    places = scoring.Places(out, json_out, csv_out, replace)
    asked = {"system": units, "one_household": one_household, "both": both, "with_unverified": unverified}
    sys.exit(commands.run_on_file(out, lambda: commands.write_study(inputs, places, cluster, asked)))


@main.command()
@click.argument("results", type=_PATH)
@click.option("--to", "to", multiple=True, required=True, metavar="ADDRESS", help="Who gets it; may be given again.")
@click.option("--from", "sender", metavar="ADDRESS", help="Who sends it; else your mail program fills it in.")
@click.option("--out", type=_FilePath(pipeline.DRAFT_SUFFIX), help="File of the draft (.eml).")
@_REPLACE
def mail(results: Path, to: tuple[str, ...], sender: str | None, out: Path | None, replace: bool) -> None:
    """Write a draft message with results attached. Nothing is sent."""
    target = out or results.parent / f"{results.stem}{pipeline.DRAFT_SUFFIX}"

    def write() -> None:
        from wood_xl.io.pack import require_outputs, write_atomically
        from wood_xl.mail import draft_of
        from wood_xl.notes.problem import problem

        require_outputs([target], [results], replace=replace)
        with step(RunStep.READING, file=results.name):
            made = draft_of(results, to=to, sender=sender, when=dt.datetime.now(dt.UTC))
        write_atomically(target, made.message, replace=replace, inputs=[results])
        codes = [] if made.seal_holds else ["verify-seal-broken"]
        codes += ["mail-not-shared"] if made.is_private else []
        for found in map(problem, codes):
            say_problem(found)

    sys.exit(commands.run_on_file(results, write, written=[target], is_limited=True))


@main.command()
@click.argument("name", nargs=-1)
@click.option("--of", "results", type=_PATH, help="A results workbook, to have a figure of it worked out by its id.")
def explain(name: tuple[str, ...], results: Path | None) -> None:
    """Explain a column, a problem, a constant or a result. Without NAME, list them."""
    from wood_xl.results.explain import explanation, listing, near_names

    wanted = " ".join(name)
    if results is not None and not wanted:
        raise click.UsageError("Give the id of a figure too. The sheet Figures has them in its first column.")
    if results is not None:
        sys.exit(commands.run_on_file(results, partial(_print_figure_explanation, results, wanted)))
    if not wanted:
        say(listing())
        return
    text = explanation(wanted)
    if text is None:
        raise _no_such_name(wanted, near_names(wanted), "wood-xl explain lists all names.")
    say(text)


def _print_figure_explanation(results: Path, figure_id: str) -> int:
    from wood_xl.results.explain_figure import figure_explanation

    with step(RunStep.READING, file=results.name):
        text, near = figure_explanation(results, figure_id)
    if text is None:
        raise _no_such_name(figure_id, near, "The sheet Figures lists all ids.")
    say(text)
    return scoring.WRITTEN


def _no_such_name(name: str, near: Sequence[str], where: str) -> click.BadParameter:
    hint = f" Near it: {', '.join(near)}." if near else f" {where}"
    return click.BadParameter(f'nothing is called "{name}".{hint}', param_hint="NAME")


@main.command()
@click.argument("folder", type=_PATH)
@_REPLACE
def demo(folder: Path, replace: bool) -> None:
    """Write two filled seasons, invented, to FOLDER and score them."""
    from wood_xl.demo import demo_names, demo_workbook

    def one(path: Path) -> int:
        from wood_xl.io.pack import write_atomically

        write_atomically(path, demo_workbook(path.stem), replace=replace)
        say(f"Wrote {shown(path)}")
        target = pipeline.results_path(path, None, several=False)
        outcome = scoring.score_order(scoring.Order(path, scoring.Places(target, may_replace=replace)))
        commands.print_outcome(outcome)
        return outcome.code

    code = commands.run_on_file(folder, lambda: folder.mkdir(parents=True, exist_ok=True))
    paths = [] if code else [folder / f"{name}.xlsx" for name in demo_names()]
    sys.exit(max([code, *(commands.run_on_file(path, partial(one, path)) for path in paths)]))
