"""English sentences of the area *export*: collections as JSON and CSV, backups, checks."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    # A folder of JSON.
    "deed.note_moved_pictures": (
        "note where {n} picture lies now",
        "note where {n} pictures lie now",
    ),
    "deed.from_folder": "take over the files of {folder}",
    "export.lacks_file": (
        "{file} is missing in {folder}: choose the folder that an export wrote."
    ),
    "export.not_a_folder": (
        "collection.json in {folder} holds specimens itself: it is a collection in one file. "
        "Choose the folder that an export wrote."
    ),
    "export.other_history": (
        "{file} is the history of another collection. "
        "Take it out of the folder to restore without a history."
    ),
    "export.broken_history": (
        "The step {id} in {file} does not follow from those before it. "
        "Take the file out of the folder to restore without a history."
    ),
    "export.readme": (
        "{name}: a whole collection as plain JSON.\n\n"
        "collection.json    the collection itself, its people and saved filters\n"
        "pictures/          one file for each picture: what is known of it, not its pixels\n"
        "specimens/         one record for each specimen\n"
        "history.jsonl      every step that was ever done, oldest first\n\n"
        "`hingeline restore FOLDER COLLECTION` makes a collection of this folder. Files may "
        "be\n"
        "changed by hand before: the changes become one more step of the history.\n"
        "Kept are all records, people, saved filters and the whole history. Not kept are the\n"
        "picture files, which stay where they are and are known by their content, and what\n"
        "is derived - measures, candidates - which is derived again.\n"
        "Places stand here exactly as they were recorded."
    ),
    "export.readme_without_history": (
        "{name}: records of a collection as plain JSON, without their history.\n\n"
        "collection.json    the collection itself, its people and saved filters\n"
        "pictures/          one file for each picture: what is known of it, not its pixels\n"
        "specimens/         one record for each specimen\n\n"
        "`hingeline restore FOLDER COLLECTION` makes a collection of this folder.\n"
        "Not kept are the history, the picture files, which stay where they are and are\n"
        "known by their content, and what is derived, which is derived again.\n"
        "Places stand here exactly as they were recorded."
    ),
    # Tables.
    "export.tables_readme": (
        "{name}: tables for a spreadsheet (CSV, RFC 4180, UTF-8).\n\n"
        "specimens.csv, measures.csv, scores.csv, candidates.csv, names.csv;\n"
        "columns.csv says what each column means. Species tables: {tables}.\n\n"
        "Candidates are a list, not a determination; a specimen of which nothing was seen or\n"
        "measured has none. A length from a picture is not a legal measurement.\n"
        "An empty cell is not a zero: nothing is known.\n"
        "Places of living wild animals are coarsened to 0.1 degrees, and their locality is\n"
        "left out.\n"
        "A text that a spreadsheet program would take for a formula has one apostrophe in\n"
        "front."
    ),
    "export.tables_readme_exact": (
        "{name}: tables for a spreadsheet (CSV, RFC 4180, UTF-8).\n\n"
        "specimens.csv, measures.csv, scores.csv, candidates.csv, names.csv;\n"
        "columns.csv says what each column means. Species tables: {tables}.\n\n"
        "Candidates are a list, not a determination; a specimen of which nothing was seen or\n"
        "measured has none. A length from a picture is not a legal measurement.\n"
        "An empty cell is not a zero: nothing is known.\n"
        "Places stand here exactly as they were recorded, those of living wild animals "
        "too:\n"
        "pass these tables on with care.\n"
        "A text that a spreadsheet program would take for a formula has one apostrophe in\n"
        "front."
    ),
    "export.coarsened": (
        "The place of {n} living wild animal was coarsened to 0.1 degrees, its locality left "
        "out (--exact-places keeps it).",
        "The places of {n} living wild animals were coarsened to 0.1 degrees, their "
        "localities left out (--exact-places keeps them).",
    ),
    # What the columns mean.
    "column.specimen_id": "the specimen's own id (UUID), the same in all tables",
    "column.catalogue_number": "as written on the label",
    "column.name": "the name as it was given; several are parted by / or, in a hybrid, by ×",
    "column.level": "how far the name goes: species, group, genus, hybrid, not_a_giant_clam, "
    "free_text or unresolved",
    "column.qualifier": "open nomenclature: cf., aff., sp. inc. or ?",
    "column.determiner": "who decided on the name",
    "column.named_at": "when the name was given (UTC)",
    "column.region": "key of the region",
    "column.origin": "wild, farmed, aquarium, trade or unknown",
    "column.condition": "what happened to the shell, and where on it (kind:zone)",
    "column.locality": "as written on the label; left out where the place is coarsened",
    "column.latitude": "degrees, south negative, of the first picture that has a place",
    "column.longitude": "degrees, west negative, of the first picture that has a place",
    "column.place": "as_recorded, coarsened (to 0.1 degrees), or empty where none is known",
    "column.collector": "as written on the label",
    "column.collected": "date of collecting, as written on the label",
    "column.living": "yes where a picture shows the living animal",
    "column.pictures": "how many pictures show it",
    "column.measure": "key of the measure",
    "column.measure_name": "what the measure is called",
    "column.value": "the value, in the unit beside it; empty where there is none",
    "column.standard_uncertainty": (
        "one standard uncertainty (GUM), in the unit of the value; empty where none is known"
    ),
    "column.unit": "mm, mm², /cm, °, count, ratio, or 1 for a plain number",
    "column.at_least": "yes where the true value is this or more",
    "column.method": "derived from a picture, or how it was typed",
    "column.valve": "which valve it was taken of, where the pictures tell",
    "column.doubled": "yes where one valve was seen and its half taken twice",
    "column.frame_id": "id of the frame it was taken or seen in",
    "column.missing": "what the measure lacks, with the reason behind a colon",
    "column.definition": "what exactly is meant",
    "column.character": "key of the character",
    "column.character_name": "what the character is called",
    "column.state": "key of the state that was seen",
    "column.state_name": "what the state is called",
    "column.cannot_be_seen": "why it cannot be seen; this is not absent",
    "column.sure": "whether the person was sure",
    "column.view": "the view it was seen in",
    "column.person_id": "id of the person",
    "column.at": "when (UTC)",
    "column.names_hidden": "yes where the candidates were out of sight",
    "column.rank": "place in the list of candidates, 1 the most probable",
    "column.taxon": "key of the taxon",
    "column.taxon_name": "scientific name",
    "column.probability": "what follows from tables and observations, 0 to 1",
    "column.stated": "what may be said of it, held down where the tables are not sure, 0 to 1",
    "column.ruled_out_by": "keys of the characters that rule it out",
    "column.fit": (
        "of the first candidate: share of such specimens that would look as unusual, 0 to 1"
    ),
    "column.tables": "hash of the species tables it was derived with",
    "column.engine": "version of the engine it was derived with",
    "column.candidate_definition": (
        "candidate of a list, not a determination; probability among the taxa of the tables"
    ),
    "column.determination_id": "the determination's own id (UUID)",
    "column.latest": "yes for the one that counts now",
    "column.taxa": "keys of the taxa, parted by spaces",
    "column.independent": "yes where it was decided without this program's candidates",
    "column.remarks": "as written",
    "column.leading": "key of the candidate that led at that moment",
    # Backups.
    "backup.failed": (
        "No new backup of {file} could be made; older ones are kept. {fault}"
    ),
    "backup.disk_full": (
        "The disk is too full for a new backup of {file}; older ones are kept, and the "
        "collection itself is saved. Free some space."
    ),
    "backup.no_folder": (
        "{file} in {folder} is a file, where the backups should lie. Rename it."
    ),
    # Checking.
    "check.picture_moved": "picture “{file}” lies at {found} now: --mend notes it.",
    "check.picture_gone": (
        "picture “{file}” is not where it was: put it back, or look for it with --pictures "
        "FOLDER."
    ),
    "check.picture_empty": (
        "picture “{file}” is there but empty (0 bytes): put a whole copy in its place, or "
        "look for one with --pictures FOLDER."
    ),
    "check.picture_folder": (
        "a folder stands in the place of picture “{file}”: rename it and put the picture "
        "back, or look for it with --pictures FOLDER."
    ),
    "check.picture_withheld": (
        "picture “{file}” is there and may not be read: let this account read it, "
        "or look for a copy with --pictures FOLDER."
    ),
    "check.picture_changed": (
        "picture “{file}” has another content than the one that was measured: "
        "find the original."
    ),
    "check.observation_without_frame": (
        "{specimen}: {n} observation was made in a frame that was removed since.",
        "{specimen}: {n} observations were made in frames that were removed since.",
    ),
    "check.unknown_person": (
        "{specimen}: {n} entry is by a person whom the collection does not know.",
        "{specimen}: {n} entries are by people whom the collection does not know.",
    ),
    "check.stale": (
        "{n} specimen was last derived from other tables or an earlier state; "
        "it will be derived again when it is shown.",
        "{n} specimens were last derived from other tables or an earlier state; "
        "they will be derived again when they are shown.",
    ),
    "check.not_derived": (
        "nothing was derived of {n} specimen yet; it will be when it is shown.",
        "nothing was derived of {n} specimens yet; it will be when they are shown.",
    ),
    "check.differs": (
        "{specimen}: what is kept is not what follows now ({what}). "
        "--mend derives it again."
    ),
    "check.candidates": "candidates",
    "check.steps": "the five steps",
}
