"""Questions with one right answer, several, or a number; see quizzes/kinds/sheets/.

rows.py the documents | grading.py points and guessing | forms.py the mentor's row | kind.py ties it together
"""

from quizzes.kinds.question.kind import KIND

__all__ = ["KIND"]
