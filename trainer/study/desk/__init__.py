"""The mentor's desk: a module written on the site.

drafts.py what changes a draft | lacking.py what it still lacks | weighing.py weights in words
comparing.py two revisions beside each other | forms.py, views.py, urls.py the pages
"""
