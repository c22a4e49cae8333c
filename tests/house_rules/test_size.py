"""Files, functions and nesting stay small enough to be read in one go."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from tests.house_rules.sources import ROOT, code_lines, functions, modules, parse

MOST_LINES = 240
MOST_LINES_OF_A_FUNCTION = 50
MOST_NESTING = 3
# Names that say nothing, so that anything ends up in them.
SHAPELESS = {
    "utils",
    "util",
    "utilities",
    "helpers",
    "helper",
    "common",
    "manager",
    "tools",
    "misc",
}
# The compiled kernel: blocks of cars, panels and lanes are three loops by themselves.
DEEP = {"src/hillbench/coasting/kernel.py:march"}
BLOCKS = (ast.For, ast.While, ast.If, ast.With, ast.Try, ast.AsyncFor, ast.AsyncWith, ast.Match)


def test_files_stay_short() -> None:
    sizes = {module.name: len(code_lines(module.text)) for module in modules()}
    sizes["start.py"] = len(code_lines((ROOT / "start.py").read_text(encoding="utf-8")))
    assert {name: size for name, size in sizes.items() if size > MOST_LINES} == {}


def test_functions_stay_short() -> None:
    long = {}
    for module in (*modules(), parse(ROOT / "start.py")):
        lines = code_lines(module.text)
        for function in functions(module.tree):
            assert function.end_lineno is not None
            size = len(lines.intersection(range(function.lineno, function.end_lineno + 1)))
            if size > MOST_LINES_OF_A_FUNCTION:
                long[f"{module.name}:{function.name}"] = size
    assert long == {}


def test_nesting_stays_shallow() -> None:
    deep = {
        f"{module.name}:{function.name}"
        for module in modules()
        for function in functions(module.tree)
        if max(depths(function.body), default=0) > MOST_NESTING
    }
    assert deep <= DEEP


def depths(body: list[ast.stmt], depth: int = 0) -> Iterator[int]:
    """Yield how deep each block stands; `elif` is no deeper than its `if`."""
    for statement in body:
        if isinstance(statement, ast.If) and len(statement.orelse) == 1:
            inner = statement.orelse[0]
            if isinstance(inner, ast.If):
                yield from depths([inner], depth)
        if isinstance(statement, BLOCKS):
            yield depth + 1
            yield from depths(inner_body(statement), depth + 1)


def inner_body(statement: ast.stmt) -> list[ast.stmt]:
    found: list[ast.stmt] = list(getattr(statement, "body", []))
    found += [inner for case in getattr(statement, "cases", []) for inner in case.body]
    found += [inner for one in getattr(statement, "handlers", []) for inner in one.body]
    alternative = getattr(statement, "orelse", [])
    if not (len(alternative) == 1 and isinstance(alternative[0], ast.If)):
        found += alternative
    return found + list(getattr(statement, "finalbody", []))


def test_no_module_has_a_shapeless_name() -> None:
    names = {part for module in modules() for part in module.name.removesuffix(".py").split("/")}
    assert SHAPELESS.isdisjoint(names)


def test_the_measures_measure() -> None:
    text = '"""A docstring."""\n\n# comment\nx = [\n    1,  # why\n]\n'
    assert code_lines(text) == {4, 5, 6}
    nested = "for a in b:\n    if a:\n        while b:\n            with c:\n                pass\n"
    assert max(depths(ast.parse(nested).body)) == 4
    chain = "if a:\n    pass\nelif b:\n    pass\nelif c:\n    pass\nelif d:\n    pass\n"
    assert max(depths(ast.parse(chain).body)) == 1
