"""What a name stands for: a column of the workbook, a result, a problem, a constant, a source or a species table."""

from __future__ import annotations

from wood_xl.data.load import Constant, activities, constants, sources
from wood_xl.notes.names import nearest
from wood_xl.notes.problem import catalogue, number_text
from wood_xl.schema.model import Column, Definition, results_definition, season_definition

MOST_ALIKE = 3  # explained at once; more are only listed


def _columns() -> dict[str, Column]:
    return {column.ref: column for sheet in season_definition().sheets for column in sheet.columns}


def _results() -> dict[str, Column]:
    return {f"results.{column.ref}": column for sheet in results_definition().sheets for column in sheet.columns}


def _groups() -> dict[str, list[str]]:
    return {
        "Columns and items of the workbook": list(_columns()),
        "Results": list(_results()),
        "Problems": sorted(catalogue()),
        "Constants": list(constants()),
        "Activities": [f"activity.{code}" for code in activities()],
        "Sources": list(sources()),
    }


def listing() -> str:
    """Every name that can be explained, by kind."""
    parts = [f"{title}:\n" + "\n".join(f"  {name}" for name in names) for title, names in _groups().items()]
    return "\n\n".join(parts)


def near_names(name: str) -> list[str]:
    """Names that the person may have meant."""
    names = [one for group in _groups().values() for one in group]
    parts = [one for one in names if name.casefold() in one.casefold()][:8]
    near = nearest(name, names)
    return parts or ([near] if near else [])


def explanation(name: str) -> str | None:
    """Everything that is known of a name; None if it names nothing.

    A column is also known by its title as it stands in the workbook, alone or after that of its sheet, and by the
    last part of its name. Several that are called alike are all explained, or listed if they are many.
    """
    key = name.strip()
    if key in _columns():
        return _column_text(_columns()[key])
    if key in _results():
        return _result_text(key, _results()[key])
    if key in catalogue():
        return _problem_text(key)
    if key in constants():
        return _constant_text(constants()[key])
    if key in sources():
        return f"{key}: {_source_line(key)}"
    return _activity_text(key) or _by_title(key)


def _by_title(words: str) -> str | None:
    """What columns are called so: those of the workbook before those of the results."""
    wanted = " ".join(words.casefold().split())
    texts = [_column_text(column) for column in _columns().values() if wanted in _titles(column, season_definition())]
    named = {key: column for key, column in _results().items() if wanted in _titles(column, results_definition())}
    if not texts and len(named) <= MOST_ALIKE:
        texts = [_result_text(key, column) for key, column in named.items()]
    elif named:
        lines = [f"  {key}: {c.title} ({results_definition().sheet(c.sheet).title})" for key, c in named.items()]
        texts.append("\n".join(("In the results:", *lines)))
    return "\n\n".join(texts) or None


def _titles(column: Column, definition: Definition) -> tuple[str, ...]:
    sheet = definition.sheet(column.sheet).title
    return tuple(text.casefold() for text in (column.title, f"{sheet} {column.title}", column.id))


def _problem_text(code: str) -> str:
    entry = catalogue()[code]
    text = f"{code}: {entry['title']}\nLevel: {entry['level']}\nFound: {entry['template']}\nMend: {entry['mend']}"
    return text + ("\nFigures that need it are not given." if "withholds" in entry else "")


def _activity_text(key: str) -> str | None:
    activity = activities().get(key.removeprefix("activity."))
    if activity is None or not key.startswith("activity."):
        return None
    source = f"{_source_line(activity.source)}, code {activity.code}"
    return f"{key}: {activity.label}\nValue: {activity.met} MET, gross\nSource: {source}\nKnown: {activity.known}"


def _column_text(column: Column) -> str:
    sheet = season_definition().sheet(column.sheet)
    lines = [f"{column.ref}: {column.title} (sheet {sheet.title})", column.help]
    if column.units:
        lines.append(f"Units: {', '.join(column.units)}")
    if column.choices:
        lines.append(f"One of: {', '.join(column.choices)}")
    unit = f" {column.unit}" if column.unit and column.unit != "money" else ""
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    if lowest is not None and column.maximum is not None:
        more = "more than " if column.minimum is None else ""
        lines.append(f"Possible: {more}{number_text(lowest)} to {number_text(column.maximum)}{unit}")
    if column.plausible:
        lines.append(f"Usual: {number_text(column.plausible[0])} to {number_text(column.plausible[1])}{unit}")
    if column.default_from:
        lines.append(
            f"If empty: {column.default_from}, see below\n\n{_constant_text(constants()[column.default_from])}\n"
        )
    elif column.default is not None:
        lines.append(f"If empty: {column.default}")
    if column.required:
        lines.append("Compulsory in a filled row." if sheet.kind == "table" else "Compulsory.")
    if column.feeds:
        lines.append(f"Used for: {', '.join(column.feeds)}")
    if column.example is not None:
        lines.append(f"Example: {column.example}")
    return "\n".join(lines)


def _result_text(key: str, column: Column) -> str:
    lines = [f"{key}: {column.title}", column.help]
    if column.formula:
        lines.append(f"Formula: {column.formula}")
    if column.unit:
        lines.append(f"Unit: {' or '.join(column.units) if column.units else column.unit}")
    if column.needs:
        lines.append(f"Needs: {', '.join(column.needs)}")
    lines += [f"Source: {_source_line(source)}" for source in column.sources]
    return "\n".join(lines)


def _constant_text(known: Constant) -> str:
    unit = f" {known.unit}" if known.unit else ""
    lines = [f"{known.id}: {known.title}", f"Value: {known.value}{unit}"]
    if known.low is not None and known.high is not None:
        lines.append(f"Range: {known.low} to {known.high}{unit}")
    lines += [f"Source: {_source_line(known.source)}, {known.where}", f"Known: {known.known}"]
    return "\n".join(lines)


def _source_line(source_id: str) -> str:
    source = sources()[source_id]
    year = f" ({source.year})" if source.year else ""
    address = f" {source.address}" if source.address else ""
    return f"{source.authors}: {source.title}{year}.{address}"
