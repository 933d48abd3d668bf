"""English sentences of the area *tables*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    "tables.fault": "The species tables cannot be used. {fault}",
    "tables.faults": (
        "The species tables cannot be used. {fault} {n} more fault is in them: "
        "check the tables to see all.",
        "The species tables cannot be used. {fault} {n} more faults are in them: "
        "check the tables to see all.",
    ),
    "tables.unknown_region": "No region is called “{found}”: perhaps “{nearest}” is meant.",
    "tables.unknown_origin": "No origin is called “{found}”: perhaps “{nearest}” is meant.",
    "tables.unknown_condition": "No condition is called “{found}”: perhaps “{nearest}” is "
    "meant.",
    "tables.unknown_zone": "No zone of a shell is called “{found}”: perhaps “{nearest}” is "
    "meant.",
    "tables.compare.state": "{state} {count}",
    "tables.compare.scored": "{taxon}, {character}: {states}, of {n} specimens.",
    "tables.compare.measured": "{taxon}, {character}: {median} ({low} to {high}), of {n} "
    "specimens.",
    "tables.compare.propose": "{said} The tables say otherwise.",
    "tables.compare.propose_few": "{said} The tables say otherwise, but {n} specimens are too "
    "few to change them.",
    "tables.where": "{file}, row {row}: {what}",
    "tables.where_file": "{file}: {what}",
    "tables.no_folder": "There is no folder {folder}: choose the folder that holds taxa.csv.",
    "tables.missing_file": "The file is not in the folder {folder}: add it, or choose the "
    "folder that holds all table files.",
    "tables.too_large": "The file is larger than {limit} MB, which no species table is: "
    "choose another.",
    "tables.guide_too_large": "The file is larger than {limit} kB, which it never needs to "
    "be: choose another.",
    "tables.not_text": "The file is not UTF-8 text: save it from the spreadsheet as "
    "“CSV UTF-8”.",
    "tables.not_toml": "The file is not TOML ({why}): mend the line named.",
    "tables.empty": "The file is empty: its first row must name the columns.",
    "tables.broken_quotes": "A quotation mark is opened and not closed, or the other way "
    "round: save the file anew from the spreadsheet.",
    "tables.missing_column": "The column “{column}” is missing: add it to the first row.",
    "tables.missing_column_near": "The column “{column}” is missing: perhaps “{nearest}” "
    "should be called so.",
    "tables.too_many_fields": "The row has {n} fields, more than there are columns: put "
    "text with commas in quotation marks.",
    "tables.blank": "“{column}” is blank: fill it in.",
    "tables.not_a_number": "“{found}” in “{column}” is not a number: write it in digits, or "
    "leave the field blank if it is unknown.",
    "tables.decimal_comma": "“{found}” in “{column}” is not a number: write a point, not a "
    "comma, before the decimals.",
    "tables.not_yes_or_no": "“{found}” in “{column}” is neither yes nor no: write one of "
    "the two, or leave it blank for no.",
    "tables.bad_key": "“{found}” cannot be a key: use small letters, digits and underscores, "
    "beginning with a letter.",
    "tables.twice": "“{found}” stands there a second time: delete one of the rows.",
    "tables.unknown_word": "“{found}” in “{column}” is not known: perhaps “{nearest}” is "
    "meant.",
    "tables.unknown_word_none": "“{found}” in “{column}” is not known: nothing is defined "
    "for it yet.",
    "tables.no_states": "“{found}” has neither a unit nor two states: give it a unit, or "
    "its states in states.csv.",
    "tables.both": "“{found}” has a unit and states: it can have only one of the two.",
    "tables.outside": "{found} in “{column}” must lie between {least} and {greatest}.",
    "tables.order": "The numbers in {columns} must increase: put them in order.",
    "tables.low_and_high": "A number with a spread needs low and high, and they must differ: "
    "fill in both, or use at_least or at_most for a one-sided statement.",
    "tables.two_ways": "The row has both a spread and a one-sided limit: make two rows.",
    "tables.no_number": "The row says no number for “{found}”: fill one in, or delete the "
    "row; unknown is said by saying nothing.",
    "tables.number_for_scored": "“{found}” is scored by states, but the row has a number: "
    "give state and frequency instead.",
    "tables.state_for_measured": "“{found}” is measured, but the row has a state or a "
    "frequency: give numbers instead.",
    "tables.lonely_group": "The group “{found}” has fewer than two taxa: name at least two.",
    "tables.size_character": "“{found}” is not a character measured in mm: name one of "
    "characters.csv under [size], or leave the section out.",
    # The report of the simulated trial.
    "report.title": "Self-consistency of the identification",
    "report.what": "This is self-consistency, not accuracy: the specimens are made from the "
    "species tables, apart from the reasoning that is tried on them. It shows whether more is "
    "stated than tables and observations warrant. Whether the tables are right, only specimens "
    "can show that were determined independently.",
    "report.how": "{n} specimens for each column, seed {seed}, tables {tables}, {date}. Every "
    "specimen has one size and deviates as a whole within each group of characters; readings "
    "err together; views hide, wear takes away. Remembered cells and common practice hold in "
    "some of the worlds only.",
    "report.machine": "Machine: {machine}.",
    "report.clean": "Tables as they are",
    "report.moved": "{share} % of the cells moved by one step",
    "report.figure": "Figure",
    "report.first": "True species leads",
    "report.three": "True species among the first three",
    "report.calibration": "Calibration error",
    "report.calibration_stated": "Calibration error of what is stated (held down on purpose)",
    "report.clear_wrong": "Wrong among answers stated above 90 %, and their number",
    "report.named": "Answers that name something",
    "report.holds": "True species within what is named",
    "report.brier": "Brier score",
    "report.log_score": "Log score (nats)",
    "report.intervals": "In brackets: 95 % intervals (Wilson; of the calibration error normal).",
    "report.level": "Answer",
    "report.level.species": "species",
    "report.level.group": "group",
    "report.level.genus": "genus",
    "report.level.none": "none",
    "report.answers": "Answers",
    "report.stated": "Stated on average",
    "report.right": "Holds the true species",
    "report.part": "Specimens",
    "report.n": "n",
    "report.living": ("living, {n} view", "living, {n} views"),
    "report.shell": ("shell, {n} view", "shell, {n} views"),
    "report.characters": "{span} characters",
    "report.span": "{low} to {high}",
    "report.span_on": "{low} and more",
    "report.confusion": "True species in rows, the one that leads in columns:",
    "report.plot.stated": "Probability of the leading species",
    "report.plot.true": "Share in which it is the true one",
    "report.plot.confusion": "Per cent of each true species (row) by leading species: {which}",
    "report.plot.by_characters": "By number of characters seen",
    "report.plot.by_views": "By kind and number of views",
    "report.written": "Report and plots written to {folder}.",
    # Cells in words.
    "tables.cell.scored": "{state} {word}",
    "tables.cell.spread": "{low} to {high}",
    "tables.cell.typical": "{low} to {high}, typically {typical}",
    "tables.cell.at_least": "{low} or more",
    "tables.cell.at_most": "{high} or less",
    "tables.cell.maximum": "greatest {most}",
    "tables.cell.band": "{what}, at a size of {start} to {end}",
    "tables.cell.band_open": "{what}, from a size of {start} on",
    "tables.cell.row": "{what} [{source}, {evidence}, row {row}]",
    "tables.cell.proposed": "{what} [proposed from {source}]",
    # Commands.
    "command.tables_group": "check species tables, compare two of them or one's own specimens with them, "
    "try the identification out",
    "command.tables_check": "report every fault of a folder of tables with file, row and remedy",
    "command.tables_diff": "say what two tables say differently, and which records change their answer",
    "command.tables_compare": "put one's own specimens, determined without this program, beside the cells and "
    "propose changes",
    "command.tables_report": "try the identification on simulated specimens: self-consistency, not accuracy",
    "command.tables_shipped": "a folder of species tables, or the word shipped",
    "tables.check.faults": ("{n} fault.", "{n} faults."),
    "tables.check.good": "No fault found: {taxa} taxa, {characters} characters, {cells} cells.",
    "tables.diff.place": "{taxon}, {character}:",
    "tables.diff.file": "Other rows differ: {file}",
    "tables.diff.same": "The two tables say the same.",
    "tables.diff.records": (
        "{n} record, of which {changed} would get another answer.",
        "{n} records, of which {changed} would get another answer.",
    ),
    "tables.compare.head": (
        "{n} specimen of {all} was named to the species without this program.",
        "{n} specimens of {all} were named to the species without this program.",
    ),
    "report.cannot_write": "Nothing can be written to {folder} ({why}): choose another folder.",
    "report.machine_words": (
        "{system} {machine}, {n} core",
        "{system} {machine}, {n} cores",
    ),
}
