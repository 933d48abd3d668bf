"""Commands about records and collections."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.cli.reading import (
    check_words_of,
    guide_of,
    named,
    opened,
    read_json_of,
)
from app.cli.writing import DONE, print_answer, print_json, print_line, words_of_measure
from landmarks.sentences import say


def demo(choice: argparse.Namespace) -> int:
    """Do the worked example without a window."""
    from landmarks.assessment import assess
    from landmarks.demo import worked_example
    from landmarks.figures import figure_of
    from landmarks.outputs.answers import answer_json, measure_json
    from landmarks.outputs.png import write_png

    example = worked_example()
    guide = guide_of(choice.tables)
    specimen, pictures = example.specimens[0], {one.id: one for one in example.pictures}
    assessment = assess(specimen, pictures, guide)
    frame = specimen.frames[0]
    picture = pictures[frame.picture]
    source = example.folder / picture.path
    target = choice.out / f"{Path(picture.path).stem}-annotated.png"
    write_png(source, figure_of(picture, specimen, frame), target)
    if choice.json:
        raw = answer_json(assessment.answer)
        raw["measures"] = [measure_json(row) for row in assessment.measures]
        raw["picture"] = str(target.resolve())
        print_json(raw)
        return DONE
    print_line(say("command.demo.head", number=specimen.label.catalogue_number))
    print_line()
    print_line(say("command.measures.head"))
    for row in assessment.measures:
        print_line(f"  {say(f'measure.{row.key}.name'):<28} {words_of_measure(row)}")
    print_line()
    print_answer(assessment.answer)
    print_line()
    print_line(say("command.written", file=str(target.resolve())))
    return DONE


def identify(choice: argparse.Namespace) -> int:
    """Rank the species for a record."""
    from landmarks.assessment import assess
    from landmarks.documents import read_record
    from landmarks.outputs.answers import answer_json

    guide = guide_of(choice.tables)
    specimen, pictures = read_record(read_json_of(choice.record), named(choice.record))
    check_words_of(specimen, guide)
    answer = assess(specimen, {one.id: one for one in pictures}, guide).answer
    if choice.json:
        print_json(answer_json(answer))
    else:
        print_answer(answer)
    return DONE


def characters(choice: argparse.Namespace) -> int:
    """List the characters of the guide."""
    from landmarks.outputs.answers import character_json
    from landmarks.tables import read_tables

    rows = read_tables(choice.tables).characters
    if choice.json:
        print_json([character_json(row) for row in rows])
        return DONE
    for row in rows:
        print_line(f"{row.key}: {row.name}")
        print_line(f"  {row.definition}")
        if row.scored:
            print_line("  " + " | ".join(state.key for state in row.states))
        else:
            print_line(f"  {row.unit}")
        if row.views:
            print_line("  " + say("command.characters.views", views=", ".join(row.views)))
        if row.needs:
            print_line("  " + say("command.characters.needs", needs=", ".join(row.needs)))
    return DONE


def measure(choice: argparse.Namespace) -> int:
    """List every measure of every specimen in a collection."""
    from landmarks.assessment import measure_rows
    from landmarks.outputs.answers import measure_json
    from landmarks.summaries import doubts_of

    with opened(choice.collection) as (specimens, pictures, store):
        doubts = doubts_of(store)
        found = [(one, measure_rows(one, pictures, doubts)) for one in specimens]
    if choice.json:
        print_json(
            [
                {
                    "id": one.id,
                    "catalogue_number": one.label.catalogue_number,
                    "measures": [measure_json(row) for row in rows],
                }
                for one, rows in found
            ]
        )
        return DONE
    for one, rows in found:
        print_line(one.label.catalogue_number or one.id)
        for row in rows:
            print_line(f"  {say(f'measure.{row.key}.name'):<28} {words_of_measure(row)}")
    return DONE


def version(choice: argparse.Namespace) -> int:
    """Say the version of the program, its tables and its format."""
    from landmarks import __version__
    from landmarks.documents import FORMAT
    from landmarks.identification import ENGINE_VERSION
    from landmarks.tables import read_tables

    facts = {
        "version": __version__,
        "format": FORMAT,
        "engine": ENGINE_VERSION,
        "tables": read_tables().hash[:12],
    }
    if choice.json:
        print_json(facts)
    else:
        print_line(
            say("command.version.line", **{key: str(value) for key, value in facts.items()})
        )
    return DONE
