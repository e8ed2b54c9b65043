"""The page shared with one more device: its address lets that device in, once, and says what it means."""

from __future__ import annotations

import http.client
import re
import shutil
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.page.served import served
from wheelcad.page.server import own_address
from wheelcad.page.share_panel import qr_svg

ROOT = Path(__file__).parents[2]


def test_a_code_to_scan_is_a_picture_and_nothing_else() -> None:
    svg = qr_svg("http://192.168.7.5:8550/job/tarn-six?key=abc")
    assert svg.startswith("<svg")
    assert "script" not in svg
    assert "href" not in svg


@pytest.mark.slow
def test_a_shared_address_lets_one_device_in_once(tmp_path: Path) -> None:
    if not own_address():
        pytest.skip("this machine is in no network")
    shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)
    with served(tmp_path, "tarn-six.yaml", "--share") as one:
        assert one.process.stdout is not None
        said = ""
        while "once:" not in said:
            said += one.process.stdout.readline()
        assert "only in a network you trust" in said
        found = re.search(r"once: (http://\S+)", said)
        assert found is not None
        where = urlsplit(found[1])
        answers = []
        for _ in range(2):
            link = http.client.HTTPConnection(where.hostname or "", where.port or 0, timeout=60)
            link.request("GET", f"{where.path}?{where.query}")
            answers.append(link.getresponse().status)
        assert answers == [303, 403]
