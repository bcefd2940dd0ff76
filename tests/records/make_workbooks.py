"""Makes the workbooks of this folder from the tables below, with Python's own zipfile.

Everything in them is invented. Run it here: python3 make_workbooks.py; the same bytes come
out each time. The .xls file is written as a compound file of BIFF8 records by hand.
"""

import struct
import zipfile
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape

HERE = Path(__file__).parent / "files"
STAMP = (2026, 1, 1, 0, 0, 0)
NS = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def letters(column):
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


def serial(day, is_1904=False):
    return (day - (date(1904, 1, 1) if is_1904 else date(1899, 12, 30))).days


class F:
    """A formula, with its stored result or without."""

    def __init__(self, formula, result=None):
        self.formula, self.result = formula, result


class E:
    """An error."""

    def __init__(self, text):
        self.text = text


class P:
    """A number shown in per cent."""

    def __init__(self, value):
        self.value = value


def cell(row, column, value, is_1904):
    place = f'{letters(column)}{row + 1}'
    if value is None:
        return ""
    if isinstance(value, F):
        stored = "" if value.result is None else f"<v>{value.result!r}</v>"
        return f'<c r="{place}"><f>{escape(value.formula)}</f>{stored}</c>'
    if isinstance(value, E):
        return f'<c r="{place}" t="e"><v>{value.text}</v></c>'
    if isinstance(value, P):
        return f'<c r="{place}" s="2"><v>{value.value!r}</v></c>'
    if isinstance(value, bool):
        return f'<c r="{place}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, date):
        return f'<c r="{place}" s="1"><v>{serial(value, is_1904)}</v></c>'
    if isinstance(value, (int, float)):
        return f'<c r="{place}"><v>{value!r}</v></c>'
    return f'<c r="{place}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'


def xlsx(name, sheets, is_1904=False, merged=None, hidden=()):
    """sheets: name -> rows of cells; merged: name -> list of ranges."""
    parts = {}
    types = "".join(
        f'<Override PartName="/xl/worksheets/sheet{i}.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
        for i in range(1, len(sheets) + 1)
    )
    parts["[Content_Types].xml"] = (
        '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
        f"{types}</Types>"
    )
    parts["_rels/.rels"] = (
        '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="rId1" Type="{REL}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
    )
    listed = "".join(
        f'<sheet name="{escape(sheet)}" sheetId="{i}"{" state=" + chr(34) + "hidden" + chr(34) if sheet in hidden else ""} r:id="rId{i}"/>'
        for i, sheet in enumerate(sheets, 1)
    )
    system = '<workbookPr date1904="1"/>' if is_1904 else ""
    parts["xl/workbook.xml"] = (
        f'<?xml version="1.0"?><workbook xmlns="{NS}" xmlns:r="{REL}">{system}<sheets>{listed}</sheets></workbook>'
    )
    relations = "".join(
        f'<Relationship Id="rId{i}" Type="{REL}/worksheet" Target="worksheets/sheet{i}.xml"/>'
        for i in range(1, len(sheets) + 1)
    )
    styles = f'<Relationship Id="rId{len(sheets) + 1}" Type="{REL}/styles" Target="styles.xml"/>'
    parts["xl/_rels/workbook.xml.rels"] = (
        '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f"{relations}{styles}</Relationships>"
    )
    parts["xl/styles.xml"] = (
        f'<?xml version="1.0"?><styleSheet xmlns="{NS}"><fonts count="1"><font/></fonts><fills count="1"><fill/></fills>'
        '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
        '<cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/><xf numFmtId="10" applyNumberFormat="1"/></cellXfs></styleSheet>'
    )
    for i, (sheet, rows) in enumerate(sheets.items(), 1):
        body = "".join(
            f'<row r="{r + 1}">' + "".join(cell(r, c, v, is_1904) for c, v in enumerate(row)) + "</row>"
            for r, row in enumerate(rows)
            if row
        )
        ranges = (merged or {}).get(sheet, [])
        merges = "".join(f'<mergeCell ref="{ref}"/>' for ref in ranges)
        merges = f'<mergeCells count="{len(ranges)}">{merges}</mergeCells>' if ranges else ""
        parts[f"xl/worksheets/sheet{i}.xml"] = (
            f'<?xml version="1.0"?><worksheet xmlns="{NS}"><sheetData>{body}</sheetData>{merges}</worksheet>'
        )
    archive(name, parts)


def archive(name, parts, stored=()):
    with zipfile.ZipFile(HERE / name, "w") as out:
        for part, text in parts.items():
            info = zipfile.ZipInfo(part, STAMP)
            info.compress_type = zipfile.ZIP_STORED if part in stored else zipfile.ZIP_DEFLATED
            out.writestr(info, text)


def ods(name, sheets):
    def one(value):
        if value is None:
            return "<table:table-cell/>"
        if isinstance(value, F):
            stored = "" if value.result is None else f' office:value-type="float" office:value="{value.result!r}"'
            return f'<table:table-cell table:formula="of:={escape(value.formula)}"{stored}/>'
        if isinstance(value, E):
            return f'<table:table-cell table:formula="of:=NA()" office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>{value.text}</text:p></table:table-cell>'
        if isinstance(value, date):
            return f'<table:table-cell office:value-type="date" office:date-value="{value.isoformat()}"><text:p>{value:%d.%m.%y}</text:p></table:table-cell>'
        if isinstance(value, (int, float)):
            return f'<table:table-cell office:value-type="float" office:value="{value!r}"><text:p>{value}</text:p></table:table-cell>'
        return f'<table:table-cell office:value-type="string"><text:p>{escape(value)}</text:p></table:table-cell>'

    tables = ""
    for sheet, rows in sheets.items():
        body = "".join("<table:table-row>" + ("".join(map(one, row)) or "<table:table-cell/>") + "</table:table-row>" for row in rows)
        tables += f'<table:table table:name="{escape(sheet)}">{body}</table:table>'
    names = "".join(
        f' xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{long}:1.0"'
        for short, long in [("office", "office"), ("table", "table"), ("text", "text")]
    )
    content = (
        f'<?xml version="1.0"?><office:document-content{names} xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0">'
        f"<office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
    archive(
        name,
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "content.xml": content,
            "META-INF/manifest.xml": manifest,
        },
        stored=("mimetype",),
    )


def record(kind, data):
    return struct.pack("<HH", kind, len(data)) + data


def xls(name, sheet, rows):
    """One sheet of numbers, dates and texts as BIFF8 in a compound file."""

    def text16(text, wide):
        length = struct.pack("<H" if wide else "<B", len(text))
        return length + b"\x01" + text.encode("utf-16-le")

    bof = lambda kind: record(0x0809, struct.pack("<HHHHII", 0x0600, kind, 0, 0, 0, 0))
    xf = lambda format: record(0x00E0, struct.pack("<HH", 0, format) + bytes(16))
    head = bof(0x0005) + record(0x0042, struct.pack("<H", 1200)) + xf(0) + xf(14)
    bound = lambda at: record(0x0085, struct.pack("<IBB", at, 0, 0) + text16(sheet, False))
    end = record(0x000A, b"")
    globals_length = len(head) + len(bound(0)) + len(end)
    cells = b""
    for r, row in enumerate(rows):
        for c, value in enumerate(row):
            if value is None:
                continue
            if isinstance(value, str):
                cells += record(0x0204, struct.pack("<HHH", r, c, 0) + text16(value, True))
            else:
                style = 1 if isinstance(value, date) else 0
                number = serial(value) if isinstance(value, date) else value
                cells += record(0x0203, struct.pack("<HHHd", r, c, style, number))
    dimensions = record(0x0200, struct.pack("<IIHHH", 0, len(rows), 0, max(map(len, rows)), 0))
    stream = head + bound(globals_length) + end + bof(0x0010) + dimensions + cells + end
    stream += bytes(max(0, 4096 - len(stream)))
    stream += bytes(-len(stream) % 512)
    sectors = len(stream) // 512
    # Sector 0 is the table of sectors, 1 the directory, the stream follows.
    fat = [0xFFFFFFFD, 0xFFFFFFFE] + [i + 1 for i in range(2, sectors + 1)] + [0xFFFFFFFE]
    fat += [0xFFFFFFFF] * (128 - len(fat))
    entry = lambda name, kind, child, start, size: (
        (name.encode("utf-16-le") + b"\0\0").ljust(64, b"\0")
        + struct.pack("<HBBIII", 2 * len(name) + 2, kind, 1, 0xFFFFFFFF, 0xFFFFFFFF, child)
        + bytes(36)
        + struct.pack("<IQ", start, size)
    )
    directory = entry("Root Entry", 5, 1, 0xFFFFFFFE, 0) + entry("Workbook", 2, 0xFFFFFFFF, 2, len(stream))
    directory += bytes(512 - len(directory))
    header = (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
        + bytes(16)
        + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6)
        + bytes(6)
        + struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0)
        + struct.pack("<I", 0)
        + struct.pack("<I", 0xFFFFFFFF) * 108
    )
    (HERE / name).write_bytes(header + struct.pack("<128I", *fat) + directory + stream)


# The truth: two invented items, checked once a year; the errors are in mK.
CHECKS = [
    ("R-1", date(2021, 3, 2), 0.4), ("R-1", date(2022, 3, 1), 1.3), ("R-1", date(2023, 3, 7), 1.9),
    ("R-1", date(2024, 2, 29), 2.8), ("R-2", date(2021, 4, 6), -0.1), ("R-2", date(2022, 4, 5), 0.30000000000000004),
    ("R-2", date(2023, 4, 4), 0.2), ("R-2", date(2024, 4, 2), 0.7),
]
HEADER = ["instrument", "date", "as_found", "u", "lower", "upper", "unit"]
REST = [0.2, -5, 5, "mK"]
PLAIN = [HEADER] + [[i, d, e] + REST for i, d, e in CHECKS]


def main():
    HERE.mkdir(exist_ok=True)
    xlsx("plain.xlsx", {"Checks": PLAIN})
    xlsx("system-1904.xlsx", {"Checks": PLAIN}, is_1904=True)
    ods("plain.ods", {"Checks": PLAIN})
    xls("plain.xls", "Checks", PLAIN)
    # A title, a header in two rows with merged cells, units, an item merged over its rows,
    # a sum, a footer; numbers stored as text, formulas, an error.
    laboratory = [
        ["Temperature laboratory (invented): log of checks"],
        [],
        ["Instrument", "Checked on", "As found", None, "Limits", None],
        [None, None, "error", "U (k=2)", "lower", "upper"],
        [None, None, "mK", "mK", "mK", "mK"],
        ["R-1", date(2021, 3, 2), 0.4, 0.4, -5, 5],
        [None, date(2022, 3, 1), "1.3", 0.4, -5, 5],
        [None, date(2023, 3, 7), F("C6+1.5", 1.9), 0.4, -5, 5],
        [None, date(2024, 2, 29), 2.8, E("#N/A"), -5, 5],
        ["R-2", date(2021, 4, 6), -0.1, 0.4, -5, 5],
        [None, date(2022, 4, 5), F("0.1+0.2", 0.30000000000000004), 0.4, -5, 5],
        ["Mean", None, 1.1, None, None, None],
        ["R-2", date(2023, 4, 4), 0.2, F("2*0.2"), -5, 5],
        ["R-2", date(2024, 4, 2), 0.7, 0.4, -5, 5],
        [],
        ["Total", None, 8, None, None, None],
        ["Printed for the example; nobody has signed it"],
    ]
    xlsx(
        "laboratory.xlsx",
        {"Log": laboratory, "Notes": [["Nothing here is a check"], ["colour", "remark"], ["blue", "lent"]]},
        merged={"Log": ["A1:F1", "C3:D3", "E3:F3", "A3:A5", "B3:B4", "A6:A9", "A10:A11"]},
    )
    years = {str(year): [HEADER] + [[i, d, e] + REST for i, d, e in CHECKS if d.year == year] for year in range(2021, 2025)}
    hidden = {"Old": [HEADER, ["R-1", date(2019, 3, 5), 99.0] + REST]}
    register = {"Register": [["instrument", "group", "interval_days"], ["R-1", "resistors", 400], ["R-2", "resistors", 500]]}
    jobs = {"Jobs": [["job", "instrument", "date", "lower", "upper", "measured_error"], ["J-1", "R-1", date(2023, 5, 1), -20, 20, 1]]}
    xlsx("years.xlsx", {**years, **register, **jobs, **hidden}, hidden=("Old",))
    xlsx("percent.xlsx", {"Checks": [["instrument", "date", "as_found", "unit"], ["R-1", date(2021, 3, 2), P(0.0012), "%"]]})
    german = [["Gerät", "Datum", "Abweichung [mK]"], ["R-1", date(2021, 3, 2), "0,4"], ["R-1", date(2022, 3, 1), 1.3], ["R-1", date(2023, 3, 7), "1,9"], ["R-1", date(2024, 2, 29), 2.8]]
    xlsx("german-texts.xlsx", {"Prüfungen": german})
    # Unpacks to 3 MB of blanks.
    plain = zipfile.ZipFile(HERE / "plain.xlsx")
    parts = {info.filename: plain.read(info).decode() for info in plain.infolist()}
    parts["xl/worksheets/sheet1.xml"] += " " * 3_000_000
    archive("large.xlsx", parts)
    # What a protected workbook looks like from outside: a compound file with one sealed stream.
    name = lambda text: (text.encode("utf-16-le") + b"\0\0").ljust(64, b"\0")
    sealed = (HERE / "plain.xls").read_bytes()
    sealed = sealed.replace(name("Workbook") + struct.pack("<H", 18), name("EncryptedPackage") + struct.pack("<H", 34))
    (HERE / "protected.xlsx").write_bytes(sealed)


if __name__ == "__main__":
    main()
