"""Register files as workbooks (.xlsx). Only stored values are read; nothing is computed."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import openpyxl
from openpyxl.cell import WriteOnlyCell
from openpyxl.utils.exceptions import InvalidFileException

from venue.register.grid import (
    MAX_COLUMNS,
    MAX_ROWS,
    Cell,
    Grid,
    Refused,
    UnreadableFile,
    too_many_columns,
    too_many_rows,
)
from venue.register.guard import guarded
from venue.register.xlsx_cell import as_text, as_text_with_unit

MAX_UNPACKED = 150_000_000
MAX_MEMBERS = 2_000
MAX_MARKS = 2_000_000  # XML marks in a member, about three for a text
MAX_MARKS_IN_A_ROW = 100_000  # a sheet has at most 16,384 columns
SHEET = "Register"
# A workbook of the wrong shape fails deep inside the reader, in any of these ways.
_BROKEN = (
    InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, TypeError, AttributeError,
    IndexError, SyntaxError, EOFError, OverflowError, NotImplementedError, RuntimeError,
)  # fmt: skip
_UNREADABLE = (
    "The file is not a readable .xlsx workbook. Open it in the spreadsheet and save it again."
)
_DOCTYPE = tuple("<!DOCTYPE".encode(code) for code in ("utf-8", "utf-16-le", "utf-16-be"))
_ILLEGAL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def read_xlsx(content: bytes) -> Grid:
    """Rows of cells of the sheet named "Register", or of the first sheet."""
    has_formulas = _looked_through(content)
    try:
        yield from _rows(content, has_formulas)
    except UnreadableFile:
        raise
    except _BROKEN as fault:
        raise UnreadableFile(_UNREADABLE) from fault


def read_every_sheet(content: bytes) -> list[tuple[str, Grid]]:
    """Each sheet that is not hidden, by its name; a number whose unit is only in the format of its
    cell comes with that unit."""
    has_formulas = _looked_through(content)
    try:
        names = _visible_sheets(content)
        return [(name, iter(list(_rows(content, has_formulas, name)))) for name in names]
    except UnreadableFile:
        raise
    except _BROKEN as fault:
        raise UnreadableFile(_UNREADABLE) from fault


def _visible_sheets(content: bytes) -> list[str]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
        return [one.title for one in book.worksheets if one.sheet_state == "visible"]


def _rows(content: bytes, has_formulas: bool, name: str = "") -> Grid:
    formulas = iter(_cells(content, data_only=False, name=name)) if has_formulas else None
    as_shown = as_text_with_unit if name else as_text
    for number, cells in enumerate(_cells(content, data_only=True, name=name), start=1):
        if number > MAX_ROWS:
            raise too_many_rows()
        beside = next(formulas) if formulas else cells
        pairs = zip(cells, beside, strict=False)
        texts = [_text(cell, formula, as_shown) for cell, formula in pairs]
        while texts and texts[-1] == "":
            texts.pop()
        if len(texts) > MAX_COLUMNS:
            raise too_many_columns(len(texts))
        yield number, texts


def _cells(content: bytes, *, data_only: bool, name: str = "") -> Iterator[Any]:
    with warnings.catch_warnings():
        # The reader warns of decorations it leaves out; only values are wanted here.
        warnings.simplefilter("ignore")
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=data_only)
        wanted = name or SHEET
        named = [one for one in book.sheetnames if one.strip().lower() == wanted.strip().lower()]
        sheet = book[named[0]] if named else book.worksheets[0]
        sheet.reset_dimensions()  # what a file claims of its own size is not believed
        yield from sheet.iter_rows()


def _text(cell: Any, formula: Any, as_shown: Callable[[Any], Cell]) -> Cell:
    if formula.data_type == "f" and cell.value is None:
        return Refused("holds a formula without a stored result. Paste its value instead")
    return as_shown(cell)


def _looked_through(content: bytes) -> bool:
    """Refuse what unpacks to too much or declares entities; say whether there are formulas."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = archive.infolist()
            if len(members) > MAX_MEMBERS or sum(one.file_size for one in members) > MAX_UNPACKED:
                raise UnreadableFile(
                    "The workbook unpacks to more than 150 MB and was not opened. "
                    "Copy the register sheet into a new workbook, or save it as CSV UTF-8."
                )
            # Every member is looked at, not only those up to the first formula.
            with_formula = [one for one in members if _has_formula(archive, one)]
            return bool(with_formula)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as fault:
        raise UnreadableFile(_UNREADABLE) from fault
    except zipfile.zlib.error as fault:  # type: ignore[attr-defined]
        raise UnreadableFile(_UNREADABLE) from fault


def _has_formula(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> bool:
    if not member.filename.endswith((".xml", ".rels")):
        return False
    text = archive.read(member)
    if any(mark in text for mark in _DOCTYPE):
        raise UnreadableFile(
            "The workbook declares its own entities, which no spreadsheet does. It was not opened."
        )
    is_sheet = member.filename.startswith("xl/worksheets/")
    _not_too_dense(
        text.split(b"row>") if is_sheet else [text], MAX_MARKS_IN_A_ROW if is_sheet else MAX_MARKS
    )
    return is_sheet and re.search(rb"<(\w+:)?f[\s/>]", text) is not None


def _not_too_dense(portions: list[bytes], most: int) -> None:
    # The reader holds a whole row, and all shared texts, in memory at a hundred times their size.
    if any(portion.count(b"<") > most for portion in portions):
        raise UnreadableFile(
            "The workbook holds a row with far too many cells, or far too many texts, and was not "
            "opened. Copy the register sheet into a new workbook, or save it as CSV UTF-8."
        )


def write_xlsx(sheets: dict[str, Iterable[Sequence[str]]]) -> bytes:
    """A workbook whose cells are all text, as typed; no cell can become a formula."""
    book = openpyxl.Workbook(write_only=True)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        sheet.freeze_panes = "A2"
        for row in rows:
            sheet.append([_written(sheet, text) for text in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _written(sheet: Any, text: str) -> Any:
    if text == "":
        return None
    cell = WriteOnlyCell(sheet, value="")
    cell.value = _ILLEGAL.sub("\ufffd", guarded(text))
    cell.data_type = "s"  # "#N/A" and "=1" stay the words they are
    cell.number_format = "@"  # and stay text when a person edits them
    return cell
