"""Compares a picture of a workbook with the same picture as this program writes it."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.io import may_change
from wood_xl.io.seen_charts import OWN_WORDS, SOURCES, SeenChart, SeenSeries
from wood_xl.io.seen_sheet import SeenFrame

Value = str | float
CellPlace = tuple[str, int, int]

EMU_PER_WIDTH, EMU_PER_ROW = 69_000.0, 190_500.0  # of a digit of a column's width, and of a row of usual height
NUMBERS = ("val", "xVal", "yVal")
SCATTER, NO_FILL = "scatterChart", "noFill"


def sources_of(chart: SeenChart) -> list[tuple[str, ...]]:
    """Ranges that hold the numbers of a picture."""
    return sorted(tuple(one.refs.get(kind, "") for kind in NUMBERS) for one in chart.series)


def unlike_places(found: dict[str, float], written: dict[str, float], frame: SeenFrame) -> Iterator[tuple[str, str]]:
    """What differs in where a picture stands and how large it is, each with both."""
    for key, offset in (("from_col", "from_colOff"), ("from_row", "from_rowOff")):
        here, there = ((one.get(key, 0.0), one.get(offset, 0.0)) for one in (found, written))
        if abs(here[0] - there[0]) > may_change.MOST_CELLS_MOVED or abs(here[1]) > may_change.MOST_INTO_CELL:
            yield f"{key} {here[0]:g} {here[1]:g}", f"{there[0]:g} {there[1]:g}"
    width, height = found.get("cx", 0.0), found.get("cy", 0.0)
    if "to_col" in found:
        columns = range(int(found["from_col"]) + 1, int(found["to_col"]) + 1)
        width = EMU_PER_WIDTH * sum(frame.widths.get(one, frame.width) for one in columns[:100])
        width += found.get("to_colOff", 0.0) - found.get("from_colOff", 0.0)
        height = EMU_PER_ROW * (found["to_row"] - found["from_row"])
        height += found.get("to_rowOff", 0.0) - found.get("from_rowOff", 0.0)
    for key, size in (("cx", width), ("cy", height)):
        if abs(size - written[key]) > may_change.PICTURE_SIZE_SHARE * written[key]:
            yield f"{key} {size:.0f}", f"{written[key]:.0f}"


def unlike_charts(found: SeenChart, written: SeenChart) -> Iterator[tuple[str, str]]:
    """What differs between a picture and the same picture as it is written, each with both."""
    yield from _unlike_words(found, written)
    for key in ("kind", *OWN_WORDS):
        if found.words.get(key, "") != written.words.get(key, ""):
            yield f"{key} {found.words.get(key, '')}", written.words.get(key, "")
    yield from ((color, "") for color in sorted(found.colors - written.colors - may_change.CHART_COLORS))
    yield from ((color, "") for color in sorted(found.inks - written.inks - may_change.CHART_COLORS))
    for name, share in sorted(found.layout):
        shares = [one for other, one in written.layout if other == name]
        if not any(abs(share - one) <= may_change.LAYOUT_SHARE for one in shares):
            yield f"{name} {share:g}", " ".join(map(str, shares))
    own = {form for one in written.formats for form in (one, one.replace('"', ""))}
    formats = {f"{one}{after}" for one in own for after in ("", "_)")} | may_change.CHART_FORMATS
    yield from ((one, "") for one in sorted(found.formats) if one.replace("\\", "") not in formats)
    yield from _unlike_axes(found.axes, written.axes)
    yield from _unlike_series(found, written)
    for source, points in found.stored.items():
        there = written.stored.get(source, {})
        yield from ((text, there.get(at, "")) for at, text in points.items() if there.get(at) != text)


def _unlike_words(found: SeenChart, written: SeenChart) -> Iterator[tuple[str, str]]:
    yield from ((tag, "") for tag in sorted(found.odd - written.odd))
    if found.title != written.title:
        yield found.title, written.title
    yield from ((title, "") for title in sorted(found.titles - written.titles - {""}))


def _unlike_axes(found: list[dict[str, str]], written: list[dict[str, str]]) -> Iterator[tuple[str, str]]:
    for axis in found:
        if not any(all(one.get(key) == text for key, text in axis.items()) for one in written):
            yield " ".join(axis.values()), " ".join(written[0].values()) if written else ""
    if len(found) != len(written):
        yield str(len(found)), str(len(written))


def _unlike_series(found: SeenChart, written: SeenChart) -> Iterator[tuple[str, str]]:
    sources = {kind: {one.refs[kind] for one in written.series if kind in one.refs} for kind in SOURCES}
    left, is_scatter = list(written.series), written.words.get("kind") == SCATTER  # it has no areas to fill
    for series in found.series:
        same = next((one for one in left if all(one.refs.get(k) == series.refs.get(k) for k in NUMBERS)), None)
        if same is None:
            yield "; ".join(series.refs.values()), ""
            continue
        left.remove(same)
        if series.name != same.name:
            yield series.name, same.name
        is_of_points = not same.fill and (series.fill in written.colors or (is_scatter and series.fill != NO_FILL))
        if series.fill and series.fill != same.fill and not is_of_points:
            yield series.fill, same.fill
        yield from ((one, "") for one in sorted(series.shown - same.shown))
        for key, word in series.words.items():
            if word != same.words.get(key, word):
                yield f"{key} {word}", same.words[key]
        names = {same.refs.get(kind) for kind in may_change.NAMED_AFTER}
        for kind, ref in series.refs.items():
            if ref not in (names if kind == "tx" else sources[kind]):
                yield ref, same.refs.get(kind, "")
    yield from (("", _name(one)) for one in left)


def _name(series: SeenSeries) -> str:
    return series.name or "; ".join(series.refs.values())
