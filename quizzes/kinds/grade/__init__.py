"""Giving dogs one of the qualitative grades, with what decides it; on the sheet base, see quizzes/kinds/sheets/.

grades.py the grades and their points | rows.py a dog and its key | kind.py ties them together | forms.py the
mentor's form of a dog | copying.py dogs of the library and of classes | look.py what is shown of the dogs
"""

from quizzes.kinds.grade.kind import KIND

__all__ = ["KIND"]
