"""How files are written: signs between cells, encodings, formulas; RFC 4180 and OWASP."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.table_files import (
    MOST_ROWS,
    TableUnreadable,
    disarm,
    read_table,
    rearm,
    write_table,
)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"tag,x\nT1,4.5\n", "Read as UTF-8, parted by commas, with a decimal point."),
        (b"tag;x\nT1;4,5\n", "Read as UTF-8, parted by semicolons, with a decimal comma."),
        (b"tag\tx\r\nT1\t4.5\r\n", "Read as UTF-8, parted by tabs, with a decimal point."),
        (
            b'\xef\xbb\xbftag,x\rT1,"4,5"\r',
            "Read as UTF-8, parted by commas, with a decimal comma.",
        ),
        (
            "tag;x\nBeurré;4.5\n".encode("latin-1"),
            "Read as Latin-1 (the Windows kind), parted by semicolons, with a decimal point.",
        ),
        (
            "tag;x\nT1;4,5\n".encode("utf-16"),
            "Read as UTF-16, parted by semicolons, with a decimal comma.",
        ),
        (b"sep=;\ntag;x\nT1;4,5\n", "Read as UTF-8, parted by semicolons, with a decimal comma."),
    ],
)
def test_how_a_file_is_written_is_found_out_and_said(data: bytes, told: str) -> None:
    table = read_table(data)

    assert table.notes == (told,)
    assert table.heads == ("tag", "x")
    assert len(table.rows) == 1


def test_latin_letters_arrive() -> None:
    table = read_table("tag;name\nT1;Doyenné du Comice\n".encode("latin-1"))
    assert table.rows[0].cells == ("T1", "Doyenné du Comice")


def test_rfc_4180_quotes_hold_signs_quotes_and_line_breaks() -> None:
    # RFC 4180 section 2, rules 5 to 7, with its own example of a doubled quotation mark.
    table = read_table(b'a,b,c\r\n"aaa","b\r\nbb","c""c,c"\r\nzzz,yyy,xxx\r\n')

    assert table.rows[0].cells == ("aaa", "b\r\nbb", 'c"c,c')
    assert [row.where for row in table.rows] == ["line 2", "line 4"]


def test_short_rows_are_filled_and_long_ones_told() -> None:
    table = read_table(b"tag,x,y\nT1,4\nT2,4,5,,\nT3,4,5,6\n")

    assert [row.cells for row in table.rows] == [("T1", "4", ""), ("T2", "4", "5")]
    (bad,) = table.bad
    assert (bad.where, bad.name) == ("line 4", "T3")
    assert "4 cells, but the first line names 3 columns" in bad.reason


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"PK\x03\x04rest of a workbook", "workbook"),
        (b"\xd0\xcf\x11\xe0rest of an older one", "workbook"),
        (b"tag,x\n\x00\x01", "not text"),
        (b"tag,x\n", "no rows"),
        (b"", "no rows"),
        (b'tag,x\nT1,"never closed\nT2,5\n', "Line 2 cannot be read"),
        (b",".join(b"x" for _ in range(101)) + b"\n1\n", "101 columns"),
        (b"\xff\xfet", "breaks off"),
    ],
)
def test_what_is_no_table_is_refused_with_a_sentence(data: bytes, sentence: str) -> None:
    with pytest.raises(TableUnreadable, match=sentence):
        read_table(data)


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(TableUnreadable, match="Split it in two"):
        read_table(b"tag\n" + b"T\n" * (MOST_ROWS + 1))


# OWASP, CSV Injection: "=", "+", "-", "@", tab and carriage return at the start of a cell.
@pytest.mark.parametrize(
    "text", ["=1+1", "+cmd", "-2+3", "@SUM(A1)", "\tx", "\r=1", "＝1", "'=1", "''@x"]
)
def test_a_cell_like_a_formula_is_written_as_text_and_read_back(text: str) -> None:
    written = write_table(("name",), [(text,)])

    assert written.splitlines()[1].lstrip('"').startswith("'")
    assert rearm(disarm(text)) == text


def test_numbers_are_never_taken_for_formulas() -> None:
    assert write_table(("x",), [(-3.5,), (None,), (0.0,), (-0.00001,)]) == (
        "x\r\n-3.5\r\n\r\n0\r\n0\r\n"
    )


@given(st.text(max_size=30))
def test_any_text_is_harmless_and_comes_back(text: str) -> None:
    harmless = disarm(text)
    assert harmless[:1] not in tuple("=+-@\t\r")
    assert rearm(harmless) == text


plain = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=20
).map(str.strip)


@given(st.lists(st.tuples(plain.filter(bool), plain), min_size=1, max_size=8))
def test_a_table_comes_back_as_it_was_written(rows: list[tuple[str, str]]) -> None:
    heads = ("name", "note, in words")
    table = read_table(write_table(heads, rows).encode())

    assert table.heads == heads
    assert [row.cells for row in table.rows] == rows
