"""The project's own files, as the house rules read them."""

from __future__ import annotations

import ast
import io
import subprocess
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
PACKAGE: Final = ROOT / "src" / "hillbench"

Function = ast.FunctionDef | ast.AsyncFunctionDef
_SILENT: Final = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
}


@dataclass(frozen=True)
class Module:
    """One module of the package."""

    path: Path
    text: str
    tree: ast.Module

    @property
    def name(self) -> str:
        return self.path.relative_to(ROOT).as_posix()


@cache
def modules() -> tuple[Module, ...]:
    """Return every module of the package; migrations stay as they were released."""
    found = [parse(path) for path in sorted(PACKAGE.rglob("*.py")) if "versions" not in path.parts]
    assert len(found) > 10
    return tuple(found)


def parse(path: Path) -> Module:
    text = path.read_text(encoding="utf-8")
    return Module(path, text, ast.parse(text))


@cache
def code_lines(text: str) -> frozenset[int]:
    """Return the numbers of the lines that hold code: no comment, blank line or docstring."""
    tree = ast.parse(text)
    numbers: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in _SILENT:
            numbers.update(range(token.start[0], token.end[0] + 1))
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            assert node.end_lineno is not None
            numbers.difference_update(range(node.lineno, node.end_lineno + 1))
    return frozenset(numbers)


def functions(tree: ast.Module) -> Iterator[Function]:
    for node in ast.walk(tree):
        if isinstance(node, Function):
            yield node


def public_definitions(tree: ast.Module) -> Iterator[tuple[str, Function | ast.ClassDef]]:
    """Yield what others may use: public functions, classes and their public methods."""
    for node in tree.body:
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for inner in node.body:
                    if isinstance(inner, Function) and not inner.name.startswith("_"):
                        yield f"{node.name}.{inner.name}", inner


def tracked_files() -> list[Path]:
    """Return the files of the project: those under version control, else all but build output."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False, text=True
    )
    if listed.returncode == 0 and listed.stdout:
        paths = [ROOT / name for name in listed.stdout.split("\0") if name]
        return [path for path in paths if path.is_file()]
    hidden = {".git", ".venv", ".venv.old", "__pycache__"}
    caches = ("_cache", ".hypothesis")
    return [
        path
        for path in ROOT.rglob("*")
        if path.is_file()
        and not hidden.intersection(path.parts)
        and not any(part.endswith(caches) for part in path.parts)
    ]
