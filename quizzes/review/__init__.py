"""Coming back: what is due again and when, which priorities a person's placings reward, what to do next.

scheduling.py when something is due (fsrs) | practised.py what an answer says of which subject
rewarding.py the weights that placings amount to | aiming.py classes that turn on what departs (pure)
services.py keeps both up to date when an answer is handed in | views.py and telling.py the page
"""
