"""The mentor's desk: a module written on the site.

drafts.py what changes a draft | lacking.py what it still lacks | weighing.py weights in words
comparing.py two revisions beside each other | lessons.py, section_forms.py the sections of a lesson
views.py modules, row_views.py their parts, lesson_views.py lessons, pages.py what these share
"""
