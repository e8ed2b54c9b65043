"""The documentation is whole, needs no network, and every command and number in it is what the program does."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import textwrap
from html.parser import HTMLParser
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.conftest import ROOT
from wheelcad.catalogue import files_markdown
from wheelcad.cli import app
from wheelcad.docs.build import NAV, PAGES, build_docs, made
from wheelcad.job.explain import letters
from wheelcad.job.reference import reference_markdown

BLOCK = re.compile(r"^ *```(sh|text|python)\n(.*?)^ *```", re.MULTILINE | re.DOTALL)
FILE = re.compile(r"^`([\w.-]+)`:\n\n```(?:yaml|csv)\n(.*?)^```", re.MULTILINE | re.DOTALL)  # a file to be copied


def blocks(name: str) -> list[tuple[str, str]]:
    """The fenced blocks of a page: kind and text."""
    text = (PAGES / name).read_text(encoding="utf-8")
    return [(kind, textwrap.dedent(body)) for kind, body in BLOCK.findall(text)]


def commands() -> list[object]:
    """Page, the commands of a block, the lines that must be in what they say; whole builds are long runs."""
    out: list[object] = []
    for name, _ in NAV:
        held = blocks(name)
        for i, (kind, body) in enumerate(held):
            after = held[i + 1] if i + 1 < len(held) else ("", "")
            if kind == "sh":
                said = after[1] if after[0] == "text" else ""
                marks = [pytest.mark.slow] if " build " in body else []
                out.append(pytest.param(name, body, said, marks=marks))
    return out


def scripts() -> list[tuple[str, str]]:
    held = blocks("python.md")
    return [(body, held[i + 1][1]) for i, (kind, body) in enumerate(held) if kind == "python"]


class Links(HTMLParser):
    """What a page loads or leads to."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [(tag, value) for name, value in attrs if name in ("src", "href") and value]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pages, built as `--strict` builds them: a warning fails."""
    out = tmp_path_factory.mktemp("docs") / "site"
    build_docs(out)
    return out


def test_the_pages_build_without_a_warning_and_need_no_network(built: Path) -> None:
    for name, _ in NAV:
        page = built / name.replace(".md", ".html")
        links = Links()
        links.feed(page.read_text(encoding="utf-8"))
        for tag, link in links.found:
            if tag in ("script", "link", "img"):
                assert not link.startswith(("http:", "https:", "//")), (name, link)
                assert (built / link.split("?")[0].split("#")[0]).exists(), (name, link)
        assert "{{" not in page.read_text(encoding="utf-8")


def test_the_pages_hold_what_the_models_say(built: Path) -> None:
    measuring = (built / "measuring.html").read_text(encoding="utf-8")
    for label, key in letters().items():
        assert f"<td>{label}</td>" in measuring, key
    rows = reference_markdown().count("\n| ")
    assert (built / "job-file.html").read_text(encoding="utf-8").count("<tr>") >= rows * 0.8
    assert (built / "index.html").read_text(encoding="utf-8").count("<tr>") >= files_markdown().count("\n| `")
    text = "".join((PAGES / name).read_text(encoding="utf-8") for name, _ in NAV)
    assert {f"{{{{ {word} }}}}" for word in made()} <= set(re.findall(r"\{\{ \w+ \}\}", text))


@pytest.mark.parametrize(("page", "lines", "said"), commands())
def test_every_command_does_what_the_page_says(page: str, lines: str, said: str, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "configs", tmp_path / "configs")
    for file, text in FILE.findall((PAGES / page).read_text(encoding="utf-8")):
        (tmp_path / file).write_text(text, encoding="utf-8")
    whole = ""
    with contextlib.chdir(tmp_path):
        for line in lines.strip().split("\n"):
            program, *arguments = shlex.split(line)
            assert program == "wheelcad"
            ran = CliRunner().invoke(app, arguments)
            assert ran.exit_code == 0, ran.output
            whole += ran.output
    for expected in said.strip("\n").split("\n"):
        assert expected.rstrip() in whole, (page, expected)


def test_five_jobs_are_worked_and_a_wheel_saved() -> None:
    worked = (PAGES / "worked.md").read_text(encoding="utf-8")
    jobs = [*re.findall(r"configs/([\w-]+)\.yaml", worked), *(name for name, _ in FILE.findall(worked)), "my-wheel"]
    assert len(set(jobs)) >= 6
    assert {"mill-one.yaml", "cut.csv"} <= set(jobs)


@pytest.mark.parametrize(("code", "said"), scripts())
def test_every_script_prints_what_the_page_says(code: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    heard = io.StringIO()
    with contextlib.redirect_stdout(heard):
        exec(compile(code, "python.md", "exec"), {})
    assert heard.getvalue() == said


def test_the_readme_is_short_and_its_links_lead_somewhere() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert len(text.split("\n")) <= 121
    assert len(re.findall(r"pip install '\.\[test\]'", text)) == 1
    for link in re.findall(r"\]\(([^)]+)\)", text) + re.findall(r'src="([^"]+)"', text):
        assert (ROOT / link).exists(), link
    assert os.path.basename(str(PAGES)) == "pages"
