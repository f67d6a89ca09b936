"""Placing a class of dogs.

content.py what is shown, and the key | board.py the answer while it is made
kind.py ties it to the site | problems.py what keeps a class from being published
player.py answering | result.py explaining | room.py everybody's attempts | builder.py the mentor's pages
"""

from quizzes.kinds.placing.kind import KIND

__all__ = ["KIND"]
