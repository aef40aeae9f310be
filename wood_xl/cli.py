"""The command line: parses, calls, prints, and sets the exit code.

0 written, nothing to mend; 1 written, something to mend or withheld; 2 usage; 3 nothing written.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from wood_xl import __version__, pipeline
from wood_xl.errors import shown
from wood_xl.faults import guarded
from wood_xl.scoring import (
    NOTHING_WRITTEN,
    PAPERS,
    TO_MEND,
    WRITTEN,
    Order,
    Outcome,
    code_of,
    line_about,
    outputs_of,
    report_lines,
    score_order,
)

if TYPE_CHECKING:
    from wood_xl.notes.problem import Problem
    from wood_xl.schema.model import System

SUMMARY_NAME = f"all{pipeline.RESULTS_ENDING}.xlsx"  # of many workbooks; no folder is read as one by mistake
LINES_TOLD = 40  # of cells that differ; one wrong input can move hundreds of figures


class _Name(click.Path):
    """A path; an empty text is none, and must not stand for the folder that the person is in."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if not str(value):
            self.fail("the name is empty", param, ctx)
        return super().convert(value, param, ctx)


_PATH = _Name(path_type=Path)
_UNITS = click.option("--units", type=click.Choice(["us", "metric"]), help="Units: us or metric.")
_REPLACE = click.option("--replace", is_flag=True, help="Write over a file that exists.")
_FILES = click.argument("files", nargs=-1, required=True, type=_PATH)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="wood-xl", message="%(prog)s %(version)s")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Field notes of firewood work in, checked and reproducible per-cord figures out.

    Start with: wood-xl demo FOLDER. Then: template, fill it in, check, score.
    """
    from wood_xl.io.temporary import private_folder

    ctx.with_resource(private_folder())


@main.command()
@click.argument("out", type=_PATH)
@_UNITS
@click.option("--currency", metavar="CODE", help="Three letters by ISO 4217; USD for US units, EUR for metric.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), help="Paper to print on.")
@click.option("--unfolded", is_flag=True, help="All columns in view, for programs that cannot fold.")
@click.option("--from", "old", type=click.Path(path_type=Path), help="A filled workbook to carry over as it is.")
@_REPLACE
def template(
    out: Path,
    units: System | None,
    currency: str | None,
    paper: Literal["letter", "a4"] | None,
    unfolded: bool,
    old: Path | None,
    replace: bool,
) -> None:
    """Write a blank workbook for a season's field notes, or the same season in the template of today."""
    code = None if currency is None else currency.upper()
    if code is not None and not (len(code) == 3 and code.isascii() and code.isalpha()):
        raise click.BadParameter("three letters by ISO 4217, for example USD", param_hint="--currency")
    path = out if out.suffix else out.with_suffix(".xlsx")

    def write() -> None:
        from wood_xl.io.pack import packed, write_atomically
        from wood_xl.io.template import template_workbook

        its_system: System = "us"
        its_currency, make = "", template_workbook
        if old is not None:
            from wood_xl.io.carry import carried_workbook, units_and_currency
            from wood_xl.io.reader import read_workbook

            book = read_workbook(old)
            its_system, its_currency = units_and_currency(book)
            make = partial(carried_workbook, book)
        system = units or its_system
        money = code or its_currency or ("USD" if system == "us" else "EUR")
        workbook = make(system=system, currency=money, paper=paper or PAPERS[system], unfolded=unfolded)
        write_atomically(path, packed(workbook), replace=replace, inputs=[] if old is None else [old])

    sys.exit(_guarded(old or path, write, written=[path]))


@main.command()
@_FILES
@click.option("--marked-copy", is_flag=True, help="Also write a copy with the cells coloured and commented.")
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON.")
@_REPLACE
def check(files: tuple[Path, ...], marked_copy: bool, as_json: bool, replace: bool) -> None:
    """List what is wrong or odd in filled workbooks (.xlsx, .xlsm or .ods), by cell, and how to mend it."""
    codes: list[int] = []
    listed: dict[str, list[dict[str, Any]]] = {}
    inputs = _inputs(files)
    if marked_copy:
        _require_apart(map(pipeline.marked_path, inputs), inputs)
    for path in inputs:

        def one(path: Path = path) -> int:
            checked = pipeline.check_file(path)
            listed[str(path)] = [found.as_json() for found in checked.problems]
            if not as_json:
                for line in report_lines(path, checked.problems, notes=True):
                    click.echo(line)
            if marked_copy:
                _write_marked_copy(path, checked.problems, replace=replace, quiet=as_json)
            return code_of(checked.problems)

        codes.append(_guarded(path, one, listed=listed if as_json else None))
    if as_json:
        click.echo(json.dumps(listed, ensure_ascii=False, indent=1).encode("utf-8", "backslashreplace").decode())
    sys.exit(max(codes))


@main.command()
@_FILES
@click.option("--out", type=_PATH, help="Results workbook, or a folder for several.")
@click.option("--share", is_flag=True, help="Leave out names, place, notes, body data and the plan.")
@click.option("--json", "json_out", type=_PATH, help="Also write the results as JSON.")
@click.option("--csv", "csv_out", type=_PATH, help="Also write each table as CSV to a folder.")
@_UNITS
@_REPLACE
def score(
    files: tuple[Path, ...],
    out: Path | None,
    share: bool,
    json_out: Path | None,
    csv_out: Path | None,
    units: System | None,
    replace: bool,
) -> None:
    """Compute filled workbooks (.xlsx, .xlsm or .ods) and write their results workbooks (.xlsx)."""
    inputs = _inputs(files)
    several = len(inputs) > 1
    if several and (json_out or csv_out):
        raise click.UsageError("--json and --csv take one workbook at a time.")
    if several and out is not None and out.suffix and not out.is_dir():
        raise click.UsageError("With several workbooks --out names a folder.")

    def scored() -> int:
        orders = [
            Order(path, pipeline.results_path(path, out, several=several), units, share, replace, json_out, csv_out)
            for path in inputs
        ]
        if several:
            return _score_many(orders, files, out)
        _require_apart(outputs_of(orders[0]), inputs)
        outcome = score_order(orders[0])
        _tell(outcome)
        return outcome.code

    sys.exit(_guarded(out or files[0], scored))


@main.command()
@click.argument("results", nargs=-1, required=True, type=_PATH)
def verify(results: tuple[Path, ...]) -> None:
    """Compute results workbooks again from the notes echoed in them, and name every cell that differs."""
    from wood_xl.pages import InResults
    from wood_xl.schema.words import words

    codes: list[int] = []
    for path in results:

        def one(path: Path = path) -> int:
            from wood_xl.results.verify import verify_file

            found = verify_file(path)
            problems = found.problems()
            code = code_of(problems)
            outcome = "as they should be" if code == WRITTEN else "not all as they should be"
            click.echo(f"{shown(path)}: {found.compared_n:,} cells computed again and compared: {outcome}")
            for line in problems[:LINES_TOLD]:
                click.echo(f"  {line.level.name:4}  {line.line()}")
            if len(problems) > LINES_TOLD:
                click.echo(f"  and {len(problems) - LINES_TOLD:,} more")
            return code

        codes.append(_guarded(path, one))
    if min(codes) < NOTHING_WRITTEN:
        click.echo(words(InResults.CANNOT_TELL))
    sys.exit(max(codes))


@main.command()
@_FILES
@click.option("--out", required=True, type=_PATH, help="Workbook of the pooled study.")
@click.option("--one-household", is_flag=True, help="The seasons are of one household: show the trend by year.")
@click.option("--unverified", is_flag=True, help="Also take results that verify does not confirm.")
@click.option("--cluster", metavar="ADDRESS", help="Read the workbooks on a cluster, by its scheduler's address.")
@_UNITS
@_REPLACE
def pool(
    files: tuple[Path, ...],
    out: Path,
    one_household: bool,
    unverified: bool,
    cluster: str | None,
    units: System | None,
    replace: bool,
) -> None:
    """Bring seasons or households together: filled workbooks, or results that somebody shared."""
    found = pipeline.input_files(files)
    inputs = [
        path for path in found if path in files or path.resolve() != out.resolve()
    ]  # not the study of last time
    if not inputs:
        raise click.UsageError("The folder holds no workbook (.xlsx, .xlsm or .ods).")

    def one() -> int:
        from wood_xl.io.pack import require_writable, write_atomically
        from wood_xl.io.results import pool_bytes
        from wood_xl.results.pool import pool_files

        asked: Any = {"system": units, "one_household": one_household, "with_unverified": unverified}
        require_writable(out, replace=replace, inputs=inputs)
        if cluster is None:
            found = pool_files(inputs, **asked)
        else:
            from wood_xl.cluster import on_cluster

            everywhere = [path.resolve() for path in inputs]
            with on_cluster(cluster) as each:
                found = pool_files(everywhere, **asked, each=each)
        for name, path in found.names:
            click.echo(f"{name}: {shown(path)}")
        for path, fault in found.faults:
            click.echo(f"{fault.level.name}  {shown(path)}: {fault.line()}", err=True)
        if found.document is None:
            return NOTHING_WRITTEN
        paper = PAPERS[found.document["provenance"]["display_units"]]
        write_atomically(out, pool_bytes(found.document, paper=paper), replace=replace, inputs=inputs)
        click.echo(f"Wrote {shown(out)}")
        return TO_MEND if found.faults else WRITTEN

    sys.exit(_guarded(out, one))


@main.command()
@click.argument("results", type=_PATH)
@click.option("--to", "to", multiple=True, required=True, metavar="ADDRESS", help="Who gets it; may be given again.")
@click.option("--from", "sender", metavar="ADDRESS", help="Who sends it; else your mail program fills it in.")
@click.option("--out", type=_PATH, help="File of the draft (.eml).")
@_REPLACE
def mail(results: Path, to: tuple[str, ...], sender: str | None, out: Path | None, replace: bool) -> None:
    """Write a draft message with a results workbook attached; nothing is sent."""
    target = out or results.with_suffix(".eml")

    def write() -> None:
        from wood_xl.draft import draft_of
        from wood_xl.io.pack import require_writable, write_atomically
        from wood_xl.notes.problem import problem

        require_writable(target, replace=replace, inputs=[results])
        made = draft_of(results, to=to, sender=sender, when=dt.datetime.now(dt.UTC))
        write_atomically(target, made.message, replace=replace, inputs=[results])
        codes = [] if made.seal_holds else ["verify-seal-broken"]
        codes += ["mail-not-shared"] if made.is_private else []
        for found in map(problem, codes):
            click.echo(f"{found.level.name}  {found.line()}")

    sys.exit(_guarded(results, write, written=[target]))


@main.command()
@click.argument("name", required=False)
def explain(name: str | None) -> None:
    """Explain a column, a problem, a constant, a source or a result; without NAME, list them."""
    from wood_xl.results.explain import explanation, listing, near_names

    if name is None:
        click.echo(listing())
        return
    text = explanation(name)
    if text is None:
        near = near_names(name)
        hint = f" Near it: {', '.join(near)}." if near else " wood-xl explain lists all names."
        raise click.BadParameter(f'nothing is called "{name}".{hint}', param_hint="NAME")
    click.echo(text)


@main.command()
@click.argument("folder", type=_PATH)
@_REPLACE
def demo(folder: Path, replace: bool) -> None:
    """Write two filled seasons, invented, to FOLDER and score them."""
    from wood_xl.demo import demo_names, demo_workbook

    codes: list[int] = []
    for name in demo_names():
        path = folder / f"{name}.xlsx"

        def one(path: Path = path, name: str = name) -> int:
            from wood_xl.io.pack import write_atomically

            folder.mkdir(parents=True, exist_ok=True)
            write_atomically(path, demo_workbook(name), replace=replace)
            click.echo(f"Wrote {shown(path)}")
            outcome = score_order(Order(path, pipeline.results_path(path, None, several=False), may_replace=replace))
            _tell(outcome)
            return outcome.code

        codes.append(_guarded(path, one))
    sys.exit(max(codes))


def _inputs(files: Sequence[Path]) -> list[Path]:
    found, fault = guarded(files[0], lambda: pipeline.input_files(files))
    if fault is not None:
        click.echo(f"{fault.level.name}  {fault.line()}", err=True)
        sys.exit(NOTHING_WRITTEN)
    if not found:
        raise click.UsageError("The folder holds no filled workbook (.xlsx, .xlsm or .ods).")
    return found


def _score_many(orders: Sequence[Order], files: Sequence[Path], out: Path | None) -> int:
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
    _require_apart(outputs, [order.path for order in orders])
    record = Record(place / RECORD_NAME)
    try:
        for outcome, known in score_many(orders, record, cores=cores()):
            outcomes.append(outcome)
            if not known:
                _tell(outcome)
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

    return _guarded(path, write, written=[path])


def _require_apart(outputs: Iterable[Path], inputs: Sequence[Path]) -> None:
    """End the run before anything is written if an output would be one of the inputs, or two would be one."""

    def require() -> None:
        from wood_xl.io.pack import require_apart

        require_apart(outputs, inputs)

    _, fault = guarded(inputs[0], require)
    if fault is not None:
        click.echo(f"{fault.level.name}  {fault.line()}", err=True)
        sys.exit(NOTHING_WRITTEN)


def _write_marked_copy(path: Path, problems: list[Problem], *, replace: bool, quiet: bool) -> None:
    from wood_xl.io.marked_copy import marked_copy
    from wood_xl.io.pack import write_atomically

    copy = marked_copy(path, problems)
    target = pipeline.marked_path(path, copy.suffix)
    write_atomically(target, copy.data, replace=replace, inputs=[path])
    if not quiet:
        click.echo(f"Wrote {shown(target)}")


def _tell(outcome: Outcome) -> None:
    for line in outcome.report:
        click.echo(line)
    for line in outcome.errors:
        click.echo(line, err=True)


def _guarded(
    path: Path,
    work: Callable[[], int | None],
    *,
    written: Sequence[Path] = (),
    listed: dict[str, list[dict[str, Any]]] | None = None,
) -> int:
    """Run the work on one file; any fault becomes one line, and one bad file never stops the others."""
    code, found = guarded(path, work)
    if found is None:
        for target in written:
            click.echo(f"Wrote {shown(target)}")
        return code or WRITTEN
    if listed is None:
        click.echo(f"{found.level.name}  {line_about(path, found)}", err=True)
    else:
        listed[str(path)] = [found.as_json()]
    return NOTHING_WRITTEN
