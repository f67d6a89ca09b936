"""Estimating by eye: an angle, a length or a ratio of a dog on a plate or photograph, or landmarks put on it.

asked.py the row and its key | truth.py what is measured, and where landmarks lie | tolerances.py |
kind.py | looks.py what is shown | forms.py | result.py, figure.py | room.py | plates.py, urls.py
"""

from quizzes.kinds.eye.kind import KIND

__all__ = ["KIND"]
