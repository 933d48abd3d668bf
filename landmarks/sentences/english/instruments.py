"""English sentences of the instruments: what they found, and why they would not."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    # Ruler.
    "ruler.fitted": "Graduation of {graduation}: {n} marks fit, {px} px per mm. This is the fit of the ruler, not the accuracy of a shell.",
    "ruler.graduation.mm_1": "1 mm",
    "ruler.graduation.mm_05": "0.5 mm",
    "ruler.graduation.mm_2": "2 mm",
    "ruler.graduation.mm_5": "5 mm",
    "ruler.graduation.mm_10": "10 mm",
    "ruler.graduation.inch_32": "1/32 inch",
    "ruler.graduation.inch_16": "1/16 inch",
    "ruler.graduation.inch_10": "1/10 inch",
    "ruler.graduation.inch_8": "1/8 inch",
    "ruler.graduation.inch_4": "1/4 inch",
    "ruler.graduation.blocks_1": "blocks of 1 mm",
    "ruler.graduation.blocks_5": "blocks of 5 mm",
    "ruler.graduation.blocks_10": "blocks of 10 mm",
    "ruler.graduation.blocks_20": "blocks of 20 mm",
    "ruler.too_short": "The line is {px} px long or leaves the picture: drag along more of the ruler. Until then the two ends count: {clicked} px per mm.",
    "ruler.refused.weak": "No regular graduation along this line: drag along the ticks themselves, or zoom in. The two ends count: {clicked} px per mm.",
    "ruler.refused.uneven": "The marks along this line do not line up: drag along one edge of one ruler. The two ends count: {clicked} px per mm.",
    "ruler.refused.bent": "The marks along this line drift as on a bent or joined ruler: drag along a straight part of it. The two ends count: {clicked} px per mm.",
    "ruler.refused.disagrees": "The graduation disagrees with {length} between the two ends: read the ruler again. The two ends count: {clicked} px per mm.",
    "ruler.tilted": "The scale changes by {drift} along the ruler: ruler or camera lean by about {degrees}°.",
    # Plane.
    "plane.side_not_positive": "{found} mm is not a side: type both sides of the rectangle, more than 0.",
    "plane.not_four": "A plane needs four points around the specimen, not {n}: click the corners in order.",
    "plane.in_a_line": "Three of the four points lie nearly in a line: click the corners of the rectangle.",
    "plane.crossed": "The four points cross over: click the corners in order around the specimen.",
    "plane.beside": "The specimen reaches {share} of a width beyond the four points: lengths there are less sure than it seems. Put the points around it.",
    "plane.too_far": "The specimen lies {widths} widths outside the four points: nothing is measured from so far. Put the points around it, or use a ruler beside it.",
    "plane.no_plane": "What is kept of the four points makes no plane: click the corners of the rectangle again.",
    "measure.lacks.plane": "four points that make a plane",
    "measure.lacks.near_the_plane": "landmarks nearer to the four points (they lie more than a width outside)",
    "measure.lacks.before_the_horizon": "landmarks this side of the horizon of the plane",
    # Doubt.
    "measure.doubtful": "The doubt is {share} of the value: this measure says little.",
    # Scale carried over.
    "carried.size": "The pictures are not of one size ({from} and {to} px): the scale is not carried over. Give this picture its own.",
    "carried.camera": "The pictures come from two cameras ({from} and {to}): the scale is not carried over. Give this picture its own.",
    "carried.focal": "The focal length changed from {from} to {to} mm: the scale is not carried over. Give this picture its own.",
    # Folds.
    "folds.agree": "Margin {margin}, transect {transect}: they agree. Confirm the count.",
    "folds.check": "Margin {margin}, transect {transect}: please check {marks}.",
    "folds.mark": "mark {number}",
    "folds.more": (
        "Margin {margin}, transect {transect}: the transect shows {n} fold more, please check it.",
        "Margin {margin}, transect {transect}: the transect shows {n} folds more, please check them.",
    ),
    "folds.unclear": "Margin {margin}, transect {transect}, but not clearly: please check every mark.",
    "folds.only.margin": (
        "Margin {n} fold: please check it.",
        "Margin {n} folds: please check them, or draw a transect.",
    ),
    "folds.only.transect": (
        "Transect {n} fold: please check it.",
        "Transect {n} folds: please check them, or trace the margin.",
    ),
    "folds.margin.few": "The margin has {n} points, too few to count folds: trace it with at least {least}, ten a fold.",
    "folds.margin.none": "No fold stands out of this margin: place the marks by hand.",
    "folds.transect.short": "The line across the folds is {px} px long: click along all folds, near the margin.",
    "folds.transect.none": "No folds show along this line: draw it nearer to the margin, or place the marks by hand.",
}
