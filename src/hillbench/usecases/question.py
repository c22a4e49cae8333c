"""Read questions asked in JSON: plain dataclasses in, every problem named by its place."""

from __future__ import annotations

import dataclasses
import difflib
import functools
import operator
import types
import typing
from collections.abc import Mapping
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError, create_model

from hillbench.errors import InvalidInput, Problem
from hillbench.usecases.attribute_text import attribute_texts

Question = TypeVar("Question")

_STRICT: Final = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
_ALLOWED: Final[Mapping[str, str]] = {
    "missing": "a value here",
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "finite_number": "a finite number",
    "string_type": "a text",
    "tuple_type": "a list",
    "model_type": "an object with named values",
    "model_attributes_type": "an object with named values",
}


def read_question(text: str, kind: type[Question]) -> Question:
    """Return the question that a JSON text asks.

    Parameters
    ----------
    text
        The JSON text.
    kind
        A frozen dataclass whose fields are numbers, texts, tuples and other dataclasses.

    Raises
    ------
    InvalidInput
        With every key that is unknown (naming the nearest known one), missing or of the
        wrong type; or where the text is no JSON.
    """
    try:
        answer = model_of(kind).model_validate_json(text)
    except ValidationError as error:
        raise InvalidInput([_problem(kind, dict(one)) for one in error.errors()]) from None
    return typing.cast("Question", _rebuild(kind, answer))


def write_question(question: Any) -> dict[str, Any]:  # noqa: ANN401 (any dataclass)
    """Return a question as the JSON object that `read_question` would read it from.

    What is None is left out where that is the default.
    """
    return {
        field.metadata.get("key", field.name): _plain(getattr(question, field.name))
        for field in dataclasses.fields(question)
        if getattr(question, field.name) is not None or field.default is dataclasses.MISSING
    }


def _plain(value: Any) -> Any:  # noqa: ANN401 (any field of any question)
    if dataclasses.is_dataclass(value):
        return write_question(value)
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


def model_of(kind: type[Any]) -> type[BaseModel]:
    """Return the pydantic model of a dataclass: same fields, unknown keys refused."""
    hints = typing.get_type_hints(kind)
    texts = attribute_texts(kind)
    fields: dict[str, Any] = {}
    for field in dataclasses.fields(kind):
        default = ... if field.default is dataclasses.MISSING else field.default
        key = field.metadata.get("key")
        detail = Field(default, description=texts.get(field.name), validation_alias=key)
        fields[field.name] = (_model_type(hints[field.name]), detail)
    return create_model(kind.__name__, __config__=_STRICT, __doc__=_summary(kind), **fields)


def _summary(kind: type[Any]) -> str:
    return (kind.__doc__ or "").strip().split("\n", maxsplit=1)[0]


def _model_type(hint: Any) -> Any:  # noqa: ANN401 (a type in, a type out)
    if dataclasses.is_dataclass(hint):
        return model_of(typing.cast("type[Any]", hint))
    arguments = typing.get_args(hint)
    if typing.get_origin(hint) is tuple:
        return types.GenericAlias(tuple, (_model_type(arguments[0]), ...))
    if isinstance(hint, types.UnionType):
        return functools.reduce(operator.or_, map(_model_type, arguments))
    return hint


def _kept(hint: Any, value: Any) -> Any:  # noqa: ANN401 (a type in, a type out)
    """Return which side of a union a value is of; for others the type itself."""
    if not isinstance(hint, types.UnionType):
        return hint
    sides = typing.get_args(hint)
    if isinstance(value, tuple):
        return next(side for side in sides if typing.get_origin(side) is tuple)
    return next((side for side in sides if dataclasses.is_dataclass(side)), hint)


def _rebuild(hint: Any, value: Any) -> Any:  # noqa: ANN401 (any field of any question)
    hint = _kept(hint, value)
    if isinstance(value, BaseModel):
        hints = typing.get_type_hints(hint)
        return hint(**{name: _rebuild(hints[name], getattr(value, name)) for name in hints})
    if isinstance(value, tuple):
        inner = typing.get_args(hint)[0]
        return tuple(_rebuild(inner, one) for one in value)
    return value


def _problem(kind: type[Any], error: Mapping[str, Any]) -> Problem:
    place, code = tuple(error["loc"]), str(error["type"])
    where = _path(place) or "the file"
    if code == "json_invalid":
        detail = str(error.get("ctx", {}).get("error", "")).strip()
        return Problem("the file", f"no JSON ({detail})", "one JSON object", "check the last edit")
    if code == "extra_forbidden":
        return _unknown_key(kind, place)
    seen = "missing" if code == "missing" else repr(error.get("input"))
    return Problem(where, seen, _ALLOWED.get(code, str(error["msg"])))


def _unknown_key(kind: type[Any], place: tuple[int | str, ...]) -> Problem:
    known = _keys_at(kind, place[:-1])
    near = difflib.get_close_matches(str(place[-1]), known, n=1, cutoff=0.0)
    remedy = f"did you mean {near[0]}?" if near else ""
    return Problem(_path(place), "an unknown key", "one of " + ", ".join(known), remedy)


def _keys_at(kind: type[Any], place: tuple[int | str, ...]) -> list[str]:
    hint: Any = kind
    for step in place:
        if isinstance(step, int):
            hint = typing.get_args(hint)[0]
        else:
            hint = _kept(typing.get_type_hints(hint).get(step, hint), None)
    return [field.metadata.get("key", field.name) for field in dataclasses.fields(hint)]


def _path(place: tuple[int | str, ...]) -> str:
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in place)
    return text.removeprefix(".")
