"""A whole module as one file, out and in.

bag.py the file: a ZIP of one BagIt bag | entries.py what a ZIP may hold | strict.py JSON without surprises
documents.py a module, its classes and pictures as module.json | checking.py whether a module.json holds
placing.py what a bundle has to know of classes | plates.py whether a drawn dog can be drawn
importing.py what an import would make, and making it | forms.py, views.py, urls.py the pages
"""
