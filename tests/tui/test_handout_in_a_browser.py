"""Handouts in a real browser, as a phone and as a desk: what a page asks for, says, and keeps from whom.

Needs Chromium, node, and the packages puppeteer-core and axe-core in a folder of their own:

    npm install --prefix FOLDER puppeteer-core axe-core
    CANEBRAKE_PAGE_TOOLS=FOLDER python3 -m tests -m long tests/tui/test_handout_in_a_browser.py

axe-core finds what the Web Content Accessibility Guidelines call a fault, as far as a program can.
"""

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.support import gallery
from tests.support.running import run_here

ROOT = Path(__file__).resolve().parents[2]
LOOK = ROOT / "tests" / "support" / "look.mjs"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
NODE = shutil.which("node")
TOOLS = os.environ.get("CANEBRAKE_PAGE_TOOLS", "")
PAGES = {
    "whole": ("bassoon",),
    "symptom": ("bassoon", "--about", "low-late"),
    "reed": ("bassoon", "--reed", gallery.REED),
    "whistle": (str(ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml"),),
}

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"),
    pytest.mark.skipif(NODE is None, reason="no node is installed"),
    pytest.mark.skipif(
        not (Path(TOOLS) / "node_modules" / "axe-core").is_dir(),
        reason="CANEBRAKE_PAGE_TOOLS names no folder with puppeteer-core and axe-core",
    ),
]


def seen(page: Path) -> dict[str, Any]:
    assert NODE is not None
    environ = {**os.environ, "PAGE_TOOLS": TOOLS, "CHROMIUM": str(CHROMIUM)}
    ran = subprocess.run(
        [NODE, str(LOOK), str(page)], env=environ, capture_output=True, timeout=300, check=False
    )
    assert ran.returncode == 0, ran.stderr.decode()
    found: dict[str, Any] = json.loads(ran.stdout)
    return found


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_sound_on_a_phone_and_on_a_desk(name: str, tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    gallery.live(tmp_path)
    assert run_here(["handout", *PAGES[name], "-o", str(path)], tmp_path).code == 0
    found = seen(path)
    assert found["requests"] == ["the file"] * 4
    assert found["console"] == []
    assert len(found["looks"]) == 4
    for look in found["looks"]:
        assert look["axe"] == []
        assert look["over"] == 0, "the page is wider than the screen"
        assert look["small"] == 0, "a step is too low for a thumb"
        assert look["first"] == "Skip to the page"
        assert look["inOrder"]
        assert look["allSeen"]


def test_the_look_finds_what_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(
        "<!DOCTYPE html><html><head><title>x</title></head><body><h1>x</h1>"
        "<p style='color:#ccc;width:900px'>pale</p><a href='#b' tabindex=2>b</a><a href='#a' tabindex=1>a</a>"
        "<img src='https://nowhere.invalid/x.png'><script>console.log('hello')</script></body></html>"
    )
    found = seen(path)
    assert "https://nowhere.invalid/x.png" in found["requests"]
    assert "hello" in found["console"]
    look = found["looks"][0]
    assert {one.split()[1].rstrip(":") for one in look["axe"]} >= {
        "color-contrast",
        "html-has-lang",
        "image-alt",
    }
    assert not look["inOrder"]
