"""Which of two drawn dogs is better: a staircase that finds how small a difference somebody sees.

content.py the document | drawable.py what plates can show of a module | making.py the two dogs of a pair |
answering.py the answer | kind.py | player.py | result.py, figure.py, history.py | room.py | forms.py, builder.py
the mentor's page | urls.py
"""

from quizzes.kinds.two.kind import KIND

__all__ = ["KIND"]
