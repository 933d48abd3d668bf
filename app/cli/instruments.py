"""Commands that put an instrument to a picture: ruler, folds, edge trace.

A refusal is an answer: it is printed like one, and the exit code tells it from a result.
"""

from __future__ import annotations

import argparse
from math import isfinite
from pathlib import Path

from app.cli.writing import DONE, FAULTS, Command, print_json, print_line
from landmarks.errors import PlacingError, ScaleError
from landmarks.geometry import Point
from landmarks.sentences import Number, Sentence, say, text


def add_to(command: Command) -> None:
    """Add the three commands to the command line."""
    ruler = command("scale", scale)
    ruler.add_argument(
        "--line", required=True, metavar="x1,y1,x2,y2", help=say("command.scale.line")
    )
    ruler.add_argument(
        "--length-mm", required=True, metavar="N", help=say("command.scale.length")
    )
    counted = command("folds", folds)
    counted.add_argument(
        "--path", required=True, metavar='"x,y x,y ..."', help=say("command.folds.path")
    )
    counted.add_argument("--margin", metavar='"x,y ..."', help=say("command.folds.margin"))
    traced = command("trace", trace)
    traced.add_argument(
        "--points", required=True, metavar='"x,y ..."', help=say("command.trace.points")
    )
    traced.add_argument("--closed", action="store_true", help=say("command.trace.closed"))
    for one in (ruler, counted, traced):
        one.add_argument(
            "picture", type=Path, metavar="PICTURE", help=say("command.picture")
        )


def scale(choice: argparse.Namespace) -> int:
    """Fit the graduation along a line; refused, the two ends count."""
    from landmarks.instruments.pixels import read_window
    from landmarks.instruments.ruler import fit_ruler, window_needed
    from landmarks.outputs.instruments import scale_json
    from landmarks.scale import two_points

    first, second = _line(choice.line)
    length_mm = _length(choice.length_mm)
    size = _size(choice.picture)
    # What is wrong with the two ends is said before the picture is decoded.
    two_points(first, second, length_mm, size=size)
    window = read_window(choice.picture, window_needed(first, second))
    fit = fit_ruler(window, first, second, length_mm)
    raw = scale_json(fit, first, second, length_mm, size=size)
    if choice.json:
        print_json(raw)
    else:
        told = Number(raw["px_per_mm"], raw["sigma"])
        key = "command.scale.told" if raw["sure"] else "command.scale.clicked"
        print_line(raw["message"])
        print_line(say(key, scale=told, n=raw["n_marks"]))
    return DONE if raw["sure"] else FAULTS


def folds(choice: argparse.Namespace) -> int:
    """Count folds along a line across them and, where it is given, along the margin."""
    from landmarks.instruments.fold_agreement import count_folds
    from landmarks.instruments.folds import (
        Found,
        folds_of_margin,
        folds_of_transect,
        transect_needed,
    )
    from landmarks.instruments.pixels import read_window
    from landmarks.outputs.instruments import folds_json

    path = _points(choice.path)
    margin = _points(choice.margin) if choice.margin is not None else ()
    _check(choice.picture, (*path, *margin))
    window = read_window(choice.picture, transect_needed(path))
    across = folds_of_transect(window, path)
    along = folds_of_margin(margin) if margin else None
    found = [one if isinstance(one, Found) else None for one in (along, across)]
    refused = [one for one in (along, across) if one and not isinstance(one, Found)]
    counted = count_folds(*found) if any(found) else refused[0]
    raw = folds_json(counted)
    if any(found) and refused:
        raw["message"] = " ".join(
            [raw["message"], *(text(one.sentence) for one in refused)]
        )
    if choice.json:
        print_json(raw)
    else:
        print_line(raw["message"])
        for one in raw["folds"]:
            x, y = (Number(round(value, 1)) for value in one["point"])
            kind = Sentence(f"command.folds.{one['kind']}")
            print_line(say("command.folds.mark", number=one["number"], kind=kind, x=x, y=y))
    return DONE if any(found) else FAULTS


def trace(choice: argparse.Namespace) -> int:
    """Follow the edge from point to point."""
    from landmarks.instruments.crops import Crops
    from landmarks.instruments.proposed import TraceProposal, propose_trace
    from landmarks.outputs.instruments import trace_json

    points = _points(choice.points)
    _check(choice.picture, points)
    crops = Crops(choice.picture)
    try:
        found = propose_trace(crops, points, closed=choice.closed)
    finally:
        crops.close()
    raw = trace_json(found)
    if choice.json:
        print_json(raw)
    else:
        print_line(raw["message"])
        if raw["points"]:
            print_line(" ".join(f"{x:.2f},{y:.2f}" for x, y in raw["points"]))
    return DONE if isinstance(found, TraceProposal) else FAULTS


def _line(words: str) -> tuple[Point, Point]:
    numbers = _numbers(words.replace(",", " ").split())
    if numbers is None or len(numbers) != 4:
        raise PlacingError("command.line", found=words)
    return Point(numbers[0], numbers[1]), Point(numbers[2], numbers[3])


def _length(words: str) -> float:
    numbers = _numbers([words.replace(",", ".")])
    if numbers is None:
        raise ScaleError("command.length", found=words)
    return numbers[0]


def _points(words: str) -> tuple[Point, ...]:
    points = []
    for word in words.split():
        numbers = _numbers(word.split(","))
        if numbers is None or len(numbers) != 2:
            raise PlacingError("command.points", found=word)
        points.append(Point(*numbers))
    if not points:
        raise PlacingError("command.points", found=words)
    return tuple(points)


def _numbers(words: list[str]) -> list[float] | None:
    try:
        numbers = [float(word) for word in words]
    except ValueError:
        return None
    return numbers if all(isfinite(one) for one in numbers) else None


def _size(picture: Path) -> tuple[int, int]:
    from landmarks.picture import opened, upright_size

    with opened(picture) as image:
        return upright_size(image)


def _check(picture: Path, points: tuple[Point, ...]) -> None:
    from landmarks.placing import check_inside

    try:
        check_inside(points, *_size(picture))
    except PlacingError as fault:
        raise PlacingError("command.outside", **fault.sentence.values) from None
