"""Nothing in the project depends on, or tells of, the machine it was written on."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.house_rules.sources import ROOT, tracked_files

# Written so that this file holds none of them itself.
TRACES = re.compile(
    r"(?<![\w.~/}])/(?:work|opt|tmp|root|home/\w+|Users/\w+)/"
    r"|\b[A-Z]:\\\\?Users\\"
    r"|(?:files\.)?python"
    + r"hosted\.org|\bpypi"
    + r"\.org|\bregistry\.npm|\bnpm"
    + r"js\.(?:com|org)",
)
# Third-party files kept as their makers wrote them.
KEPT_AS_THEY_CAME = ("src/hillbench/web/static/htmx", "LICENSE")


def traces(text: str) -> list[str]:
    return [found.group() for found in TRACES.finditer(text)]


def test_no_file_tells_of_a_machine_or_a_package_registry() -> None:
    found = {}
    for path in tracked_files():
        name = path.relative_to(ROOT).as_posix()
        if name.startswith(KEPT_AS_THEY_CAME):
            continue
        text = read(path)
        if traces(text):
            found[name] = traces(text)
    assert found == {}


def read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""  # pictures and fonts


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("see /" + "work/main", 1),
        ("open('/" + "tmp/x.json')", 1),
        ("https://py" + "pi.org/simple", 1),
        ("C:" + r"\Users\someone", 1),
        ("a/tmp/b and ~/wo" + "rk/x and speed/wo" + "rk/hour", 0),
        ("bench/wo" + "rk/", 0),
    ],
)
def test_the_search_finds_what_it_looks_for(text: str, count: int) -> None:
    assert len(traces(text)) == count
