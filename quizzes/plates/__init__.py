"""Drawn dogs: from a conformation to landmarks, measurements and engraved plates. Pure computing, no framework."""

from .breeds import BREEDS, Breed
from .conformation import Conformation, conformation
from .draw import draw
from .faults import FAULTS, Fault, hidden_by_coat
from .figures import landmark_layer, measuring_layer
from .measuring import Measurement, measure
from .overlay import outline, overlay
from .views import view_box
from .words import describe, measured_text, neutral_text

__all__ = [
    "BREEDS",
    "FAULTS",
    "Breed",
    "Conformation",
    "Fault",
    "Measurement",
    "conformation",
    "describe",
    "draw",
    "hidden_by_coat",
    "landmark_layer",
    "measure",
    "measured_text",
    "measuring_layer",
    "neutral_text",
    "outline",
    "overlay",
    "view_box",
]
