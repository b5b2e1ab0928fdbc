"""Cut lists: parts from a table of comma, semicolon or tab separated values."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from finplan.trade.checks import check_part, faces_of
from finplan.trade.errors import BadInput
from finplan.trade.names import clean_text, did_you_mean, shown
from finplan.trade.parts import ALL_FACES, USUAL_COUNTERSINK_DEG, Face, Hole, Part
from finplan.trade.quantities import parse_length

MOST_ROWS = 5000
MOST_BYTES = 2_000_000
_MOST_FAULTS_SAID = 3
_HEADER_WITHIN = 10
_DELIMITERS = ("\t", ";", ",")
_EMPTY = "is empty: it needs a header row and a row for each part"
_HEADERS = {
    field: tuple(names.split(", "))
    for field, names in {
        "name": "name, part, parts, part name, piece, description, label, item, teil, bauteil, "
        "bezeichnung, pièce, désignation, 名称, 品名, 部材, 部品",
        "quantity": "quantity, qty, count, pcs, pieces, no, number, q, anzahl, stück, menge, "
        "quantité, qté, nombre, 数量, 個数, 本数, 枚数",
        "length": "length, len, l, länge, longueur, 長さ",
        "width": "width, w, breite, largeur, 幅",
        "thickness": "thickness, thick, t, height, h, dicke, stärke, épaisseur, 厚さ, 厚み, 厚",
        "wood": "wood, species, material, timber, holz, holzart, bois, essence, 樹種, 材種, 材質",
        "hole diameter": "hole diameter, hole, hole dia, drill, bore",
        "holes": "holes, hole count, number of holes, holes per piece",
        "countersink": "countersink, countersink diameter, csk, head",
        "countersink angle": "countersink angle, angle",
        "hole depth": "hole depth, depth",
        "faces": "faces, finished faces, sides",
    }.items()
}
_WEAK_HEADERS = ("no", "number", "item", "label", "description")
_UNITS = frozenset({"mm", "cm", "m", "in", "inch", "inches", "ft"})
_NEEDED = ("name", "quantity", "length", "width", "thickness")
_HEADER = re.compile(r"(?P<word>[^()\[\]]*?)\s*(?:[(\[]\s*(?P<unit>[^()\[\]]*?)\s*[)\]])?\s*")


@dataclass(frozen=True, slots=True)
class _Column:
    """Where a field stands, what its header says, and the unit of its bare numbers."""

    index: int
    header: str
    unit: str


def read_cut_list(content: str | bytes, where: str, default_unit: str = "") -> tuple[Part, ...]:
    """Return the parts a cut list describes; all of them, or an error and none.

    A row within the first ones names the columns, or two rows where cells are merged (``Size``
    above ``Length``) or units stand below: name, quantity, length, width, thickness, and where
    wanted wood, hole diameter, holes (per piece), countersink, countersink angle, hole depth, and
    faces (``top + left edge``, ``all but bottom``; all six where empty). A header may carry a
    unit (``Length (mm)``), a cell its own (``1 1/16 in``).

    Args:
        content: the file's bytes (UTF-8, with or without mark) or its text.
        where: the file's name, shown in front of an error.
        default_unit: the unit of bare numbers under headers without one; empty refuses them.

    Raises:
        BadInput: names the row (as a spreadsheet counts) and the column of the first faults.
    """
    header, columns, rows = _table(_decoded(content, where), default_unit, where)
    parts: list[Part] = []
    faults: list[str] = []
    first_row: dict[str, int] = {}
    for number, cells in rows:
        try:
            part = _part(cells, columns, len(header), f"row {number}")
            _require_new(part.name, number, first_row)
            parts.append(part)
        except BadInput as fault:
            faults.append(str(fault))
    if faults:
        more = len(faults) - _MOST_FAULTS_SAID
        said = "; ".join(faults[:_MOST_FAULTS_SAID]) + (f"; and {more} more" if more > 0 else "")
        raise BadInput(said, where)
    if not parts:
        raise BadInput("has a header but no parts: add a row for each part", where)
    return tuple(parts)


def _decoded(content: str | bytes, where: str) -> str:
    if len(content) > MOST_BYTES:
        raise BadInput(f"is larger than {MOST_BYTES // 1_000_000} MB: no cut list is", where)
    if isinstance(content, str):
        text = content.removeprefix("\ufeff")
    else:
        encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError as error:
            line = content[: error.start].count(b"\n") + 1
            raise BadInput(f"line {line} is not UTF-8: save the file as UTF-8", where) from None
    if "\0" in text:
        raise BadInput("holds NUL characters: it is no text file", where)
    return text


def _table(
    text: str, default_unit: str, where: str
) -> tuple[list[str], dict[str, _Column], list[tuple[int, list[str]]]]:
    """Return the header's cells, what its columns mean, and the rows below it."""
    if not text.strip(" \t\r\n;,"):
        raise BadInput(_EMPTY, where)
    found = []
    for delimiter in _DELIMITERS:
        rows = _rows(text, delimiter, where)
        for at, (number, _) in enumerate(rows[:_HEADER_WITHIN]):
            for header, height in _headers(rows, at):
                fields = {_field(title)[0] for title in header}
                named = sum(field in fields for field in _NEEDED)
                found.append((named, header, f"{where}, row {number}", rows[at + height :]))
                if named == len(_NEEDED):
                    return header, _columns(header, default_unit, found[-1][2]), found[-1][3]
    if not any(delimiter in text for delimiter in _DELIMITERS):
        raise BadInput("has a single column: separate columns with comma, semicolon or tab", where)
    _, header, place, rows = max(found, key=lambda one: one[0])
    return header, _columns(header, default_unit, place), rows


def _headers(rows: list[tuple[int, list[str]]], at: int) -> Iterator[tuple[list[str], int]]:
    """Yield what the header may be that begins at a row, and how many rows it takes."""
    first = rows[at][1]
    below = rows[at + 1][1] if at + 1 < len(rows) else []
    width = max(len(first), len(below))
    upper, lower = ([*cells, *[""] * (width - len(cells))] for cells in (first, below))
    pairs = list(zip(upper, (cell.strip("()[]") for cell in lower), strict=True))
    if any(below) and all(unit in _UNITS for _, unit in pairs if unit):
        yield [f"{title} ({unit})" if unit else title for title, unit in pairs], 2
    yield first, 1
    if any(_field(cell)[0] for cell in below):
        yield [under if _field(under)[0] else title for title, under in pairs], 2


def _rows(text: str, delimiter: str, where: str) -> list[tuple[int, list[str]]]:
    """Return the rows that are not empty, each with its line number as a person counts it."""
    # A quote opens a quoted cell only at its beginning: the inch mark of 3/4" stays.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True)
    rows = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                _refuse_open_quote(cells, reader.line_num, where)
                rows.append((reader.line_num, [cell.strip() for cell in cells]))
            if len(rows) > MOST_ROWS:
                raise BadInput(f"has more than {MOST_ROWS} rows: split it", where)
    except csv.Error as error:
        raise BadInput(f"row {reader.line_num} can't be read: {error}", where) from None
    return rows


def _refuse_open_quote(cells: list[str], line: int, where: str) -> None:
    """A quote that is not closed swallows the rows after it."""
    if any("\n" in cell or "\r" in cell for cell in cells):
        raise BadInput(
            f"row {line}: a cell goes over several lines: close its quote, or keep it on one line",
            where,
        )


def _columns(header: list[str], default_unit: str, where: str) -> dict[str, _Column]:
    """Match the header row to fields, each at most once."""
    columns: dict[str, _Column] = {}
    for index, title in enumerate(header):
        field, unit = _field(title)
        if field is None:
            continue
        other = columns.get(field)
        if other is not None and _is_weak(title) == _is_weak(other.header):
            raise BadInput(
                f"columns {shown(other.header)} and {shown(title)} both mean {field}: remove one",
                where,
            )
        if other is None or _is_weak(other.header):
            columns[field] = _Column(index, title, unit or default_unit)
    for field in _NEEDED:
        if field not in columns:
            near = did_you_mean(field, header)
            raise BadInput(f"there is no column for {field}{near}: add one", where)
    return columns


def _is_weak(title: str) -> bool:
    """Whether a header also stands over a column of running numbers or remarks."""
    return title.lower().strip(" .") in _WEAK_HEADERS


def _field(title: str) -> tuple[str | None, str]:
    found = _HEADER.fullmatch(title[:80])
    if found is None:
        return None, ""
    word = " ".join(found["word"].lower().replace("_", " ").replace(".", " ").split())
    unit = found["unit"] or ""
    for field, names in _HEADERS.items():
        if word in names:
            return field, unit
    short, _, last = word.rpartition(" ")
    if last in _UNITS and short:
        return next((field for field, names in _HEADERS.items() if short in names), None), last
    return None, ""


def _part(cells: list[str], columns: dict[str, _Column], width: int, row: str) -> Part:
    """Return the part a row describes."""
    if len(cells) > width and any(cells[width:]):
        raise BadInput(
            f"has {len(cells)} cells under {width} headers: put decimal commas in quotes, or "
            "separate columns with semicolons",
            row,
        )
    cell = _Row(cells, columns, row)
    part = Part(
        name=clean_text(cell.text("name"), cell.place("name")),
        quantity=cell.whole("quantity"),
        length_mm=cell.length("length"),
        width_mm=cell.length("width"),
        thickness_mm=cell.length("thickness"),
        wood=clean_text(cell.text("wood"), cell.place("wood")) if cell.text("wood") else "",
        holes=_holes(cell),
        faces=_faces(cell.text("faces"), cell.place("faces")),
    )
    if part.thickness_mm > part.width_mm:
        raise BadInput(
            f"thickness {part.thickness_mm:g} mm is more than width {part.width_mm:g} mm: "
            "are the two columns swapped?",
            cell.place("thickness"),
        )
    check_part(part, row)
    return part


@dataclass(frozen=True, slots=True)
class _Row:
    """The cells of one row by field."""

    cells: list[str]
    columns: dict[str, _Column]
    row: str

    def text(self, field: str) -> str:
        column = self.columns.get(field)
        if column is None or column.index >= len(self.cells):
            return ""
        return self.cells[column.index]

    def place(self, field: str) -> str:
        column = self.columns.get(field)
        return f"{self.row}, column {column.header if column else field}"

    def length(self, field: str) -> float:
        text, column = self.text(field), self.columns[field]
        if re.fullmatch(r"[\d\s.,/½¼¾-]+", text) and not column.unit:
            raise BadInput(
                f"length {shown(text)} has no unit: write e.g. 27 mm or 1 1/16 in, or the unit "
                f"once in the header: {column.header} (in)",
                self.place(field),
            )
        return parse_length(text, self.place(field), column.unit)

    def whole(self, field: str) -> int:
        text = self.text(field)
        if not re.fullmatch(r"[+-]?\d{1,9}(?:[.,]0+)?", text):
            raise BadInput(f"{shown(text)} is no whole number: write e.g. 4", self.place(field))
        value = int(re.split(r"[.,]", text)[0])
        if value < 1:
            raise BadInput(f"{value}: give 1 or more", self.place(field))
        return value


def _holes(cell: _Row) -> tuple[Hole, ...]:
    """Return the row's holes: none where there are 0, or neither count nor diameter is given."""
    diameter, count = cell.text("hole diameter"), cell.text("holes")
    undrilled = diameter in {"", "0"}
    if count == "0" or (undrilled and not count):
        return ()
    if undrilled:
        raise BadInput("holes without a diameter: add one", cell.place("hole diameter"))
    angle = cell.text("countersink angle").rstrip("° ").replace(",", ".")
    if angle and not re.fullmatch(r"\d{1,3}(?:\.\d+)?", angle):
        raise BadInput(
            f"{shown(angle)} is no angle: write e.g. 82", cell.place("countersink angle")
        )
    sunk, depth = cell.text("countersink"), cell.text("hole depth")
    return (
        Hole(
            diameter_mm=cell.length("hole diameter"),
            count=cell.whole("holes") if count else 1,
            countersink_diameter_mm=cell.length("countersink") if sunk not in {"", "0"} else 0.0,
            countersink_angle_deg=float(angle) if angle else USUAL_COUNTERSINK_DEG,
            depth_mm=cell.length("hole depth") if depth else None,
        ),
    )


def _faces(text: str, place: str) -> frozenset[Face]:
    """Return the faces a cell names, joined by ``+``; all but those after ``all but``."""
    plain = " ".join(text[:200].lower().split())
    if plain in {"", "all"}:
        return ALL_FACES
    excepted = plain.removeprefix("all but ")
    named = faces_of(excepted.split("+"), place)
    return named if excepted == plain else ALL_FACES - named


def _require_new(name: str, number: int, first_row: dict[str, int]) -> None:
    known = first_row.setdefault(name.casefold(), number)
    if known != number:
        raise BadInput(
            f"part {shown(name)} is in row {known} already: add the quantities or rename one",
            f"row {number}",
        )
