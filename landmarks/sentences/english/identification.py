"""English sentences of the area *identification*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    "identification.unknown_region": "No region is called “{found}”: perhaps “{nearest}” is "
    "meant.",
    "identification.look_at_hand": "{character}, in a picture at hand ({view}): it would best "
    "part {first} from {second}.",
    "identification.look_new_view": "{character}, in a further picture ({view}): it would "
    "best part {first} from {second}.",
    # Answers.
    "answer.clear": "{written}",
    "answer.group": "{written}: these pictures cannot separate them. What would: {characters}.",
    "answer.group_by_region": "{written}: these pictures cannot separate them. Where the "
    "specimen was found would.",
    "answer.undecided": "{written}: undecided between them. To look at: {characters}.",
    "answer.undecided_plain": "{written}: undecided between them.",
    "answer.between": "Between two species: what was seen belongs partly to {first} and partly "
    "to {second}.",
    "answer.genus_small": "{written}: a shell of less than {least} is named to the genus only.",
    "answer.none_small": "No name: a shell of less than {least} is named to the genus at most.",
    "answer.genus_wide": "{written}: what was seen does not tell which species.",
    "answer.none_wide": "No name yet: what was seen does not tell which species.",
    "answer.no_fit": "None of these fits well.",
    "answer.nothing_seen": "Nothing has been seen yet that tells the species apart.",
    # Fit in words.
    "fit.fits_well": "fits well",
    "fit.fits_poorly": "fits poorly",
    "fit.does_not_fit": "does not fit",
    # Reasons.
    "because.unsure": "{reason} Scored as unsure, so it counts for less.",
    "because.lost": "{reason} The state of the specimen can bring it about, so it counts for "
    "less.",
    "because.disagree": "{reason} The scores disagree, so it counts for less.",
    "because.short_scored": "{character} {state}",
    "because.short_counted": "{value} {character}",
    "because.short_measured": "{character} {value}",
    "because.hidden": "{character}: cannot be seen, so it says nothing.",
    "because.no_weight": "{character}: recorded, but it tells nothing.",
    "because.bound": "{character}: counts as a size of at least that.",
    "because.part": "{character}: counts within a sum.",
    "because.other_definition": "{character}: taken by a definition that the tables do not use.",
    "because.unknown": "{character}: the tables say nothing of it.",
    "because.always": "{character} “{state}”: always so in {taxon}.",
    "because.usually": "{character} “{state}”: usual in {taxon}.",
    "because.often": "{character} “{state}”: often so in {taxon}.",
    "because.sometimes": "{character} “{state}”: sometimes so in {taxon}.",
    "because.rarely": "{character} “{state}”: rarely so in {taxon}.",
    "because.never": "{character} “{state}”: never so in {taxon}.",
    "because.share": "{character} “{state}”: so in {share} of {taxon}.",
    "because.other_state": "{character} “{state}”: {taxon} has “{usual}”.",
    "because.no_cell": "{character} “{state}”: not known of {taxon}.",
    "because.cell_without_weight": "{character} “{state}”: what is written of {taxon} is too weak "
    "to count.",
    "because.number_without_weight": "{character} {value}: what is written of {taxon} is too weak "
    "to count.",
    "because.no_cell_number": "{character} {value}: not known of {taxon}.",
    "because.inside": "{character} {value}: within the {low} to {high} of {taxon}.",
    "because.has": "{character} {value}: {taxon} has {low} to {high}.",
    "because.below": "{character} {value}: below the {low} to {high} of {taxon}.",
    "because.above": "{character} {value}: above the {low} to {high} of {taxon}.",
    "because.at_least": "{character} {value}: {taxon} has {low} or more.",
    "because.below_at_least": "{character} {value}: below the {low} or more of {taxon}.",
    "because.at_most": "{character} {value}: {taxon} has {high} or less.",
    "because.above_at_most": "{character} {value}: above the {high} or less of {taxon}.",
    "because.within_maximum": "{character} {value}: {taxon} reaches {limit}.",
    "because.beyond_maximum": "{character} {value}: {taxon} reaches {limit} only.",
    "because.no_maximum": "{character} {value}: how large {taxon} grows is not known.",
    # Cautions.
    "caution.faint": "{character}: the picture is too coarse to show that there is none, so "
    "that counts as unsure.",
    "caution.scores_disagree": "{character}: the scores disagree, so it counts as unsure.",
    "caution.lost": "{character}: the state of the specimen can bring this about, so it counts "
    "for less.",
    "caution.no_record": "No record of {name} was read for the region ({region}): that is silence, "
    "not an exclusion, but look twice.",
    "caution.region_off": "The region does not speak for farmed, aquarium or traded animals.",
    "caution.look_again": "Unusual for the best candidate, look again: {characters}.",
    "caution.capped": "No more than {share} is stated: too little was seen, or the table cells "
    "that decide were not read in a source.",
    "caution.living_cannot_settle": "Living pictures cannot settle this: only views that need "
    "handling would, and a living animal is not handled.",
}
