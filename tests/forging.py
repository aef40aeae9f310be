"""Results workbooks that somebody changed, part by part, as a person would see it in a spreadsheet program."""

# ruff: noqa: E501 - the changes are tags of the file format, each on its line
from __future__ import annotations

import re
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from wood_xl.io.guard import package_of
from wood_xl.io.reader import book_of
from wood_xl.io.seal import seal_of, stored_seal

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
BOOK, STYLES, ANSWER = "xl/workbook.xml", "xl/styles.xml", "xl/worksheets/sheet1.xml"
BOOK_LINKS, TYPES = "xl/_rels/workbook.xml.rels", "[Content_Types].xml"
DRAWING, CHART = "xl/drawings/drawing1.xml", "xl/charts/chart1.xml"
SHAPE = (
    "<oneCellAnchor><from><col>0</col><colOff>0</colOff><row>2</row><rowOff>0</rowOff></from>"
    '<ext cx="900000" cy="300000"/><sp><nvSpPr><cNvPr id="9" name="t"/><cNvSpPr txBox="1"/></nvSpPr><spPr/>'
    "<txBody><a:bodyPr/><a:p><a:r><a:t>Half the hours</a:t></a:r></a:p></txBody></sp><clientData/></oneCellAnchor>"
)

Parts = dict[str, str]
Attack = Callable[[Parts], None]


def parts_of(data: bytes) -> Parts:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name).decode() for name in archive.namelist()}


def packed_parts(parts: Parts) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return out.getvalue()


def changed(data: bytes, attack: Attack) -> bytes:
    parts = parts_of(data)
    before = dict(parts)
    attack(parts)
    assert parts != before, "the attack found nothing to change"
    return packed_parts(parts)


def sealed_anew(data: bytes) -> bytes:
    """The work of somebody who knows how to make the seal fit."""
    book = book_of(package_of(data, "results.xlsx"), {})
    parts = parts_of(data)
    old, new = stored_seal(book), seal_of(book)
    for name, text in parts.items():
        parts[name] = text.replace(old, new) if old else text
    return packed_parts(parts)


def once(part: str, old: str, new: str) -> Attack:
    """Put one text for another, at its first place in a part."""

    def attack(parts: Parts) -> None:
        parts[part] = parts[part].replace(old, new, 1)

    return attack


def sheet_named(parts: Parts, title: str) -> str:
    number = re.findall(r'<sheet name="([^"]*)"', parts[BOOK]).index(title) + 1
    return f"xl/worksheets/sheet{number}.xml"


def number_cell(text: str) -> re.Match[str]:
    """The first cell of a sheet that holds a number: name, style and value."""
    match = re.search(r'<c r="([A-Z]+[0-9]+)" s="([0-9]+)"><v>([^<]+)</v></c>', text)
    assert match
    return match


def text_cell(text: str) -> re.Match[str]:
    """The first cell of a sheet that holds a text: name, style and text."""
    match = re.search(r'<c r="([A-Z]+[0-9]+)" s="([0-9]+)" t="inlineStr"><is><t[^>]*>([^<]+)</t></is></c>', text)
    assert match
    return match


def on_number(make: Callable[[str, str, str], str], sheet: str = "Figures") -> Attack:
    def attack(parts: Parts) -> None:
        part = sheet_named(parts, sheet)
        cell = number_cell(parts[part])
        parts[part] = parts[part].replace(cell.group(), make(*cell.groups()), 1)

    return attack


def styled(
    part_of_style: str, old: str, new: str, *, also: tuple[str, str] = ("", ""), is_text: bool = False
) -> Attack:
    """Give one cell a look of its own: that of before, but for one thing."""

    def attack(parts: Parts) -> None:
        sheet = sheet_named(parts, "Figures")
        cell = (text_cell if is_text else number_cell)(parts[sheet])
        looks = re.findall(
            r"<xf [^>]*?(?:/>|>.*?</xf>)", parts[STYLES].partition("<cellXfs")[2].partition("</cellXfs>")[0]
        )
        look = looks[int(cell[2])]
        other = re.sub(old, new, look, count=1)
        assert other != look
        parts[STYLES] = parts[STYLES].replace("</cellXfs>", f"{other}</cellXfs>")
        if part_of_style:
            parts[STYLES] = parts[STYLES].replace(f"</{part_of_style}>", f"{also[0]}</{part_of_style}>")
        parts[sheet] = parts[sheet].replace(f'r="{cell[1]}" s="{cell[2]}"', f'r="{cell[1]}" s="{len(looks)}"')

    return attack


def count_of(parts_text: str, section: str, tag: str) -> int:
    inside = re.search(f"<{section}[ >].*?</{section}>", parts_text, re.DOTALL)
    return len(re.findall(f"<{tag}[ />]", inside.group())) if inside else 0


def own_format(code: str) -> Attack:
    def attack(parts: Parts) -> None:
        styled(
            "numFmts",
            r'numFmtId="[0-9]+"',
            'numFmtId="499"',
            also=(f'<numFmt numFmtId="499" formatCode="{code}"/>', ""),
        )(parts)

    return attack


def own_font(inside: str, *, is_text: bool = False) -> Attack:
    def attack(parts: Parts) -> None:
        fonts = count_of(parts[STYLES], "fonts", "font")
        font = f'<font><name val="Arial"/><family val="2"/><color rgb="001F1F1F"/><sz val="10"/>{inside}</font>'
        if "name val" in inside or "color" in inside or "sz val" in inside:
            tag = inside.split(maxsplit=1)[0].strip("<")
            font = re.sub(rf"<{tag} [^>]*/>", "", font, count=1)
        styled("fonts", r'fontId="[0-9]+"', f'fontId="{fonts}"', also=(font, ""), is_text=is_text)(parts)

    return attack


def own_fill(color: str) -> Attack:
    def attack(parts: Parts) -> None:
        fills = count_of(parts[STYLES], "fills", "fill")
        fill = f'<fill><patternFill patternType="solid"><fgColor rgb="00{color}"/></patternFill></fill>'
        styled("fills", r'fillId="[0-9]+"', f'fillId="{fills}"', also=(fill, ""))(parts)

    return attack


def own_place(attribute: str) -> Attack:
    return styled("", "<alignment ", f"<alignment {attribute} ", is_text=True)


def in_sheet(old: str, new: str, title: str = "Figures") -> Attack:
    def attack(parts: Parts) -> None:
        part = sheet_named(parts, title)
        parts[part] = re.sub(old, new, parts[part], count=1)

    return attack


def in_styles(old: str, new: str) -> Attack:
    return lambda parts: parts.update({STYLES: re.sub(old, lambda _: new, parts[STYLES], count=1)})


def new_sheet(title: str, rows: str, *, first: bool) -> Attack:
    def attack(parts: Parts) -> None:
        parts["xl/worksheets/sheet99.xml"] = f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'
        kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
        override = f'<Override PartName="/xl/worksheets/sheet99.xml" ContentType="{kind}"/></Types>'
        parts[TYPES] = parts[TYPES].replace("</Types>", override)
        link = f'<Relationship Id="rId99" Type="{OFFICE}/worksheet" Target="/xl/worksheets/sheet99.xml"/></Relationships>'
        parts[BOOK_LINKS] = parts[BOOK_LINKS].replace("</Relationships>", link)
        entry = f'<sheet name="{title}" sheetId="99" state="visible" r:id="rId99"/>'
        old, new = ("<sheets>", f"<sheets>{entry}") if first else ("</sheets>", f"{entry}</sheets>")
        parts[BOOK] = parts[BOOK].replace(old, new)

    return attack


def new_part(name: str, text: str, kind: str, *, links: str = BOOK_LINKS) -> Attack:
    def attack(parts: Parts) -> None:
        parts[name] = text
        link = f'<Relationship Id="rId98" Type="{OFFICE}/{kind}" Target="/{name}"/></Relationships>'
        parts[links] = parts[links].replace("</Relationships>", link)

    return attack


def inline(name: str, text: str) -> str:
    return f'<c r="{name}" t="inlineStr"><is><t>{text}</t></is></c>'


def in_chart(old: str, new: str) -> Attack:
    """Change the first picture that has such a thing."""

    def attack(parts: Parts) -> None:
        charts = sorted(name for name in parts if name.startswith("xl/charts/"))
        part = next(name for name in charts if re.search(old, parts[name], re.DOTALL))
        parts[part] = re.sub(old, new, parts[part], count=1, flags=re.DOTALL)

    return attack


def number_format_twice(parts: Parts) -> None:
    number = re.findall(r'<numFmt numFmtId="(\d+)" formatCode="#,##0.0', parts[STYLES])[0]
    again = f'<numFmt numFmtId="{number}" formatCode="&quot;7&quot;"/></numFmts>'
    parts[STYLES] = parts[STYLES].replace("</numFmts>", again)


def filled_style(parts: Parts) -> int:
    """Number of a style whose cells have a fill."""
    looks = re.findall("<xf ([^>]*)", parts[STYLES].partition("<cellXfs")[2])
    return next(number for number, look in enumerate(looks) if 'fillId="0"' not in look)


def filled_line(old: str, new: str) -> Attack:
    def attack(parts: Parts) -> None:
        part = sheet_named(parts, "Figures")
        parts[part] = parts[part].replace(old, new.format(filled_style(parts)), 1)

    return attack


def shared_texts(strange: str) -> Attack:
    """Texts in a table of their own, as programs keep them, with one more that only some programs count."""

    def attack(parts: Parts) -> None:
        texts: list[str] = []

        def by_number(cell: re.Match[str]) -> str:
            texts.append(cell[3])
            return f'<c r="{cell[1]}" s="{cell[2]}" t="s"><v>{len(texts) - 1}</v></c>'

        cells = r'<c r="([A-Z0-9]+)" s="([0-9]+)" t="inlineStr"><is><t[^>]*>([^<]*)</t></is></c>'
        parts[ANSWER] = re.sub(cells, by_number, parts[ANSWER])
        items = [f"<si><t>{text}</t></si>" for text in texts]
        items.insert(3, strange)
        table = f'<sst xmlns="{MAIN}">{"".join(items)}</sst>'
        new_part("xl/sharedStrings.xml", table, "sharedStrings")(parts)

    return attack


def text_in_halves(parts: Parts) -> None:
    part = sheet_named(parts, "Figures")
    name, style, text = text_cell(parts[part]).groups()
    halves = f'<c r="{name}" s="{style}" t="inlineStr"><v>{text[:2]}</v><is><t>{text[2:]}</t></is></c>'
    parts[part] = parts[part].replace(text_cell(parts[part]).group(), halves, 1)


def colored_cell(parts: Parts) -> None:
    style = filled_style(parts)
    part = sheet_named(parts, "Figures")
    parts[part] = re.sub('(<row r="6" [^>]*>.*?)</row>', rf'\1<c r="Z6" s="{style}"/></row>', parts[part], count=1)


def below_a_second_seal(parts: Parts) -> None:
    part = sheet_named(parts, "Figures")
    rows = (
        f'<row r="900">{inline("A900", "Seal")}</row><row r="901">{inline("A901", "Bow saw: half the hours")}</row>'
    )
    parts[part] = parts[part].replace("</sheetData>", f"{rows}</sheetData>")


def hidden_sheet(state: str) -> Attack:
    def attack(parts: Parts) -> None:
        parts[BOOK] = re.sub('(<sheet name="Money"[^>]*state=)"visible"', rf'\1"{state}"', parts[BOOK])

    return attack


def strict_rows(parts: Parts) -> None:
    rows = f'<x:sheetData xmlns:x="{STRICT}"><x:row r="1"><x:c r="A1"><x:v>1</x:v></x:c></x:row></x:sheetData>'
    parts[ANSWER] = parts[ANSWER].replace("<sheetData>", f"{rows}<sheetData>", 1)


def other_order(parts: Parts) -> None:
    sheets = re.findall("<sheet [^>]*/>", parts[BOOK])
    parts[BOOK] = parts[BOOK].replace(sheets[1] + sheets[2], sheets[2] + sheets[1])


def white_words(parts: Parts) -> None:
    cell = text_cell(parts[ANSWER])
    runs = f'<r><t>{cell[3][:4]}</t></r><r><rPr><color rgb="FFFFFFFF"/></rPr><t>{cell[3][4:]}</t></r>'
    parts[ANSWER] = parts[ANSWER].replace(
        cell.group(), f'<c r="{cell[1]}" s="{cell[2]}" t="inlineStr"><is>{runs}</is></c>'
    )


def covering_merge(parts: Parts) -> None:
    part = sheet_named(parts, "Figures")
    parts[part] = parts[part].replace("</mergeCells>", '<mergeCell ref="A5:F12"/></mergeCells>')


def low_row(parts: Parts) -> None:
    high = max(re.findall(r'<row r="[0-9]+" ht="([0-9.]+)"', parts[ANSWER]), key=float)
    parts[ANSWER] = parts[ANSWER].replace(f'ht="{high}"', 'ht="13"', 1)


VALUE = r"(<pt idx=\"0\"><v>)[0-9][^<]*"
ATTACKS: dict[str, Attack] = {
    "formula with the value that is expected": on_number(lambda r, s, v: f'<c r="{r}" s="{s}"><f>1+1</f><v>{v}</v></c>'),
    "rows below a second seal": below_a_second_seal,
    "forged sheet in front": new_sheet("Verdict", f'<row r="1">{inline("A1", "Seal")}</row><row r="2">{inline("A2", "Buy it")}</row>', first=True),
    "forged sheet at the end": new_sheet("More", f'<row r="1">{inline("A1", "Buy it")}</row>', first=False),
    "rows in the strict vocabulary": strict_rows,
    "number format that shows another number": own_format("&quot;7.5&quot;"),
    "number format that shows nothing": own_format(";;;"),
    "number format of more decimals": own_format("0.000000"),
    "white letters": own_font('<color rgb="FFFFFFFF"/>'),
    "letters of a theme": own_font('<color theme="0"/>'),
    "tinted letters": own_font('<color rgb="FF1F1F1F" tint="1"/>'),
    "letters of signs": own_font('<name val="Wingdings"/>', is_text=True),
    "letters too small to see": own_font('<sz val="1"/>'),
    "struck through": own_font('<strike val="1"/>', is_text=True),
    "letters of the theme's font": own_font('<scheme val="minor"/>', is_text=True),
    "cell as dark as its letters": own_fill("1F1F1F"),
    "text that fills its cell again and again": styled("", 'horizontal="[a-z]+"', 'horizontal="fill"', is_text=True),
    "text that shrinks": own_place('shrinkToFit="1"'),
    "text on its side": own_place('textRotation="90"'),
    "hidden row": in_sheet('<row r="5" ', '<row r="5" hidden="1" '),
    "row of no height": in_sheet('<row r="5" ht="[0-9.]+"', '<row r="5" ht="0"'),
    "row too low for its text": low_row,
    "hidden column": in_sheet('<col width="[0-9.]+" customWidth="1" min="2"', '<col hidden="1" width="9" customWidth="1" min="2"'),
    "column of no width": in_sheet('<col width="[0-9.]+" customWidth="1" min="2"', '<col width="0.1" customWidth="1" min="2"'),
    "hidden columns from no number on": in_sheet('<col width="[0-9.]+" customWidth="1" min="2"', '<col hidden="1" min="inf"'),
    "all rows hidden that name no height": in_sheet("<sheetFormatPr ", '<sheetFormatPr zeroHeight="1" '),
    "hidden sheet": hidden_sheet("hidden"),
    "very hidden sheet": hidden_sheet("veryHidden"),
    "other order of sheets": other_order,
    "zeros not shown": in_sheet("<sheetView ", '<sheetView showZeros="0" '),
    "formulas shown": in_sheet("<sheetView ", '<sheetView showFormulas="1" '),
    "view from the right": in_sheet("<sheetView ", '<sheetView rightToLeft="1" '),
    "rows scrolled out of reach": in_sheet("<sheetView ", '<sheetView topLeftCell="A30" '),
    "rows frozen beyond the screen": in_sheet('ySplit="[0-9]+"', 'ySplit="200"'),
    "words in white": white_words,
    "cells covered by a merge": covering_merge,
    "text box": once(DRAWING, "</wsDr>", f"{SHAPE}</wsDr>"),
    "macro of a picture": once(DRAWING, "<graphicFrame>", '<graphicFrame macro="x">'),
    "picture moved over the table": once(DRAWING, "<row>", "<row>1"),
    "picture hidden": once(DRAWING, '<cNvPr id="1"', '<cNvPr hidden="1" id="1"'),
    "title of a picture": in_chart("<a:t>", "<a:t>Not "),
    "what is said of a picture": once(DRAWING, ' descr="', ' descr="Not '),
    "link to another place": in_sheet(' location="[^"]*"', """ location="'Money'!A1" """, title="How we know"),
    "cells of a picture": in_chart(r"(<val>.*?\$[A-Z]+\$)([0-9]+)", r"\g<1>1"),
    "stored values of a picture": in_chart(VALUE, r"\g<1>1.25"),
    "stored names of a picture": in_chart(r'(<strCache>.*?<pt idx="0"><v>)', r"\1x"),
    "axis that begins elsewhere": in_chart(r'<min val="[^"]*"', '<min val="0.9"'),
    "axis turned round": once(CHART, '<orientation val="minMax"', '<orientation val="maxMin"'),
    "axis of logarithms": once(CHART, "<scaling>", '<scaling><logBase val="10"/>'),
    "number format of an axis": in_chart(r'<numFmt formatCode="[^"]*"', '<numFmt formatCode="&quot;9&quot;"'),
    "bars without a color": in_chart(r'(<ser>.*?<spPr>)<a:solidFill><a:srgbClr val="[0-9A-F]+" /></a:solidFill>', r"\1<a:noFill/>"),
    "text box in a picture": once(CHART, "</chartSpace>", '<userShapes xmlns:r="x" r:id="rId1"/></chartSpace>'),
    "label of a bar": once(CHART, "<dLbls>", '<dLbls><dLbl><idx val="0"/><tx><rich><a:bodyPr/><a:p><a:r><a:t>1</a:t></a:r></a:p></rich></tx></dLbl>'),
    "footer": lambda parts: parts.update({ANSWER: re.sub("<oddFooter>[^<]*", "<oddFooter>&amp;LHalf the hours", parts[ANSWER])}),
    "header": once(ANSWER, "<oddHeader />", "<oddHeader>&amp;LHalf the hours</oddHeader>"),
    "header of the first page": once(ANSWER, "<firstHeader />", "<firstHeader>Half</firstHeader>"),
    "macros": new_part("xl/vbaProject.bin", "x", "vbaProject"),
    "link to another file": new_part("xl/externalLinks/externalLink1.xml", f'<externalLink xmlns="{MAIN}"/>', "externalLink"),
    "part that nothing leads to": lambda parts: parts.update({"xl/hidden.xml": "<x/>"}),
    "second list of styles": new_part("xl/styles2.xml", f'<styleSheet xmlns="{MAIN}"/>', "styles"),
    "comment": new_part("xl/comments1.xml", f'<comments xmlns="{MAIN}"><commentList><comment ref="A1"><text><t>x</t></text></comment></commentList></comments>', "comments"),
    "conditional format": once(ANSWER, "<pageMargins", '<conditionalFormatting sqref="A1:J99"><cfRule type="expression" dxfId="0" priority="1"><formula>TRUE</formula></cfRule></conditionalFormatting><pageMargins'),
    "list of entries": once(ANSWER, "<pageMargins", '<dataValidations count="1"><dataValidation sqref="A1" showInputMessage="1" promptTitle="Half" prompt="the hours"/></dataValidations><pageMargins'),
    "link under a text": once(ANSWER, "<pageMargins", '<hyperlinks><hyperlink ref="A1" location="Money!A1" display="x"/></hyperlinks><pageMargins'),
    "extension": once(ANSWER, "</worksheet>", "<extLst><ext uri='x'/></extLst></worksheet>"),
    "background": once(ANSWER, "</worksheet>", '<picture xmlns:r="x" r:id="rId9"/></worksheet>'),
    "defined name": once(BOOK, "<definedNames>", '<definedNames><definedName name="hours">7</definedName>'),
    "other area to print": once(BOOK, "<definedNames>", '<definedNames><definedName name="_xlnm.Print_Area" localSheetId="0">Answer!$A$12:$A$12</definedName>'),
    "tabs of sheets hidden": once(BOOK, 'showSheetTabs="1"', 'showSheetTabs="0"'),
    "other days of dates": once(BOOK, "<workbookPr />", '<workbookPr date1904="1"/>'),
    "colored cell beside the table": colored_cell,
    "number format told twice": number_format_twice,
    "letters of two colors": own_font('<color rgb="FF1F1F1F" theme="0"/>'),
    "letters of two colors, one by number": own_font('<color rgb="FF1F1F1F" indexed="9"/>'),
    "row with a fill of its own": filled_line('<row r="6" ', '<row r="6" s="{}" customFormat="1" '),
    "column with a fill of its own": filled_line("</cols>", '<col min="30" max="40" width="9" style="{}"/></cols>'),
    "row hidden in another word": in_sheet('<row r="5" ', '<row r="5" hidden="on" '),
    "row hidden by another number": in_sheet('<row r="5" ', '<row r="5" hidden="2" '),
    "row of a height that is no number": in_sheet('<row r="5" ht="[0-9.]+"', '<row r="5" ht="0x"'),
    "column of a width that is no number": in_sheet('<col width="[0-9.]+" customWidth="1" min="2"', '<col width="0x" customWidth="1" min="2"'),
    "columns told twice": in_sheet("<cols>", '<cols><col min="2" max="3" hidden="1" width="0"/>'),
    "rows as high as the screen": in_sheet('defaultRowHeight="15"', 'defaultRowHeight="300"'),
    "columns of no width where none is told": in_sheet("<sheetFormatPr ", '<sheetFormatPr defaultColWidth="0.1" '),
    "footer in white": once(ANSWER, "&amp;L&amp;8", "&amp;L&amp;KFFFFFF&amp;8"),
    "footer too small to see": once(ANSWER, "&amp;L&amp;8", "&amp;L&amp;1"),
    "footer in signs": once(ANSWER, "&amp;L&amp;8", '&amp;L&amp;"Wingdings,Regular"&amp;8'),
    "first page without its footer": once(ANSWER, "<headerFooter>", '<headerFooter differentFirst="1">'),
    "footer told twice": once(ANSWER, "<oddFooter>", "<oddFooter>Half</oddFooter><oddFooter>"),
    "view told twice": once(ANSWER, "</sheetViews>", '<sheetView workbookViewId="0" showFormulas="1"/></sheetViews>'),
    "pictures not shown": once(BOOK, "<workbookPr />", '<workbookPr showObjects="none"/>'),
    "name in the strict vocabulary": once(BOOK, "</definedNames>", f'<x:definedName xmlns:x="{STRICT}" name="hours">7</x:definedName></definedNames>'),
    "other rows on every printed page": lambda parts: parts.update({BOOK: re.sub(r"('Figures'!)\$3:\$3", r"\1$9:$9", parts[BOOK])}),
    "shared text in the strict vocabulary": shared_texts(f'<x:si xmlns:x="{STRICT}"><x:t>Half the hours</x:t></x:si>'),
    "number that is told as a text": on_number(lambda r, s, v: f'<c r="{r}" s="{s}"><is><t>{v}</t></is></c>'),
    "text in two halves": text_in_halves,
    "print too small to read": in_sheet('scale="100"', 'scale="10"', "Answer"),
    "picture that is not printed": once(DRAWING, "<clientData />", '<clientData fPrintsWithSheet="0"/>'),
    "picture far from its cell": once(DRAWING, "<rowOff>0", "<rowOff>9000000"),
    "picture upside down": once(DRAWING, "<xfrm />", '<xfrm rot="10800000"/>'),
    "white letters in a picture": in_chart('(<dLbls>(?:(?!</dLbls>).)*?srgbClr val=")22201D', r"\1FFFFFF"),
    "picture squeezed": in_chart(r'<w val="0\.[0-9]+"', '<w val="0.01"'),
    "title of a picture moved away": in_chart(r'(<title>.*?<y val=")[0-9.]+', r"\g<1>5"),
    "points that are not drawn": in_chart('<symbol val="(?:diamond|circle)"', '<symbol val="none"'),
    "whiskers of another kind": in_chart('<errValType val="cust"', '<errValType val="percentage"'),
    "whiskers to one side": in_chart('<errBarType val="both"', '<errBarType val="plus"'),
    "axis without its labels": in_chart('<tickLblPos val="[a-zA-Z]+"', '<tickLblPos val="none"'),
}  # fmt: skip


def write(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path
