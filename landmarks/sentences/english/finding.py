"""English sentences of the area *finding*: fields, relations, and what cannot be read."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    # The strip.
    "finding.title": "Find specimens",
    "finding.words": "All conditions hold at once; what is not known fits none of them.",
    "finding.field": "Field",
    "finding.relation": "Relation",
    "finding.value": "Value",
    "finding.upper": "and",
    "finding.surely": "whatever its doubt",
    "finding.add": "Add condition",
    "finding.none": "No condition: every specimen is listed.",
    "finding.text": "Only the words “{words}” are asked for.",
    "finding.remove": "Take away: {condition}",
    "finding.order": "Sort by",
    "finding.order.catalogue_number": "Catalogue number",
    "finding.order.name": "Name",
    "finding.order.created": "When it was taken in",
    "finding.order.changed": "When it was last worked on",
    "finding.descending": "largest or latest first",
    "finding.show_all": "Show all",
    "finding.kept_name": "Keep this filter as",
    "finding.kept_name.hint": "a name",
    "finding.keep": "Keep",
    "finding.forget": "Forget the filter “{name}”",
    "finding.stale": (
        "{n} specimen is being worked out anew and may still join or leave the list.",
        "{n} specimens are being worked out anew and may still join or leave the list.",
    ),
    "finding.n_conditions": ("{n} condition", "{n} conditions"),
    "finding.sorted": "sorted by {field}",
    "finding.nothing_fits": (
        "No specimen fits the condition.",
        "No specimen fits these {n} conditions.",
    ),
    "finding.still_working": (
        "{n} specimen is still being worked out: ask again in a moment.",
        "{n} specimens are still being worked out: ask again in a moment.",
    ),
    "finding.no_step_missing": "No other specimen of the list lacks a step.",
    "finding.example.date": "2026-03",
    "finding.example.number": "number",
    "finding.example.words": "words",
    "finding.example.yes": "yes or no",
    "deed.keep_filter": "keep the filter “{name}”",
    "deed.forget_filter": "forget the filter “{name}”",
    # Fields; measures are called as everywhere.
    "finding.field.text": "any words of the label",
    "finding.field.number": "catalogue number",
    "finding.field.name": "name",
    "finding.field.taxon": "taxon",
    "finding.field.level": "level of the name",
    "finding.field.qualifier": "qualifier",
    "finding.field.determiner": "determiner",
    "finding.field.determined": "date of the name",
    "finding.field.region": "region",
    "finding.field.origin": "origin",
    "finding.field.condition": "condition",
    "finding.field.locality": "locality",
    "finding.field.collector": "collector",
    "finding.field.habitat": "habitat",
    "finding.field.collected": "date of collecting",
    "finding.field.view": "view",
    "finding.field.picture": "picture",
    "finding.field.part": "part of the shell",
    "finding.field.state": "scored state",
    "finding.field.pictures": "number of pictures",
    "finding.field.captured": "date of the picture",
    "finding.field.missing": "missing step",
    "finding.field.leading": "leading candidate",
    "finding.field.says": "how far the answer goes",
    "finding.field.certainty": "certainty",
    "finding.field.fit": "fit",
    "finding.field.stale": "stale",
    # Words of fields.
    "finding.step.picture": "picture",
    "finding.step.scale": "scale",
    "finding.step.landmarks": "landmarks",
    "finding.step.characters": "characters",
    "finding.step.name": "name",
    "finding.yes": "yes",
    "finding.no": "no",
    # Relations, alone and in a condition.
    "finding.relation.is": "is",
    "finding.relation.is_not": "is not",
    "finding.relation.contains": "contains",
    "finding.relation.more_than": "more than",
    "finding.relation.at_least": "at least",
    "finding.relation.less_than": "less than",
    "finding.relation.at_most": "at most",
    "finding.relation.between": "between",
    "finding.relation.known": "known",
    "finding.relation.unknown": "unknown",
    "finding.says.is": "{field}: {value0}",
    "finding.says.is_not": "{field}: not {value0}",
    "finding.says.contains": "{field} with “{value0}”",
    "finding.says.more_than": "{field} above {value0}",
    "finding.says.at_least": "{field} from {value0} up",
    "finding.says.less_than": "{field} below {value0}",
    "finding.says.at_most": "{field} up to {value0}",
    "finding.says.between": "{field} between {value0} and {value1}",
    "finding.says.known": "{field} known",
    "finding.says.unknown": "{field} unknown",
    "finding.says.surely": "{condition}, whatever its doubt",
    # What cannot be read.
    "finding.no_condition": (
        "“{found}” is no condition: write a field, a relation and a value, "
        "as in “shell_length > 80”."
    ),
    "finding.unknown_field": (
        "Nothing called “{found}” can be searched: the nearest is “{nearest}”."
    ),
    "finding.no_such_relation_words": (
        "“{field}” ({name}) is a word and cannot be asked “{found}”: "
        "use is, is not, contains, known or unknown."
    ),
    "finding.no_such_relation_text": (
        "“{field}” ({name}) is searched as a whole and cannot be asked “{found}”: "
        "use contains."
    ),
    "finding.no_such_relation_date": (
        "“{field}” ({name}) is a date and cannot be asked “{found}”: "
        "use is, before, after, from, until, between, known or unknown."
    ),
    "finding.no_such_relation_number": (
        "“{field}” ({name}) is a number and cannot be asked “{found}”: "
        "use =, <, <=, >, >=, between, known or unknown."
    ),
    "finding.no_such_relation_yes": (
        "“{field}” ({name}) holds or does not, and cannot be asked “{found}”: "
        "use is yes or is no."
    ),
    "finding.wants_0_values": (
        "The condition on “{name}” asks whether it is known, so no value belongs behind it."
    ),
    "finding.wants_1_values": (
        "The condition on “{name}” needs one value; {found} stand there."
    ),
    "finding.wants_2_values": (
        "The condition on “{name}” needs two values joined by “and”, the lower one first."
    ),
    "finding.turned_round": (
        "“{name}” cannot be between {low} and {high}: give the lower one first."
    ),
    "finding.surely_numbers": (
        "Only numbers have a doubt, so “{name}” cannot be asked for surely."
    ),
    "finding.wants_number": "“{name}” is a number, which “{found}” is not: write one, such as 50.",
    "finding.wants_share": (
        "“{name}” lies between 0 and 1, or 0 % and 100 %; “{found}” does not."
    ),
    "finding.wants_date": (
        "“{name}” is a date, which “{found}” is not: write 2026, 2026-03 or 2026-03-01."
    ),
    "finding.wants_yes": "“{name}” is yes or no, not “{found}”.",
    "finding.several": "“{found}” is part of {n} words on offer, {words} among them: choose one.",
    "finding.wants_word": "The condition on “{name}” lacks its word: write one behind it.",
    "finding.other_unit": ("“{name}” is kept in {unit}: convert “{found}” and try again."),
    "finding.no_unit": "plain numbers",
}
