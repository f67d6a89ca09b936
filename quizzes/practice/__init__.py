"""Classes made from a mentor's priorities: for one trainee to practise on, or as a mentor's draft.

material.py the module as the generator takes it | suiting.py which difficulty suits a person
showing.py what plates show of it | following.py dogs drawn and worded from levels given by hand
services.py what is stored | forms.py, views.py the trainee's pages | making.py the mentor's
"""
