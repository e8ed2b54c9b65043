"""Tables as comma-separated values."""

from __future__ import annotations

from pathlib import Path

import pytest

from wheelcad.files.csvs import field, read_csv, write_csv


def test_written_after_rfc_4180_and_read_back(tmp_path: Path) -> None:
    # Source: RFC 4180: CRLF line ends, a header, fields with commas, quotes or line ends quoted, quotes doubled
    path = tmp_path / "table.csv"
    write_csv(path, ("a", "b", "c"), [{"a": 1, "b": 0.1 + 0.2, "c": 'a "b", c\nd'}, {"a": None, "c": "é"}])
    assert path.read_bytes() == b'a,b,c\r\n1,0.3,"a ""b"", c\nd"\r\n,,\xc3\xa9\r\n'
    assert read_csv(path) == [{"a": "1", "b": "0.3", "c": 'a "b", c\nd'}, {"a": "", "b": "", "c": "é"}]


@pytest.mark.parametrize(
    ("value", "text"),
    [(1e-12, "0"), (-1e-12, "0"), (1e7, "10000000"), (1 / 3, "0.333333333"), (5.0, "5"), (None, ""), (100, "100")],
)
def test_numbers_are_plain(value: float | None, text: str) -> None:
    assert field(value) == text


@pytest.mark.parametrize("text", ["a,b\r\n1\r\n", "a,b\r\n1,2,3\r\n", 'a,b\r\n"1,2\r\n'])
def test_rows_that_do_not_fit_are_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, newline="")
    with pytest.raises(ValueError, match=r"bad\.csv"):
        read_csv(path)


def test_a_key_without_a_column_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="fieldnames"):
        write_csv(tmp_path / "x.csv", ("a",), [{"b": 1}])
