"""What the kinds share that ask several things on one sheet: severity, ruling, question and the like.

rows.py the documents | kind.py the base of such a kind | player.py answering | result.py explaining
room.py everybody's attempts | forms.py and builder.py the mentor's page | urls.py

Such a kind is a folder with a row as it is asked, a row of its key, a form for both, and two templates:
templates/quizzes/<kind>/_ask.html and _explained.html.
"""
