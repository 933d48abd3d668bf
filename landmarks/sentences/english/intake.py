"""English sentences of taking in: pictures, groups, clocks, labels, rights."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    # Files.
    "picture.too_much_memory": "“{file}” would need {need} GB of memory to open, more than the {limit} GB allowed: make a smaller copy.",
    "intake.first_of_many": "“{file}” holds {n} pictures; only the first is taken in. Save the others as files of their own to use them.",
    "intake.main_of_many": "“{file}” holds {n} pictures; only the main one is taken in. Save the others as files of their own to use them.",
    "intake.much_memory": "“{file}” has {mega} megapixels and needs about {need} GB of memory while it is opened.",
    "intake.packet_left_out": "The XMP data inside “{file}” cannot be read and were left out; the picture is taken in.",
    "intake.sidecar_left_out": "The sidecar “{file}” cannot be read and was left out; its picture is taken in.",
    "intake.there_already": "“{file}” is in the collection already, as “{there}”: it can be given another frame.",
    "intake.passed_over": (
        "{n} file of the folder is in no format that is read here ({endings}) and was passed over: save pictures as JPEG, PNG or TIFF.",
        "{n} files of the folder are in no format that is read here ({endings}) and were passed over: save pictures as JPEG, PNG or TIFF.",
    ),
    "intake.twice_in_drop": "“{file}” is the same picture as “{there}”: it is taken in once.",
    # Groups.
    "intake.why_alone": "one specimen for each picture",
    "intake.why_close": "{n} pictures, at most {gap} s apart",
    "intake.why_apart": "stands alone in time",
    "intake.why_one_time": "{n} pictures, many with the same time: the clock may have stood still",
    "intake.why_no_time": "no time in the file",
    "intake.why_stem": "file names begin with “{stem}”",
    "intake.why_own_name": "a file name of its own",
    "intake.why_folder": "all pictures of the folder “{folder}”",
    "intake.why_label": "the label table gives them {number}",
    "intake.why_name_is_number": "the file name is {number}, which the label table has",
    "intake.why_no_label": "not in the label table",
    "intake.why_by_hand": "sorted by hand",
    "intake.gap_set": "A new specimen begins after more than {gap}.",
    "intake.gap_found": "The gaps between pictures fall into two kinds: a new specimen begins after more than {gap}.",
    "intake.gap_usual": "The gaps between pictures do not fall into two kinds, so the usual {gap} is taken: look through the groups.",
    "intake.how_names": "Pictures whose file names differ only in a counter, a letter or the word for a view belong together.",
    "intake.how_folders": "The file names are a camera's, so each folder is taken for one specimen.",
    "intake.how_labels": "The label table says which pictures belong together.",
    "intake.not_a_gap": "“{found}” is no gap: give a number of seconds above zero.",
    # Times.
    "intake.taken_in_zone": "{time}, UTC{zone}",
    "intake.taken_zone_unknown": "{time}, zone unknown",
    "intake.not_a_zone": "“{found}” is no time zone: give the offset from UTC, such as +11:00.",
    "intake.not_a_time": "“{found}” is no time of day: give hours, minutes and seconds, such as 10:43:00.",
    "intake.not_a_shift": "“{found}” is no length of time: give hours, minutes and seconds, such as -0:01:30.",
    # Label tables.
    "intake.labels_too_large": "“{file}” is larger than {mega} MB, which no label table is: check that it is the right file, or divide it.",
    "intake.labels_too_long": "“{file}” has more than {n} rows: divide it.",
    "intake.labels_no_text": "“{file}” is no text: save the table as CSV, in UTF-8.",
    "intake.labels_unreadable": "“{file}” cannot be read at line {line} ({reason}): look for a quotation mark too many there, and save it as CSV again.",
    "intake.labels_join_nothing": "“{file}” has no column for the catalogue number or the picture file; it has {columns}. Call one of them “catalogue number” or “file”, or match the columns in the window (Collection > Labels from a table).",
    "intake.labels_empty": "“{file}” has no row below its header: check that it is the right file.",
    "intake.old_encoding": "“{file}” is not UTF-8, so it was read as Windows-1252: check letters with accents.",
    "intake.row_long": "The row at line {line} has {n} cells instead of {wanted}; the last ones were put together.",
    "intake.row_short": (
        "The row at line {line} has {n} cell instead of {wanted}; the missing ones are empty.",
        "The row at line {line} has {n} cells instead of {wanted}; the missing ones are empty.",
    ),
    "intake.no_entry": "“{found}” is no entry of a label: the nearest is “{nearest}”.",
    # Deeds and parts.
    "deed.take_in": (
        "take in a picture (specimens: {specimens})",
        "take in {n} pictures (specimens: {specimens})",
    ),
    "deed.move_frames": (
        "give a frame to another specimen",
        "give {n} frames to another specimen",
    ),
    "deed.split_specimen": "make two specimens of one",
    "deed.merge_specimens": "make one specimen of {n}",
    "deed.give_view": "give {n} frames the view {view}",
    "intake.no_view": "none",
    "deed.give_rights": (
        "give a picture creator and licence",
        "give {n} pictures creator and licence",
    ),
    "deed.correct_clock": (
        "correct the clock of a picture",
        "correct the clock of {n} pictures",
    ),
    "deed.join_labels": ("write a label from “{file}”", "write {n} labels from “{file}”"),
    "part.clock": "the correction of the camera's clock",
    # The command.
    "command.import": "take pictures in: files, and folders with all in them, sorted into specimens",
    "command.import.collection": "the collection file; it is made if it is not there",
    "command.import.paths": "a picture, or a folder of pictures",
    "command.import.group": "what sorts pictures into specimens: gaps of time, file names, the label table, or nothing (one each)",
    "command.import.gap": "with --group time: the gap from which on a new specimen begins (default: found from the gaps)",
    "command.import.labels": "a label table (CSV) with a column for the catalogue number or the picture file",
    "command.import.view": "the view of all these pictures, such as outside_of_valve",
    "command.import.again": "give pictures that are there already another frame",
    "command.import.dry_run": "only say what would be taken in",
    "command.import.needs_labels": "--group csv sorts by a label table: name one with --labels FILE.csv.",
    "command.import.created": "“{file}” was not there, so it is a new collection.",
    "command.import.done": (
        "{n} picture taken into “{file}”, specimens: {specimens}.",
        "{n} pictures taken into “{file}”, specimens: {specimens}.",
    ),
    "command.import.would": (
        "{n} picture would be taken into “{file}”, specimens: {specimens}.",
        "{n} pictures would be taken into “{file}”, specimens: {specimens}.",
    ),
    "command.import.moved": "picture “{file}” was gone from its place and is found again.",
    "command.import.refused": "Refused: {why}",
    "command.import.labelled": ("{n} label from “{file}”.", "{n} labels from “{file}”."),
    "command.import.left_out": "No entries of a label, so only in the label word for word: {columns}.",
    "command.import.rows_alone": (
        "A row of “{file}” fits no specimen that is taken in here: line {lines}.",
        "{n} rows of “{file}” fit no specimen that is taken in here: lines {lines}.",
    ),
    "command.import.only_new": (
        "Specimens that were in “{collection}” before keep their labels: to join “{file}” with "
        "them too, use the window (Collection > Labels from a table)."
    ),
    "command.import.rows_ambiguous": (
        "A row of “{file}” fits several specimens, or one that has its row: line {lines}.",
        "{n} rows of “{file}” fit several specimens, or ones that have their row: lines {lines}.",
    ),
    "command.import.specimens_alone": (
        "A specimen that is taken in here is not in “{file}”.",
        "{n} specimens that are taken in here are not in “{file}”.",
    ),
}
