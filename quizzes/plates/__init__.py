"""Drawn dogs: from a conformation to landmarks, measurements and engraved plates. Pure computing, no framework."""

from .breeds import BREEDS, Breed
from .conformation import Conformation, conformation
from .controls import CONTROLS, Control, adjustment
from .draw import draw
from .faults import FAULTS, Fault, hidden_by_coat
from .figures import landmark_layer, measuring_layer
from .measuring import Measurement, measure, measure_side
from .overlay import outline, overlay
from .views import view_box
from .words import describe, measured_text, neutral_text

__all__ = [
    "BREEDS",
    "CONTROLS",
    "FAULTS",
    "Breed",
    "Conformation",
    "Control",
    "Fault",
    "Measurement",
    "adjustment",
    "conformation",
    "describe",
    "draw",
    "hidden_by_coat",
    "landmark_layer",
    "measure",
    "measure_side",
    "measured_text",
    "measuring_layer",
    "neutral_text",
    "outline",
    "overlay",
    "view_box",
]
