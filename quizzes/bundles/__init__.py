"""A whole module as one file, out and in.

bag.py the file: a ZIP of one BagIt bag | entries.py what a ZIP may hold | strict.py JSON without surprises
documents.py a module, its classes and pictures as module.json | checking.py whether a module.json holds
placing.py, critique.py what a bundle has to know of each kind | plates.py whether a drawn dog can be drawn
importing.py what an import would make, and making it | photographs.py those that come with it
kept.py what was sent, until it is taken in | forms.py, views.py, urls.py the pages
"""
