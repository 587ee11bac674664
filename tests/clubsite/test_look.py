"""Colours are legible in both themes; pages need nothing that the security policy forbids."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CSS = ROOT / "clubsite" / "static" / "clubsite" / "css"
TEMPLATES = sorted(
    path
    for part in ("clubsite", "scoring", "analytics")
    for path in (ROOT / part).glob("templates/**/*.html")
)
LIGHT, DARK = ":root {", ':root[data-theme="dark"] {'
TEXT = [  # text on its ground: 4.5 at least (WCAG 2.2, 1.4.3)
    (text, ground)
    for text in ("ink", "soft", "cloth", "red", "ochre", "umber")
    for ground in ("paper", "sheet", "key", "tint")
] + [("on-fill", "fill"), ("ochre", "ochre-ground")]
SIGNS = [("frame", ground) for ground in ("paper", "sheet", "key")]  # 3 at least (1.4.11)
TWO_DARKS = "@media (prefers-color-scheme: dark) {"


def tokens(start: str) -> dict[str, str]:
    block = (CSS / "tokens.css").read_text().split(start, 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", block))


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [LIGHT, DARK])
@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_is_legible(theme: str, text: str, ground: str) -> None:
    assert contrast(tokens(theme)[text], tokens(theme)[ground]) >= 4.5


@pytest.mark.parametrize("theme", [LIGHT, DARK])
@pytest.mark.parametrize(("sign", "ground"), SIGNS)
def test_borders_of_controls_are_seen(theme: str, sign: str, ground: str) -> None:
    assert contrast(tokens(theme)[sign], tokens(theme)[ground]) >= 3


def test_dark_room_and_dark_device_look_alike() -> None:
    assert tokens(TWO_DARKS) == tokens(DARK)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_template_needs_no_exception_from_the_policy(path: Path) -> None:
    markup = re.sub(r"\{% comment %\}.*?\{% endcomment %\}", "", path.read_text(), flags=re.S)
    assert not re.search(r"<[^>]*\s(style|on\w+)\s*=", markup)
    assert "<style" not in markup
    for script in re.findall(r"<script\b[^>]*>", markup):
        assert "src=" in script


@pytest.mark.parametrize("path", sorted(CSS.glob("*.css")), ids=lambda path: path.name)
def test_style_sheet_takes_colours_from_the_tokens(path: Path) -> None:
    text = re.sub(r"/\*.*?\*/", "", path.read_text(), flags=re.S)
    assert "http" not in text
    if path.name not in ("tokens.css", "print.css"):
        colours = set(re.findall(r"#[0-9a-fA-F]{3,8}\b", text))
        assert colours <= {"#000", "#1d2530", "#fffdf6", "#a62b1f"}
