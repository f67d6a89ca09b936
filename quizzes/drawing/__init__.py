"""Drawn dogs on the site: what a stored dog looks like, and the mentor's workbench.

dogs.py from a stored dog to a drawing | kept.py drawings kept on disk | parts.py faults by part of the dog
sketch.py a dog as an address | forms.py, services.py, views.py the workbench
"""
