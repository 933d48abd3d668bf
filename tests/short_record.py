"""A record as a person may write it: the example of the command line's manual."""

SHORT = {
    "format": 1,
    "shell_length_mm": {"value": 152, "sigma": 2, "method": "calliper"},
    "region": "coral_triangle",
    "origin": "wild",
    "condition": ["worn"],
    "observations": {
        "incurrent_margin": "smooth",
        "main_folds": 5,
        "hinge_ratio": {"value": 0.48, "sigma": 0.01},
        "scutes": {"state": "absent", "sure": False},
    },
}
