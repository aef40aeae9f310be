"""Explains a name: a column of the workbook, a result, a problem, a constant, a source or a word."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial

from wood_xl.data.load import Activity, Constant, activities, constants, small_engines, sources, species
from wood_xl.ids import Gas
from wood_xl.notes.names import nearest
from wood_xl.notes.problem import catalogue, number_text
from wood_xl.page_texts import Entry, Explained, Glossary, InResults
from wood_xl.reasons import Word
from wood_xl.schema.model import Column, Definition, results_definition, season_definition
from wood_xl.schema.words import capital, phrase, words

ENGINE_SOURCE = "epa_nonroad_2008"
ENGINE_FIGURES = {  # columns of an engine's row: name and unit
    "fuel_lb_per_hp_h": (InResults.FUEL, "lb/hp-h"),
    "thc_g_per_hp_h": (Gas.HYDROCARBONS, "g/hp-h"),
    "co_g_per_hp_h": (Gas.CARBON_MONOXIDE, "g/hp-h"),
    "nox_g_per_hp_h": (InResults.NITROGEN_OXIDES, "g/hp-h"),
    "pm_g_per_hp_h": (Gas.PARTICLES, "g/hp-h"),
}

TREE_FIGURES = {  # columns of a tree's row: name and unit
    "basic_specific_gravity": (InResults.GRAVITY, ""),
    "green_moisture_dry_pct": (InResults.GREEN_MOISTURE, "%"),
    "bark_pct": (InResults.BARK, "%"),
    "bark_specific_gravity": (InResults.BARK_GRAVITY, ""),
}

MOST_NEAR = 8
MOST_ALIKE = 3  # results of one name that are explained; more are only listed


@cache
def published_figures() -> dict[str, Constant]:
    """Every published figure and assumption by its id; those of tables are given the form of constants."""
    rows = [*constants().values()]
    for activity in activities().values():
        where = phrase(InResults.CODE, code=activity.code)
        met = (f"activity.{activity.code}", activity.label, activity.met, "MET", None, None)
        rows.append(Constant(*met, activity.source, where, activity.known, ""))
    for engine in small_engines().values():
        where = phrase(InResults.TECHNOLOGY, code=engine.code)
        for column, (name, unit) in ENGINE_FIGURES.items() if engine.used != "no" else ():
            title, number = f"{capital(words(name))}: {engine.title}", getattr(engine, column)
            figure = (engine.figure_id(column), title, number, unit, None, None)
            rows.append(Constant(*figure, ENGINE_SOURCE, where, engine.known, ""))
    for tree in species():
        for column, (name, unit) in TREE_FIGURES.items():
            title, number = f"{capital(words(name))}: {tree.name}", getattr(tree, column)
            if number is not None:
                figure = (tree.figure_id(column), title, number, unit, None, None)
                rows.append(Constant(*figure, tree.source, tree.botanical, tree.known, ""))
    return {row.id: row for row in rows}


def _columns() -> dict[str, Column]:
    return {column.ref: column for sheet in season_definition().sheets for column in sheet.listed}


def _results() -> dict[str, Column]:
    return {f"results.{column.ref}": column for sheet in results_definition().sheets for column in sheet.columns}


def _glossary() -> dict[str, str]:
    return {text.partition(":")[0]: text for text in map(words, Glossary)}


def _texts() -> dict[Word, Mapping[str, Callable[[], str]]]:
    """By kind, each name that can be explained with the function that writes its text."""
    figures = published_figures()
    met = {f"activity.{key}": partial(_activity_text, one) for key, one in activities().items()}
    return {
        Explained.COLUMNS: {ref: partial(_column_text, column) for ref, column in _columns().items()},
        Explained.RESULTS: {ref: partial(_result_text, ref, column) for ref, column in _results().items()},
        Explained.PROBLEMS: {code: partial(_problem_text, code) for code in sorted(catalogue())},
        Explained.CONSTANTS: {key: partial(_constant_text, one) for key, one in figures.items() if key not in met},
        Explained.ACTIVITIES: met,
        Explained.SOURCES: {key: partial(_source_text, key) for key in sources()},
        Explained.WORDS: {word: partial(str, text) for word, text in _glossary().items()},
    }


def listing() -> str:
    """Every name that can be explained, by kind."""
    parts = [f"{words(title)}:\n" + "\n".join(f"  {name}" for name in texts) for title, texts in _texts().items()]
    return "\n\n".join(parts)


def near_names(name: str, given: Sequence[str] = ()) -> list[str]:
    """Names that the person may have meant, among those given or all that can be explained."""
    parts = name.casefold().split() if given else [name.casefold()]
    names = given or [key for texts in _texts().values() for key in texts]
    containing = [key for key in names if all(part in key.casefold() for part in parts)][:MOST_NEAR]
    titles = [] if given else [column.title for column in (*_columns().values(), *_results().values())]
    near = nearest(name, [*names, *titles])
    return containing or ([near] if near else [])


def explanation(name: str) -> str | None:
    """The explanation of a name; None if nothing has it.

    A column is also found by its title, alone or after that of its sheet, and by the last part of its name. Several
    columns of one name are all explained, or only listed if they are many.
    """
    key = name.strip()
    for kind, texts in _texts().items():
        if key in texts and kind is not Explained.WORDS:  # a column may have the title of a word
            return texts[key]()
    wanted = " ".join(key.casefold().split())
    of_word = next((text for word, text in _glossary().items() if word.casefold() == wanted), None)
    return "\n\n".join(filter(None, (of_word, _by_title(wanted)))) or None


def _by_title(wanted: str) -> str | None:
    texts = [_column_text(column) for column in _columns().values() if wanted in _titles(column, season_definition())]
    named = {key: column for key, column in _results().items() if wanted in _titles(column, results_definition())}
    if not texts and len(named) <= MOST_ALIKE:
        texts = [_result_text(key, column) for key, column in named.items()]
    elif named:
        lines = [f"  {key}: {c.title} ({results_definition().sheet(c.sheet).title})" for key, c in named.items()]
        texts.append("\n".join((words(Explained.IN_RESULTS), *lines)))
    return "\n\n".join(texts) or None


def _titles(column: Column, definition: Definition) -> tuple[str, ...]:
    sheet = definition.sheet(column.sheet).title
    return tuple(text.casefold() for text in (column.title, f"{sheet} {column.title}", column.id))


def _problem_text(code: str) -> str:
    entry = catalogue()[code]
    text = phrase(Explained.PROBLEM, code=code, **{key: entry[key] for key in ("title", "level", "template", "mend")})
    return f"{text}\n{words(Explained.WITHHOLDS)}" if "withholds" in entry else text


def _activity_text(one: Activity) -> str:
    facts = {"label": one.label, "met": one.met, "code": one.code, "known": one.known}
    return phrase(Explained.ACTIVITY, key=f"activity.{one.code}", **facts, source=_source_line(one.source))


def _column_text(column: Column) -> str:
    sheet = season_definition().sheet(column.sheet)
    lines = [phrase(Explained.COLUMN, ref=column.ref, title=column.title, sheet=sheet.title), column.help]
    if column.units:
        lines.append(phrase(Explained.UNITS, units=column.units))
    if column.choices:
        lines.append(phrase(Explained.CHOICES, choices=column.choices))
    unit = f" {column.unit}" if column.unit and column.unit != "money" else ""
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    if lowest is not None and column.maximum is not None:
        possible = Explained.POSSIBLE_ABOVE if column.minimum is None else Explained.POSSIBLE
        lines.append(phrase(possible, low=number_text(lowest), high=number_text(column.maximum), unit=unit))
    if column.plausible:
        low, high = map(number_text, column.plausible)
        lines.append(phrase(Explained.USUAL, low=low, high=high, unit=unit))
    if column.default_from:
        lines += [phrase(Explained.DEFAULT_BELOW, constant=column.default_from), ""]
        lines += [_constant_text(constants()[column.default_from]), ""]
    elif column.default is not None:
        lines.append(phrase(Explained.DEFAULT, default=column.default))
    if column.required:
        lines.append(words(Explained.COMPULSORY_IN_ROW if sheet.kind == "table" else Entry.COMPULSORY))
    if column.feeds:
        lines.append(phrase(Explained.FEEDS, feeds=column.feeds))
    if column.example is not None:
        lines.append(phrase(Entry.EXAMPLE, example=column.example))
    return "\n".join(lines)


def _result_text(key: str, column: Column) -> str:
    lines = [f"{key}: {column.title}", column.help]
    if column.formula:
        lines.append(phrase(Explained.FORMULA, formula=column.formula))
    if column.unit:
        lines.append(phrase(Explained.UNIT, units=column.units or (column.unit,)))
    if column.needs:
        lines.append(phrase(Explained.NEEDS, needs=column.needs))
    lines += [phrase(Explained.SOURCE, source=_source_line(source)) for source in column.sources]
    return "\n".join(lines)


def _constant_text(one: Constant) -> str:
    unit = f" {one.unit}" if one.unit not in ("", "-") else ""
    lines = [f"{one.id}: {one.title}", phrase(Explained.VALUE, value=f"{one.value:.15g}", unit=unit)]
    if one.low is not None and one.high is not None:
        lines.append(phrase(Explained.RANGE, low=one.low, high=one.high, unit=unit))
    lines += [phrase(Explained.SOURCE, source=f"{_source_line(one.source)}, {one.where}")]
    lines += [phrase(Explained.KNOWN, known=one.known)]
    return "\n".join(lines)


def _source_text(key: str) -> str:
    return f"{key}: {_source_line(key)}"


def _source_line(source_id: str) -> str:
    source = sources()[source_id]
    return f"{source.text}. {source.address}".rstrip()
