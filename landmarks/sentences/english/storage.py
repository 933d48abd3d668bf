"""English sentences of the area *storage*: collections, records, deeds and parts."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    # Reading JSON.
    "json.too_large": (
        "{where} is {mega} MB of JSON; up to 268 MB are read. Split the file."
    ),
    "json.too_many": (
        "{where} holds more than {million} million values, which no record does. "
        "Check that it is the right file, or split it."
    ),
    "json.too_deep": (
        "{where} nests values more than {depth} deep, which no record does. "
        "Check that it is the right file."
    ),
    "json.not_text": "{where} is not UTF-8 text. Save it as UTF-8 and try again.",
    "json.not_json": (
        "{where} is not JSON: line {line}, column {column} cannot be read. "
        "Mend that place and try again."
    ),
    "json.odd_value": (
        "{where} holds {found}, which a record cannot hold. "
        "Each name may stand once, and numbers must be ordinary ones."
    ),
    "type.text": "a text",
    "type.number": "a number",
    "type.whole_number": "a whole number",
    "type.yes_or_no": "true or false",
    "type.null": "null",
    "type.list": "a list",
    "type.object": "an object in braces",
    "type.numbers_2": "a pair of numbers [x, y]",
    "type.numbers_4": "four numbers [left, top, width, height]",
    "type.observation": "a state, a number or an object in braces",
    # Records.
    "document.length_needs_number": (
        "{where} must give a number of millimetres, or why there is none (hidden)."
    ),
    "document.lacks": "“{field}” is missing in {where}. Add it and try again.",
    "document.wrong_type": "In {where}, {found} stands where {wanted} should.",
    "document.no_format": (
        "{where} does not say which format it has. "
        'A record begins with "format": {known}; add it if this is one.'
    ),
    "document.newer_format": (
        "{where} has format {found}, written by a newer version; this one reads up to "
        "{known}. "
        "Update the program to open it."
    ),
    "document.two_names": (
        "{where} gives {first} and also {second}, which is the same thing. Keep one of "
        "them."
    ),
    "document.one_kind": (
        "{where} must say exactly one of: a state, a number (value), "
        "or why it cannot be seen (hidden)."
    ),
    "document.not_possible": "In {where}, {found} is not possible: it must be {wanted}.",
    "document.wanted_positive": "above zero",
    "document.wanted_not_negative": "zero or more",
    "document.refused": "In {where}, something is not possible: correct it there ({why})",
    "document.twice": "The id {id} stands twice in {where}; give each its own.",
    "document.record_in_collection": (
        "{where} is a whole collection, if of one specimen; a single record was wanted. "
        "Open it as a collection.",
        "{where} is a whole collection with {n} specimens; a single record was wanted. "
        "Open it as a collection.",
    ),
    "document.this": "the record",
    "document.collection": "collection",
    "document.person": "person",
    "document.picture": "picture",
    "document.specimen": "specimen",
    # Parts, as they stand inside other sentences.
    "part.exists": "the record itself",
    "part.about": "the name of the collection",
    "part.label": "the label",
    "part.where": "origin, region and condition",
    "part.frame": "a frame",
    "part.placing": "a landmark",
    "part.observation": "an observation",
    "part.determination": "a name",
    "part.extra": "further entries",
    "part.path": "the place of a picture file",
    "part.file": "a picture file",
    "part.scale": "the scale",
    "part.camera": "the camera distance",
    "part.rights": "creator and licence",
    "part.person": "a person's name",
    "part.filter": "a saved filter",
    "part.of_another_version": "a part of another version",
    # The history at the screen.
    "past.title": "History",
    "past.words": "Nothing is ever erased: whatever is brought back is a new step.",
    "past.whose": "Of",
    "past.whose.specimen": "this specimen",
    "past.whose.picture": "this picture",
    "past.whose.collection": "the whole collection",
    "past.column.at": "When",
    "past.column.who": "Who",
    "past.column.deed": "What was done",
    "past.bring_back": "Bring this state back",
    "past.take_back": "Take this step back",
    "past.unnamed": "no name given",
    "past.more": "Earlier steps",
    "past.nothing": "Nothing was done here yet.",
    "past.names_hidden": "The history would tell the names, which are hidden now.",
    "past.as_it_is": "The specimen is just as it was then: nothing to bring back.",
    "past.and_others": ("{deed} (of {n} record)", "{deed} (of {n} records)"),
    "past.change": "{what}: {before} → {after}",
    # What a part was and became.
    "told.nothing": "nothing",
    "told.there": "there",
    "told.frame": "frame, {view}",
    "told.no_view": "no view yet",
    "told.point": "at {x}, {y} px",
    "told.points": ("{n} point", "{n} points"),
    "told.points_at_least": ("at least {n} point", "at least {n} points"),
    "told.sure": "{value}",
    "told.unsure": "{value} (unsure)",
    "told.entry": "{field}: {value}",
    "told.several": "{values}",
    "told.field.clicks": "clicked edges",
    "told.field.catalogue_number": "catalogue number",
    "told.field.locality": "locality",
    "told.field.collector": "collector",
    "told.field.collected": "collected",
    "told.field.depth": "depth",
    "told.field.habitat": "habitat",
    "told.field.verbatim": "label as written",
    "told.field.remarks": "remarks",
    "told.field.region": "region",
    "told.field.use_region": "region may speak",
    "told.field.origin": "origin",
    "told.field.condition": "condition",
    "told.field.creator": "creator",
    "told.field.licence": "licence",
    "told.field.rights_holder": "rights holder",
    "told.field.distance_mm": "camera distance in mm",
    "told.field.setup": "set-up",
    "told.field.method": "method",
    "told.field.name": "name",
    "told.field.at": "when",
    "told.field.determiner": "determiner",
    "told.field.level": "level",
    "told.field.taxa": "taxa",
    # Deeds.
    "change.part_moved_on": (
        "This step cannot be made: {part} was changed by someone else since. "
        "Look at it as it is now and decide again."
    ),
    "deed.undo": "undo {deed}",
    "deed.restore": "restore the state of {since}",
    "deed.bring_back": "restore an earlier state",
    "deed.new_collection": "begin the collection",
    "deed.of_another_version": "a step of another version",
    # Collections.
    "store.is_folder": "{file} is a folder. Choose the collection file inside it.",
    "store.missing": "There is no collection {file} in {folder}. Was it moved or renamed?",
    "store.no_folder": (
        "There is no folder {folder} to make {file} in. Make the folder first."
    ),
    "store.exists": (
        "{file} stands already in {folder}; nothing was overwritten. Choose another name."
    ),
    "store.empty": (
        "{file} is empty (0 bytes): its copying or downloading was cut short. "
        "Take it again from where it came."
    ),
    "store.not_a_collection": (
        "{file} is not a collection of this program; it was left as it is."
    ),
    "store.of_another_program": (
        "{file} is the database of another program; it was left as it is."
    ),
    "store.newer_format": (
        "{file} has format {found}, written by a newer version; this one reads up to "
        "{known}. "
        "Update the program to open it; the file was left as it is."
    ),
    "store.foreign_object": (
        "{file} holds a {kind} named “{name}” that does not belong in a collection and "
        "could "
        "run by itself, so it was not opened. Ask whoever made the file for a clean copy."
    ),
    "store.foreign_journal": (
        "{file} was not opened: {journal} beside it names another file, which would be "
        "removed. Ask whoever made the file for a clean copy without that journal."
    ),
    "store.foreign_columns": (
        "The table “{name}” in {file} is not built as this format is, so it was not "
        "opened. "
        "Ask whoever made the file for a clean copy."
    ),
    "store.damaged": (
        "{file} is damaged, so it was not touched any further. "
        "Open the newest backup, or a copy from before."
    ),
    "store.damaged_content": (
        "A part of the collection is damaged and cannot be read. "
        "Open the newest backup, or a copy from before."
    ),
    "store.no_permission": (
        "You have no permission to open {file} in {folder}. Ask its owner, or open a copy."
    ),
    "store.cannot_write": (
        "{file} cannot be written: it, or the folder {folder}, is read-only. "
        "Open it for reading, or save a copy elsewhere."
    ),
    "store.cannot_open": (
        "{file} cannot be opened in {folder}. Check that the drive is connected "
        "and that you may write there."
    ),
    "store.opened_to_read": (
        "{file} was opened for reading only, so nothing was changed. "
        "Save a copy to work on it."
    ),
    "store.locked": (
        "Another program is writing to {file} and does not finish. Nothing of yours was "
        "lost; "
        "close the other program or try again in a moment."
    ),
    "store.disk_full": (
        "The disk with {file} is full, so what was done last is not saved; all before it is. "
        "Free some space and try again."
    ),
    "store.disk_full_opening": (
        "The disk with {file} is full, so it could not be opened; nothing in it was "
        "changed. Free some space and open it again."
    ),
    "store.disk_fault": (
        "The drive with {file} reports a fault. What was saved before is kept; "
        "save a copy to another drive."
    ),
    "store.disk_says": "{file} in {folder} cannot be used: {reason}.",
    "store.old_sqlite": (
        "This Python comes with SQLite {found}; collections need {least} or later. "
        "Start Hingeline with a newer Python."
    ),
    "store.no_memory": "There is not enough memory to open {file}. Close other programs.",
    "store.gone": (
        "{file} is no longer in {folder}: it was deleted or moved while open. "
        "What was done last is not saved; save a copy now to keep everything."
    ),
    "store.out_of_reach": (
        "{file} in {folder} is out of reach: its folder, or the drive, was closed to you "
        "while it was open ({reason}). What was done last is not saved; ask for the folder to "
        "be opened again, or save a copy elsewhere."
    ),
    "store.exchanged": (
        "Another file now stands in the place of {file}: it was exchanged while open. "
        "What was done last is not saved; save a copy under another name to keep everything."
    ),
    "store.closed": "The collection is closed. Open it again to go on.",
    "store.conflict": (
        "Someone else changed {part} in the meantime. Nothing was overwritten: "
        "choose between your version and theirs."
    ),
    "store.conflict_gone": (
        "Someone else removed this record in the meantime. Nothing was overwritten: "
        "decide whether it shall stay removed."
    ),
    "store.safe_journal": (
        "{file} lies on a network drive, so each step is saved the slower, safe way."
    ),
    "store.upgraded": (
        "{file} was of format {found} and is now of format {known}. "
        "The file as it was is kept as {backup}."
    ),
    "store.upgraded_to_read": (
        "{file} is of format {found}; it is shown as a copy in format {known}, "
        "and the file was left as it is."
    ),
    "store.no_step": (
        "{file} has format {found}, for which this version knows no way to format {known}."
    ),
    # Findings of the check.
    "store.unreadable": "A {kind} ({id}) cannot be read. {fault}",
    "store.fault_structure": "The file's structure is damaged: {fault}.",
    "store.fault_link": "An entry of the table “{table}” belongs to nothing.",
    "store.fault_content": "A long outline ({hash} …) is damaged.",
    "store.fault_part": (
        "Of {kind} {id}, {part} is damaged and cannot be read. "
        "Open the newest backup, or a copy from before."
    ),
    "store.fault_step": (
        "A step of the history ({at}) is damaged: what {part} of {kind} {id} was then "
        "cannot be read. What is recorded now is not touched by it."
    ),
    "store.fault_past": (
        "Of {kind} {id}, {part} is not what its history says last: "
        "something other than this program changed the file. "
        "Open the newest backup, or a copy from before."
    ),
    "store.fault_list": (
        "The list shows {listed} specimens where there are {there}; "
        "the records themselves are sound."
    ),
    "store.fault_found": (
        "The list shows or finds specimen {specimen} by something else than its record; "
        "the record itself is sound."
    ),
    "store.fault_picture": (
        "Specimen {specimen} has a frame on a picture that is not there ({id})."
    ),
    "store.fault_name": (
        "Specimen {specimen} has {part} that is kept under the id of another ({id})."
    ),
    "store.fault_frame": (
        "Specimen {specimen} has a landmark on a frame that is not there ({id})."
    ),
}
