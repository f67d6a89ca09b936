"""The hands-on examination from memory: order, eye or hand, what to find, the step that is missing.

content.py the documents | taking.py the sequence as a module has it | safety.py unsafe orders | grading.py points
kind.py ties them together | player.py answering | result.py explaining | room.py everybody's attempts
builder.py and forms.py the mentor's pages | rehearsing.py begun by a trainee | differences.py | urls.py
"""

from quizzes.kinds.examination.kind import KIND

__all__ = ["KIND"]
