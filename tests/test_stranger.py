"""Somebody new, at a terminal of eighty columns: from the measuring sheet to the packet."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

import pexpect
import pytest

ANSWERS = (
    "mm", "4", "1-3-4-2", "?", "cw", "5,500", "5500 rpm", "wasted", "turned-down", "36-1", "6.3", "160", "", "6",
    "6.35", "", "steel",
    "25.2", "168", "14", "147", "12", "10", "", "none", "32", "8", "3.3", "0", "four", "80", "8.4", "45", "n",
)  # fmt: skip


def spawned(command: str, folder: Path) -> pexpect.spawn[str]:
    """A command of ours in a terminal of eighty columns."""
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[1]), "NO_COLOR": "1"}
    return pexpect.spawn(
        f"{sys.executable} -m wheelcad {command}",
        cwd=str(folder),
        env=environment,
        dimensions=(40, 80),
        encoding="utf-8",
        timeout=240,
    )


def heard(child: pexpect.spawn[str]) -> str:
    """The rest of what it says, once it has ended well."""
    child.expect(pexpect.EOF)
    said = str(child.before)
    child.close()
    assert child.exitstatus == 0, said
    return said.replace("\r\n", "\n")


def lines_left(said: str) -> list[str]:
    """What stands on the screen in the end: a line that was wiped and written again is its last writing."""
    return [re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", re.split(r"\r|\x1b\[2K", line)[-1]) for line in said.split("\n")]


def answered(folder: Path) -> str:
    child = spawned("new shed", folder)
    for answer in ANSWERS:
        child.expect(r": $")
        child.sendline(answer)
    child.expect(r": $")
    child.sendline("q")
    return heard(child)


def printed_sheet(folder: Path) -> None:
    assert "measuring-sheet.pdf written" in heard(spawned("sheet", folder))
    assert (folder / "measuring-sheet.pdf").stat().st_size > 10_000


def test_a_stranger_gets_from_the_sheet_to_a_job(tmp_path: Path) -> None:
    printed_sheet(tmp_path)
    said = answered(tmp_path)
    assert "what you gave is in shed.yaml" in said
    text = (tmp_path / "shed.yaml").read_text("utf-8")
    assert "max_speed: 5500 rpm   # the highest" in text
    assert "cutter: {diameter: 6," in text
    explained = heard(spawned("explain pulley.keyway.depth", tmp_path))
    assert "B3 of the measuring sheet" in explained
    assert "wheelcad new" not in explained
    options = heard(spawned("options shed.yaml", tmp_path))
    assert "Take " in options
    for said in (explained, options):
        assert max(map(len, said.split("\n"))) <= 80


@pytest.mark.slow
def test_a_stranger_gets_from_the_sheet_to_the_packet_in_one_go(tmp_path: Path) -> None:
    printed_sheet(tmp_path)
    answered(tmp_path)
    built = heard(spawned("build shed.yaml", tmp_path))
    assert "invented: measure before you cut" in built
    assert built.index("invented") < built.index("wheel  ")
    assert "next: open outputs/shed/start.html" in built
    packet = tmp_path / "outputs" / "shed" / "packet.pdf"
    assert packet.read_bytes().startswith(b"%PDF-")
    assert (tmp_path / "outputs" / "shed" / "start.html").stat().st_size > 1_000
    checked = heard(spawned("check shed.yaml", tmp_path))
    for said in (built, checked):
        assert max(map(len, lines_left(said))) <= 80
