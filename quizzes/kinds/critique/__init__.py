"""Writing a critique of one dog that was placed.

content.py the dog, what is asked for, the mentor's own critique | kind.py ties it to the site
player.py writing and handing in | pointing.py what is pointed out afterwards | result.py explaining
room.py everybody's attempts | builder.py and forms.py the mentor's pages
The marks themselves are given in quizzes/marking/.
"""

from quizzes.kinds.critique.kind import KIND

__all__ = ["KIND"]
