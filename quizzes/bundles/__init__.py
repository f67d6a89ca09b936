"""A whole module as one file, out and in.

bag.py the file: a ZIP of one BagIt bag | entries.py what a ZIP may hold | strict.py JSON without surprises
documents.py a module, its exercises and pictures as module.json | checking.py whether a module.json holds
kinds.py what a bundle knows of each kind: sheets.py of all that ask on a sheet, placing.py, critique.py,
examination.py, two.py | schema.py what the published schema says of them | plates.py whether a drawn dog can be drawn
importing.py what an import would make, and making it | photographs.py those that come with it
kept.py what was sent, until it is taken in | forms.py, views.py, urls.py the pages
"""
