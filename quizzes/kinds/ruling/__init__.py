"""Situations in the ring, and what the judge does and records; see quizzes/kinds/sheets/.

rulings.py the words of the trade | forms.py the mentor's row | kind.py the documents, and what ties it together
"""

from quizzes.kinds.ruling.kind import KIND

__all__ = ["KIND"]
