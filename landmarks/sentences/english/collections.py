"""English sentences of the area *collections*: table, many at once, out and in, others."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    # The table of specimens.
    "action.collection_table": "Specimens as a table",
    "table.title": "Specimens as a table",
    "table.found": ("{n} specimen", "{n} specimens"),
    "table.chosen": ("{n} chosen", "{n} chosen"),
    "table.columns": "Columns",
    "table.as_table": "Table",
    "table.as_thumbnails": "Thumbnails",
    "table.close": "Back to the picture",
    "table.stale": "{value} · stale",
    "table.stale.tip": (
        "Worked out before tables, engine or pictures changed; it is being worked out anew."
    ),
    "table.not_sorted": "{column}: a specimen can have several, so it sorts nothing.",
    "table.sort": "Sort by {column}",
    "table.row.chosen": "{words}, chosen",
    "table.change": "Change…",
    "table.choose_all": "Choose all",
    "table.column.number": "Number",
    "table.column.name": "Name",
    "hint.choose_many": "choose several",
    "hint.choose_all": "choose all",
    "hint.to_bench": "to the bench",
    "hint.view_of_many": "view of the chosen",
    "specimens.chosen": ("{n} chosen: change it…", "{n} chosen: change them…"),
    # Many at once.
    "action.many": "Change many at once…",
    "many.title": "Change many at once",
    "many.words": "What is left alone stays as it is in each specimen.",
    "many.none": (
        "Choose several specimens first: with Ctrl or Shift in the list or the table, "
        "or all with Ctrl+A."
    ),
    "many.n": ("{n} specimen chosen", "{n} specimens chosen"),
    "many.pictures": ("{n} picture shows them", "{n} pictures show them"),
    "many.several": "several",
    "many.leave": "several: leave them",
    "many.empty": "Empty {field} in all of them (Delete)",
    "many.will_empty": "will be empty",
    "many.leave_them": "Leave {field} as it is in each (Esc)",
    "many.saving": "Saving {total} specimens as one step; undo takes it back …",
    "many.reading": "Reading {done} of {total} …",
    "many.changing": "Changing {done} of {total} …",
    "many.change": ("Change {n} specimen", "Change {n} specimens"),
    "many.give_up": "Give up",
    "many.choose_all": "Choose all that are listed",
    "many.nothing": "Nothing is changed: they are all so already.",
    "many.done": (
        "{n} record was changed, in one step.",
        "{n} records were changed, in one step.",
    ),
    "many.condition.add": "Add to all",
    "many.condition.of": "{condition}: {n} of {all}",
    "many.condition.all": "{condition}: all",
    "many.condition.remove": "Take away from all: {condition}",
    "many.condition.will": "to be added: {condition}",
    "many.condition.will_go": "to be taken away: {condition}",
    "many.field.locality": "locality",
    "many.field.collector": "collector",
    "many.field.collected": "collected",
    "many.field.habitat": "habitat",
    "many.field.region": "region",
    "many.field.origin": "origin",
    "many.field.condition": "condition",
    "many.field.creator": "creator",
    "many.field.licence": "licence",
    "many.field.rights_holder": "rights holder",
    "many.field.view": "view",
    "many.field.state": "a character",
    "many.view": "View of every frame",
    "many.character": "Character",
    "many.state": "State",
    "many.no_character": "none",
    "many.state.words": (
        "Nobody looks at each of these specimens: the state is recorded as “for many”, "
        "unsure, and only where nothing was recorded of this character yet."
    ),
    "many.state.agree": "Record it for all of them all the same",
    "deed.change_many": ("change {what} of {n} specimen", "change {what} of {n} specimens"),
    # Out of the window and in again.
    "action.export": "Export…",
    "action.restore": "Restore from a folder…",
    "action.check": "Check the collection…",
    "action.backups": "Backups…",
    "out.title": "Export",
    "out.words": "A new folder is written; the collection stays as it is.",
    "out.what": "What",
    "out.what.all": "The whole collection",
    "out.what.found": "What is listed",
    "out.what.chosen": "What is chosen",
    "out.form": "As",
    "out.form.csv": "Tables (CSV)",
    "out.form.json": "A folder of plain JSON",
    "out.csv.words": (
        "Measures, scores, candidates and names, with uncertainty, unit and definition of "
        "every number."
    ),
    "out.json.words": (
        "Everything, exact: a collection can be made of it again. Places are written as they "
        "are."
    ),
    "out.places": (
        "Places of living wild animals are coarsened to a tenth of a degree, and their "
        "locality is left out."
    ),
    "out.exact": "Write the exact places",
    "out.exact.words": (
        "The exact places of living wild animals are written: give them on with care."
    ),
    "out.history": "With the whole history",
    "out.write": "Export to…",
    "out.stale": (
        "What is listed follows from derived values; those of {n} specimen are from before "
        "its last change, or from other tables.",
        "What is listed follows from derived values; those of {n} specimens are from before "
        "their last change, or from other tables.",
    ),
    "out.renew": "Derive them anew first, so that none is missed",
    "out.renewing": "Deriving {done} of {total} anew …",
    "out.pick": "Folder to export to",
    "out.writing": "Writing {done} of {total} …",
    "out.written": (
        "{n} specimen was written to {folder}.",
        "{n} specimens were written to {folder}.",
    ),
    "out.pick_back": "Folder to restore from",
    "out.pick_restored": "New collection to restore into",
    "out.restoring": "Restoring {done} of {total} …",
    "out.restored": (
        "{n} specimen was restored; the new collection {file} is open.",
        "{n} specimens were restored; the new collection {file} is open.",
    ),
    "out.restore": "Restore from a folder…",
    "out.given_up": "It was given up; nothing was written.",
    "out.at_work": "Something is still being written or read; wait until it is done.",
    # Checking.
    "check.title": "Check the collection",
    "check.words": "Looks at the structure, the references, every picture by its content, and everything derived; nothing is changed.",
    "check.start": "Check now",
    "check.again": "Check again",
    "check.picture_moved.window": "Picture “{file}” lies at {found} now: its new place can be noted.",
    "check.picture_gone.window": (
        "Picture “{file}” is not where it was: put it back, or look for it under another folder."
    ),
    "check.picture_empty.window": (
        "Picture “{file}” is there but empty (0 bytes): put a whole copy in its place, or look "
        "for one under another folder."
    ),
    "check.picture_folder.window": (
        "A folder stands in the place of picture “{file}”: rename it and put the picture back, "
        "or look for it under another folder."
    ),
    "check.picture_withheld.window": (
        "Picture “{file}” is there and may not be read: let this account read it, "
        "or look for a copy under another folder."
    ),
    "check.differs.window": (
        "{specimen}: what is kept is not what follows now ({what}); it can be worked out anew."
    ),
    "check.stale.window": (
        "{n} specimen was last derived from other tables or an earlier state.",
        "{n} specimens were last derived from other tables or an earlier state.",
    ),
    "check.not_derived.window": (
        "Nothing was derived of {n} specimen yet.",
        "Nothing was derived of {n} specimens yet.",
    ),
    "export.coarsened.window": (
        "The place of {n} living wild animal was coarsened, its locality left out.",
        "The places of {n} living wild animals were coarsened, their localities left out.",
    ),
    "check.look_under": "Look for pictures under…",
    "check.pick": "Folder to look for pictures under",
    "check.working": "Checking: {done} of {total} …",
    "check.reading": "Checking structure and pictures …",
    "check.good": (
        "Nothing is wrong: {specimens} specimens, {pictures} pictures, all derived values."
    ),
    "check.found": ("{n} thing is wrong.", "{n} things are wrong."),
    "check.more": "… and {n} more.",
    "check.accept": (
        "Note where {n} picture is now",
        "Note where {n} pictures are now",
    ),
    "check.renew": ("Work {n} out anew", "Work {n} out anew"),
    "check.relist": "Make the list anew",
    "check.renewed": (
        "{n} specimen was worked out anew.",
        "{n} specimens were worked out anew.",
    ),
    "check.relisted": "The list was made anew from what is recorded.",
    "check.accepted": (
        "The new place of {n} picture is noted, in one step.",
        "The new places of {n} pictures are noted, in one step.",
    ),
    # Backups.
    "backups.title": "Backups",
    "backups.words": ("Copies made while you work, beside the collection in {folder}."),
    "backups.none": "There is no copy yet; the first one is made after some work.",
    "backups.memory": "This collection lies in no file, so no copies are made of it.",
    "backups.list": "Copies, newest first",
    "backups.row": "{day}  {time}  ·  {size}",
    "backups.open": "Open as a copy",
    "backups.now": "Make one now",
    "backups.making": "Making a copy …",
    "backups.only_read": "This collection may only be read, so no copy is made beside it: Collection > Save a copy puts one elsewhere.",
    "backups.made": "A copy was made and found sound.",
    "backups.opened": "The copy of {moment} is open as {file}; the collection itself is unharmed.",
    # Somebody else at work in the same collection.
    "others.sides": "{what}, before: {base}\nYours: {mine}\nTheirs: {theirs}",
    "others.more": ("… and {n} more.", "… and {n} more."),
}
