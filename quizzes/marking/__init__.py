"""Marking what people wrote: by a mentor, by a second one who doesn't see the first, and handed back.

rubric.py what marks are given for | services.py everything that changes a mark
queue.py who may mark what, and what waits | agreeing.py two markers beside each other | views.py, forms.py, urls.py
"""
