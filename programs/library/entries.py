"""One exercise file, checked field by field, into an `Exercise`."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import cast, get_args

from programs.library.fields import (
    LibraryError,
    Phrases,
    Table,
    choice,
    dose,
    lines,
    phrase_keys,
    refuse_unknown,
    short_name,
    table,
    whole,
    word,
)
from programs.logic.exercises import (
    DOSE_BOUNDS,
    KIND_FIELDS,
    LADDERS,
    LANGUAGES,
    AfterFloor,
    CommonDose,
    Direction,
    Exercise,
    ExerciseText,
    Kind,
    OfTwo,
    SaferRule,
    Side,
)

_FIELDS = (
    *("code", "kind", "direction", "side", "ladder", "rung", "cautions", "stop_if"),
    *("dose", "common_range", "safer", "text"),
)
_TEXT_FIELDS = ("name", "short_name", "purpose", "steps")
_MOST_RUNGS = 9


def exercise_from(entry: Table, file: str, phrases: Phrases) -> Exercise:
    """The exercise a parsed file holds.

    Raises `LibraryError` naming `file` and the first field at fault.
    """
    refuse_unknown(entry, _FIELDS, file)
    kind = choice(entry, "kind", file, of=get_args(Kind))
    usual = dose(table(entry, "dose", file), kind, file)
    cautions = phrase_keys(entry, "cautions", file, kind="caution", phrases=phrases)
    stops = phrase_keys(entry, "stop_if", file, kind="stop_if", phrases=phrases)
    return Exercise(
        code=_code(entry, file),
        kind=cast(Kind, kind),
        direction=cast(
            Direction, choice(entry, "direction", file, of=get_args(Direction))
        ),
        side=_side(entry, file),
        ladder=choice(entry, "ladder", file, of=LADDERS),
        rung=whole(entry, "rung", file, low=1, high=_MOST_RUNGS),
        dose=usual,
        common_range=_ranges(entry, file, usual),
        safer=_safer(table(entry, "safer", file), kind, file),
        caution_keys=cautions,
        stop_keys=stops,
        texts=_texts(table(entry, "text", file), file, (cautions, stops, phrases)),
    )


def _code(entry: Table, file: str) -> str:
    code = word(entry, "code", file)
    if f"{code}.toml" != file:
        raise LibraryError(file, "code", f"{code!r} must be the name of the file")
    return code


def _side(entry: Table, file: str) -> Side:
    side = choice(entry, "side", file, of=get_args(Side))
    # The wrong side loads the painful one: code, ladder and side must agree.
    for field in ("code", "ladder"):
        last = word(entry, field, file).rpartition("_")[2]
        named = last if last in ("left", "right") else "none"
        if named != side:
            raise LibraryError(file, "side", f"{side!r} does not match the {field}")
    return cast(Side, side)


def _ranges(
    entry: Table, file: str, usual: CommonDose
) -> Mapping[str, tuple[int, int]]:
    ranges = table(entry, "common_range", file)
    refuse_unknown(ranges, tuple(usual.stated()), file)
    read = {field: _range(ranges, field, file) for field in usual.stated()}
    for field, value in usual.stated().items():
        low, high = read[field]
        if not low <= value <= high:
            message = f"{value} is outside its own common range {low}-{high}"
            raise LibraryError(file, field, message)
    return MappingProxyType(read)


def _range(ranges: Table, field: str, file: str) -> tuple[int, int]:
    value = ranges.get(field)
    if not isinstance(value, list) or len(value) != 2:
        raise LibraryError(file, f"common_range.{field}", "must be [low, high]")
    low, high = DOSE_BOUNDS[field]
    pair = {"low": value[0], "high": value[1]}
    first = whole(pair, "low", f"{file} [common_range.{field}]", low=low, high=high)
    return first, whole(
        pair, "high", f"{file} [common_range.{field}]", low=first, high=high
    )


def _safer(entry: Table, kind: str, file: str) -> SaferRule:
    refuse_unknown(entry, ("field", "factor", "floor", "then", "of_two"), file)
    field = choice(entry, "field", file, of=KIND_FIELDS[kind])
    factor = entry.get("factor")
    if not isinstance(factor, float) or not 0 < factor < 1:
        raise LibraryError(file, "factor", "must be a fraction between 0 and 1")
    low, high = DOSE_BOUNDS[field]
    then = choice(entry, "then", file, of=get_args(AfterFloor))
    of_two = choice({"of_two": "min", **entry}, "of_two", file, of=get_args(OfTwo))
    return SaferRule(
        field=field,
        factor=factor,
        floor=whole(entry, "floor", file, low=low, high=high),
        then=cast(AfterFloor, then),
        of_two=cast(OfTwo, of_two),
    )


Shared = tuple[tuple[str, ...], tuple[str, ...], Phrases]


def _texts(entry: Table, file: str, shared: Shared) -> Mapping[str, ExerciseText]:
    refuse_unknown(entry, LANGUAGES, file)
    return MappingProxyType(
        {
            language: _text(table(entry, language, file), language, (file, shared))
            for language in LANGUAGES
        }
    )


def _text(entry: Table, language: str, of: tuple[str, Shared]) -> ExerciseText:
    file, (cautions, stops, phrases) = of
    place = f"{file} [text.{language}]"
    refuse_unknown(entry, _TEXT_FIELDS, place)
    return ExerciseText(
        name=word(entry, "name", place),
        short_name=short_name(entry, "short_name", place),
        purpose=word(entry, "purpose", place),
        steps=lines(entry, "steps", place),
        cautions=tuple(phrases["caution"][key][language] for key in cautions),
        stop_if=tuple(phrases["stop_if"][key][language] for key in stops),
    )
