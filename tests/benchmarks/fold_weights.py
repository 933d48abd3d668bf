"""Fit the weights of the fold instrument: ``python -m tests.benchmarks.fold_weights``.

2400 shells of a stream of their own; the benchmark looks at others.
"""

from __future__ import annotations

import json
import sys

import numpy as np
from sklearn.linear_model import LogisticRegression

from landmarks.instruments.ridges import evenly
from landmarks.instruments.tops import (
    FEATURES,
    SAMPLES,
    WEIGHTS,
    margin_tops,
    second_order,
)
from tests.benchmarks.folded import clicked, exact_margin, shell

STREAM = 17
CLICKS = ((300, 0.5), (160, 1.0), (120, 1.0), (80, 1.0), (80, 2.0))
NEAR = 0.03


def tops(n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return descriptions of tops, whether each is a main fold, and whether any fold."""
    rows, main, any_fold = [], [], []
    for seed in range(n):
        one = shell(seed, "plain", STREAM)
        exact = exact_margin(one)
        rng = np.random.default_rng((STREAM, seed))
        for n_points, sigma_px in CLICKS:
            found = margin_tops(evenly(clicked(exact, n_points, sigma_px, rng), SAMPLES))
            for top, described in zip(found.tops, found.described, strict=True):
                place = top.at / (SAMPLES - 1)
                rows.append(described)
                main.append(bool(np.abs(exact.main - place).min() < NEAR))
                every = np.concatenate([exact.main, exact.ends])
                any_fold.append(bool(np.abs(every - place).min() < NEAR))
    return np.array(rows), np.array(main), np.array(any_fold)


def fit(n: int = 2400) -> dict[str, object]:
    """Return means, spreads and weights as they are kept."""
    rows, main, any_fold = tops(n)
    means, spreads = rows.mean(axis=0), rows.std(axis=0)
    columns = second_order((rows - means) / spreads)
    weights = {}
    for key, labels in (("main", main), ("any", any_fold)):
        rule = LogisticRegression(C=0.3, max_iter=5000, fit_intercept=False)
        rule.fit(columns, labels)
        weights[key] = [round(float(one), 5) for one in rule.coef_[0]]
    return {
        "made": "python -m tests.benchmarks.fold_weights",
        "features": list(FEATURES),
        "means": [round(float(one), 6) for one in means],
        "spreads": [round(float(one), 6) for one in spreads],
        "weights": weights,
    }


if __name__ == "__main__":
    made = fit(int(sys.argv[1]) if len(sys.argv) > 1 else 2400)
    WEIGHTS.parent.mkdir(parents=True, exist_ok=True)
    WEIGHTS.write_text(json.dumps(made, indent=1) + "\n", encoding="utf-8")
