"""Everything public is described, and the description fits the signature."""

from __future__ import annotations

import ast
import re

import pytest

from tests.house_rules.sources import Function, functions, modules, public_definitions

# Means the same wherever it stands, so a docstring may leave it out.
SELF_EXPLANATORY = {"book", "now", "name", "note", "content", "outing"}

_HEADING = re.compile(r"^(?P<title>[A-Z][A-Za-z ]+)\n-{3,}$", re.MULTILINE)


def section(docstring: str, title: str) -> list[str] | None:
    """Return the names that a numpydoc section describes, None where it is missing."""
    headings = list(_HEADING.finditer(docstring))
    for index, heading in enumerate(headings):
        if heading["title"] == title:
            last = index + 1 == len(headings)
            end = len(docstring) if last else headings[index + 1].start()
            lines = docstring[heading.end() : end].splitlines()
            heads = [line for line in lines if line[:1].strip()]
            return [name.strip() for head in heads for name in head.split(":")[0].split(",")]
    return None


def signature(function: Function) -> list[str]:
    arguments = function.args
    positional = [*arguments.posonlyargs, *arguments.args]
    names = [argument.arg for argument in positional]
    if arguments.vararg:
        names.append(f"*{arguments.vararg.arg}")
    names += [argument.arg for argument in arguments.kwonlyargs]
    if arguments.kwarg:
        names.append(f"**{arguments.kwarg.arg}")
    return [name for name in names if name not in ("self", "cls")]


def fits(described: list[str], named: list[str]) -> bool:
    """Return whether each name described exists and each that needs it is described once."""
    silent = {name for name in named if name in SELF_EXPLANATORY or name.endswith("_id")}
    return sorted({*described} | silent) == sorted(named) and len({*described}) == len(described)


def fields(definition: ast.ClassDef) -> list[str]:
    """Return the annotated public fields of a class, in order."""
    return [
        node.target.id
        for node in definition.body
        if isinstance(node, ast.AnnAssign)
        and isinstance(node.target, ast.Name)
        and not node.target.id.startswith("_")
    ]


def is_frozen_dataclass(definition: ast.ClassDef) -> bool:
    return any("dataclass" in ast.unparse(decorator) for decorator in definition.decorator_list)


def test_every_public_thing_has_a_docstring() -> None:
    missing = [
        f"{module.name}:{name}"
        for module in modules()
        for name, definition in public_definitions(module.tree)
        if not ast.get_docstring(definition)
    ]
    assert missing == []


def test_described_parameters_are_those_of_the_signature() -> None:
    wrong = {}
    for module in modules():
        for function in functions(module.tree):
            described = section(ast.get_docstring(function) or "", "Parameters")
            if described is not None and not fits(described, signature(function)):
                wrong[f"{module.name}:{function.name}"] = described
    assert wrong == {}


def test_described_attributes_are_fields_of_the_dataclass() -> None:
    wrong = {}
    for module in modules():
        for name, definition in public_definitions(module.tree):
            if not isinstance(definition, ast.ClassDef) or not is_frozen_dataclass(definition):
                continue
            described = section(ast.get_docstring(definition) or "", "Attributes")
            if described is not None and not {*described} <= {*fields(definition)}:
                wrong[f"{module.name}:{name}"] = described
    assert wrong == {}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Do it.", None),
        ("Do it.\n\nParameters\n----------\na, b\n    Two.\nc : float\n    One.", ["a", "b", "c"]),
        ("Do it.\n\nParameters\n----------\na\n    One.\n\nNotes\n-----\nNone.", ["a"]),
    ],
)
def test_the_reader_of_sections_reads(text: str, expected: list[str] | None) -> None:
    assert section(text, "Parameters") == expected


@pytest.mark.parametrize(
    ("described", "named", "good"),
    [
        (["car", "track"], ["track", "car"], True),
        (["car"], ["book", "car_id", "car"], True),
        (["car"], ["car", "track"], False),
        (["car", "hill"], ["car"], False),
        (["car", "car"], ["car"], False),
    ],
)
def test_the_comparison_compares(described: list[str], named: list[str], good: bool) -> None:
    assert fits(described, named) is good
