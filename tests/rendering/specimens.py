"""The invented shells of the example pictures."""

from .colours import Colours
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
