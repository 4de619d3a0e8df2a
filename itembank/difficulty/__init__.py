"""The predicted difficulty of an item, on a scale of logits in whole thousandths.

`weights.toml` holds every weight with its reason and source; `looks.py` counts what a shape shows, `predict.py` adds
up. A prediction orders items and bands until a calibration knows better; it decides nothing about right or wrong, so
it knows neither templates nor the search, and no proof knows it.
"""

from itembank.difficulty.observed import OBSERVED, Observed, ObservedOf
from itembank.difficulty.predict import Predictor
from itembank.difficulty.spread import Spread, logits, spread_of
from itembank.difficulty.weights import FEATURES, FURTHEST, Weight, Weights, usual_weights

__all__ = [
    "FEATURES",
    "FURTHEST",
    "OBSERVED",
    "Observed",
    "ObservedOf",
    "Predictor",
    "Spread",
    "Weight",
    "Weights",
    "logits",
    "spread_of",
    "usual_weights",
]
