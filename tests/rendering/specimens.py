"""The invented shells of the example pictures."""

from .colours import Colours
from .mantle import Animal
from .scutes import ScuteStyle
from .surface import ValveShape
from .views import Specimen

FAN = (
    (0.27, 0.0), (0.40, 0.05), (0.475, 0.14), (0.49, 0.27), (0.40, 0.44), (0.22, 0.56), (0.0, 0.61),
    (-0.22, 0.56), (-0.41, 0.43), (-0.50, 0.27), (-0.485, 0.14), (-0.39, 0.05), (-0.25, 0.0),
)  # fmt: skip

FLUTED = Specimen(
    ValveShape(
        144.0,
        FAN,
        main_folds=(0.215, 0.36, 0.50, 0.64, 0.785),
        end_folds=(0.105, 0.87),
        fold_depth=0.06,
        lobes=0.035,
        fold_narrowness=0.75,
        riblet_depth=0.006,
        byssal_opening_from=0.91,
        byssal_opening_width=0.02,
        seed=4,
    ),
    Colours(),
    ScuteStyle(height=0.085, gap=0.19, width=0.92, lean=0.62, curl=0.55, flare=0.22, last_size=0.88),
    "Tridacna squamosa",
    {
        "scutes": "present on all folds",
        "scute_size": "large",
        "scute_spacing": "widely spaced",
        "fold_profile": "rounded",
        "fold_strength": "strong",
        "upper_margin": "deep rounded lobes",
        "umbo": "central",
        "coloured_bands": "absent",
    },
)

PAIR = Specimen(
    ValveShape(
        138.0,
        (
            (0.38, 0.0), (0.455, 0.07), (0.495, 0.20), (0.46, 0.36), (0.33, 0.50), (0.13, 0.58), (-0.08, 0.58),
            (-0.29, 0.50), (-0.44, 0.34), (-0.495, 0.20), (-0.44, 0.095), (-0.29, 0.035), (-0.12, 0.0),
        ),
        main_folds=(0.225, 0.37, 0.51, 0.65, 0.775),
        end_folds=(0.11, 0.845),
        growth=0.74,
        fold_depth=0.055,
        riblet_depth=0.005,
        byssal_opening_from=0.875,
        byssal_opening_width=0.055,
        seed=9,
    ),
    Colours(base=(230, 214, 186), band=(216, 170, 120), young=(226, 214, 196), soiling=0.6, seed=19),
    ScuteStyle(height=0.07, gap=0.2, width=0.9, lean=0.7, curl=0.5, first_size=0.34, last_size=0.86, lost=0.12, seed=8),
    "Tridacna squamosa",
    {
        "scutes": "present on all folds",
        "scute_size": "large",
        "scute_spacing": "widely spaced",
        "fold_profile": "rounded",
        "byssal_opening": "moderate",
        "hinge": "about half the shell length",
        "closure": "shut without gap",
    },
)  # fmt: skip

ELONGATE = Specimen(
    ValveShape(
        152.0,
        (
            (0.30, 0.0), (0.44, 0.045), (0.575, 0.125), (0.635, 0.235), (0.56, 0.36), (0.39, 0.44), (0.18, 0.47),
            (-0.03, 0.44), (-0.21, 0.355), (-0.325, 0.24), (-0.355, 0.135), (-0.28, 0.055), (-0.10, 0.0),
        ),
        main_folds=(0.20, 0.33, 0.46, 0.58, 0.70),
        end_folds=(0.10, 0.79),
        growth=0.86,
        fold_depth=0.036,
        end_fold_share=0.6,
        lobes=0.03,
        fold_narrowness=0.8,
        n_riblets=6,
        riblet_depth=0.0045,
        byssal_opening_from=0.84,
        byssal_opening_width=0.06,
        beak_lean=-0.02,
        seed=31,
    ),
    Colours(
        base=(228, 216, 196), band=(218, 190, 150), young=(222, 214, 202), dirt=(140, 122, 96), rim=(240, 230, 210),
        soiling=0.6, seed=32,
    ),
    ScuteStyle(
        height=0.026, gap=0.052, width=0.95, lean=0.75, curl=0.5, flare=0.08, first_size=0.34, last_size=0.97,
        end_share=0.75, lost=0.06, seed=33,
    ),
    "Tridacna maxima",
    {
        "scutes": "present on all folds",
        "scute_size": "small, low",
        "scute_spacing": "crowded",
        "fold_profile": "rounded",
        "fold_strength": "moderate",
        "upper_margin": "wavy",
        "umbo": "nearer to the byssal end",
        "coloured_bands": "absent",
    },
)  # fmt: skip

DEEP_FOLDED = Specimen(
    ValveShape(
        158.0,
        (
            (0.30, 0.0), (0.41, 0.04), (0.475, 0.13), (0.49, 0.26), (0.42, 0.43), (0.25, 0.56), (0.02, 0.61),
            (-0.22, 0.57), (-0.42, 0.44), (-0.50, 0.28), (-0.485, 0.14), (-0.39, 0.045), (-0.27, 0.0),
        ),
        main_folds=(0.24, 0.42, 0.59, 0.76),
        end_folds=(0.11, 0.87),
        growth=0.82,
        fold_depth=0.072,
        end_fold_share=0.4,
        lobes=0.075,
        fold_narrowness=0.95,
        n_riblets=7,
        riblet_depth=0.003,
        growth_line_depth=0.0022,
        growth_rests=0.005,
        byssal_opening_from=0.94,
        byssal_opening_width=0.012,
        thread_depth=0.0004,
        seed=41,
    ),
    Colours(
        base=(222, 210, 188), band=(196, 170, 130), young=(206, 196, 178), dirt=(122, 110, 84), soiling=0.75,
        banding=0.7, gloss=0.05, seed=42,
    ),
    None,
    "Tridacna gigas",
    {
        "scutes": "absent",
        "scute_size": "none",
        "scute_spacing": "none",
        "fold_profile": "rounded",
        "fold_strength": "strong",
        "upper_margin": "long inward triangles",
        "umbo": "central",
        "coloured_bands": "absent",
    },
)  # fmt: skip

BLOTCHED = Specimen(
    ValveShape(
        126.0,
        (
            (0.33, 0.0), (0.47, 0.07), (0.53, 0.20), (0.46, 0.36), (0.30, 0.49), (0.08, 0.56), (-0.14, 0.54),
            (-0.33, 0.45), (-0.44, 0.31), (-0.46, 0.18), (-0.38, 0.07), (-0.22, 0.0),
        ),
        main_folds=(0.155, 0.24, 0.32, 0.40, 0.48, 0.56, 0.64, 0.72, 0.795),
        end_folds=(0.08, 0.865),
        growth=0.7,
        fold_depth=0.022,
        end_fold_share=0.7,
        lobes=0.012,
        fold_narrowness=0.9,
        n_riblets=4,
        riblet_depth=0.006,
        growth_line_depth=0.002,
        byssal_opening_width=0.0,
        seed=51,
    ),
    Colours(
        base=(240, 234, 220), band=(236, 218, 190), young=(234, 226, 210), blotch=(178, 74, 52), blotches=0.85,
        soiling=0.3, gloss=0.16, seed=52,
    ),
    None,
    "Hippopus hippopus",
    {
        "scutes": "absent",
        "scute_size": "none",
        "scute_spacing": "none",
        "fold_profile": "angular",
        "fold_strength": "strong",
        "upper_margin": "arched",
        "umbo": "central",
        "coloured_bands": "present, red blotches",
    },
)  # fmt: skip

LOW_FOLDED = Specimen(
    ValveShape(
        92.0,
        (
            (0.22, 0.0), (0.37, 0.055), (0.48, 0.16), (0.50, 0.28), (0.42, 0.42), (0.24, 0.53), (0.03, 0.57),
            (-0.18, 0.53), (-0.36, 0.42), (-0.47, 0.28), (-0.47, 0.17), (-0.36, 0.065), (-0.14, 0.0),
        ),
        main_folds=(0.20, 0.32, 0.44, 0.56, 0.68, 0.78),
        end_folds=(0.10,),
        growth=0.9,
        fold_depth=0.02,
        lobes=0.015,
        n_riblets=5,
        riblet_depth=0.005,
        growth_rests=0.006,
        byssal_opening_from=0.80,
        byssal_opening_width=0.09,
        seed=61,
    ),
    Colours(
        base=(226, 216, 204), band=(222, 178, 128), young=(196, 188, 178), dirt=(128, 116, 100), rim=(240, 214, 180),
        soiling=0.8, seed=62,
    ),
    ScuteStyle(
        height=0.02, gap=0.055, width=0.85, lean=0.8, curl=0.4, first_size=0.74, last_size=0.97, lost=0.25, seed=63
    ),
    "Tridacna crocea",
    {
        "scutes": "near the upper margin only",
        "scute_size": "small, low",
        "scute_spacing": "crowded",
        "fold_profile": "flattened",
        "fold_strength": "low",
        "upper_margin": "low waves",
        "umbo": "central",
        "coloured_bands": "absent",
    },
)  # fmt: skip

LIVING = Animal(
    modelled_on="Tridacna maxima",
    characters={
        "inhalant_margin": "many small simple tentacles",
        "eyes": "dense row along the mantle edge",
        "mantle_extent": "beyond the margin",
        "upper_margin": "wavy, deep",
        "burrowing": "wedged in the rock",
    },
)
